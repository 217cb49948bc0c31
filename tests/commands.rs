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
