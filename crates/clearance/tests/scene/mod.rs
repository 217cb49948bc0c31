//! Small invented scenes for the tests, from the text of a spec.
#![allow(dead_code)]

use clearance::{Clearance, Placed, Row, check};
use geom::DVec3;
use layout::Layout;
use scan::Scan;
use spec::{Design, Source, read_design};

/// A tube, 40 across and 2 thick, of 304, and whatever `more` says.
pub fn design(more: &str) -> Design {
    let text = format!(
        "title = \"a scene (invented)\"\nunits = \"mm\"\n[tube.one]\nod = 40\nwall = 2\nalloy = \"304\"\n{more}"
    );
    let source = Source { name: "scene.toml".to_owned(), text: text.into() };
    let read = read_design(&source, &mut |path| Err(format!("{path} was asked for")));
    read.unwrap_or_else(|faults| panic!("{}", faults[0])).0
}

/// The same, all of it at the shop's temperature also when the engine runs.
pub fn cold(more: &str) -> Design {
    let mut design = design(more);
    design.runs.iter_mut().for_each(|run| run.hot = Some(tube::alloy::SHOP_TEMPERATURE));
    design
}

/// A run of that tube from the origin along x, open at its end, `hot` degrees C when the engine runs.
pub fn run(path: &str, hot: f64, more: &str) -> Design {
    let mut design = design(&format!(
        "[port.a]\nat = [0, 0, 0]\nalong = [1, 0, 0]\n\
         [run.a]\nfrom = \"a\"\nto = \"open\"\ntube = \"one\"\npath = {path}\n{more}"
    ));
    design.runs[0].hot = Some(hot);
    design
}

/// A straight run, 300 long, that stays at the shop's temperature.
pub fn straight(more: &str) -> Design {
    run("[{ straight = 300 }]", 20.0, more)
}

pub fn laid(design: &Design) -> Layout {
    layout::lay(design).unwrap_or_else(|faults| panic!("{faults:#?}"))
}

/// Checks a design whose obstacles are all plain bodies.
pub fn checked(design: &Design) -> Clearance {
    check(design, &laid(design), &vec![None; design.bay.obstacles.len()])
}

/// The one row of a subject against an obstacle or another subject.
pub fn row<'a>(clearance: &'a Clearance, subject: &str, against: &str) -> &'a Row {
    let mut rows = clearance.rows.iter().chain(&clearance.own);
    let found = rows.find(|row| row.subject == subject && row.against == against);
    found.unwrap_or_else(|| panic!("no row of {subject} against {against}"))
}

/// A scan of these triangles, and points that belong to none.
pub fn placed(triangles: &[[DVec3; 3]], loose: &[DVec3]) -> Placed {
    let mut scan = Scan { points: triangles.iter().flatten().copied().collect(), ..Scan::default() };
    scan.triangles = (0..triangles.len() as u32).map(|k| [3 * k, 3 * k + 1, 3 * k + 2]).collect();
    let first = scan.points.len() as u32;
    scan.points.extend(loose);
    scan.loose = (first..first + loose.len() as u32).collect();
    Placed::of(scan, Scan::default())
}

/// The text of an obstacle.
pub fn obstacle(name: &str, form: &str, more: &str) -> String {
    format!("[obstacle.{name}]\nclass = \"fixed\"\n{form}\n{more}\n")
}

pub fn close(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} is not {b}");
}

/// Numbers that look random and are always the same.
pub struct Dice(pub u64);

impl Dice {
    /// The next one, from 0 to 1 (Knuth's 64-bit congruential generator; its upper bits).
    pub fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }

    /// A point of a box about the origin.
    pub fn point(&mut self, half: f64) -> DVec3 {
        DVec3::new(self.between(-half, half), self.between(-half, half), self.between(-half, half))
    }
}
