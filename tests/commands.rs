//! The commands, their exit codes, and what goes to stdout and to stderr.

mod hotside;

use std::collections::BTreeSet;
use std::fs;

use hotside::{fresh, hotside};
use serde_json::Value;

#[test]
fn a_starter_of_each_layout_checks_and_builds() {
    for layout in ["twin", "tri", "four"] {
        let place = fresh(&format!("starter-{layout}"));
        let made = hotside(&place, &["new", "mine.toml", "--layout", layout]);
        assert_eq!(made.code, 0, "{}", made.err);
        let checked = hotside(&place, &["check", "mine.toml"]);
        assert_eq!(checked.code, 0, "{layout}: {}{}", checked.out, checked.err);
        assert!(checked.out.contains("to tip mm") && checked.out.contains("released"), "{}", checked.out);
        assert_eq!(fs::read_dir(&place).unwrap().count(), 1, "check writes nothing");
        let built = hotside(&place, &["build", "mine.toml"]);
        assert_eq!(built.code, 0, "{layout}: {}", built.err);
        let report = fs::read_to_string(place.join("out/mine/report.json")).unwrap();
        let report: Value = serde_json::from_str(&report).unwrap();
        assert_eq!((&report["format"], &report["spec"]), (&Value::from(1), &Value::from("mine")));
    }
}

#[test]
fn new_leaves_a_file_as_it_is() {
    let place = fresh("new-twice");
    fs::write(place.join("mine.toml"), "mine").unwrap();
    let ran = hotside(&place, &["new", "mine.toml"]);
    assert_eq!((ran.code, ran.out.as_str()), (3, ""));
    assert!(ran.err.contains("mine.toml") && ran.err.contains("exists"), "{}", ran.err);
    assert_eq!(fs::read_to_string(place.join("mine.toml")).unwrap(), "mine");
}

#[test]
fn a_wrong_command_line_is_2_and_help_is_0() {
    let place = fresh("usage");
    for arguments in [&["fly"][..], &[], &["check"], &["new", "a.toml", "--layout", "nine"]] {
        let ran = hotside(&place, arguments);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{arguments:?}");
        assert!(ran.err.contains("--help") || ran.err.contains("Usage"), "{}", ran.err);
    }
    let help = hotside(&place, &["--help"]);
    assert_eq!((help.code, help.err.as_str()), (0, ""));
    assert!(help.out.contains("Exit codes"), "{}", help.out);
}

#[test]
fn a_spec_that_is_not_there_is_2() {
    let place = fresh("no-spec");
    for name in ["none.toml", "."] {
        let ran = hotside(&place, &["check", name]);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{name}");
        assert!(ran.err.contains("no-spec"), "{}", ran.err);
    }
}

#[test]
fn schemas_are_printed() {
    let place = fresh("schema");
    for (of, title) in [("spec", "hotside spec"), ("shop", "hotside shop file")] {
        let ran = hotside(&place, &["schema", of]);
        let schema: Value = serde_json::from_str(&ran.out).unwrap();
        assert_eq!((ran.code, schema["title"].as_str()), (0, Some(title)));
    }
}

#[test]
fn machines_get_json_on_both_streams() {
    let place = fresh("json");
    hotside(&place, &["new", "mine.toml"]);
    let ran = hotside(&place, &["check", "mine.toml", "--format", "json"]);
    let (out, err): (Value, Value) =
        (serde_json::from_str(&ran.out).unwrap(), serde_json::from_str(&ran.err).unwrap());
    assert_eq!((ran.code, &out["failures"]), (0, &Value::from(0)));
    assert!(err.is_array());
    assert!(!ran.out.contains('\u{1b}') && !ran.err.contains('\u{1b}'));
}

/// `check --write` replaces the tokens of the open values and nothing else, and the spec lays as before.
#[test]
fn solved_values_are_written_into_the_spec() {
    let place = fresh("write");
    let text = include_str!("fixtures/open-values.toml").replace("left]\n", "left]   # kept\r\n");
    fs::write(place.join("open.toml"), &text).unwrap();
    let shown = hotside(&place, &["check", "open.toml", "--format", "json"]);
    assert_eq!(fs::read_to_string(place.join("open.toml")).unwrap(), text, "check alone writes nothing");
    let ran = hotside(&place, &["check", "open.toml", "--write", "--format", "json"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let (before, told): (Value, Value) =
        (serde_json::from_str(&shown.out).unwrap(), serde_json::from_str(&ran.out).unwrap());
    assert_eq!((told["written"].as_u64(), before.get("written")), (Some(10), None));
    let written = fs::read_to_string(place.join("open.toml")).unwrap();
    assert!(!written.contains('?') && fs::read_dir(&place).unwrap().count() == 1, "{written}");
    for (old, new) in text.split_inclusive('\n').zip(written.split_inclusive('\n')) {
        assert!(old.contains("\"?") || old == new, "{old}{new}");
    }
    let again = hotside(&place, &["check", "open.toml", "--write", "--format", "json"]);
    let after: Value = serde_json::from_str(&again.out).unwrap();
    assert_eq!((again.code, after["written"].as_u64()), (0, Some(0)));
    assert_eq!(fs::read_to_string(place.join("open.toml")).unwrap(), written);
    for (a, b) in before["runs"].as_array().unwrap().iter().zip(after["runs"].as_array().unwrap()) {
        let length = |run: &Value| run["length"].as_f64().unwrap();
        assert!((length(a) - length(b)).abs() < 1e-3, "{a}{b}");
        assert!(
            b["closure_gap"].as_f64().unwrap() < 1e-3 && b["closure_angle"].as_f64().unwrap() < 1e-4,
            "{b}"
        );
    }
}

/// In inches, without `units`, behind a byte order mark; and nothing is written over a failure, nor into a
/// file that may not be written.
#[test]
fn solved_values_are_written_in_the_units_of_the_spec() {
    let place = fresh("write-units");
    let path = place.join("open.toml");
    let spec = |units: &str, unit: &str, straight: &str| {
        format!(
            "\u{feff}title = \"Open (invented)\"\n{units}tube.t = {{ od = \"2{unit}\", wall = \"0.1{unit}\", alloy = \"304\" }}\n\
             port.p = {{ at = [\"0{unit}\", \"0{unit}\", \"0{unit}\"], along = [1, 0, 0] }}\n\
             flange.f = {{ at = [\"7{unit}\", \"0{unit}\", \"-9.5{unit}\"], along = [0, 0, -1] }}\n\
             [run.r]\nfrom = \"p\"\nto = \"f\"\ntube = \"t\"\nradius = \"3{unit}\"\ninside = [0, 0, -1]\n\
             path = [{{ straight = {straight} }}, {{ bend = \"? 1.5 rad\" }}, {{ straight = \"? 6{unit}\" }}] # end\n"
        )
    };
    for (units, unit, solved) in [
        ("units = \"in\"\n", "", "[{ straight = 4 }, { bend = 90 }, { straight = 6.5 }] # end"),
        ("", " in", "[{ straight = \"101.6 mm\" }, { bend = 90 }, { straight = \"165.1 mm\" }] # end"),
    ] {
        fs::write(&path, spec(units, unit, "\"?\"")).unwrap();
        let ran = hotside(&place, &["check", "open.toml", "--write"]);
        assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
        let written = fs::read_to_string(&path).unwrap();
        assert!(written.starts_with('\u{feff}') && written.contains(solved), "{written}");
    }
    let mut text = spec("units = \"in\"\n", "", "\"?\"");
    let mut permissions = fs::metadata(&path).unwrap().permissions();
    fs::write(&path, &text).unwrap();
    permissions.set_readonly(true);
    fs::set_permissions(&path, permissions.clone()).unwrap();
    let ran = hotside(&place, &["check", "open.toml", "--write"]);
    assert!(ran.code == 3 && ran.err.contains("read-only"), "{}{}", ran.out, ran.err);
    fs::remove_file(&path).unwrap();
    // A second run that does not close: a failure.
    text += "[port.q]\nat = [0, 20, 0]\nalong = [1, 0, 0]\n[flange.g]\nat = [9, 20, 0]\nalong = [1, 0, 0]\n\
             [run.s]\nfrom = \"q\"\nto = \"g\"\ntube = \"t\"\npath = [{ straight = 8 }]\n";
    fs::write(&path, &text).unwrap();
    let ran = hotside(&place, &["check", "open.toml", "--write"]);
    assert!(ran.code == 1 && ran.out.contains("stays as it is"), "{}{}", ran.out, ran.err);
    assert_eq!(fs::read_to_string(&path).unwrap(), text);
}

/// A group whose lengths lie too far apart is a failure, the packet is written all the same, and a
/// failure that is accepted in words is a warning.
#[test]
fn a_failure_is_1_and_an_accepted_one_is_0() {
    let place = fresh("failure");
    hotside(&place, &["new", "mine.toml"]);
    let text = fs::read_to_string(place.join("mine.toml")).unwrap();
    // The left port 50 mm further out: its primary becomes longer than the right one.
    let moved = text.replace("at = [0, 90, 0]", "at = [0, 140, 0]");
    assert_ne!(text, moved);
    fs::write(place.join("mine.toml"), &moved).unwrap();
    let ran = hotside(&place, &["build", "mine.toml", "--format", "json"]);
    assert_eq!(ran.code, 1, "{}{}", ran.out, ran.err);
    assert!(place.join("out/mine/report.json").is_file());
    let findings: Value = serde_json::from_str(&ran.err).unwrap();
    let failures = findings.as_array().unwrap().iter().filter(|f| f["level"] == "failure");
    let accepts: BTreeSet<String> = failures
        .map(|f| format!("\n[[accept]]\ncode = {}\nat = {}\nwhy = \"a test\"\n", f["code"], f["where"]))
        .collect();
    assert!(!accepts.is_empty());
    fs::write(place.join("mine.toml"), moved + &accepts.into_iter().collect::<String>()).unwrap();
    let ran = hotside(&place, &["check", "mine.toml"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert!(ran.err.contains("warning"), "{}", ran.err);
}
