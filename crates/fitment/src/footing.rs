//! How a part would stand, before it is made: what of it hangs over, and what it stands on.
//!
//! Each atom is looked at once with every direction down that has something flat. A part has what its atoms have and what
//! its cuts add, so that it is known from a few sums.

use geom::DVec3;
use geom::math::sin;
use glam::DVec2;
use spec::shop::Printer;

use crate::calipers::outline;
use crate::pose::{FALLS, FLAT, LEAST_FOOT, NO_FOOT, TALL, above, over};
use crate::profile::Side;
use crate::surface::{Patch, Surface, cut_faces};
use crate::web::{Header, Web};

/// How a part stands, as far as that is known before it is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Footing {
    /// Area that needs support, mm2.
    pub overhang: f64,
    /// Whether it stands on a flat.
    pub stands: bool,
    /// Whether its centre of volume is above that.
    pub steady: bool,
}

impl Footing {
    /// What counts against it, mm2 of support.
    pub(crate) fn cost(&self) -> f64 {
        self.overhang
            + match (self.stands, self.steady) {
                (true, true) => 0.0,
                (true, false) => FALLS,
                _ => NO_FOOT,
            }
    }
}

/// A part with a direction down, a unit vector.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stand {
    pub down: DVec3,
    pub height: f64,
    pub footing: Footing,
}

/// What all atoms and cuts have for each direction down.
pub(crate) struct Footings {
    downs: Vec<DVec3>,
    /// By atom, then direction.
    atoms: Vec<Vec<Share>>,
    /// By cut: of the part with its spigot, and of the part with its socket.
    cuts: Vec<[Vec<Share>; 2]>,
    /// Volume of each atom, and that times its middle.
    weights: Vec<(f64, DVec3)>,
}

/// What an atom or a cut has with one direction down.
#[derive(Clone, Debug)]
struct Share {
    /// How far down it reaches, and how far up, mm.
    low: f64,
    high: f64,
    /// Area that leans out too far, level area included, mm2.
    over: f64,
    /// Level area at its very bottom, mm2.
    foot: f64,
    /// The outline of that.
    outline: Vec<DVec3>,
}

impl Footings {
    pub(crate) fn of(header: &Header, web: &Web, printer: &Printer) -> Footings {
        let surfaces: Vec<Surface> =
            web.atoms.iter().map(|a| Surface::of(header, &a.lengths, &a.nodes)).collect();
        let faces = web.cuts.iter().map(|cut| {
            let radius = header.strands[cut.strand].outside.radius_at(cut.station, Side::Downstream);
            cut_faces(cut, radius, printer)
        });
        let faces: Vec<[Vec<Patch>; 2]> = faces.collect();
        let downs = downs(&surfaces, web);
        let steepest = sin(printer.overhang);
        let shares = |patches: &[Patch], reach: &dyn Fn(DVec3) -> f64| -> Vec<Share> {
            downs.iter().map(|down| Share::of(patches, *down, reach, steepest)).collect()
        };
        let middles = |patches: &[Patch], way: DVec3| {
            patches.iter().map(|p| p.at.dot(way)).fold(f64::NEG_INFINITY, f64::max)
        };
        Footings {
            atoms: surfaces.iter().map(|s| shares(&s.patches, &|way| s.reach(way))).collect(),
            cuts: faces.iter().map(|f| [0, 1].map(|i| shares(&f[i], &|way| middles(&f[i], way)))).collect(),
            weights: surfaces.iter().map(|s| (s.volume, s.moment)).collect(),
            downs,
        }
    }

    /// How part `which` stands with each direction down, the best first.
    pub(crate) fn stands(&self, web: &Web, part: &[usize], which: usize) -> Vec<Stand> {
        let atoms: Vec<usize> = (0..part.len()).filter(|a| part[*a] == which).collect();
        let open = web.open(part);
        let faces: Vec<&Vec<Share>> = open.iter().filter_map(|c| self.face(web, *c, part, which)).collect();
        let weight = atoms.iter().map(|a| self.weights[*a]);
        let (volume, moment) = weight.fold((0.0, DVec3::ZERO), |sum, w| (sum.0 + w.0, sum.1 + w.1));
        let centre = moment / volume.max(f64::MIN_POSITIVE);
        let stand = |i: usize| {
            let shares = || atoms.iter().map(|a| &self.atoms[*a][i]).chain(faces.iter().map(|f| &f[i]));
            stand(self.downs[i], &shares, centre)
        };
        let mut stands: Vec<Stand> = (0..self.downs.len()).map(stand).collect();
        let cost = |s: &Stand| s.footing.cost() + TALL * s.height;
        stands.sort_by(|a, b| cost(a).total_cmp(&cost(b)));
        stands
    }

    /// What an open cut adds to part `which`.
    fn face(&self, web: &Web, cut: usize, part: &[usize], which: usize) -> Option<&Vec<Share>> {
        let (up, down) = web.sides[cut];
        let (spigot, socket) = match web.cuts[cut].spigot {
            tube::End::End => (up, down),
            tube::End::Start => (down, up),
        };
        match (part[spigot] == which, part[socket] == which) {
            (true, _) => Some(&self.cuts[cut][0]),
            (_, true) => Some(&self.cuts[cut][1]),
            _ => None,
        }
    }
}

impl Share {
    fn of(patches: &[Patch], down: DVec3, reach: &dyn Fn(DVec3) -> f64, steepest: f64) -> Share {
        let low = reach(down);
        let mut share = Share { low, high: reach(-down), over: 0.0, foot: 0.0, outline: Vec::new() };
        for Patch { at, face } in patches {
            let (facing, area) = (face.dot(down), face.length());
            if !over(facing, area, steepest) {
                continue;
            }
            share.over += area;
            if facing > FLAT * area && at.dot(down) > low - LAYER {
                share.foot += area;
                share.outline.push(*at);
            }
        }
        share
    }
}

/// A part of these shares, with its centre of volume, standing with `down` down.
fn stand<'a, I: Iterator<Item = &'a Share>>(down: DVec3, shares: &dyn Fn() -> I, centre: DVec3) -> Stand {
    let (mut low, mut high, mut over) = (f64::NEG_INFINITY, f64::NEG_INFINITY, 0.0);
    for share in shares() {
        (low, high, over) = (low.max(share.low), high.max(share.high), over + share.over);
    }
    let on_bed = || shares().filter(|s| s.foot > 0.0 && s.low > low - LAYER);
    let foot: f64 = on_bed().map(|s| s.foot).sum();
    let stands = foot >= LEAST_FOOT;
    let steady = stands && {
        let (x, y) = down.any_orthonormal_pair();
        let flat = |p: DVec3| DVec2::new(p.dot(x), p.dot(y));
        let points: Vec<DVec2> = on_bed().flat_map(|s| &s.outline).map(|p| flat(*p)).collect();
        above(&outline(&points), flat(centre))
    };
    Stand { down, height: low + high, footing: Footing { overhang: over - foot, stands, steady } }
}

/// Every direction in which an atom or a cut has something flat.
fn downs(surfaces: &[Surface], web: &Web) -> Vec<DVec3> {
    let mut downs: Vec<DVec3> = Vec::new();
    let cuts = web.cuts.iter().flat_map(|c| [c.along, -c.along]);
    for down in cuts.chain(surfaces.iter().flat_map(|s| s.flats.iter().copied())) {
        if !downs.iter().any(|d| d.dot(down) > SAME) {
            downs.push(down);
        }
    }
    downs
}

/// What is this near to a part's bottom is on the bed, mm.
const LAYER: f64 = 0.2;

/// Cosine above which two directions are one: 0.1 degrees.
const SAME: f64 = 0.999_998_5;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fits::{Extent, Room};
    use crate::pose::posed;
    use crate::profile::Profile;
    use crate::sections::Course;
    use crate::strand::Strand;
    use crate::sweep::{Sweep, Tip, swept};
    use crate::web::Fitting;
    use geom::Frame;
    use geom::angle::from_degrees;
    use tube::centreline::Segment;
    use tube::{Centreline, Cut};

    /// A tube of 44 mm: straight, bent with radius 76, straight.
    fn bent(straights: [f64; 2], degrees: f64) -> Strand {
        let start = Frame::new(DVec3::new(31.0, -12.0, 9.0), DVec3::new(1.0, 0.4, -0.3), DVec3::Z).unwrap();
        let straight = |length| Segment::Straight { length };
        let arc = Segment::Arc { radius: 76.0, angle: from_degrees(degrees), twist: 0.3 };
        let line = Centreline { start, segments: vec![straight(straights[0]), arc, straight(straights[1])] };
        let length = line.length();
        let profile = |radius| Profile::constant(0.0, length, radius);
        Strand {
            run: 0,
            name: "bent".to_owned(),
            origin: 0.0,
            outside: profile(22.0),
            bore: profile(20.0),
            wall: 2.0,
            ends: [Cut::square(0.0), Cut::square(length)],
            joints: Vec::new(),
            keeps: Vec::new(),
            line,
        }
    }

    #[test]
    fn what_is_known_of_a_tube_before_it_is_made_is_what_its_mesh_has() {
        let printer = Printer { bed: [400.0; 2], height: 400.0, ..Printer::default() };
        for (straights, degrees) in [([60.0, 150.0], 40.0), ([80.0, 120.0], 90.0), ([150.0, 30.0], 130.0)] {
            let strands = [bent(straights, degrees)];
            let courses = strands.iter().map(Course::of).collect();
            let header = Header { strands: &strands, nodes: &[], courses };
            let web = Web::new(&header, &[]);
            let mut fitting = Fitting::new(Room::of(&printer), Footings::of(&header, &web, &printer));
            let line = &strands[0].line;
            let sweep = Sweep {
                line,
                outside: &strands[0].outside,
                from: 0.0,
                to: line.length(),
                tips: [Tip::Square; 2],
                hollows: Vec::new(),
                wheels: Vec::new(),
                chord: 0.02,
            };
            let mesh = swept(&sweep).unwrap();
            let known = fitting.footing(&web, &[0], 0, || Extent::of(mesh.points.clone()));
            let pose = posed(&mesh, &printer, &[]).unwrap();
            assert_eq!((known.stands, known.steady), (true, pose.steady), "{degrees}");
            let off = (known.overhang - pose.overhang).abs();
            assert!(off < 60.0 + 0.05 * pose.overhang, "{degrees}: {known:?}, {}", pose.overhang);
        }
    }
}
