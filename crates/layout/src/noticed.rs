//! What a laid-out header shows: findings, and the lengths of its groups.

use geom::angle::{from_degrees, to_degrees};
use geom::math::sin;
use spec::design::{From, Way};
use spec::{Design, Finding, Level};

use crate::layout::{Group, Layout, Make};
use crate::{bay_findings, firing, noticed_fittings, openings, plate_findings, weld_seams};

/// Closing gap and angle that count as closed: 0.01 mm and 0.01 degree.
pub(crate) const CLOSED: (f64, f64) = (0.01, 0.01);

/// The lengths of every group.
pub(crate) fn groups(design: &Design, layout: &Layout) -> Vec<Group> {
    let group = |(index, group): (usize, &spec::design::Group)| {
        let runs: Vec<usize> =
            (0..design.runs.len()).filter(|&r| design.runs[r].group == Some(index)).collect();
        let lengths = runs.iter().map(|&r| layout.runs[r].measured_length());
        Group {
            name: group.name.clone(),
            shortest: lengths.clone().fold(f64::INFINITY, f64::min),
            longest: lengths.fold(f64::NEG_INFINITY, f64::max),
            allowed: group.spread,
            target: group.target,
            runs,
        }
    };
    design.groups.iter().enumerate().map(group).collect()
}

/// Adds what the runs, groups and merges show, turns accepted failures into warnings, and puts the
/// gravest first.
pub(crate) fn findings(design: &Design, layout: &mut Layout) {
    let mut found = std::mem::take(&mut layout.findings);
    closures(design, layout, &mut found);
    lengths(design, layout, &mut found);
    seams(design, layout, &mut found);
    valleys(design, layout, &mut found);
    ports(design, &mut found);
    firing::findings(design, &mut found);
    kept_legs(design, layout, &mut found);
    weld_seams::report(layout, &mut found);
    openings::findings(design, layout, &mut found);
    noticed_fittings::findings(design, layout, &mut found);
    plate_findings::findings(design, layout, &mut found);
    bay_findings::findings(design, &mut found);
    spec::finding::accept(&design.accepted, &mut found);
    found.sort_by_key(|f| f.level);
    layout.findings = found;
}

fn finding(
    level: Level,
    code: &'static str,
    place: &str,
    message: String,
    (value, limit): (f64, Option<f64>),
) -> Finding {
    Finding { level, code, place: place.to_owned(), message, value: Some(value), limit }
}

fn closures(design: &Design, layout: &Layout, found: &mut Vec<Finding>) {
    for (run, wanted) in layout.runs.iter().zip(&design.runs) {
        let (gap, angle) = wanted.allowed_gap.unwrap_or((CLOSED.0, from_degrees(CLOSED.1)));
        if run.closure.gap > gap {
            let message =
                format!("ends {:.3} mm from where `{}` needs it: change the path", run.closure.gap, run.to);
            found.push(finding(Level::Failure, "open-gap", &run.name, message, (run.closure.gap, Some(gap))));
        }
        if run.closure.angle > angle {
            let off = to_degrees(run.closure.angle);
            let message = format!("arrives {off:.3} degrees askew at `{}`: change the path", run.to);
            let numbers = (off, Some(to_degrees(angle)));
            found.push(finding(Level::Failure, "askew-end", &run.name, message, numbers));
        }
    }
}

fn lengths(design: &Design, layout: &Layout, found: &mut Vec<Finding>) {
    let written = |mm: f64| design.units.written(mm);
    for group in &layout.groups {
        let spread = group.longest - group.shortest;
        if spread > group.allowed {
            let message = format!(
                "lengths lie {} apart, from {} to {}; {} is allowed",
                written(spread),
                written(group.shortest),
                written(group.longest),
                written(group.allowed)
            );
            let numbers = (spread, Some(group.allowed));
            found.push(finding(Level::Failure, "unequal-lengths", &group.name, message, numbers));
        }
    }
    for run in &layout.runs {
        let Some(target) = run.target else { continue };
        let allowed = layout
            .groups
            .iter()
            .find(|g| g.runs.iter().any(|&r| layout.runs[r].name == run.name))
            .map_or(TARGET_MISSED, |g| g.allowed);
        let off = run.measured_length() - target;
        if off.abs() > allowed {
            let (by, which) = (off.abs(), if off > 0.0 { "longer" } else { "shorter" });
            let message = format!("is {} {which} than its target of {}", written(by), written(target));
            found.push(finding(Level::Warning, "off-target", &run.name, message, (off, Some(allowed))));
        }
    }
}

/// How far a length may miss its target before a warning, mm (common practice, no source).
pub(crate) const TARGET_MISSED: f64 = 6.0;

fn seams(design: &Design, layout: &Layout, found: &mut Vec<Finding>) {
    for merge in &layout.merges {
        let (depth, reach) = (merge.first_contact_depth(), design.shop.torch_reach);
        if depth > reach {
            let message = format!(
                "the inner seams reach {} inside the mouth, deeper than the torch ({}): weld what the torch \
                 reaches, seal the rest from outside, or choose a larger convergence",
                design.units.written(depth),
                design.units.written(reach)
            );
            let numbers = (depth, Some(reach));
            found.push(finding(Level::Warning, "seam-out-of-reach", &merge.name, message, numbers));
        }
        if let Some(plug) = merge.plug
            && plug.inside > reach
        {
            let message = format!(
                "its plug stands {} inside the legs' inlets, deeper than the torch ({}): weld it to the first pair of \
                 legs before they are joined, or bring it nearer: smaller depth or inlet_gap, larger convergence",
                design.units.written(plug.inside),
                design.units.written(reach)
            );
            let numbers = (plug.inside, Some(reach));
            found.push(finding(Level::Warning, "plug-out-of-reach", &merge.name, message, numbers));
        }
    }
}

/// Fitted outlets so wide that in the valleys their edge passes through the legs' walls, not their bores.
fn valleys(design: &Design, layout: &Layout, found: &mut Vec<Finding>) {
    for merge in layout.merges.iter().filter(|m| m.way == Way::Fitted) {
        let largest = 2.0 * merge.cluster.inner / sin(merge.cluster.half_sector());
        if merge.mouth_od > largest {
            let message = format!(
                "the mouth of {} is wider than the legs' bores reach in the valleys ({}): its points there end \
                 inside the legs' walls; fill them when welding, or choose a smaller mouth",
                design.units.written(merge.mouth_od),
                design.units.written(largest)
            );
            let numbers = (merge.mouth_od, Some(largest));
            found.push(finding(Level::Warning, "thin-valleys", &merge.name, message, numbers));
        }
    }
}

/// Pieces of bought bends that keep less of a leg than is easily held, or than the saw's own cut; once for
/// each run.
fn kept_legs(design: &Design, layout: &Layout, found: &mut Vec<Finding>) {
    let (least, kerf) = (design.shop.least_piece, design.shop.saw.kerf);
    for run in &layout.runs {
        let kept = run.pieces.iter().filter_map(|&p| match &layout.pieces[p].make {
            Make::Bought(cutting) if cutting.stock.is_some() => {
                Some((layout.pieces[p].mark.as_str(), cutting.kept_leg()))
            }
            _ => None,
        });
        let short: Vec<(&str, f64)> = kept.filter(|(_, leg)| *leg < least - 1e-9).collect();
        let shortest = short.iter().map(|s| s.1).fold(f64::INFINITY, f64::min);
        if short.is_empty() {
            continue;
        }
        let marks: Vec<&str> = short.iter().map(|s| s.0).collect();
        let (level, limit, more) = if shortest < kerf {
            (Level::Warning, kerf, ", which is less than the saw's kerf")
        } else {
            (Level::Note, least, "")
        };
        let message = format!(
            "{} {} less than {} of a leg, down to {}{more}: cut the arc first, while the stock bend's long leg is in \
             the vice",
            marks.join(", "),
            if marks.len() == 1 { "keeps" } else { "keep" },
            design.units.written(least),
            design.units.written(shortest)
        );
        found.push(finding(level, "short-leg", &run.name, message, (shortest, Some(limit))));
    }
}

fn ports(design: &Design, found: &mut Vec<Finding>) {
    for (index, port) in design.ports.iter().enumerate() {
        if design.runs.iter().all(|r| r.from != From::Port(index)) {
            found.push(Finding {
                level: Level::Warning,
                code: "port-unused",
                place: port.name.clone(),
                message: "no run begins at this port".into(),
                value: None,
                limit: None,
            });
        }
    }
}
