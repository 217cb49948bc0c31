//! Why a header cannot be printed, each with the token that it hangs on.

use fitment::Fault;
use layout::layout::Run;
use spec::Diagnostic;

use crate::failure::Failure;
use crate::reading::Job;

/// Every fault, with its token and its mend. Lengths are in mm, as a printer's are, rounded up: with so much more it
/// can be printed.
pub fn unprintable(job: &Job, faults: &[Fault]) -> Failure {
    Failure::Unusable(faults.iter().map(|fault| diagnostic(job, fault)).collect())
}

fn diagnostic(job: &Job, fault: &Fault) -> Diagnostic {
    let (key, code, message, help) = match fault {
        Fault::BedTooSmall { what, missing } => {
            let key = if missing[0] > 0.0 || missing[1] > 0.0 { "bed" } else { "height" };
            let message = format!("{what} does not fit into the printer: it lacks {}", lacking(*missing));
            (format!("shop.printer.{key}"), "bed-too-small", message, BED)
        }
        Fault::StraightTooShort { run, longest, at, missing } => {
            let message = format!(
                "run `{run}` has to be divided for the printer, and none of its straights there holds a joint: the longest \
                 is {longest:.1} mm, {}, and {} mm are missing",
                place(job, run, *at),
                up(*missing)
            );
            (format!("run.{run}"), "straight-too-short", message, STRAIGHT)
        }
        Fault::WallTooThin { what, wall, missing } => {
            let message = format!(
                "{what}: its wall of {wall:.2} mm is thinner than the nozzle by {} mm, so it cannot be printed hollow",
                hundredths_up(*missing)
            );
            // An assumed nozzle stands nowhere: the tube does.
            match job.design.shop.printer.stated {
                true => ("shop.printer.nozzle".to_owned(), "wall-too-thin", message, WALL),
                false => (format!("{}.tube", what.replacen(' ', ".", 1)), "wall-too-thin", message, ASSUMED),
            }
        }
        Fault::TubeTooThin { run, at, missing } => {
            let message = format!(
                "run `{run}` at {at:.1} mm is too thin for a joint: {} mm of outside diameter are missing",
                up(*missing)
            );
            (format!("run.{run}"), "tube-too-thin", message, TUBE)
        }
        Fault::Locked { joints, missing } => {
            let numbers: Vec<String> = joints.iter().map(usize::to_string).collect();
            let message = format!(
                "the parts at joints {} hold each other and cannot be put together: a spigot would have to lean {} degrees \
                 more than it may",
                numbers.join(", "),
                up(missing.to_degrees())
            );
            ("shop.printer.bed".to_owned(), "locked", message, BED)
        }
        Fault::Mesh { what, fault } => (String::new(), "mesh", format!("{what}: {fault}"), MESH),
    };
    job.origins.diagnostic(&key, code, message, "", help)
}

const BED: &str =
    "[printer] in the shop file has `bed` and `height`: a printer that holds it, or parts made elsewhere";
const STRAIGHT: &str = "a larger `bed` or `height` needs fewer joints, a shorter `spigot` less straight ([printer] in the shop file)";
const WALL: &str = "give a `wall` of the nozzle's width or more in [printer] of the shop file, or print it with \
                    --variant solid";
const ASSUMED: &str = "the nozzle is assumed to be 0.4 mm, as no shop file states a printer: state `nozzle`, or a `wall` as \
                       wide, under [printer] of one, or print it with --variant solid";
const MESH: &str = "the spec is sound, and this solid of it cannot be made: try another --variant, or move what meets there \
                    apart by a tenth of a millimetre, and tell hotside's developers";
const TUBE: &str = "a larger `bed` or `height` in [printer] of the shop file needs fewer joints";

/// Where a straight begins on a run, in words: also on what of a merge continues it in line.
fn place(job: &Job, run: &str, at: f64) -> String {
    let length = job.layout.runs.iter().find(|laid| laid.name == run).map_or(f64::INFINITY, Run::length);
    if at < 0.0 {
        format!("from {:.1} mm before its start on", -at)
    } else if at > length {
        format!("from {:.1} mm beyond its end on", at - length)
    } else {
        format!("at {at:.1} mm")
    }
}

/// What is missing of the bed's length and width and of the height, in words.
fn lacking([x, y, z]: [f64; 3]) -> String {
    let parts = [(x, "of bed length"), (y, "of bed width"), (z, "of height")];
    let words = parts.iter().filter(|(mm, _)| *mm > 0.0).map(|(mm, what)| format!("{} mm {what}", up(*mm)));
    words.collect::<Vec<_>>().join(" and ")
}

/// A number rounded up to a tenth.
fn up(value: f64) -> String {
    format!("{:.1}", (value * 10.0 - 1e-6).ceil() / 10.0)
}

fn hundredths_up(value: f64) -> String {
    format!("{:.2}", (value * 100.0 - 1e-6).ceil() / 100.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_missing_is_rounded_up_and_never_nothing() {
        assert_eq!(
            (up(0.01), up(0.1), up(12.0), hundredths_up(0.151)),
            ("0.1".into(), "0.1".into(), "12.0".into(), "0.16".into())
        );
        assert_eq!(lacking([4.02, 0.0, 7.0]), "4.1 mm of bed length and 7.0 mm of height");
    }
}
