//! What a spec's words about its bay show before any distance is measured.

use spec::design::Form;
use spec::{Design, Finding, Level};

/// How far the matched points of a scan may stay apart before a warning, mm, root of the mean square (common
/// practice, no source).
const RESIDUAL: f64 = 3.0;

pub(crate) fn findings(design: &Design, found: &mut Vec<Finding>) {
    residuals(design, found);
    fasteners(design, found);
}

/// Scans whose matched points do not match well.
fn residuals(design: &Design, found: &mut Vec<Finding>) {
    for obstacle in &design.bay.obstacles {
        let Form::Scan(file) = &obstacle.form else { continue };
        let Some(residual) = file.residual.filter(|mm| *mm > RESIDUAL) else { continue };
        let written = |mm: f64| design.units.written(mm);
        let message = format!(
            "the matched points of its scan stay {} apart (root of the mean square), more than {}: measure them \
             again; a scan of the other hand needs `mirror`",
            written(residual),
            written(RESIDUAL)
        );
        found.push(Finding {
            level: Level::Warning,
            code: "pairs-residual",
            place: obstacle.name.clone(),
            message,
            value: Some(residual),
            limit: Some(RESIDUAL),
        });
    }
}

/// Plates with holes that tell no thread.
fn fasteners(design: &Design, found: &mut Vec<Finding>) {
    for flange in design.flanges.iter().filter(|flange| flange.fastener.is_none()) {
        if flange.plate.as_ref().is_none_or(|plate| plate.holes.is_empty()) {
            continue;
        }
        let message = "its holes tell no one thread, so the room of its tools is not checked: write fastener = \
                       { across = ... }";
        found.push(Finding {
            level: Level::Note,
            code: "unknown-fastener",
            place: flange.name.clone(),
            message: message.to_owned(),
            value: None,
            limit: None,
        });
    }
}
