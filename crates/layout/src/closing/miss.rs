//! What is missing where no solution exists, in words.

use geom::angle::to_degrees;
use geom::unit::fixed;
use spec::design::{OpenValue, Slot};

use crate::closing::chain::Chain;
use crate::closing::name;
use crate::closing::problem::Problem;
use crate::closing::search::Miss;
use crate::layout::Fault;
use crate::runs::to_name;

/// Gaps below it, mm, and angles below it, degrees, are not worth a word.
const SILENT: f64 = 0.005;

const HELP: &str = "leave another value open, move the end, or change what is given";

/// Of a run that does not close, or not at its length.
pub(crate) fn of_chain(problem: &Problem, chain: &Chain, miss: Miss) -> Fault {
    let (gap, angle) = (miss.gap, to_degrees(miss.angle));
    let goal = chain.goal.length.filter(|_| miss.length.abs() > SILENT);
    let beyond = problem.ends.beyond.unwrap_or(0.0);
    let length = goal.map(|goal| off_length(goal + miss.length + beyond, goal + beyond));
    let to = to_name(problem.design, problem.run.to);
    let mut message = match length {
        Some(length) if gap <= SILENT && angle <= SILENT => format!("it closes, but at the nearest {length}"),
        length => {
            let length = length.map_or(String::new(), |length| format!("; there {length}"));
            let (gap, angle) = (fixed(gap, 3), fixed(angle, 3));
            format!(
                "it cannot be closed: at the nearest its end stays {gap} mm and {angle} degrees from `{to}`{length}"
            )
        }
    };
    let values = miss.beyond.map(|x| problem.values(&x)).unwrap_or_default();
    let outside: Vec<(usize, String)> = chain
        .open
        .iter()
        .zip(values)
        .enumerate()
        .filter_map(|(i, (open, v))| Some((i, outside(open, v)?)))
        .collect();
    if !outside.is_empty() {
        let said: Vec<&str> = outside.iter().map(|(_, said)| said.as_str()).collect();
        message += &format!("; {}", said.join(" and "));
    }
    problem.fault(outside.first().map(|(i, _)| *i), message, HELP)
}

/// Of a run whose one open value cannot give it its length, mm.
pub(crate) fn of_length(problem: &Problem, nearest: f64, length: f64) -> Fault {
    let message = format!(
        "its one open value does not give it its length: at the nearest {}",
        off_length(nearest, length)
    );
    problem.fault(Some(0), message, "change its target, or what is given of its path")
}

/// Of a run whose bends have no room at any value of its open one; `missing` is in mm.
pub(crate) fn of_room(problem: &Problem, missing: Option<f64>) -> Fault {
    let by = missing
        .map_or(String::new(), |mm| format!(": {} mm of straight are missing at the least", fixed(mm, 2)));
    let message = format!("its path cannot be laid with any value of the open one{by}");
    problem.fault(Some(0), message, "move the other vertices apart, or make a radius smaller")
}

fn off_length(length: f64, goal: f64) -> String {
    let (by, which) = ((length - goal).abs(), if length > goal { "longer" } else { "shorter" });
    format!(
        "it is {} mm long, {} mm {which} than the {} mm asked for",
        fixed(length, 2),
        fixed(by, 2),
        fixed(goal, 2)
    )
}

/// That a value would have to be outside its range, mm or rad.
fn outside(open: &OpenValue, value: f64) -> Option<String> {
    let name = name(&open.key);
    match open.slot {
        Slot::Straight { .. } if value < 0.0 => {
            let (value, missing) = (fixed(value, 2), fixed(-value, 2));
            Some(format!("the {name} would have to be {value} mm: {missing} mm are missing"))
        }
        Slot::Bend { .. } => {
            let degrees = to_degrees(value);
            let over = if degrees > 180.0 { degrees - 180.0 } else { -degrees };
            (over > 0.0).then(|| {
                let (degrees, over) = (fixed(degrees, 2), fixed(over, 2));
                format!("the {name} would have to be {degrees} degrees, {over} degrees outside 0 to 180")
            })
        }
        _ => None,
    }
}
