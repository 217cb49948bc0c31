//! The way a part is moved onto those before it, in words for one who has it in hand, and in numbers.

use fitment::Fitment;
use geom::math::acos;
use geom::unit::fixed;
use geom::{DVec3, Frame};
use layout::Layout;
use spec::Design;
use spec::design::From;

use crate::figure::angle;

/// Along or against the gas, what goes into what; where that is; how far askew to its joints; in the spec's axes; and
/// whether it comes from aside, or others are in the way. Nothing for a part that goes onto none. `onto` are the parts
/// before it that it goes onto, each with the index of the joint.
pub fn way(
    design: &Design,
    layout: &Layout,
    model: &Fitment,
    part: usize,
    onto: &[(usize, usize)],
) -> String {
    let plan = &model.division.parts[part];
    let Some(direction) = plan.put_in else { return String::new() };
    if onto.is_empty() {
        return axes(direction);
    }
    let joints: Vec<Frame> = onto.iter().map(|(_, joining)| joint(model, *joining)).collect();
    let lines: Vec<DVec3> = joints.iter().map(|joint| joint.along).collect();
    let place = joints.iter().map(|joint| joint.at).sum::<DVec3>() / joints.len() as f64;
    let facing = facing(design, layout, place);
    let side = |way: DVec3| compass(way, facing.as_ref());
    let mut said = vec![
        format!("{}{}", gas(direction, &lines), entering(model, part, onto)),
        format!("{}, {}", side(direction), askew(direction, &lines)),
        axes(direction),
    ];
    match plan.aside {
        _ if model.division.touching.contains(&part) => said.push("worked past others".to_owned()),
        Some(aside) => {
            let first = format!("first {} ({}) until it stands before its joints", side(aside), axes(aside));
            said[0] = format!("{first}, then {}", said[0]);
        }
        None => {}
    }
    said.join("; ")
}

/// A direction in the spec's axes.
fn axes(direction: DVec3) -> String {
    let [x, y, z] = direction.to_array().map(|part| fixed(part, 2));
    format!("x {x}, y {y}, z {z}")
}

/// A joint's place, along the gas.
fn joint(model: &Fitment, joining: usize) -> Frame {
    let joining = &model.division.joinings[joining];
    model.strands[joining.strand].line.frame_at(joining.station)
}

/// Whether the way is that of the gas at the joints; nothing where it is both or neither.
fn gas(direction: DVec3, axes: &[DVec3]) -> &'static str {
    let with = |sign: f64| axes.iter().all(|axis| sign * axis.dot(direction) > ACROSS);
    match (with(1.0), with(-1.0)) {
        (true, _) => "along the gas, ",
        (_, true) => "against the gas, ",
        _ => "",
    }
}

/// What of the part goes into or over what of the others.
fn entering(model: &Fitment, part: usize, onto: &[(usize, usize)]) -> String {
    let side = |own: bool| -> Vec<&str> {
        let mut marks: Vec<&str> = Vec::new();
        for (other, joining) in onto {
            let mark = model.parts[*other].mark.as_str();
            if (model.division.mates(*joining)[0] == part) == own && !marks.contains(&mark) {
                marks.push(mark);
            }
        }
        marks
    };
    let count = |own: bool| {
        onto.iter().filter(|(_, joining)| (model.division.mates(*joining)[0] == part) == own).count()
    };
    let plural = |count: usize| if count == 1 { "" } else { "s" };
    let [into, over] =
        [(true, "its spigot", "into"), (false, "over the spigot", "of")].map(|(own, what, word)| {
            let marks = side(own).join(" and ");
            (count(own) > 0).then(|| format!("{what}{} {word} {marks}", plural(count(own))))
        });
    into.into_iter().chain(over).collect::<Vec<_>>().join(", ")
}

/// How far a way leans from the axes of its joints.
fn askew(direction: DVec3, axes: &[DVec3]) -> String {
    let lean = |axis: &DVec3| acos(direction.dot(*axis).abs().min(1.0));
    let leans: Vec<f64> = axes.iter().map(lean).collect();
    let (least, most) = leans.iter().fold((f64::INFINITY, 0.0_f64), |(a, b), l| (a.min(*l), b.max(*l)));
    if most < STRAIGHT {
        return "straight".to_owned();
    }
    let (least, most) = (angle(least), angle(most));
    if least == most { format!("{most} askew") } else { format!("{least} to {most} askew") }
}

/// The way in which one looks at the head there, level, and the head's name where heads look different ways; none where
/// its face is level.
fn facing(design: &Design, layout: &Layout, place: DVec3) -> Option<(DVec3, String)> {
    let starts = design.runs.iter().zip(&layout.runs);
    let starts = starts.filter(|(wanted, _)| matches!(wanted.from, From::Port(_)));
    let ports: Vec<(Frame, &str)> =
        starts.map(|(_, run)| (run.centreline.frame_at(0.0), run.from.as_str())).collect();
    let nearest = ports.iter().min_by(|a, b| a.0.at.distance(place).total_cmp(&b.0.at.distance(place)))?;
    let (frame, name) = *nearest;
    let level = DVec3::new(-frame.along.x, -frame.along.y, 0.0);
    let several = ports.iter().any(|port| port.0.along.dot(frame.along) < TURNED);
    let head = if several { format!("the head at port {name}") } else { "the head".to_owned() };
    (level.length() > LEVEL).then(|| (level.normalize(), head))
}

/// A direction in words: up, down, toward or away from the head, to the right or left facing it; of two the larger first.
fn compass(direction: DVec3, facing: Option<&(DVec3, String)>) -> String {
    let mut ways = vec![(direction.z, ["up", "down"].map(str::to_owned))];
    match facing {
        Some((toward, head)) => {
            let words = [format!("toward {head}"), format!("away from {head}")];
            ways.push((direction.dot(*toward), words));
            let words = ["right", "left"].map(|side| format!("to the {side} facing {head}"));
            ways.push((direction.dot(toward.cross(DVec3::Z)), words));
        }
        None => ways.push((direction.truncate().length(), ["sideways", ""].map(str::to_owned))),
    }
    ways.sort_by(|a, b| b.0.abs().total_cmp(&a.0.abs()));
    let told = ways.into_iter().enumerate().filter(|(k, (part, _))| *k == 0 || part.abs() > SIDE);
    let said: Vec<String> =
        told.map(|(_, (part, [plus, minus]))| if part < 0.0 { minus } else { plus }).collect();
    said.join(" and ")
}

/// Cosine to the gas's way below which a way is across it.
const ACROSS: f64 = 0.3;

/// Below this a part is moved straight along its joints, rad: half a degree.
const STRAIGHT: f64 = 0.0087;

/// Cosine between two heads below which they look different ways.
const TURNED: f64 = 0.9;

/// A face whose normal is level by less than this is level.
const LEVEL: f64 = 0.3;

/// Parts of a direction from this on are told: 25 degrees.
const SIDE: f64 = 0.42;

#[cfg(test)]
mod tests {
    use super::*;

    /// Facing west, north is to the right, as on any map: a head that looks along +x, the east, is faced along -x.
    #[test]
    fn directions_are_said_facing_the_head() {
        let said = |x: f64, y: f64, z: f64| {
            compass(DVec3::new(x, y, z).normalize(), Some(&(DVec3::NEG_X, "the head".to_owned())))
        };
        assert_eq!(said(0.0, 0.1, 1.0), "up");
        assert_eq!(said(-1.0, 0.0, 0.0), "toward the head");
        assert_eq!(said(0.3, 1.0, 0.0), "to the right facing the head");
        assert_eq!(said(1.0, -0.7, -0.1), "away from the head and to the left facing the head");
        assert_eq!(compass(DVec3::new(0.6, 0.0, -0.8), None), "down and sideways");
    }

    #[test]
    fn a_way_is_along_or_against_the_gas_and_askew_by_its_angle() {
        let way = DVec3::Z;
        let leant = |degrees: f64| {
            let (s, c) = geom::math::sin_cos(degrees.to_radians());
            DVec3::new(s, 0.0, c)
        };
        assert_eq!(gas(way, &[leant(3.0), leant(9.0)]), "along the gas, ");
        assert_eq!(gas(way, &[-leant(3.0)]), "against the gas, ");
        assert_eq!(gas(way, &[leant(3.0), -leant(3.0)]), "");
        assert_eq!(askew(way, &[leant(3.0), -leant(9.0)]), "3.0° to 9.0° askew");
        assert_eq!(askew(way, &[leant(0.2)]), "straight");
    }
}
