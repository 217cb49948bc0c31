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
        found.push(finding(Level::Warning, "printer-assumed", "shop", message, None));
    }
    for merge in layout.merges.iter().filter(|merge| merge.plug.is_some()) {
        let message = "its plug is left out of the printed model: it would stand loose between the legs";
        found.push(finding(Level::Note, "plug-not-printed", &merge.name, message, None));
    }
    for joining in division.joinings.iter().filter(|joining| joining.in_bend) {
        let message = "the printed joint stands in a bend, as no straight near it holds one";
        found.push(finding(
            Level::Note,
            "joint-in-bend",
            &format!("joint {}", joining.number),
            message,
            None,
        ));
    }
    for part in &division.touching {
        let message = "its tubes touch others before its spigots are in: it has to be worked past them";
        let place = format!("part {}", division.parts[*part].mark);
        found.push(finding(Level::Warning, "part-touches", &place, message, None));
    }
    for ((solid, pose), plan) in stood.iter().zip(&division.parts) {
        let mut note = |code, message: &str, value| {
            found.push(finding(Level::Note, code, &format!("part {}", plan.mark), message, value));
        };
        if !solid.marked {
            note("part-unmarked", "it has no room for its mark: write it on when it comes off the bed", None);
        }
        if solid.datum.is_none() {
            note("part-without-datum", "it has no room for a datum cone", None);
        }
        if !pose.steady {
            note(
                "part-unsteady",
                "it stands on too little of itself: print it with a brim and support",
                None,
            );
        }
    }
    found
}

fn finding(level: Level, code: &'static str, place: &str, message: &str, value: Option<f64>) -> Finding {
    Finding { level, code, place: place.to_owned(), message: message.to_owned(), value, limit: None }
}
