//! Every spec of tests/findings builds: with failures the exit code is 1, the packet is written and its
//! report says that it is not released; without, 0. Stderr is what the `.stderr` file beside it says;
//! `HOTSIDE_BLESS=1` writes those files anew.

mod hotside;

use std::fs;
use std::path::{Path, PathBuf};

use hotside::{difference, fresh, hotside};
use serde_json::Value;

/// Each spec with the code and the level of the finding that it is there for.
const SPECS: &[(&str, &str, &str)] = &[
    ("accepted", "no-die", "warning"),
    ("accepts-nothing", "accepts-nothing", "warning"),
    ("bay-matched-badly", "pairs-residual", "warning"),
    ("bay-matched-badly", "unknown-fastener", "note"),
    ("bend-beyond-die", "bend-beyond-die", "failure"),
    ("bung-in-neighbour", "bung-unreachable", "failure"),
    ("bung-points-down", "bung-points-down", "failure"),
    ("bung-points-down-too", "bung-points-down", "warning"),
    ("bung-points-down-too", "bung-points-down", "note"),
    ("bung-unreachable", "bung-unreachable", "failure"),
    ("bungs-missing", "bungs-uneven", "warning"),
    ("bungs-missing", "temperature-place", "note"),
    ("bungs-uneven", "bungs-uneven", "warning"),
    ("clearance", "clearance", "failure"),
    ("clearance", "inside-obstacle", "failure"),
    ("does-not-close", "open-gap", "failure"),
    ("gap-allowed", "", ""),
    ("loose-step", "loose-step", "warning"),
    ("no-die", "no-die", "failure"),
    ("no-stock-bend", "no-stock-bend", "failure"),
    ("segments", "short-segment", "warning"),
    ("segments", "steep-mitre", "warning"),
    ("short-leg", "short-leg", "warning"),
    ("steep-branch", "steep-branch", "warning"),
    ("tube-too-long", "tube-too-long", "failure"),
    ("unequal-lengths", "unequal-lengths", "failure"),
    ("formed-too-narrow", "formed-too-narrow", "warning"),
    ("formed-too-wide", "formed-too-steep", "warning"),
    ("formed-too-wide", "formed-too-wide", "warning"),
    ("plate-washer", "washer-on-tube", "failure"),
    ("plates", "thin-web", "warning"),
    ("plates", "opening-step", "warning"),
    ("plates", "growth-held", "warning"),
    ("plug-out-of-reach", "plug-out-of-reach", "warning"),
    ("transition-steep", "transition-short", "failure"),
    ("transitions", "transition-short", "warning"),
    ("transitions", "transition-stretch", "warning"),
    ("bellows-both-ways", "bellows-both-ways", "warning"),
    ("bellows-near-bend", "bellows-near-bend", "warning"),
    ("bellows-overworked", "bellows-overworked", "failure"),
    ("fittings-touch", "fittings-touch", "failure"),
    ("slip-across", "slip-across", "note"),
    ("slip-comes-out", "slip-comes-out", "failure"),
    ("slip-loose", "slip-loose", "warning"),
    ("slip-no-room", "slip-no-room", "failure"),
    ("slip-short", "slip-short", "warning"),
    ("slip-tight", "slip-tight", "warning"),
    ("bolt-access", "bolt-access", "failure"),
    ("bolt-socket", "bolt-access", "failure"),
    ("torch-access", "torch-access", "failure"),
    ("way-out", "way-out", "failure"),
    ("plug-access", "plug-access", "failure"),
    ("ground", "ground", "failure"),
    ("drain-angle", "drain-angle", "failure"),
    ("left-out", "left-out", "warning"),
    ("overlap", "overlap", "failure"),
    ("scan-hole", "scan-hole", "failure"),
    ("scan-unseen", "scan-hole", "warning"),
    ("scan-unseen", "scan-around", "warning"),
];

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/findings")
}

#[test]
fn each_finding_is_told_and_the_packet_written() {
    let place = fresh("findings");
    let mut wrong = String::new();
    for &(name, code, level) in SPECS {
        let packet = place.join(name);
        let spec = format!("{name}.toml");
        let ran = hotside(&folder(), &["build", &spec, "--out", packet.to_str().unwrap()]);
        let failed = level == "failure";
        assert_eq!(ran.code, i32::from(failed), "{name}: {}", ran.err);
        assert_eq!(ran.out.contains("NOT RELEASED") || ran.err.contains("NOT RELEASED"), failed, "{name}");
        let report = fs::read_to_string(packet.join("report.json")).unwrap();
        let report: Value = serde_json::from_str(&report).unwrap();
        let findings = report["findings"].as_array().unwrap();
        let told = findings.iter().any(|f| f["code"] == code && f["level"] == level);
        assert_eq!(told, !code.is_empty(), "{name}: {findings:?}");
        assert_eq!(findings.iter().any(|f| f["level"] == "failure"), failed, "{name}: {findings:?}");

        let checked = hotside(&folder(), &["check", &spec]);
        assert_eq!(checked.code, ran.code, "{name}");
        wrong += &difference(name, &folder().join(name).with_extension("stderr"), &checked.err);
    }
    assert!(wrong.is_empty(), "{wrong}");
}
