//! Distances to scans against libigl (PyPI's libigl), which shares no code with hotside: points to a large mesh, and
//! tubes through the command, to a made surface, its points and the Stanford dragon. What the readers check stands
//! at the heads of `readers/clearance.py` and `readers/tubes.py`.

mod hotside;
#[allow(dead_code)]
#[path = "hotside/reader.rs"]
mod reader;
#[path = "hotside/stl.rs"]
mod stl;

use geom::math::{cos, sin};
use std::fs;
use std::path::Path;

use distance::Tree;
use geom::DVec3;
use scan::Format;

use hotside::{fresh, hotside};
use reader::{read, top};
use stl::binary_stl;

/// Three bent tubes over the plane z = 0: two beside it, one that dips into what stands there.
const TUBES: &str = r#"title = "Tubes over a scan (invented)"
units = "mm"

[tube.primary]
od = 45
wall = 1.2
alloy = "304"

[port.one]
at = [-180, -60, 230]
along = [0, 0, -1]

[port.two]
at = [200, 90, 260]
along = [0, -0.6, -0.8]

[port.three]
at = [-150, 150, 198]
along = [0, 0, -1]

[run.one]
from = "one"
to = "open"
tube = "primary"
radius = 70
inside = [1, 0, 0]
path = [{ straight = 100 }, { bend = 80 }, { straight = 40 }, { bend = 50, rotate = 40 }, { straight = 60 }, { bend = 70, rotate = -75 }, { straight = 30 }]

[run.two]
from = "two"
to = "open"
tube = "primary"
radius = 90
inside = [-1, 0, 0]
path = [{ straight = 90 }, { bend = 95 }, { straight = 50 }, { bend = 110, rotate = 20 }, { straight = 40 }]

[run.three]
from = "three"
to = "open"
tube = "primary"
radius = 70
inside = [1, 0.5, 0]
path = [{ straight = 105 }, { bend = 175 }, { straight = 80 }]
"#;

/// A surface over 700 by 500 mm about the origin, uneven by a few centimetres: 420,000 triangles, in single
/// precision.
struct Surface {
    points: Vec<[f32; 3]>,
    triangles: Vec<[u32; 3]>,
}

const CELLS: [u32; 2] = [600, 350];

impl Surface {
    fn made() -> Surface {
        let [columns, rows] = CELLS;
        let mut random = Random(7);
        let place = |k: u32| (k % (columns + 1), k / (columns + 1));
        let points = (0..(columns + 1) * (rows + 1)).map(|k| {
            let (i, j) = place(k);
            let mut off = || 0.4 * random.next() - 0.2;
            let x = 700.0 * ((f64::from(i) + off()) / f64::from(columns) - 0.5);
            let y = 500.0 * ((f64::from(j) + off()) / f64::from(rows) - 0.5);
            let z = 9.0 * sin(x / 37.0) * cos(y / 53.0) + 5.0 * sin((x + 2.0 * y) / 19.0) + off();
            [x, y, z].map(|value| value as f32)
        });
        let points = points.collect();
        let corner = |i: u32, j: u32| j * (columns + 1) + i;
        let cells = (0..rows).flat_map(|j| (0..columns).map(move |i| (i, j)));
        let halves = cells.flat_map(|(i, j)| {
            let [a, b, c, d] = [corner(i, j), corner(i + 1, j), corner(i + 1, j + 1), corner(i, j + 1)];
            [[a, b, c], [a, c, d]]
        });
        Surface { points, triangles: halves.collect() }
    }

    /// As a binary STL.
    fn stl(&self) -> Vec<u8> {
        let corners = |triangle: &[u32; 3]| triangle.map(|k| self.points[k as usize]);
        binary_stl(&self.triangles.iter().map(corners).collect::<Vec<_>>())
    }

    /// Every fifth point in inches, to a 10000th, as text.
    fn xyz(&self) -> String {
        let line = |p: &[f32; 3]| format!("{:.4} {:.4} {:.4}\n", p[0] / 25.4, p[1] / 25.4, p[2] / 25.4);
        self.points.iter().step_by(5).map(line).collect()
    }
}

/// Numbers from 0 to 1 (Knuth's MMIX generator).
struct Random(u64);

impl Random {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// Builds `folder`'s spec.
fn build(folder: &Path) {
    let ran = hotside(folder, &["build", "spec.toml", "--out", "packet"]);
    assert!(ran.code == 0 || ran.code == 1, "{}{}", ran.out, ran.err);
}

/// Builds `folder`'s spec, and has libigl measure each tube.
fn measured_again(folder: &Path) {
    build(folder);
    let (code, told) = read("clearance.py", &[Path::new("tubes"), folder]);
    assert_eq!(code, Some(0), "{told}");
    println!("{told}");
}

/// An obstacle of the spec: a scan.
fn obstacle(name: &str, file: &str, units: &str, place: &str) -> String {
    format!(
        "\n[obstacle.{name}]\nfile = \"{file}\"\nunits = \"{units}\"\nplace = {place}\nclass = \"fixed\"\n"
    )
}

/// Points all about a mesh of 420,000 triangles: in front of it, behind it, on it, beside its rim.
#[test]
fn points_are_as_far_from_a_large_mesh_as_libigl_says() {
    let folder = fresh("clearance-points");
    let bytes = Surface::made().stl();
    fs::write(folder.join("scan.stl"), &bytes).unwrap();
    let scan = scan::read(&bytes, Format::Stl).unwrap();
    let on: Vec<DVec3> = scan.points.iter().copied().step_by(500).collect();
    let tree = Tree::new(scan.points, scan.triangles, scan.loose);
    let mut random = Random(11);
    let mut about = |reach: f64| 2.0 * reach * (random.next() - 0.5);
    let asked = (0..20_000).map(|k| match k % 4 {
        0 => DVec3::new(about(900.0), about(900.0), about(900.0)),
        _ => DVec3::new(about(360.0), about(260.0), about(30.0)),
    });
    let asked: Vec<DVec3> = asked.chain(on).collect();
    let told = asked.iter().flat_map(|p| {
        let touch = tree.nearest_to_point(*p, f64::INFINITY).unwrap();
        [p.x, p.y, p.z, touch.distance]
    });
    fs::write(folder.join("asked.f64"), told.flat_map(f64::to_le_bytes).collect::<Vec<u8>>()).unwrap();
    let (code, told) = read("clearance.py", &[Path::new("points"), &folder]);
    assert_eq!(code, Some(0), "{told}");
}

/// The same surface four times: as it stands, as points in inches, and mirrored, turned and moved by the spec.
#[test]
fn tubes_are_as_far_from_scans_as_libigl_says() {
    let folder = fresh("clearance-tubes");
    let surface = Surface::made();
    fs::write(folder.join("surface.stl"), surface.stl()).unwrap();
    fs::write(folder.join("cloud.xyz"), surface.xyz()).unwrap();
    let turned = "{ mirror = \"x\", turn = { axis = [1, 2, 2], angle = 12.5 }, move = [3.25, -7.5, -18] }";
    let spec = TUBES.to_owned()
        + &obstacle("wing", "surface.stl", "mm", "\"as scanned\"")
        + &obstacle("cloud", "cloud.xyz", "in", "\"as scanned\"")
        + &obstacle("turned", "surface.stl", "mm", turned);
    fs::write(folder.join("spec.toml"), spec).unwrap();
    measured_again(&folder);
}

/// A real scan, 202,520 triangles in metres: dragon_vrip_res2.ply of the Stanford 3D Scanning Repository.
#[test]
#[ignore = "needs the Stanford dragon, which `bash tests/dragon.sh` fetches; tests/all.sh runs both"]
fn tubes_are_as_far_from_the_stanford_dragon_as_libigl_says() {
    let folder = fresh("clearance-dragon");
    let dragon = top().join("out/dragon/dragon_vrip_res2.ply");
    assert!(dragon.exists(), "{} is not there: run `bash tests/dragon.sh`", dragon.display());
    fs::copy(dragon, folder.join("dragon.ply")).unwrap();
    let lying = "{ turn = { axis = [1, 0, 0], angle = 90 }, move = [-20, 20, -140] }";
    let beside = "{ mirror = \"z\", turn = { axis = [3, -1, 2], angle = 200 }, move = [70, 160, 60] }";
    let spec = TUBES.to_owned()
        + &obstacle("dragon", "dragon.ply", "m", lying)
        + &obstacle("beside", "dragon.ply", "m", beside);
    fs::write(folder.join("spec.toml"), spec).unwrap();
    measured_again(&folder);
}

/// A fourth tube near two of the three, and obstacles of every form, none of them touched, with two small scans.
const FORMS: &str = r#"
[port.four]
at = [-62, -14, 250]
along = [0.1, 0, -1]

[run.four]
from = "four"
to = "open"
tube = "primary"
inside = [1, 0, 0]
path = [{ straight = 215 }]

[obstacle.box]
box = { at = [40, -20, 30], size = [90, 60, 40], along = [0.3, 0.1, 1], inside = [1, 0.4, 0] }
class = "fixed"

[obstacle.shaft]
cylinder = { from = [-260, -160, 120], to = [60, -190, 20], d = 24 }
class = "steering"

[obstacle.end]
cylinder = { from = [-240, 40, 60], to = [-205, 60, 75], d = 30 }
class = "fixed"

[obstacle.line]
capsule = { from = [-60, 60, 10], to = [120, 40, 60], d = 8 }
class = "fuel"

[obstacle.tank]
sphere = { at = [90, 200, 60], d = 120 }
class = "fixed"

[obstacle.floor]
half_space = { at = [0, 0, -12], out = [0.05, -0.02, 1] }
class = "fixed"

[obstacle.bracket]
file = "bracket.obj"
units = "mm"
place = "as scanned"
class = "fixed"

[obstacle.dots]
file = "dots.xyz"
units = "mm"
place = "as scanned"
class = "wiring"
"#;

/// Three triangles.
const BRACKET: &str = "v 60 -180 90\nv 140 -150 110\nv 100 -170 180\nv 150 -60 60\nv 40 -210 30\n\
                       f 1 2 3\nf 1 4 2\nf 1 5 4\n";

const DOTS: &str = "-120 -130 60\n-20 40 85\n230 -70 120\n-70 120 95\n";

/// Every form, two small scans and the tubes themselves against each other, without a formula for any distance.
#[test]
fn sampled_surfaces_are_nowhere_nearer_than_told() {
    let folder = fresh("clearance-sampled");
    fs::write(folder.join("bracket.obj"), BRACKET).unwrap();
    fs::write(folder.join("dots.xyz"), DOTS).unwrap();
    fs::write(folder.join("spec.toml"), TUBES.to_owned() + FORMS).unwrap();
    build(&folder);
    let (code, told) = read("sampled.py", &[&folder]);
    assert_eq!(code, Some(0), "{told}");
}
