//! Templates of holes: where they stand on their host, which edge is the one to cut to, and that they fit
//! the paper.

mod bench;

use bench::bench;
use geom::angle::from_degrees;
use geom::unit::Units;
use layout::Layout;
use layout::layout::{Make, Part};
use sheets::canvas::Ink;
use sheets::hole_template::{Stand, Stroke, on_raw_tube, strokes, template};
use sheets::wrap::{Template, Wrap, host_side, pens};
use sheets::{bend_sheet, templates};
use spec::Design;
use tube::{Centreline, Cut, End, Hole, Piece, Section};

/// A hole in the middle of the straight that `at` is on.
fn hole(part: &Part, at: f64, degrees: f64, part_of_bore: f64) -> Hole {
    let mut hole = Hole { station: 0.0, clock: 2.2, angle: from_degrees(degrees), offset: 0.0, radius: 1.0 }
        .piercing_at(&part.piece, at);
    hole.radius = part_of_bore * hole.largest_radius(&part.piece, 0.0);
    hole
}

/// The header with holes in a drawn tube, in a leg and in the cone.
fn holed() -> (Design, Layout) {
    let (design, mut layout) = bench();
    for part in &mut layout.pieces {
        let length = part.piece.length();
        let hole = match part.make {
            Make::Drawn(_) => {
                let (from, _) = part.piece.rows().rows.first().map_or((0.0, 0.0), |r| (r.feed, 0.0));
                hole(part, 0.5 * from, 90.0, 0.3)
            }
            // In a valley, where its scalloped start reaches furthest upstream.
            Make::Cone => Hole {
                clock: part.piece.extremes(End::Start, 1.0).longest.0,
                ..hole(part, length - 9.0, 80.0, 0.2)
            },
            _ => hole(part, 0.5 * length, 60.0, 0.3),
        };
        if hole.faults(&part.piece, &[0.0, 1.0]).is_empty() {
            part.piece.holes.push(hole);
        }
    }
    (design, layout)
}

#[test]
fn every_hole_has_a_template_and_stays_on_its_paper() {
    let (mut design, layout) = holed();
    let count: usize = layout.pieces.iter().map(|p| p.piece.holes.len()).sum();
    assert!(count >= 6, "{count}");
    let drawn = |part: &&Part| matches!(part.make, Make::Drawn(_)) && !part.piece.holes.is_empty();
    assert!(layout.pieces.iter().any(|p| drawn(&p)));
    assert!(layout.pieces.iter().any(|p| p.make == Make::Cone && !p.piece.holes.is_empty()));
    for units in [Units::Millimetre, Units::Inch] {
        design.units = units;
        let all = templates::all(&design, &layout);
        let holes: Vec<&Template> = all.iter().filter(|t| t.title.starts_with("hole")).collect();
        assert_eq!(holes.len(), count);
        for template in holes {
            for ink in &template.drawing.inks {
                let Ink::Line { points, pen } = ink else { continue };
                for [x, y] in points {
                    let inside = *x >= 0.0
                        && *y >= 0.0
                        && *x <= template.drawing.width
                        && *y <= template.drawing.height;
                    assert!(inside, "{}: {x} {y} {pen:?}", template.mark);
                }
            }
        }
    }
    let pdf = sheets::templates(&design, &layout).unwrap();
    if let Ok(path) = std::env::var("HOTSIDE_LOOK") {
        std::fs::write(path, pdf).unwrap();
    }
}

/// A branch of `od` on a part's hole, set on.
fn branch(host: &Part, od: f64) -> Part {
    let hole = host.piece.holes[0];
    let frame = hole.axis(&host.piece).turned(1.1);
    let section = Section { od, wall: 0.5 * od - hole.radius, alloy: host.piece.alloy() };
    let cut = hole.branch_cut(&host.piece, 1.0, 0.0, frame);
    let piece = Piece::tube(Centreline::straight(frame, 150.0), section, cut, Cut::square(150.0)).unwrap();
    Part { mark: "gate-1".to_owned(), piece, make: Make::Straight, ..host.clone() }
}

/// The saddle template of a branch, rolled onto it: the solid line lies on the host or outside it, and its
/// mark of the host's downstream side looks along the host.
#[test]
fn a_branch_has_a_saddle_template_that_fits_its_host() {
    let (design, mut layout) = bench();
    let outlet = layout.pieces.iter().position(|p| p.mark == "outlet-1").unwrap();
    let host = &mut layout.pieces[outlet];
    host.piece.holes.push(hole(host, 0.5 * host.piece.length(), 35.0, 0.7));
    let host = host.clone();
    let gate = branch(&host, 40.0);
    let side = host_side(&gate.piece, End::Start).unwrap();
    let along = gate.piece.frame_at(0.0).outward(side).dot(host.piece.frame_at(0.0).along);
    assert!((along - geom::math::sin(from_degrees(35.0))).abs() < 1e-12);
    let template = Template::wrap(&design, &gate, End::Start);
    assert_eq!(template.title, "start cut, saddle");
    let wrap = Wrap::of(&design, &gate.piece, End::Start);
    let lines = |pen| {
        let of_pen = move |ink: &&Ink| matches!(ink, Ink::Line { pen: own, .. } if *own == pen);
        let points = template.drawing.inks.iter().filter(of_pen);
        points.flat_map(|ink| if let Ink::Line { points, .. } = ink { points.clone() } else { Vec::new() })
    };
    let ring: Vec<[f64; 2]> = lines(pens::DATUM).collect();
    let radius = 0.5 * host.piece.od();
    let (mut touching, mut count) = (0, 0);
    for [x, y] in lines(pens::CUT) {
        let clock = std::f64::consts::TAU * (x - ring[0][0]) / wrap.circumference;
        let station = wrap.datum + ring[0][1] - y;
        let off = [0.0, 1.0].map(|depth| {
            let local = host.piece.frame_at(0.0).local_point(gate.piece.point(station, clock, depth));
            (local.x * local.x + local.y * local.y).sqrt() - radius
        });
        assert!(off[0].max(off[1]).abs() < 20.0 && off[0].min(off[1]) < 1e-6, "{off:?}");
        touching += usize::from(off[0].abs().min(off[1].abs()) < 1e-6);
        count += 1;
    }
    assert!(count > 100 && touching == count, "{touching} of {count}");
    layout.pieces.push(gate);
    if let Ok(path) = std::env::var("HOTSIDE_LOOK") {
        std::fs::write(path + ".branch.pdf", sheets::templates(&design, &layout).unwrap()).unwrap();
    }
}

/// Solid where an edge is inside the other, and each angle printed once.
#[test]
fn the_solid_line_is_the_inner_one_of_both_edges() {
    let (_, layout) = holed();
    for part in layout.pieces.iter().filter(|p| !p.piece.holes.is_empty()) {
        let (piece, hole) = (&part.piece, part.piece.holes[0]);
        for depth in [0.0, 1.0] {
            let own: Vec<Stroke> = strokes(piece, &hole).into_iter().filter(|s| s.depth == depth).collect();
            assert!(own.windows(2).all(|w| w[0].phis.1 == w[1].phis.0 && w[0].solid != w[1].solid));
            assert!((own[own.len() - 1].phis.1 - own[0].phis.0 - std::f64::consts::TAU).abs() < 1e-12);
            for stroke in own {
                for i in 1..20 {
                    let phi = stroke.phis.0 + (stroke.phis.1 - stroke.phis.0) * f64::from(i) / 20.0;
                    let (clock, station) = hole.edge(piece, phi, depth);
                    let clear = hole.clearance(piece, station, clock, 1.0 - depth);
                    assert!(
                        if stroke.solid { clear < 1e-6 } else { clear > -1e-6 },
                        "{}: {clear}",
                        part.mark
                    );
                }
            }
        }
    }
}

/// A square hole's edge outside spans less of the clock than the one at the bore: it is the solid one.
#[test]
fn of_a_square_hole_the_outside_edge_is_cut_to() {
    let (_, layout) = holed();
    let part =
        layout.pieces.iter().find(|p| matches!(p.make, Make::Drawn(_)) && !p.piece.holes.is_empty()).unwrap();
    let found = strokes(&part.piece, &part.piece.holes[0]);
    assert_eq!(found.iter().map(|s| (s.depth, s.solid)).collect::<Vec<_>>(), vec![(1.0, true), (0.0, false)]);
}

#[test]
fn the_ring_is_a_whole_number_from_where_it_is_measured() {
    let (design, layout) = holed();
    for part in layout.pieces.iter().filter(|p| !p.piece.holes.is_empty()) {
        let (piece, hole) = (&part.piece, part.piece.holes[0]);
        let stand = Stand::of(design.units, part, &hole);
        let ((first, _), _) = hole.extent(piece);
        assert!(stand.ring < first && stand.ring > first - 18.0, "{}", part.mark);
        let (end, mark) = stand.tape.or(stand.from_end).unwrap();
        assert!((mark - mark.round()).abs() < 1e-9, "{}: {mark} from {end:?}", part.mark);
        // The centre on the outside is where the branch's axis is, ring and tape mark apart.
        let centre = piece.point(stand.ring + stand.centre.1, stand.centre.0, 1.0);
        let axis = hole.axis(piece).local_point(centre);
        assert!(axis.x.abs() < 1e-9 && axis.y.abs() < 1e-9, "{axis}");
        if let Make::Drawn(drawing) = &part.make {
            // At the ends the raw tube is longer by its trims, and by nothing else.
            let start = on_raw_tube(piece, drawing, 0.0);
            let end = drawing.raw_length - on_raw_tube(piece, drawing, piece.length());
            assert!((start - drawing.trims[0] - part.shrinkage[0]).abs() < 1e-9, "{start}");
            assert!((end - drawing.trims[1] - part.shrinkage[1]).abs() < 1e-9, "{end}");
            assert!(
                (mark - bend_sheet::from_first_in(drawing, on_raw_tube(piece, drawing, stand.ring))).abs()
                    < 1e-9
            );
        } else {
            let from = if end == End::Start {
                stand.ring + part.shrinkage[0]
            } else {
                piece.length() - stand.ring + part.shrinkage[1]
            };
            assert!((from - mark).abs() < 1e-9);
        }
    }
}

/// The printed edge, rolled back onto the tube with its paper, is the hole's edge on the outside.
#[test]
fn the_printed_edge_rolls_back_onto_the_host() {
    let (design, layout) = holed();
    for (index, part) in layout.pieces.iter().enumerate() {
        if part.piece.holes.is_empty() || part.piece.section().is_none() {
            continue;
        }
        let (piece, hole) = (&part.piece, part.piece.holes[0]);
        let stand = Stand::of(design.units, part, &hole);
        let drawing = template(&design, &layout, index, 0).drawing;
        let lines = |pen| {
            let of_pen = move |ink: &Ink| matches!(ink, Ink::Line { pen: own, .. } if *own == pen);
            let points = drawing.inks.iter().filter(move |ink| of_pen(ink));
            points
                .flat_map(|ink| if let Ink::Line { points, .. } = ink { points.clone() } else { Vec::new() })
        };
        let ring: Vec<[f64; 2]> = lines(pens::DATUM).collect();
        let (left, right) = (ring[0], ring[ring.len() - 1]);
        let width = right[0] - left[0];
        let paper = 0.5 * design.shop.paper_thickness;
        assert!((width - std::f64::consts::TAU * (0.5 * piece.od() + paper)).abs() < 1e-9);
        let mut count = 0;
        for [x, y] in lines(pens::CUT) {
            let clock = stand.centre.0 + std::f64::consts::TAU * (x - 0.5 * (left[0] + right[0])) / width;
            let station = stand.ring + left[1] - y;
            let off = [0.0, 1.0].map(|depth| hole.clearance(piece, station, clock, depth));
            assert!(off[0].max(off[1]).abs() < 1e-6, "{}: {off:?}", part.mark);
            count += 1;
        }
        assert!(count > 50);
    }
}
