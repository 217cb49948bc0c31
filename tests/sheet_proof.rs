//! The sheet proof: readers that link none of hotside's code (Python) rebuild each header from its CSV
//! sheets alone, and bend each drawn tube by the words on its printed sheet. What they check stands at the
//! head of `readers/rebuild.py` and `readers/virtual_bender.py`.

mod hotside;
#[path = "hotside/reader.rs"]
mod reader;

use std::fs;
use std::path::{Path, PathBuf};

use hotside::{fresh, hotside};
use reader::{read, shipped_specs, top};

/// Builds `spec` in `place` and gives its packet.
fn packet(place: &Path, spec: &Path) -> PathBuf {
    let ran = hotside(place, &["build", spec.to_str().unwrap(), "--out", "packet"]);
    assert_eq!(ran.code, 0, "{}: {}{}", spec.display(), ran.out, ran.err);
    place.join("packet")
}

/// Has a packet rebuilt, its drawn tubes bent with the dies of `shop`, and its templates measured.
fn prove(packet: &Path, shop: Option<&Path>) {
    let (code, told) = read("rebuild.py", &[packet]);
    assert_eq!(code, Some(0), "{}: {told}", packet.display());
    let arguments: Vec<&Path> = [packet].into_iter().chain(shop).collect();
    let (code, told) = read("virtual_bender.py", &arguments);
    assert_eq!(code, Some(0), "{}: {told}", packet.display());
    let (templates, cuts) = (packet.join("templates.pdf"), packet.join("sheets/cuts.csv"));
    let (code, told) = read("template_ruler.py", &[&templates, &cuts]);
    assert_eq!(code, Some(0), "{}: {told}", packet.display());
}

/// Writes the starter for `layout` with `from` replaced by `to`.
fn starter(place: &Path, layout: &str, [from, to]: [&str; 2]) -> PathBuf {
    let made = hotside(place, &["new", "mine.toml", "--layout", layout]);
    assert_eq!(made.code, 0, "{}", made.err);
    let spec = place.join("mine.toml");
    let text = fs::read_to_string(&spec).unwrap();
    assert!(text.contains(from), "the starter has no `{from}`");
    fs::write(&spec, text.replace(from, to)).unwrap();
    spec
}

/// Changes one cell of a sheet: that in `column` of the first row in which `wanted` holds of it.
fn spoil(packet: &Path, sheet: &str, column: &str, wanted: fn(f64) -> bool, change: fn(f64) -> f64) {
    let path = packet.join("sheets").join(sheet);
    let text = fs::read_to_string(&path).unwrap();
    let mut rows: Vec<Vec<String>> =
        text.lines().map(|line| line.split(',').map(str::to_owned).collect()).collect();
    let column = rows[0].iter().position(|name| name == column).expect("no such column");
    let cell = rows[1..]
        .iter_mut()
        .map(|row| &mut row[column])
        .find(|cell| cell.parse().is_ok_and(wanted))
        .expect("no such cell");
    *cell = format!("{:.7}", change(cell.parse().unwrap()));
    let lines: Vec<String> = rows.iter().map(|row| row.join(",")).collect();
    fs::write(&path, lines.join("\n") + "\n").unwrap();
}

#[test]
fn the_readers_pass_their_own_worked_examples() {
    for reader in ["rebuild.py", "virtual_bender.py"] {
        let (code, told) = read(reader, &[Path::new("--self-test")]);
        assert_eq!(code, Some(0), "{reader}: {told}");
    }
}

#[test]
fn each_shipped_header_is_rebuilt_from_its_sheets() {
    for spec in shipped_specs() {
        let text = fs::read_to_string(&spec).unwrap();
        let shop = text.lines().find_map(|line| line.strip_prefix("shop = ")).map(|rest| {
            let named = rest.split('"').nth(1).expect("a shop file's name in quotes");
            top().join("specs").join(named)
        });
        let place = fresh(&format!("proof-{}", spec.file_stem().unwrap().to_str().unwrap()));
        prove(&packet(&place, &spec), shop.as_deref());
    }
}

#[test]
fn each_starter_is_rebuilt_from_its_sheets() {
    for layout in ["twin", "tri", "four"] {
        let place = fresh(&format!("proof-{layout}"));
        let spec = starter(&place, layout, ["", ""]);
        prove(&packet(&place, &spec), None);
    }
}

#[test]
fn a_fitted_merge_is_rebuilt_from_its_sheets() {
    let place = fresh("proof-fitted");
    let spec = starter(&place, "four", ["way = \"trimmed\"", "way = \"fitted\""]);
    let text = fs::read_to_string(&spec).unwrap();
    assert!(text.contains("od = 57"));
    fs::write(&spec, text.replace("od = 57", "od = 51")).unwrap();
    prove(&packet(&place, &spec), None);
}

/// The fixtures with fittings, each of which shows another kind of joint along a run.
const FITTED_OUT: [&str; 6] =
    ["inserted-steps", "formed-steps", "slips", "bought-fittings", "plates", "transitions"];

#[test]
fn each_fixture_with_fittings_is_rebuilt_from_its_sheets() {
    for name in FITTED_OUT {
        let place = fresh(&format!("proof-{name}"));
        let spec = top().join("tests/fixtures").join(name).with_extension("toml");
        prove(&packet(&place, &spec), None);
    }
}

/// A header with branches on a run, a leg, a cone and a branch, and with bungs; each spoilt sheet of its holes
/// is noticed.
#[test]
fn branches_and_bungs_are_rebuilt_from_their_sheets() {
    let place = fresh("proof-branches");
    let spec = top().join("tests/fixtures/branches.toml");
    prove(&packet(&place, &spec), None);
    let spoilers: [Spoiler; 6] = [
        ("rebuild.py", "holes.csv", "station_mm", |_| true, |station| station + 0.02),
        ("rebuild.py", "holes.csv", "clock_deg", |_| true, |clock| clock + 0.04),
        ("rebuild.py", "holes.csv", "angle_deg", |angle| angle != 90.0, |angle| angle - 0.02),
        ("rebuild.py", "holes.csv", "offset_mm", |offset| offset != 0.0, |offset| -offset),
        ("rebuild.py", "holes.csv", "radius_mm", |_| true, |radius| radius + 0.02),
        ("rebuild.py", "hole_edges.csv", "inner_mm", |_| true, |station| station + 0.02),
    ];
    for spoiler in spoilers {
        spoilt(&packet(&place, &spec), spoiler);
    }
}

/// A reader, a sheet, a column, the cell and what is done to it.
type Spoiler = (&'static str, &'static str, &'static str, fn(f64) -> bool, fn(f64) -> f64);

#[test]
fn a_spoilt_sheet_of_fittings_is_noticed() {
    let overlaps: fn(f64) -> bool = |overlap| overlap != 0.0;
    let spoilers: [Spoiler; 3] = [
        ("rebuild.py", "joints.csv", "overlap_mm", overlaps, |overlap| overlap + 0.02),
        ("rebuild.py", "joints.csv", "weld_mm", |_| true, |weld| weld + 0.02),
        ("rebuild.py", "pieces.csv", "cut_mm", |_| true, |length| length - 0.02),
    ];
    let place = fresh("proof-spoilt-fittings");
    let spec = top().join("tests/fixtures/inserted-steps.toml");
    for spoiler in spoilers {
        spoilt(&packet(&place, &spec), spoiler);
    }
    let formed = top().join("tests/fixtures/formed-steps.toml");
    spoilt(
        &packet(&place, &formed),
        ("rebuild.py", "pieces.csv", "end_wall_mm", |w| w != 1.5 && w != 1.65, |w| w + 0.02),
    );
    spoilt(&packet(&place, &formed), ("rebuild.py", "pieces.csv", "end_land_mm", overlaps, |_| 0.0));
    let slips = top().join("tests/fixtures/slips.toml");
    spoilt(&packet(&place, &slips), ("rebuild.py", "runs.csv", "end_gap_mm", overlaps, |gap| gap + 0.02));
    spoilt(&packet(&place, &slips), ("rebuild.py", "pieces.csv", "od_mm", |od| od == 50.8, |od| od - 1.0));
}

/// Spoils a packet and sees that its reader notices.
fn spoilt(packet: &Path, (reader, sheet, column, wanted, change): Spoiler) {
    spoil(packet, sheet, column, wanted, change);
    let (code, told) = read(reader, &[packet]);
    assert_eq!(code, Some(1), "{reader}, {sheet}, {column}: {told}");
}

#[test]
fn a_segmented_header_is_rebuilt_from_its_sheets_and_its_spoilt_sheets_are_noticed() {
    type Spoiler = (&'static str, &'static str, fn(f64) -> bool, fn(f64) -> f64);
    let sloped: fn(f64) -> bool = |value| value > 1.0;
    let spoilers: [Spoiler; 4] = [
        ("pieces.csv", "end_angle_deg", sloped, |tilt| tilt + 0.02),
        ("pieces.csv", "start_roll_deg", sloped, |roll| roll + 0.02),
        ("joints.csv", "weld_mm", |_| true, |weld| weld + 0.02),
        ("bends.csv", "feed_mm", |_| true, |feed| feed - 0.02),
    ];
    let place = fresh("proof-segmented");
    let spec = top().join("tests/fixtures/segmented.toml");
    prove(&packet(&place, &spec), None);
    for (sheet, column, wanted, change) in spoilers {
        let packet = packet(&place, &spec);
        spoil(&packet, sheet, column, wanted, change);
        let (code, told) = read("rebuild.py", &[&packet]);
        assert_eq!(code, Some(1), "{sheet}, {column}: {told}");
    }
}

#[test]
fn a_spoilt_sheet_is_noticed() {
    let turned: fn(f64) -> bool = |value| value != 0.0 && value.abs() < 179.0;
    let spoilers: [Spoiler; 7] = [
        ("rebuild.py", "bends.csv", "rotate_deg", turned, |rotate| -rotate),
        ("rebuild.py", "bends.csv", "feed_mm", |_| true, |feed| feed + 0.02),
        ("rebuild.py", "joints.csv", "clock_a_deg", |_| true, |clock| clock + 0.02),
        ("rebuild.py", "runs.csv", "end_z", |_| true, |z| z - 0.02),
        ("rebuild.py", "cuts.csv", "outer_mm", |station| station.fract() != 0.0, |station| station + 0.02),
        ("virtual_bender.py", "bends.csv", "rotate_deg", turned, |rotate| -rotate),
        ("virtual_bender.py", "bends.csv", "mark_begin_mm", |_| true, |mark| mark + 0.02),
    ];
    let place = fresh("proof-spoilt");
    let spec = starter(&place, "tri", ["", ""]);
    for spoiler in spoilers {
        spoilt(&packet(&place, &spec), spoiler);
    }
}
