//! The plug of a merge's void: a flat plate, square to the axis, that drops in from upstream.
//!
//! The void narrows downstream, so a plate with the outline of the void at its downstream face passes
//! everywhere upstream of it. The outline is the void between legs that are thicker by the clearance all
//! round: its downstream edge then stays off the legs by just that, square to their outsides. A point of the
//! edge at `t` around a leg's ellipse is `((rho + c) cos t + h sin a, (rho + c) sin t)` from the leg's
//! centreline at height h above the downstream face, so the gap grows upstream, most in the middle of a
//! side (t = 0): by `h sin a`. Formulas derived here.

use std::f64::consts::TAU;

use geom::math::{sin, sin_cos, tan};
use geom::{DVec3, Frame};
use plate::{DVec2, Ellipse, Loop, Outline};
use spec::Design;
use spec::design::MergePlug;
use tube::VoidSection;
use tube::merge::Cluster;

use crate::flange_plate::{FlangePlate, PlateOf, PlatePart};
use crate::layout::{Fault, Merge};

/// Where a merge's plug stands, and how it fits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plug {
    /// z of its upstream face from the merge's apex, mm.
    pub from: f64,
    /// Distance of its corners from the axis, mm.
    pub corner: f64,
    /// Distance of the middles of its sides from the axis, mm.
    pub hollow: f64,
    /// The least gap between its edge and the legs, at its downstream face, and the largest, in the middles of
    /// its sides at the upstream one, mm.
    pub gap: [f64; 2],
    /// How much further in it comes to rest on the legs, mm.
    pub play: f64,
    /// How far its tips stop short of where the legs meet, at its upstream face, mm.
    pub tips: f64,
    /// How far its upstream face lies inside the legs' inlet rims, along the axis, mm: what a torch has to
    /// reach.
    pub inside: f64,
}

/// How far a plug's arcs may be from the section of the void, mm.
const OUTLINE: f64 = 0.005;

/// The least width of a plug across its hollows, mm (common practice, no source).
const LEAST_ACROSS: f64 = 2.0;

/// Every plug that the design makes, which its merge is told of; what keeps one from being made goes into `faults`.
pub(crate) fn lay(design: &Design, merges: &mut [Merge], faults: &mut Vec<Fault>) -> Vec<FlangePlate> {
    let mut plates = Vec::new();
    for (index, merge) in merges.iter_mut().enumerate() {
        let Some(wanted) = &design.merges[index].plug else { continue };
        match laid(merge, wanted) {
            Ok((plug, outline)) => {
                plates.push(plate(index, merge, wanted, (&plug, outline)));
                merge.plug = Some(plug);
            }
            Err(fault) => faults.push(fault),
        }
    }
    plates
}

fn laid(merge: &Merge, wanted: &MergePlug) -> Result<(Plug, Loop), Fault> {
    let cluster = &merge.cluster;
    let (rho, thicker) = (cluster.outer, cluster.outer + wanted.clearance);
    let opens = cluster.void_from(rho).ok_or_else(|| no_void(merge))?;
    // The last z at which the plug is wide enough: its hollows are `-z tan a - (rho + c) / cos a` from the axis.
    let last = cluster.spike(thicker) - 0.5 * LEAST_ACROSS / tan(cluster.convergence);
    fits(merge, wanted, last - opens)?;
    let from = opens + wanted.depth;
    let section = cluster.void_section(from + wanted.thickness, thicker).ok_or_else(|| no_void(merge))?;
    let there = cluster.void_section(from, rho).ok_or_else(|| no_void(merge))?;
    let outline = outline(&section, cluster.legs).map_err(|fault| Fault {
        key: format!("merge.{}.plug", merge.name),
        code: fault.code,
        message: format!("the plug of merge `{}`: {}", merge.name, fault.message),
        help: fault.help.to_owned(),
    })?;
    let sine = sin(cluster.convergence);
    let plug = Plug {
        from,
        corner: section.corner,
        hollow: section.hollow(),
        gap: [wanted.clearance, wanted.clearance + wanted.thickness * sine],
        play: wanted.clearance / sine,
        tips: there.corner - section.corner,
        inside: from - inlet_rim(merge),
    };
    Ok((plug, outline))
}

/// z of the point of the legs' inlet rims that is nearest to the axis, the furthest upstream of each, mm.
fn inlet_rim(merge: &Merge) -> f64 {
    let Cluster { convergence, outer, .. } = merge.cluster;
    let centre = |inlet: DVec3| (inlet - merge.apex).dot(merge.frame.along);
    let first = merge.legs.iter().map(|leg| centre(leg.inlet.at)).fold(f64::INFINITY, f64::min);
    first - outer * sin(convergence)
}

/// The plate's outline: hollow sides of arcs, its corners midway between the legs.
fn outline(section: &VoidSection, legs: usize) -> Result<Loop, plate::Fault> {
    let side = |leg: usize| {
        let (s, c) = sin_cos(TAU * leg as f64 / legs as f64);
        let outward = DVec2::new(c, s);
        let ellipse = Ellipse { centre: outward * section.middle, along: -outward, radii: section.radii };
        ellipse.arcs(section.reach, -section.reach, OUTLINE)
    };
    Loop::of((0..legs).flat_map(side).collect())
}

fn plate(index: usize, merge: &Merge, wanted: &MergePlug, (plug, outline): (&Plug, Loop)) -> FlangePlate {
    let Frame { along, inside, .. } = merge.frame;
    FlangePlate {
        name: merge.name.clone(),
        of: PlateOf::Merge(index),
        frame: Frame { at: merge.apex + along * plug.from, along, inside },
        reach: [0.0, wanted.thickness],
        alloy: wanted.alloy,
        parts: vec![PlatePart {
            mark: format!("{}-P", merge.name),
            outline: Outline::new(outline, Vec::new()),
        }],
        openings: Vec::new(),
        holes: Vec::new(),
        grooves: Vec::new(),
        groove_depth: 0.0,
        growth: None,
    }
}

/// Whether thickness and depth together keep within the `room` of the void, mm. Too deep is what could stand
/// further upstream; what fits nowhere is too thick.
fn fits(merge: &Merge, wanted: &MergePlug, room: f64) -> Result<(), Fault> {
    let MergePlug { thickness, depth, .. } = *wanted;
    if room < LEAST_ROOM {
        return Err(no_void(merge));
    }
    if depth + thickness <= room {
        return Ok(());
    }
    let largest = |mm: f64| format!("{:.2} mm", (100.0 * mm).floor() / 100.0);
    let deep = thickness < room;
    let (key, code) = if deep { ("depth", "plug-too-deep") } else { ("thickness", "plug-too-thick") };
    let rest = room - depth;
    let mut mends = Vec::new();
    if deep {
        mends.push(format!("depth at most {}", largest(room - thickness)));
    }
    if rest >= LEAST_ROOM {
        mends.push(format!("thickness at most {}", largest(rest)));
    } else if !deep {
        mends.push(format!("thickness at most {}, with depth = 0", largest(room)));
    }
    Err(Fault {
        key: format!("merge.{}.plug.{key}", merge.name),
        code,
        message: format!(
            "the plug of merge `{}` would end {:.2} mm downstream of where the void opens; from {} on the void is \
             less than {LEAST_ACROSS} mm across",
            merge.name,
            depth + thickness,
            largest(room)
        ),
        help: format!("make {}", mends.join(", or ")),
    })
}

/// The least length of the void that a plug is made in, mm.
const LEAST_ROOM: f64 = 0.1;

fn no_void(merge: &Merge) -> Fault {
    Fault {
        key: format!("merge.{}.plug", merge.name),
        code: "plug-no-void",
        message: format!("the legs of merge `{}` leave no void that is wide enough for a plug", merge.name),
        help: "leave it out, or make its clearance smaller".into(),
    }
}
