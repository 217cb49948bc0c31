//! What is to be known of a fitment model.

use layout::Layout;
use solids::Mesh;
use spec::shop::Printer;
use spec::{Finding, Level};

use crate::division::Division;
use crate::make::Stood;

/// What is noticed about a model, part by part.
pub(crate) fn noticed(
    layout: &Layout,
    division: &Division,
    whole: &Mesh,
    stood: &[Stood],
    printer: &Printer,
) -> Vec<Finding> {
    let mut found: Vec<Finding> = far_away(whole).into_iter().collect();
    if !printer.stated {
        let message = "the shop file has no [printer]: bed, nozzle and gap are assumed, and the parts may not fit the \
                       printer or each other";
        found.push(finding(Level::Warning, "printer-assumed", "shop", message));
    }
    for merge in layout.merges.iter().filter(|merge| merge.plug.is_some()) {
        let message = "its plug is left out of the printed model: it would stand loose between the legs";
        found.push(finding(Level::Note, "plug-not-printed", &merge.name, message));
    }
    for joining in division.joinings.iter().filter(|joining| joining.in_bend) {
        let message = "the printed joint stands in a bend, as no straight near it holds one";
        let place = format!("joint {}", joining.number);
        found.push(finding(Level::Note, "joint-in-bend", &place, message));
    }
    for part in &division.touching {
        let message = "on its way in it touches others, straight and from every side tried: it has to be worked past them";
        let place = format!("part {}", division.parts[*part].mark);
        found.push(finding(Level::Warning, "part-touches", &place, message));
    }
    for (part, plan) in stood.iter().zip(&division.parts) {
        of_part(part, &format!("part {}", plan.mark), &mut found);
    }
    found
}

/// A warning where the header lies so far from the spec's origin that single precision, in which parts are united and
/// written, rounds it by more than [`ROUNDED`].
fn far_away(whole: &Mesh) -> Option<Finding> {
    let farthest = whole.points.iter().map(|p| p.abs().max_element()).fold(0.0, f64::max);
    // Half the step between two numbers of 24 binary digits.
    let rounded = farthest * f64::from(f32::EPSILON) * 0.5;
    let metres = farthest / 1000.0;
    let message = format!(
        "it lies up to {metres:.0} m from the spec's origin, where the points of printed parts are rounded by up to \
         {rounded:.3} mm, and the gaps of their joints are off by several times that: move the spec's origin near it"
    );
    (rounded > ROUNDED).then(|| Finding {
        value: Some(rounded),
        limit: Some(ROUNDED),
        ..finding(Level::Warning, "far-from-origin", "header", &message)
    })
}

/// By how much the points of a printed part may be rounded without a word, mm: a hundredth of a usual gap.
const ROUNDED: f64 = 0.002;

/// What is noticed about a part as it stands.
fn of_part((solid, pose): &Stood, place: &str, found: &mut Vec<Finding>) {
    let mut note = |code, message| found.push(finding(Level::Note, code, place, message));
    if solid.figures.is_none() {
        note("part-unmarked", "it has no room for its mark: write it on when it comes off the bed");
    }
    if solid.datum.is_none() {
        note("part-without-datum", "it has no room for a datum cone");
    }
    if solid.under {
        note(
            "part-marked-below",
            "its mark or its datum looks down onto support: clean it out, or write the mark on",
        );
    }
    if !pose.steady {
        note("part-unsteady", "it stands on too little of itself: print it with a brim and support");
    }
}

fn finding(level: Level, code: &'static str, place: &str, message: &str) -> Finding {
    Finding { level, code, place: place.to_owned(), message: message.to_owned(), value: None, limit: None }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::DVec3;

    /// Single precision steps by 2^-7 mm from 65.536 m on.
    #[test]
    fn what_lies_far_away_is_told_with_its_rounding() {
        let at = |x: f64| far_away(&Mesh { points: vec![DVec3::new(3.0, -x, 0.0)], triangles: Vec::new() });
        assert_eq!(at(30_000.0), None);
        let told = at(100_000.0).unwrap();
        let step = f64::from(100_000.0_f32.next_up()) - 100_000.0;
        let rounded = told.value.unwrap();
        assert!(rounded >= 0.5 * step && rounded < step, "{rounded} of {step}");
        assert!(told.message.contains("100 m") && told.message.contains("0.006 mm"), "{}", told.message);
    }
}
