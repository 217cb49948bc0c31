//! The way from a Design to a Layout.

use spec::Design;

use crate::layout::{Fault, Layout, Part};
use crate::{joints, merges, noticed, runs};

/// Lays a design out in space, or says everything that keeps it from being laid out.
///
/// Merges come first, because they demand the poses of the runs' ends; then each run's centreline,
/// then the pieces, the joints between them, and the findings.
pub fn lay(design: &Design) -> Result<Layout, Vec<Fault>> {
    let mut faults = Vec::new();
    let frames = merges::frames(design, &mut faults);
    if !faults.is_empty() {
        return Err(faults);
    }
    let lines = runs::lines(design, &frames, &mut faults);
    if !faults.is_empty() {
        return Err(faults);
    }
    let mut pieces: Vec<Part> = Vec::new();
    let mut findings = Vec::new();
    let laid_runs = runs::lay(design, &frames, lines, &mut pieces, &mut findings, &mut faults);
    let laid_merges = merges::lay(design, frames, &mut pieces, &mut faults);
    if !faults.is_empty() {
        return Err(faults);
    }
    let mut layout = Layout {
        runs: laid_runs,
        pieces,
        joints: Vec::new(),
        merges: laid_merges,
        groups: Vec::new(),
        findings,
    };
    layout.joints = joints::between(design, &layout);
    layout.groups = noticed::groups(design, &layout);
    noticed::findings(design, &mut layout);
    Ok(layout)
}
