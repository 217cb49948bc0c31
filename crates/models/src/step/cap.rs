//! The end of a piece as faces: which surfaces its cut is made of, and where they give way to each other.

use std::f64::consts::{FRAC_PI_2, PI};

use geom::angle::wrap_turn;
use geom::math::{asin, cos, sin, sin_cos};
use geom::{DVec3, Frame};
use tube::merge::{LegCut, Outlet, ScallopCut};
use tube::{Cut, End, Piece, Shape};

use super::surface::Surface;

/// A cut end.
pub struct Cap {
    /// Its faces.
    pub patches: Vec<Patch>,
    /// Its edges through the wall.
    pub throughs: Vec<Through>,
    /// Clocks on the bore and on the outside at which the edge needs a vertex, rad.
    pub clocks: [Vec<f64>; 2],
}

/// One face of an end.
pub struct Patch {
    /// What it lies on.
    pub surface: Surface,
    /// What it is bounded by, the outer loop first; the face is on the left, seen from downstream.
    pub loops: Vec<Vec<Part>>,
}

/// A part of a loop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Part {
    /// Along the outside's edge, its clocks growing.
    Outside(Rim),
    /// Along the bore's edge, its clocks falling.
    Bore(Rim),
    /// Along an edge through the wall, from its begin to its end.
    Out(usize),
    /// The same from its end to its begin.
    In(usize),
}

/// A stretch of an edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rim {
    /// The whole turn.
    Whole,
    /// From one clock up to another, rad.
    Arc(f64, f64),
}

/// An edge through the wall, from the bore's side outwards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Through {
    /// Where it begins.
    pub from: Foot,
    /// Where it ends.
    pub to: Foot,
    /// The surfaces that meet in it.
    pub surfaces: [Surface; 2],
}

/// Where an edge through the wall begins or ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Foot {
    /// On the bore's edge, at a clock.
    Bore(f64),
    /// On the outside's edge, at a clock.
    Outside(f64),
    /// Within the wall, at a point.
    Within(DVec3),
}

impl Cap {
    /// The cap at one end of `piece`.
    pub fn of(piece: &Piece, end: End) -> Cap {
        let cut = piece.cut(end);
        let frame = match end {
            End::Start => piece.frame_at(0.0).advanced(cut.station),
            End::End => piece.frame_at(piece.length()).advanced(cut.station - piece.length()),
        };
        // On a bend a square cut stands on the plane through the bend's centre, not on its tangent.
        let frame = if cut.shape == Shape::Square { piece.frame_at(cut.station) } else { frame };
        let frame = frame.turned(cut.roll);
        match &cut.shape {
            Shape::Square => Cap::single(Surface::Plane(frame)),
            Shape::Plane { tilt } => {
                let (s, c) = sin_cos(*tilt);
                let normal = frame.along * c - frame.inside * s;
                Cap::single(Surface::Plane(Frame { along: normal, inside: frame.side(), ..frame }))
            }
            Shape::Saddle(saddle) => {
                let at = placed(&frame, saddle.at) + frame.at;
                let along = placed(&frame, saddle.along);
                let axis = Frame::upright(at, along).unwrap_or(frame);
                let mut cap = Cap::single(Surface::round(axis, saddle.radius, saddle.slope));
                // Equal tubes meet in ellipses that change at the corners.
                cap.clocks = [0.0, 1.0].map(|depth| piece.kinks(end, depth));
                cap
            }
            Shape::Leg(leg) => Cap::leg(piece, end, &frame, leg),
            Shape::Scallop(scallop) => Cap::scallop(piece, cut, &frame, scallop),
        }
    }

    /// The surface on which the bore's edge (0) or the outside's (1) lies at `clock`.
    pub fn surface_at(&self, side: usize, clock: f64) -> Option<&Surface> {
        let holds = |part: &Part| match part {
            Part::Outside(rim) => side == 1 && rim.holds(clock),
            Part::Bore(rim) => side == 0 && rim.holds(clock),
            Part::Out(_) | Part::In(_) => false,
        };
        self.patches.iter().find(|p| p.loops.iter().flatten().any(holds)).map(|p| &p.surface)
    }

    fn single(surface: Surface) -> Cap {
        let loops = vec![vec![Part::Outside(Rim::Whole)], vec![Part::Bore(Rim::Whole)]];
        Cap {
            patches: vec![Patch { surface, loops }],
            throughs: Vec::new(),
            clocks: [Vec::new(), Vec::new()],
        }
    }

    /// Patches that follow each other around, each from its corner to the next one's; the corners at the
    /// bore and at the outside.
    fn around(surfaces: Vec<Surface>, corners: &[[f64; 2]]) -> Cap {
        let count = surfaces.len();
        let through = |i: usize| Through {
            from: Foot::Bore(corners[i][0]),
            to: Foot::Outside(corners[i][1]),
            surfaces: [surfaces[(i + count - 1) % count], surfaces[i]],
        };
        let patch = |i: usize| {
            let next = (i + 1) % count;
            let [bore, outside] = [0, 1].map(|side| Rim::Arc(corners[i][side], corners[next][side]));
            let edges = vec![Part::Outside(outside), Part::In(next), Part::Bore(bore), Part::Out(i)];
            Patch { surface: surfaces[i], loops: vec![edges] }
        };
        Cap {
            patches: (0..count).map(patch).collect(),
            throughs: (0..count).map(through).collect(),
            clocks: [0, 1].map(|side| corners.iter().map(|c| c[side]).collect()),
        }
    }

    /// A merge's leg: the outlet in front, and the planes midway to the neighbours, which contain the
    /// merge's axis. `frame` stands at the apex, its clock 0 outward.
    fn leg(piece: &Piece, end: End, frame: &Frame, leg: &LegCut) -> Cap {
        let cluster = leg.cluster;
        let (s, c) = sin_cos(cluster.convergence);
        let axis = frame.along * c + frame.inside * s;
        let outward = frame.inside * c - frame.along * s;
        let (half_sin, half_cos) = sin_cos(cluster.half_sector());
        let bisector = |sign: f64| {
            let normal = frame.side() * (sign * half_cos) - outward * half_sin;
            Surface::Plane(Frame { at: frame.at, along: normal, inside: axis })
        };
        let outlet = match leg.outlet {
            Outlet::Sawn(z) => {
                Surface::Plane(Frame { at: frame.at + axis * z, along: axis, inside: outward })
            }
            Outlet::Round { from, radius, slope } => {
                let mouth = Frame { at: frame.at + axis * from, along: axis, inside: outward };
                Surface::round(mouth, radius, slope)
            }
        };
        let roll = piece.cut(end).roll;
        let seams = [0.0, 1.0].map(|depth| leg.seam(piece.line(0.0, depth).rho));
        let clock = |phi: f64| wrap_turn(roll + phi);
        let [first, last] = [-1.0, 1.0].map(|sign| seams.map(|seam| clock(sign * seam.0)));
        let [inner, outer] = seams.map(|(begin, end)| begin < end);
        let bisectors = [bisector(1.0), bisector(-1.0)];
        let tip = match leg.outlet {
            Outlet::Sawn(z) => frame.at + axis * z,
            Outlet::Round { from, .. } => frame.at + axis * from,
        };
        if let Outlet::Round { from, radius, slope } = leg.outlet
            && seams[0].0 > FRAC_PI_2 - STEP_ASIDE
        {
            // Where outlet and bisector meet on the plane through the leg's axis.
            let k = half_cos * c / s;
            let reach = (radius - slope * from) / (1.0 + slope * k);
            let valley = frame.at + (outward * half_cos - axis * k) * reach;
            let forks = [-1.0, 1.0].map(|sign| valley + frame.side() * (sign * half_sin * reach));
            let middle = Surface::Plane(Frame { along: frame.inside, inside: frame.along, ..*frame });
            let surfaces = [outlet, middle, bisectors[0], bisectors[1]];
            let outside = [first[1], last[1], clock(PI)];
            let (low, high) = (-FRAC_PI_2, FRAC_PI_2);
            let bore = [low - STEP_ASIDE, low, high, high + STEP_ASIDE].map(clock);
            return Cap::beside(surfaces, outside, bore, forks, cluster.legs > 2);
        }
        match (inner, outer, cluster.legs) {
            (false, false, _) => Cap::single(outlet),
            (true, _, 2) => Cap::around(vec![outlet, bisectors[0]], &[first, last]),
            (true, _, _) if seams[0].1 < PI => {
                let cut = [-seams[0].1, seams[0].1].map(clock);
                Cap::tipped(outlet, bisectors, [first, last], cut, clock(PI), tip)
            }
            (true, _, _) => {
                Cap::around(vec![outlet, bisectors[0], bisectors[1]], &[first, last, [clock(PI); 2]])
            }
            (false, _, legs) => {
                Cap::deep(outlet, bisectors, [first[1], last[1], clock(PI)], (legs > 2).then_some(tip))
            }
        }
    }

    /// A leg whose bore reaches past where the outlet's wall begins, so that its wall ends on the plane
    /// through the leg's axis between the outlet and the bisectors: `surfaces` are the outlet, that
    /// plane, and the two bisectors; the bore's edge runs along the wall at the steps `bore` makes.
    fn beside(
        [outlet, middle, lower, upper]: [Surface; 4],
        [first, last, back]: [f64; 3],
        bore: [f64; 4],
        forks: [DVec3; 2],
        several: bool,
    ) -> Cap {
        let through = |from: Foot, to: Foot, surfaces: [Surface; 2]| Through { from, to, surfaces };
        let [before, after] = forks.map(Foot::Within);
        let mut throughs = vec![
            through(Foot::Bore(bore[0]), before, [upper, middle]),
            through(Foot::Bore(bore[1]), before, [middle, outlet]),
            through(before, Foot::Outside(first), [upper, outlet]),
            through(Foot::Bore(bore[2]), after, [outlet, middle]),
            through(Foot::Bore(bore[3]), after, [middle, lower]),
            through(after, Foot::Outside(last), [outlet, lower]),
        ];
        let outside = |from: f64, to: f64| Part::Outside(Rim::Arc(from, to));
        let inside = |from: f64, to: f64| Part::Bore(Rim::Arc(from, to));
        let patch = |surface: Surface, edges: Vec<Part>| Patch { surface, loops: vec![edges] };
        let (out, inward) = (Part::Out, Part::In);
        let front =
            vec![outside(first, last), inward(5), inward(3), inside(bore[1], bore[2]), out(1), out(2)];
        let mut patches = vec![
            patch(outlet, front),
            patch(middle, vec![inside(bore[0], bore[1]), out(0), inward(1)]),
            patch(middle, vec![inside(bore[2], bore[3]), out(3), inward(4)]),
        ];
        let mut clocks = [bore.to_vec(), vec![first, last]];
        if several {
            throughs.push(through(Foot::Bore(back), Foot::Outside(back), [lower, upper]));
            clocks.iter_mut().for_each(|c| c.push(back));
            let low = vec![outside(last, back), inward(6), inside(bore[3], back), out(4), out(5)];
            let high = vec![outside(back, first), inward(2), inward(0), inside(back, bore[0]), out(6)];
            patches.extend([patch(lower, low), patch(upper, high)]);
        } else {
            let behind =
                vec![outside(last, first), inward(2), inward(0), inside(bore[3], bore[0]), out(4), out(5)];
            patches.push(patch(lower, behind));
        }
        Cap { patches, throughs, clocks }
    }

    /// A leg sawn between the spikes of outside and bore: the saw also takes the bore's tip, from `cut.1`
    /// to `cut.0` over the back, as deep into the wall as the point `tip`.
    fn tipped(
        outlet: Surface,
        bisectors: [Surface; 2],
        [first, last]: [[f64; 2]; 2],
        cut: [f64; 2],
        back: f64,
        tip: DVec3,
    ) -> Cap {
        let through = |from: Foot, to: Foot, surfaces: [Surface; 2]| Through { from, to, surfaces };
        let ring = |ends: [f64; 2], surfaces| through(Foot::Bore(ends[0]), Foot::Outside(ends[1]), surfaces);
        let within = Foot::Within(tip);
        let throughs = vec![
            ring(first, [bisectors[1], outlet]),
            ring(last, [outlet, bisectors[0]]),
            through(within, Foot::Outside(back), bisectors),
            through(Foot::Bore(cut[1]), within, [bisectors[0], outlet]),
            through(Foot::Bore(cut[0]), within, [outlet, bisectors[1]]),
        ];
        let outside = |from: f64, to: f64| Part::Outside(Rim::Arc(from, to));
        let bore = |from: f64, to: f64| Part::Bore(Rim::Arc(from, to));
        let patch = |surface: Surface, edges: Vec<Part>| Patch { surface, loops: vec![edges] };
        let (out, inward) = (Part::Out, Part::In);
        let front = vec![outside(first[1], last[1]), inward(1), bore(first[0], last[0]), out(0)];
        let lower = vec![outside(last[1], back), inward(2), inward(3), bore(last[0], cut[1]), out(1)];
        let upper = vec![outside(back, first[1]), inward(0), bore(cut[0], first[0]), out(4), out(2)];
        let patches = vec![
            patch(outlet, front),
            patch(bisectors[0], lower),
            patch(bisectors[1], upper),
            patch(outlet, vec![inward(4), bore(cut[1], cut[0]), out(3)]),
        ];
        let clocks = [vec![first[0], last[0], cut[0], cut[1]], vec![first[1], last[1], back]];
        Cap { patches, throughs, clocks }
    }

    /// A leg sawn so far up that the neighbours cut only into its wall, at the outside from `last` over
    /// `back` to `first`; their planes and the saw's meet at the tip. Two legs share one plane, and have
    /// no tip.
    fn deep(
        outlet: Surface,
        bisectors: [Surface; 2],
        [first, last, back]: [f64; 3],
        tip: Option<DVec3>,
    ) -> Cap {
        let bore = vec![Part::Bore(Rim::Whole)];
        let front = Part::Outside(Rim::Arc(first, last));
        let patch = |surface: Surface, edges: Vec<Part>| Patch { surface, loops: vec![edges] };
        let (throughs, edges, mut patches, clocks) = match tip {
            None => {
                let from = Foot::Outside(last);
                let across = Through { from, to: Foot::Outside(first), surfaces: [outlet, bisectors[0]] };
                let behind = vec![Part::Outside(Rim::Arc(last, first)), Part::In(0)];
                (
                    vec![across],
                    vec![front, Part::Out(0)],
                    vec![patch(bisectors[0], behind)],
                    vec![first, last],
                )
            }
            Some(tip) => {
                let from = Foot::Within(tip);
                let spoke =
                    |to: f64, surfaces: [Surface; 2]| Through { from, to: Foot::Outside(to), surfaces };
                let throughs = vec![
                    spoke(first, [bisectors[1], outlet]),
                    spoke(last, [outlet, bisectors[0]]),
                    spoke(back, bisectors),
                ];
                let lower = vec![Part::Outside(Rim::Arc(last, back)), Part::In(2), Part::Out(1)];
                let upper = vec![Part::Outside(Rim::Arc(back, first)), Part::In(0), Part::Out(2)];
                let patches = vec![patch(bisectors[0], lower), patch(bisectors[1], upper)];
                (throughs, vec![front, Part::In(1), Part::Out(0)], patches, vec![first, last, back])
            }
        };
        patches.push(Patch { surface: outlet, loops: vec![edges, bore] });
        Cap { patches, throughs, clocks: [Vec::new(), clocks] }
    }

    /// A fitted outlet: the bores of the legs, and in the valleys, where its wall passes outside a bore,
    /// the planes through the legs' axes. `frame` stands at the apex, its clock 0 at leg 1.
    fn scallop(piece: &Piece, cut: &Cut, frame: &Frame, scallop: &ScallopCut) -> Cap {
        let cluster = scallop.cluster;
        let half = cluster.half_sector();
        let (s, c) = sin_cos(cluster.convergence);
        let axis = |leg: usize| {
            let outward = frame.outward(2.0 * half * leg as f64);
            let along = frame.along * c - outward * s;
            Frame { at: frame.at, along, inside: outward * c + frame.along * s }
        };
        let bores: Vec<Surface> = (0..cluster.legs)
            .map(|leg| Surface::Cylinder { frame: axis(leg), radius: cluster.inner })
            .collect();
        let clock = |azimuth: f64| wrap_turn(cut.roll + azimuth);
        let valleys: Vec<f64> = (0..cluster.legs).map(|leg| clock(half * (2.0 * leg as f64 - 1.0))).collect();
        let passes = [0.0, 1.0].map(|depth| {
            let line = piece.line(0.0, depth);
            line.slope == 0.0 && line.rho * sin(half) > cluster.inner * (1.0 + 1e-12)
        });
        if !passes[1] {
            let corners: Vec<[f64; 2]> = valleys.iter().map(|v| [*v; 2]).collect();
            return Cap::around(bores, &corners);
        }
        let planes: Vec<Surface> = (0..cluster.legs)
            .map(|leg| {
                let Frame { at, along, inside } = axis(leg);
                Surface::Plane(Frame { at, along: inside, inside: along })
            })
            .collect();
        let grazes = [0.0, 1.0].map(|depth| {
            let reach = asin((cluster.inner / piece.line(0.0, depth).rho).min(1.0));
            let graze = |leg: usize, sign: f64| clock(2.0 * half * leg as f64 + sign * reach);
            (0..cluster.legs).map(|leg| [-1.0, 1.0].map(|sign| graze(leg, sign))).collect::<Vec<_>>()
        });
        if passes[0] {
            let mut surfaces = Vec::new();
            let mut corners = Vec::new();
            for leg in 0..cluster.legs {
                surfaces.extend([planes[leg], bores[leg], planes[leg]]);
                let [low, high] = [0, 1].map(|i| [grazes[0][leg][i], grazes[1][leg][i]]);
                corners.extend([[valleys[leg]; 2], low, high]);
            }
            return Cap::around(surfaces, &corners);
        }
        // The bore's edge stays within the legs' bores, and in the wall each valley forks.
        let fork = cluster.inner / sin(half);
        let fork = |leg: usize| {
            let azimuth = half * (2.0 * leg as f64 - 1.0);
            Foot::Within(frame.point(-fork * cos(half) * c / s, azimuth, fork))
        };
        Cap::forked(&bores, &planes, &valleys, &grazes[1], fork)
    }

    /// The end of an outlet whose valleys fork within its wall: four edges through the wall for each leg.
    fn forked(
        bores: &[Surface],
        planes: &[Surface],
        valleys: &[f64],
        grazes: &[[f64; 2]],
        fork: impl Fn(usize) -> Foot,
    ) -> Cap {
        let count = bores.len();
        let mut cap =
            Cap { patches: Vec::new(), throughs: Vec::new(), clocks: [valleys.to_vec(), Vec::new()] };
        for leg in 0..count {
            let (before, next) = ((leg + count - 1) % count, (leg + 1) % count);
            let [low, high] = grazes[leg];
            let through = |from: Foot, to: Foot, surfaces: [Surface; 2]| Through { from, to, surfaces };
            cap.throughs.extend([
                through(Foot::Bore(valleys[leg]), fork(leg), [bores[before], bores[leg]]),
                through(fork(leg), Foot::Outside(valleys[leg]), [planes[before], planes[leg]]),
                through(fork(leg), Foot::Outside(low), [planes[leg], bores[leg]]),
                through(fork(next), Foot::Outside(high), [bores[leg], planes[leg]]),
            ]);
            let [inner, valley, left, right] = [0, 1, 2, 3].map(|i| 4 * leg + i);
            let [next_inner, next_valley] = [0, 1].map(|i| 4 * next + i);
            let outside = |from: f64, to: f64| Part::Outside(Rim::Arc(from, to));
            let mut patch = |surface: Surface, edges: Vec<Part>| {
                cap.patches.push(Patch { surface, loops: vec![edges] });
            };
            patch(planes[leg], vec![outside(valleys[leg], low), Part::In(left), Part::Out(valley)]);
            let bore = Part::Bore(Rim::Arc(valleys[leg], valleys[next]));
            patch(
                bores[leg],
                vec![
                    outside(low, high),
                    Part::In(right),
                    Part::In(next_inner),
                    bore,
                    Part::Out(inner),
                    Part::Out(left),
                ],
            );
            patch(planes[leg], vec![outside(high, valleys[next]), Part::In(next_valley), Part::Out(right)]);
            cap.clocks[1].extend([valleys[leg], low, high]);
        }
        cap
    }
}

impl Rim {
    fn holds(self, clock: f64) -> bool {
        match self {
            Rim::Whole => true,
            Rim::Arc(from, to) => wrap_turn(clock - from) <= wrap_turn(to - from),
        }
    }
}

/// Clock between the two vertices of an edge that runs along the wall, rad: below what outside kernels
/// tell apart, on any bore.
const STEP_ASIDE: f64 = 3e-9;

/// A vector of a frame's own coordinates (x at clock 0, z along) in space.
fn placed(frame: &Frame, v: DVec3) -> DVec3 {
    frame.inside * v.x + frame.side() * v.y + frame.along * v.z
}
