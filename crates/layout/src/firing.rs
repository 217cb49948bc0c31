//! Which cylinders a merge brings together, and how far apart they fire.

use spec::design::{From, To};
use spec::{Design, Finding, Level};

/// Turn of the crank in which every cylinder of a four-stroke fires once, degrees.
const CYCLE: f64 = 720.0;

/// A note for each merge, where the spec gives the firing order.
pub(crate) fn findings(design: &Design, found: &mut Vec<Finding>) {
    let order = &design.firing_order;
    for (index, merge) in design.merges.iter().enumerate() {
        let firings = firings(design, index);
        if firings.len() < 2 {
            continue;
        }
        let gaps: Vec<f64> = (0..firings.len()).map(|i| apart(&firings, i, order.len())).collect();
        let names: Vec<&str> = firings.iter().map(|f| design.ports[order[f.place]].name.as_str()).collect();
        let written: Vec<String> =
            gaps.iter().map(|gap| format!("{}", (gap * 10.0).round() / 10.0)).collect();
        let mut message = format!(
            "brings together, as they fire, {}: {} degrees of crank apart (a four-stroke that fires evenly)",
            names.join(", "),
            written.join(", ")
        );
        if firings.len() > merge.legs {
            let after = |i: usize| firings[(i + 1) % firings.len()].leg == firings[i].leg;
            let same = (0..firings.len()).filter(|&i| after(i)).count();
            message += &format!("; {same} of {} follow one in the same leg", firings.len());
        }
        found.push(Finding {
            level: Level::Note,
            code: "firing",
            place: merge.name.clone(),
            message,
            value: gaps.iter().copied().reduce(f64::min),
            limit: None,
        });
    }
}

/// A cylinder that fires into a merge.
struct Firing {
    /// Its place in the firing order, from 0.
    place: usize,
    /// The leg that it comes down, from 0.
    leg: usize,
}

/// The firings that reach a merge, in order; none where no order is given.
fn firings(design: &Design, merge: usize) -> Vec<Firing> {
    let mut firings = Vec::new();
    for leg in 0..design.merges[merge].legs {
        for port in upstream(design, merge, leg) {
            let place = design.firing_order.iter().position(|&p| p == port);
            firings.extend(place.map(|place| Firing { place, leg }));
        }
    }
    firings.sort_by_key(|firing| firing.place);
    firings
}

/// The ports that feed a leg, through other merges too. Gas that a branch brings is left out.
fn upstream(design: &Design, merge: usize, leg: usize) -> Vec<usize> {
    let feeds = design.runs.iter().find(|run| run.to == To::Leg { merge, leg });
    match feeds.map(|run| run.from) {
        Some(From::Port(port)) => vec![port],
        Some(From::Merge(before)) => {
            (0..design.merges[before].legs).flat_map(|leg| upstream(design, before, leg)).collect()
        }
        Some(From::Branch(_)) | None => Vec::new(),
    }
}

/// Turn of the crank from a firing to the next, degrees.
fn apart(firings: &[Firing], index: usize, cylinders: usize) -> f64 {
    let next = firings[(index + 1) % firings.len()].place + cylinders;
    ((next - firings[index].place - 1) % cylinders + 1) as f64 * CYCLE / cylinders as f64
}
