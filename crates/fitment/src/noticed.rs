//! What is to be known of a fitment model.

use layout::Layout;
use spec::shop::Printer;
use spec::{Finding, Level};

use crate::division::Division;
use crate::make::Stood;

/// What is noticed about a model, part by part.
pub(crate) fn noticed(
    layout: &Layout,
    division: &Division,
    stood: &[Stood],
    printer: &Printer,
) -> Vec<Finding> {
    let mut found = Vec::new();
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
