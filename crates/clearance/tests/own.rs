//! The header's own parts against each other.

mod scene;

use clearance::{Kind, SHOWN, TAPER, subjects};
use scene::{checked, close, cold, laid, row, run};
use spec::Level;

/// Two straight tubes from ports of one head, their axes this far apart and this much askew.
fn pair(apart: f64, askew: f64) -> spec::Design {
    cold(&format!(
        "[port.a]\nat = [0, 0, 0]\nalong = [1, 0, 0]\n[port.b]\nat = [0, {apart}, 0]\nalong = [1, {askew}, 0]\n\
         [run.a]\nfrom = \"a\"\nto = \"open\"\ntube = \"one\"\npath = [{{ straight = 300 }}]\n\
         [run.b]\nfrom = \"b\"\nto = \"open\"\ntube = \"one\"\npath = [{{ straight = 300 }}]\n"
    ))
}

/// Beside each other, 2 mm apart all along: too near once the taper from the ports is past.
#[test]
fn parallel_tubes_are_too_near() {
    let found = checked(&pair(42.0, 0.0));
    let row = row(&found, "a", "b");
    close(row.distance, 2.0, 1e-9);
    close(row.required, 3.0, 1e-9);
    assert!(row.station.unwrap() >= TAPER * 40.0 - 1e-6, "{row:?}");
    assert_eq!((found.findings[0].level, found.findings[0].code), (Level::Warning, "own-clearance"));
    assert!(checked(&pair(43.5, 0.0)).findings.is_empty());
    assert!(checked(&pair(40.0 + 3.0 + SHOWN + 0.1, 0.0)).own.is_empty());
}

/// A tube that leans over into the other one: a failure.
#[test]
fn tubes_that_run_into_each_other_are_a_failure() {
    let found = checked(&pair(60.0, -0.3));
    assert!(row(&found, "a", "b").distance < 0.0);
    assert_eq!((found.findings[0].level, found.findings[0].code), (Level::Failure, "own-clearance"));
    assert!(found.findings[0].message.contains("reaches"), "{}", found.findings[0].message);
}

/// A run that comes back onto itself: three bends of a square spiral, the last straight beside the first, 50
/// above the middle of its axis. And one bend alone is never near to itself by fault.
#[test]
fn a_run_that_comes_back_is_found() {
    let turn = |lift: f64| {
        format!(
            "[{{ straight = 200 }}, {{ bend = 90, radius = 60 }}, {{ straight = 40 }}, {{ rotate = {lift}, bend = 90, radius = 60 }}, \
             {{ straight = 80 }}, {{ bend = 90, radius = 60 }}, {{ straight = 120 }}, {{ bend = 90, radius = 60 }}, \
             {{ straight = 100 }}]"
        )
    };
    let closing = checked(&run(&turn(-12.0), 20.0, "inside = [0, 1, 0]"));
    let near = closing.own.iter().find(|r| r.subject == "a" && r.against == "a");
    assert!(near.is_some_and(|row| row.distance < SHOWN + 3.0), "{near:?}");
    let once = checked(&run(
        "[{ straight = 100 }, { bend = 180, radius = 22 }, { straight = 100 }]",
        20.0,
        "inside = [0, 1, 0]",
    ));
    assert!(once.own.is_empty(), "{:?}", once.own);
}

/// Each subject by its kind, in order, and every body along its run where the one before ends.
#[test]
fn bodies_follow_each_other_along_a_run() {
    let design = pair(100.0, 0.0);
    let layout = laid(&design);
    let subjects = subjects(&layout);
    assert_eq!(subjects.iter().map(|s| s.kind).collect::<Vec<_>>(), [Kind::Run(0), Kind::Run(1)]);
    let bent =
        run("[{ straight = 80 }, { bend = 70, radius = 60 }, { straight = 60 }]", 20.0, "inside = [0, 1, 0]");
    let layout = laid(&bent);
    let bodies = &clearance::subjects(&layout)[0].bodies;
    assert_eq!(bodies.len(), 3);
    let lines: Vec<_> = bodies.iter().map(|body| body.line.unwrap()).collect();
    assert!(lines.windows(2).all(|pair| (pair[0].to - pair[1].from).abs() < 1e-9), "{lines:?}");
    close(lines[2].to, layout.runs[0].length(), 1e-9);
}
