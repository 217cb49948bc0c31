//! What branches and bungs show: flow angles, drowned sensors, bosses out of reach, uneven places.

use geom::Frame;
use geom::angle::to_degrees;
use spec::design::{From, Sensor};
use spec::{Design, Finding, Level};
use tube::Rod;

use crate::layout::{Bung, Joint, JointKind, Layout, Owner};

/// The largest angle between a wastegate's branch and the flow, degrees (common practice, no source).
pub const STEEPEST_BRANCH: f64 = 45.0;

/// The least angle of an oxygen sensor above the horizontal, degrees: below, water stands in it (sensor
/// makers' fitting manuals).
pub const LOWEST_OXYGEN: f64 = 10.0;

/// Where an exhaust-temperature sensor stands from the port, mm (common practice, no source).
pub const TEMPERATURE_PLACE: (f64, f64) = (25.0, 75.0);

/// How far the sensors of a group may stand apart in their distances from the port, mm (common practice,
/// no source).
pub const UNEVEN: f64 = 3.0;

/// Adds what branches and bungs show.
pub(crate) fn findings(design: &Design, layout: &Layout, found: &mut Vec<Finding>) {
    steep_branches(layout, found);
    for bung in &layout.bungs {
        pointing_down(design, layout, bung, found);
        out_of_reach(design, layout, bung, found);
        far_from_port(design, layout, bung, found);
    }
    uneven(design, layout, found);
}

fn steep_branches(layout: &Layout, found: &mut Vec<Finding>) {
    for branch in &layout.branches {
        let angle = to_degrees(branch.place.angle);
        if angle <= STEEPEST_BRANCH + 1e-9 {
            continue;
        }
        found.push(Finding {
            level: Level::Warning,
            code: "steep-branch",
            place: branch.name.clone(),
            message: format!(
                "leaves the flow of `{}` at {angle:.1} degrees; a wastegate's branch leaves it at \
                 {STEEPEST_BRANCH:.0} degrees at most (common practice, no source)",
                branch.on
            ),
            value: Some(angle),
            limit: Some(STEEPEST_BRANCH),
        });
    }
}

/// Sensors in which water, soot or condensate would stand.
fn pointing_down(design: &Design, layout: &Layout, bung: &Bung, found: &mut Vec<Finding>) {
    let above = to_degrees(bung.place.above_horizontal());
    let (level, limit, why) = match design.bungs[bung.bung].sensor {
        Sensor::Oxygen => (Level::Failure, LOWEST_OXYGEN, "water stands in an oxygen sensor and breaks it"),
        Sensor::Pressure => (
            Level::Warning,
            0.0,
            "water and soot fill a pressure tap that hangs down (common practice, no source)",
        ),
        Sensor::Temperature => (
            Level::Note,
            0.0,
            "an exhaust-temperature sensor may hang down, but is reached only from below (common practice, no \
             source)",
        ),
    };
    if above >= limit - 1e-9 {
        return;
    }
    let words = if above < 0.0 {
        format!("points {:.1} degrees down", -above)
    } else {
        format!("rises only {above:.1} degrees above the horizontal")
    };
    let least = match limit {
        0.0 => "turn it to the side or up".to_owned(),
        limit => format!("turn it up to {limit:.0} degrees above the horizontal at least"),
    };
    found.push(Finding {
        level,
        code: "bung-points-down",
        place: layout.pieces[bung.piece].mark.clone(),
        message: format!("{words}: {why}; {least}"),
        value: Some(above),
        limit: Some(limit),
    });
}

/// Bosses that stand in a neighbour, and tools that do not reach them.
fn out_of_reach(design: &Design, layout: &Layout, bung: &Bung, found: &mut Vec<Finding>) {
    let written = |mm: f64| design.units.written(mm);
    let wanted = &design.bungs[bung.bung];
    let boss = Rod {
        frame: bung.place.frame,
        length: (bung.face - bung.place.frame.at).dot(bung.place.frame.along).max(0.0),
        radius: 0.5 * wanted.od,
    };
    // A boss touches its own run; its tool may not.
    if let Some((gap, mark)) = nearest(layout, bung, &boss, false) {
        found.push(unreachable(
            layout,
            bung,
            gap,
            format!("`{mark}` reaches {} into its boss", written(-gap)),
        ));
        return;
    }
    let Some(tool) = wanted.tool else { return };
    let frame = Frame { at: bung.face, ..bung.place.frame };
    let rod = Rod { frame, length: tool.length, radius: 0.5 * tool.od };
    if let Some((gap, mark)) = nearest(layout, bung, &rod, true) {
        let what = format!(
            "`{mark}` reaches {} into the room of its tool, {} across and {} long",
            written(-gap),
            written(tool.od),
            written(tool.length)
        );
        found.push(unreachable(layout, bung, gap, what));
    }
}

/// The part that reaches furthest into a rod, with the (negative) gap; own parts count where asked.
fn nearest<'a>(layout: &'a Layout, bung: &Bung, rod: &Rod, own: bool) -> Option<(f64, &'a str)> {
    let mut worst: Option<(f64, &str)> = None;
    for (index, part) in layout.pieces.iter().enumerate() {
        let is_own = part.owner == Owner::Run(bung.run) || touches(layout, bung.place.host, index);
        if index == bung.piece || (is_own && !own) {
            continue;
        }
        let (gap, _) = rod.gap(&part.piece);
        if gap < -TOUCH && worst.is_none_or(|(least, _)| gap < least) {
            worst = Some((gap, &part.mark));
        }
    }
    worst
}

/// Gaps above minus this are none, mm.
const TOUCH: f64 = 1e-3;

/// Whether two parts follow each other around one axis.
fn touches(layout: &Layout, a: usize, b: usize) -> bool {
    let is_ring = |joint: &&Joint| joint.kind != JointKind::Saddle;
    let joints = layout.joints.iter().filter(is_ring);
    joints.map(|joint| (joint.a, joint.b)).any(|pair| pair == (a, b) || pair == (b, a))
}

fn unreachable(layout: &Layout, bung: &Bung, gap: f64, what: String) -> Finding {
    Finding {
        level: Level::Failure,
        code: "bung-unreachable",
        place: layout.pieces[bung.piece].mark.clone(),
        message: format!("cannot be reached: {what}; turn it, move it, or write the tool that does reach it"),
        value: Some(gap),
        limit: Some(0.0),
    }
}

fn far_from_port(design: &Design, layout: &Layout, bung: &Bung, found: &mut Vec<Finding>) {
    let is_first = matches!(design.runs[bung.run].from, From::Port(_));
    if !is_first || design.bungs[bung.bung].sensor != Sensor::Temperature {
        return;
    }
    let (at, (least, most)) = (bung.place.at, TEMPERATURE_PLACE);
    if (least..=most).contains(&at) {
        return;
    }
    let written = |mm: f64| design.units.written(mm);
    found.push(Finding {
        level: Level::Note,
        code: "temperature-place",
        place: layout.pieces[bung.piece].mark.clone(),
        message: format!(
            "stands {} from the port; exhaust-temperature sensors stand {} to {} from it (common practice, no \
             source)",
            written(at),
            written(least),
            written(most)
        ),
        value: Some(at),
        limit: Some(if at < least { least } else { most }),
    });
}

/// Groups whose runs do not have the same bungs at the same distance from the port.
fn uneven(design: &Design, layout: &Layout, found: &mut Vec<Finding>) {
    for group in &layout.groups {
        for sensor in [Sensor::Oxygen, Sensor::Temperature, Sensor::Pressure] {
            let stations: Vec<Vec<f64>> = group
                .runs
                .iter()
                .map(|&run| {
                    let own = layout.bungs.iter().filter(|bung| bung.run == run);
                    let mut own: Vec<f64> = own
                        .filter(|bung| design.bungs[bung.bung].sensor == sensor)
                        .map(|bung| bung.place.at)
                        .collect();
                    own.sort_by(f64::total_cmp);
                    own
                })
                .collect();
            found.extend(uneven_places(design, &group.name, sensor, &stations));
        }
    }
}

/// What is uneven in the stations, run by run, of one kind of sensor. Runs without any are left out: one
/// oxygen sensor is enough for many; temperatures are only worth comparing when each run has one.
fn uneven_places(design: &Design, group: &str, sensor: Sensor, stations: &[Vec<f64>]) -> Option<Finding> {
    let with: Vec<&Vec<f64>> = stations.iter().filter(|own| !own.is_empty()).collect();
    let count = with.first()?.len();
    let finding = |message: String, value, limit| Finding {
        level: Level::Warning,
        code: "bungs-uneven",
        place: group.to_owned(),
        message,
        value: Some(value),
        limit: Some(limit),
    };
    let lacking = stations.len() - with.len();
    if sensor == Sensor::Temperature && lacking > 0 {
        let message = format!(
            "{lacking} of its {} runs have no bung for a temperature sensor: the others have nothing to be \
             compared with",
            stations.len()
        );
        return Some(finding(message, lacking as f64, 0.0));
    }
    if with.iter().any(|own| own.len() != count) {
        return None;
    }
    let spread = |i: usize| {
        let at = with.iter().map(|own| own[i]);
        at.clone().fold(f64::NEG_INFINITY, f64::max) - at.fold(f64::INFINITY, f64::min)
    };
    let widest = (0..count).map(spread).fold(0.0, f64::max);
    (widest > UNEVEN).then(|| {
        let message = format!(
            "its {} bungs stand {} apart in their distances from the run's start; {} is common practice (no \
             source)",
            sensor.name(),
            design.units.written(widest),
            design.units.written(UNEVEN)
        );
        finding(message, widest, UNEVEN)
    })
}
