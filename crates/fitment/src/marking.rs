//! Where on a part its figures and its datum are sunk.
//!
//! A place is good where the part's own mesh is met just there, with nothing near above it and nothing but material
//! below it.

use std::ops::Range;

use distance::Tree;
use geom::{DVec3, Frame};
use solids::Mesh;
use spec::shop::Printer;
use tube::Centreline;

use crate::datum;
use crate::figures::{Figures, Surface, Way};
use crate::pose;
use crate::profile::{Profile, Side};

/// A length of tube of a part, as it is printed. Lengths in mm.
#[derive(Clone, Copy, Debug)]
pub struct Tube<'a> {
    /// Its line.
    pub line: &'a Centreline,
    /// Its outside radius.
    pub outside: &'a Profile,
    /// Where it begins.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
}

/// What is sunk into a part.
#[derive(Clone, Debug, Default)]
pub struct Marks {
    /// Its figures, and where; none where it has no room for them.
    pub figures: Option<(Figures, Surface)>,
    /// The middle of its datum's mouth, `along` out of the part; none where it has no room for it.
    pub datum: Option<Frame>,
    /// Whether the wall there is too thin for a datum without a boss behind it.
    pub boss: bool,
    /// Whether figures or datum look down further than the printer prints without support: there was no other place.
    pub under: bool,
}

/// Finds room for `mark` with an arrow downstream, and for a datum, on the tubes of the part whose solid is `plain` and
/// which is printed with `up` away from the bed.
///
/// Straights come before bends, text along the tube before text around it, 6 mm before 4.5 mm; of each what looks up or
/// sideways before what leans no further than the printer prints. What leans further is taken last.
pub fn marks(mark: &str, tubes: &[Tube], plain: &Mesh, up: DVec3, printer: &Printer) -> Marks {
    let steepest = -geom::math::sin(printer.overhang) - pose::LEVEL;
    let site = Site { ground: Ground::of(plain), tubes, up, steepest };
    let figures = site.best(texts(mark, printer.nozzle), &|_| true);
    let taken: Vec<DVec3> =
        figures.iter().flat_map(|found| grid(found.what.size(), &found.surface, 0.0)).collect();
    let free = |s: &Surface| taken.iter().all(|p| p.distance(s.point(DVec3::ZERO)) > datum::MOUTH + APART);
    let datum = site.best(cones(), &free);
    let looks = figures.iter().map(|found| found.look).chain(datum.iter().map(|found| found.look));
    Marks {
        under: looks.fold(f64::INFINITY, f64::min) < steepest,
        boss: datum.as_ref().is_some_and(|found| found.what),
        datum: datum.and_then(|found| found.surface.frame()),
        figures: figures.map(|found| (found.what, found.surface)),
    }
}

/// The mark in every size and way, the best first, each with the room that it asks for.
fn texts(mark: &str, nozzle: f64) -> Vec<(Figures, Patch)> {
    let sizes = [1.0, SMALLER].into_iter().flat_map(|scale| [true, false].map(|straight| (scale, straight)));
    let asked =
        sizes.flat_map(|(scale, straight)| [Way::Along, Way::Around].map(|way| (scale, straight, way)));
    let text = |(scale, straight, way)| {
        let arrow = if way == Way::Along { '>' } else { '^' };
        let figures = Figures::new(&format!("{mark}{arrow}"), nozzle);
        let figures = Figures { height: scale * figures.height, ..figures };
        let patch = Patch { size: figures.size(), way, straight, need: figures.depth + LEFT };
        (figures, patch)
    };
    asked.map(text).collect()
}

/// A datum, whether with a boss behind it, with the room that it asks for.
fn cones() -> Vec<(bool, Patch)> {
    let asked = [false, true].into_iter().flat_map(|boss| [true, false].map(|straight| (boss, straight)));
    let cone = |(boss, straight)| {
        let need = if boss { datum::COVER + LEFT } else { 0.5 * datum::MOUTH + LEFT };
        (boss, Patch { size: [datum::MOUTH + 1.0; 2], way: Way::Along, straight, need })
    };
    asked.map(cone).collect()
}

/// A part on the bed, on which room is looked for.
struct Site<'a> {
    ground: Ground,
    tubes: &'a [Tube<'a>],
    up: DVec3,
    /// The least that a surface without support looks up.
    steepest: f64,
}

/// Room that was found.
struct Found<T> {
    what: T,
    surface: Surface,
    /// How far it looks up where it does so least: the sine above level.
    look: f64,
}

impl Site<'_> {
    /// Room for the first of `asked` that has any where nothing needs support; else for what looks down least.
    fn best<T: Clone>(&self, asked: Vec<(T, Patch)>, free: &dyn Fn(&Surface) -> bool) -> Option<Found<T>> {
        let any = f64::NEG_INFINITY..f64::INFINITY;
        let good = asked.iter().find_map(|(what, patch)| {
            let looks = [SIDEWAYS..f64::INFINITY, self.steepest..SIDEWAYS];
            looks.iter().find_map(|range| self.found(what, patch, range, free).next())
        });
        good.or_else(|| {
            let all = asked.iter().flat_map(|(what, patch)| self.found(what, patch, &any, free));
            all.reduce(|best, one| if one.look > best.look { one } else { best })
        })
    }

    /// The places that bear a patch and look up as far as `range` says, the best first.
    fn found<'a, T: Clone>(
        &'a self,
        what: &'a T,
        patch: &'a Patch,
        range: &'a Range<f64>,
        free: &'a dyn Fn(&Surface) -> bool,
    ) -> impl Iterator<Item = Found<T>> + 'a {
        let places = self.tubes.iter().flat_map(|tube| patch.places(tube, self.up));
        let looking = places.map(|surface| (patch.look(&surface, self.up), surface));
        let good = looking.filter(|(look, surface)| {
            range.contains(look) && free(surface) && self.ground.bears(surface, patch)
        });
        good.map(|(look, surface)| Found { what: what.clone(), surface, look })
    }
}

/// A piece of surface that is looked for.
struct Patch {
    /// Along the text and up, mm.
    size: [f64; 2],
    way: Way,
    /// On straights, or in bends.
    straight: bool,
    /// How deep material has to reach, mm.
    need: f64,
}

impl Patch {
    /// How far a surface looks up over the patch where it does so least: the sine above level.
    fn look(&self, surface: &Surface, up: DVec3) -> f64 {
        let normals = grid(self.size, surface, 1.0).zip(grid(self.size, surface, 0.0)).map(|(a, b)| a - b);
        normals.map(|normal| normal.dot(up)).fold(f64::INFINITY, f64::min)
    }

    /// The places on a tube, those in its middle and looking up first.
    fn places<'a>(&'a self, tube: &'a Tube<'a>, above: DVec3) -> impl Iterator<Item = Surface> + 'a {
        let [along, around] = match self.way {
            Way::Along => self.size,
            Way::Around => [self.size[1], self.size[0]],
        };
        let (first, last) = (tube.from + 0.5 * along + MARGIN, tube.to - 0.5 * along - MARGIN);
        let steps = if last < first { 0 } else { ((last - first) / STEP) as usize + 1 };
        let mut stations: Vec<f64> = (0..steps).map(|k| first + (k as f64) * STEP).collect();
        let middle = 0.5 * (first + last);
        stations.sort_by(|a, b| (a - middle).abs().total_cmp(&(b - middle).abs()));
        let spans = tube.line.spans();
        let fits = move |station: &f64| {
            let reach = [station - 0.5 * along, station + 0.5 * along];
            let bent =
                spans.iter().any(|s| s.is_arc() && s.from < reach[1] + MARGIN && s.to > reach[0] - MARGIN);
            let mitre =
                spans.iter().any(|s| s.is_mitre() && s.from < reach[1] + MARGIN && s.to > reach[0] - MARGIN);
            bent != self.straight && !mitre
        };
        let on = move |station: f64| {
            let radius = tube.outside.radius_at(station, Side::Downstream);
            let frame = tube.line.frame_at(station);
            let up = if frame.along.dot(above).abs() > 0.9 { 0.0 } else { frame.clock_of(above) };
            let clocks = CLOCKS.into_iter().map(move |turn| up + turn);
            let wraps = 0.5 * around / radius < MOST_WRAP;
            clocks.filter(move |_| wraps).map(move |clock| Surface::Tube {
                line: tube.line.clone(),
                station,
                clock,
                radius,
                way: self.way,
            })
        };
        stations.into_iter().filter(fits).flat_map(on)
    }
}

/// A part's mesh, to be asked.
struct Ground {
    tree: Tree,
}

impl Ground {
    fn of(mesh: &Mesh) -> Ground {
        Ground { tree: Tree::new(mesh.points.clone(), mesh.triangles.clone(), Vec::new()) }
    }

    /// Whether a patch of surface is the part's own, free above and full below.
    fn bears(&self, surface: &Surface, patch: &Patch) -> bool {
        let alone = |height: f64| {
            let clear = move |p: DVec3| self.tree.nearest_to_point(p, height.abs() - OFF).is_none();
            grid(patch.size, surface, height).all(clear)
        };
        grid(patch.size, surface, 0.0).all(|p| self.tree.nearest_to_point(p, OFF).is_some())
            && alone(FREE)
            && alone(-0.5 * patch.need - OFF)
    }
}

/// Points over a patch, `height` above the surface.
fn grid(size: [f64; 2], surface: &Surface, height: f64) -> impl Iterator<Item = DVec3> + '_ {
    let part = |k: i32, size: f64| size * (f64::from(k) / f64::from(GRID) - 0.5);
    let at = move |(i, j)| surface.point(DVec3::new(part(i, size[0]), part(j, size[1]), height));
    (0..=GRID).flat_map(|i| (0..=GRID).map(move |j| (i, j))).map(at)
}

/// Figures where those of 6 mm have no room, by height.
const SMALLER: f64 = 0.75;

/// Material left below what is sunk, mm.
const LEFT: f64 = 0.5;

/// Distance from a datum's mouth to figures, mm.
const APART: f64 = 2.5;

/// How far up a surface looks that needs no care: sideways, a few degrees less.
const SIDEWAYS: f64 = -0.05;

/// From a patch to the end of a tube, mm.
const MARGIN: f64 = 1.0;

/// Between two stations that are tried, mm.
const STEP: f64 = 4.0;

/// Clocks from the one that looks up, in the order in which they are tried, rad.
const CLOCKS: [f64; 12] = [0.0, 0.5, -0.5, 1.0, -1.0, 1.5, -1.5, 2.0, -2.0, 2.5, -2.5, 3.1];

/// How far a patch may reach around a tube from its middle, rad.
const MOST_WRAP: f64 = 0.9;

/// How far a mesh may stand from the true surface, mm.
const OFF: f64 = 0.1;

/// What has to be free above, mm.
const FREE: f64 = 2.5;

/// Into how many parts a patch is divided to be looked at.
const GRID: i32 = 5;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::NoStore;
    use crate::unite::combined;
    use crate::unite::tests::disc;

    fn tube(length: f64) -> (Centreline, Profile, Mesh) {
        let start = Frame::new(DVec3::new(10.0, -4.0, 7.0), DVec3::X, DVec3::Z).unwrap();
        let mesh = disc(&start, 20.0, [0.0, length]);
        (Centreline::straight(start, length), Profile { points: vec![(0.0, 20.0), (length, 20.0)] }, mesh)
    }

    /// What is found takes away all of what is cut, and stands apart from it.
    #[test]
    fn a_long_tube_reads_along_its_top() {
        let (line, outside, mesh) = tube(60.0);
        let tube = Tube { line: &line, outside: &outside, from: 0.0, to: 60.0 };
        let Marks { figures: Some((figures, surface)), datum: Some(datum), boss: false, .. } =
            marks("P7", &[tube], &mesh, DVec3::Z, &Printer::default())
        else {
            panic!("no room")
        };
        assert_eq!((figures.text.as_str(), figures.height), ("P7>", 6.0));
        let frame = surface.frame().unwrap();
        assert!(frame.along.z > 0.999 && frame.inside.x > 0.999, "{frame:?}");
        assert!((datum.at - line.start.at).dot(DVec3::X) < 60.0);
        let cuts = [figures.sunk(&surface).unwrap(), datum::sunk(&datum)];
        let marked = combined(&[&mesh], &[&cuts[0], &cuts[1]], &NoStore).unwrap();
        // A cone of its mouth's radius, less what the tube's roundness leaves out, and the figures' strokes.
        let sunk = mesh.volume() - marked.volume();
        assert!(sunk > 0.9 * (1.5_f64.powi(3) * 1.047) + 10.0, "{sunk}");
    }

    /// Printed on its side or upside down it reads along what is up then, and where only its underside is free it says so.
    #[test]
    fn marks_look_away_from_the_bed() {
        let (line, outside, mesh) = tube(60.0);
        let tube = Tube { line: &line, outside: &outside, from: 0.0, to: 60.0 };
        for up in [DVec3::Y, DVec3::NEG_Z, DVec3::new(0.6, 0.0, -0.8), DVec3::X] {
            let found = marks("P7", &[tube], &mesh, up, &Printer::default());
            let looks =
                [found.figures.unwrap().1.frame().unwrap(), found.datum.unwrap()].map(|f| f.along.dot(up));
            assert!(looks.iter().all(|look| *look > SIDEWAYS) && !found.under, "{up}: {looks:?}");
        }
        let half = disc(&Frame { at: line.start.at + DVec3::Z * 6.0, ..line.start }, 25.0, [-1.0, 61.0]);
        let covered = combined(&[&mesh, &half], &[], &NoStore).unwrap();
        let found = marks("P7", &[tube], &covered, DVec3::Z, &Printer::default());
        assert!(found.under && found.figures.is_some(), "{found:?}");
        let found = marks("P7", &[tube], &covered, DVec3::NEG_Z, &Printer::default());
        assert!(!found.under && found.figures.is_some(), "{found:?}");
    }

    /// A short stub reads around, one that is too short has no room, and so has one within another solid.
    #[test]
    fn what_is_short_or_covered_is_passed_over() {
        let (line, outside, mesh) = tube(60.0);
        let found = |from: f64, to: f64, mesh: &Mesh| {
            let tube = Tube { line: &line, outside: &outside, from, to };
            marks("P7", &[tube], mesh, DVec3::Z, &Printer::default())
        };
        let short = found(0.0, 12.0, &mesh).figures.unwrap();
        assert!(matches!(short.1, Surface::Tube { way: Way::Around, .. }) && short.0.text == "P7^");
        assert!(found(0.0, 6.0, &mesh).figures.is_none());
        let cover = disc(&line.start, 21.0, [10.0, 50.0]);
        let covered =
            combined(&[&mesh], &[], &NoStore).and_then(|m| combined(&[&m, &cover], &[], &NoStore)).unwrap();
        assert!(found(12.0, 48.0, &covered).figures.is_none());
        assert!(found(12.0, 48.0, &covered).datum.is_none());
    }

    /// A wall thinner than a datum is deep has a boss behind it; one thinner still bears nothing.
    #[test]
    fn thin_walls_have_a_boss_behind_a_datum() {
        let (line, outside, mesh) = tube(60.0);
        for (wall, bears) in [(1.4, true), (0.8, false)] {
            let bore = disc(&line.start, 20.0 - wall, [-1.0, 61.0]);
            let thin = combined(&[&mesh], &[&bore], &NoStore).unwrap();
            let tube = Tube { line: &line, outside: &outside, from: 0.0, to: 60.0 };
            let found = marks("P7", &[tube], &thin, DVec3::Z, &Printer::default());
            assert_eq!((found.figures.is_some(), found.datum.is_some(), found.boss), (bears, bears, bears));
            let Some(frame) = found.datum else { continue };
            let filled = combined(&[&thin, &datum::boss(&frame)], &[], &NoStore).unwrap();
            assert!(filled.volume() > thin.volume() + 30.0);
            let outside = |m: &Mesh| {
                m.points.iter().map(|p| line.start.local_point(*p).truncate().length()).fold(0.0, f64::max)
            };
            assert!((outside(&filled) - outside(&thin)).abs() < 1e-3);
        }
    }
}
