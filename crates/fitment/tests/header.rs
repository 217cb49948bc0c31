//! Strands and nodes against the kernel's pieces, of every shipped spec and fixture that lays out.

mod headers;

use std::f64::consts::TAU;

use fitment::{NodeKind, Side, Strand};
use geom::DVec3;
use headers::{Header, headers};
use layout::Layout;
use layout::flange_plate::PlateOf;
use layout::layout::{Owner, Part};
use plate::DVec2;
use solids::Mesh;
use spec::design::Way;
use tube::{Centreline, End, Piece, Segment, Span, WallLine};

/// How far a piece's outside may be from a strand's or a block's, mm.
const OFF: f64 = 0.02;

/// Every place of `line` abreast of which `point` stands: station, and distance from the axis, mm.
fn abreast(line: &Centreline, point: DVec3) -> Vec<(f64, f64)> {
    let mut places = Vec::new();
    let spans = line.spans();
    let mitre = |k: Option<usize>| k.and_then(|k| spans.get(k)).filter(|span| span.is_mitre());
    let past = |mitre: &Span, point: DVec3| {
        (point - mitre.frame.at).dot((mitre.frame.along + mitre.frame_at(0.0).along).normalize())
    };
    for (k, span) in spans.iter().enumerate() {
        let length = span.to - span.from;
        match span.segment {
            Segment::Straight { .. } => {
                let along = (point - span.frame.at).dot(span.frame.along);
                // What is cut to a mitre's plane reaches past the corner.
                let ahead = match mitre(k.checked_sub(1)) {
                    Some(mitre) => past(mitre, point) > -1e-6,
                    None => along >= -1e-6,
                };
                let behind = match mitre(Some(k + 1)) {
                    Some(mitre) => past(mitre, point) < 1e-6,
                    None => along <= length + 1e-6,
                };
                if ahead && behind {
                    places.push((span.from + along, span.frame_at(along).at.distance(point)));
                }
            }
            Segment::Arc { radius, .. } => {
                let local = span.frame.turned(span.plane).local_point(point);
                let along = radius * geom::math::atan2(local.z, radius - local.x).rem_euclid(TAU);
                if radius > 0.0 && along <= length + 1e-6 {
                    places.push((span.from + along, span.frame_at(along).at.distance(point)));
                }
            }
        }
    }
    places
}

/// How far `point` is outside a strand, mm; below 0 inside.
fn outside_strand(strand: &Strand, point: DVec3) -> f64 {
    let length = strand.line.length();
    let off = |(station, rho): (f64, f64)| {
        let radii = [Side::Upstream, Side::Downstream].map(|side| strand.outside.radius_at(station, side));
        let ends = strand.ends.iter().enumerate().map(|(end, cut)| {
            let station_there = if end == 0 { 0.0 } else { length };
            let frame = strand.line.frame_at(station_there);
            let clock = frame.clock_of(point - frame.at);
            let limit = cut.end_of(WallLine { clock, rho, slope: 0.0 });
            if end == 0 { limit - station } else { station - limit }
        });
        ends.fold(rho - radii[0].max(radii[1]), f64::max)
    };
    abreast(&strand.line, point).into_iter().map(off).fold(f64::INFINITY, f64::min)
}

/// Distance of a point from a triangle, mm (Ericson, "Real-Time Collision Detection", 5.1.5).
fn to_triangle(p: DVec3, [a, b, c]: [DVec3; 3]) -> f64 {
    let normal = (b - a).cross(c - a).normalize();
    let inside = |u: DVec3, v: DVec3| (v - u).cross(p - u).dot(normal) >= 0.0;
    if inside(a, b) && inside(b, c) && inside(c, a) {
        return (p - a).dot(normal).abs();
    }
    let edge = |u: DVec3, v: DVec3| {
        let share = ((p - u).dot(v - u) / (v - u).length_squared()).clamp(0.0, 1.0);
        (u + (v - u) * share).distance(p)
    };
    edge(a, b).min(edge(b, c)).min(edge(c, a))
}

fn off_mesh(mesh: &Mesh, point: DVec3) -> f64 {
    mesh.corners().map(|triangle| to_triangle(point, triangle)).fold(f64::INFINITY, f64::min)
}

/// Whether a point lies in a piece as if it were full, `by` mm within its outside or more.
fn in_piece(piece: &Piece, point: DVec3, by: f64) -> bool {
    let line = match &piece.body {
        tube::Body::Tube { centreline, .. } => centreline.clone(),
        tube::Body::Cone { frame, length, .. } => Centreline::straight(*frame, *length),
    };
    let length = line.length();
    abreast(&line, point).into_iter().any(|(station, rho)| {
        let inside = |end: End| {
            let frame = if end == End::Start { line.start } else { line.end() };
            let clock = frame.clock_of(point - frame.at);
            let limit = piece.cut(end).end_of(WallLine { clock, rho, slope: 0.0 });
            if end == End::Start { station > limit - 1e-6 } else { station < limit + 1e-6 }
        };
        let near = station.clamp(0.0, length);
        rho < piece.outer_radius(near) - by && inside(End::Start) && inside(End::End)
    })
}

/// Whether a point lies in a flange's plate.
fn in_plate(layout: &Layout, point: DVec3) -> bool {
    layout.plates.iter().filter(|plate| matches!(plate.of, PlateOf::Flange(_))).any(|plate| {
        let local = plate.frame.local_point(point);
        let is_on = |outline: &plate::Outline| outline.outer.contains(DVec2::new(local.x, local.y));
        local.z > plate.reach[0] - 1e-6
            && local.z < plate.reach[1] + 1e-6
            && plate.parts.iter().any(|part| is_on(&part.outline))
    })
}

/// Points all over the outside of a piece.
fn outside_points(part: &Part) -> Vec<(f64, f64, DVec3)> {
    let piece = &part.piece;
    let mut points = Vec::new();
    for clock in (0..16).map(|k| TAU * f64::from(k) / 16.0 + 0.1) {
        let [from, to] = [End::Start, End::End].map(|end| piece.edge(end, clock, 1.0));
        for share in [0.002, 0.02, 0.1, 0.3, 0.5, 0.77, 0.9, 0.98, 0.998] {
            let station = from + share * (to - from);
            points.push((station, clock, piece.point(station, clock, 1.0)));
        }
    }
    points
}

/// No piece's outside stands out of the strands and blocks, and where it lies in them it lies in another piece.
#[test]
fn the_outside_of_every_piece_is_a_strands_or_a_blocks() {
    let (mut looked, mut faults) = (0, Vec::new());
    for Header { name, layout, strands, nodes, .. } in &headers(0.02) {
        let blocks: Vec<_> = nodes.iter().flat_map(|node| &node.blocks).collect();
        for (index, part) in layout.pieces.iter().enumerate() {
            for (station, clock, point) in outside_points(part) {
                looked += 1;
                let off: Vec<f64> = strands.iter().map(|strand| outside_strand(strand, point)).collect();
                let least = off.iter().copied().fold(f64::INFINITY, f64::min);
                if least.abs() <= OFF {
                    continue;
                }
                let own = blocks.iter().filter(|block| block.mark == part.mark);
                let to_block = own.map(|block| off_mesh(&block.outside, point)).fold(f64::INFINITY, f64::min);
                if to_block <= OFF {
                    continue;
                }
                let others = layout.pieces.iter().enumerate().filter(|(other, _)| *other != index);
                let covered = others.map(|(_, other)| &other.piece).any(|piece| in_piece(piece, point, 1e-6));
                if covered && least < 0.0 || in_plate(layout, point) {
                    continue;
                }
                faults.push(format!(
                    "{name}: {} at {station:.2}, clock {clock:.2}: {least:.3} {to_block:.3}",
                    part.mark
                ));
            }
        }
    }
    assert!(looked > 10_000, "{looked}");
    assert!(faults.is_empty(), "{} of {looked}: {:#?}", faults.len(), &faults[..faults.len().min(60)]);
}

/// On its own strand the radius is the piece's own, or that of one around it.
#[test]
fn the_radius_is_that_of_the_outermost_piece() {
    let mut looked = 0;
    for Header { name, layout, strands, nodes, .. } in &headers(0.02) {
        for part in &layout.pieces {
            let Owner::Run(run) = part.owner else { continue };
            let strand = &strands[run];
            if matches!(&part.make, layout::layout::Make::Whole(w) if w.kind == layout::layout::WholeKind::Bung)
            {
                continue;
            }
            let of_run = |other: &&Part| other.owner == part.owner && other.order != part.order;
            for k in 1..40 {
                let own = part.piece.length() * f64::from(k) / 40.0 + 1e-3;
                let frame = part.piece.frame_at(own);
                let station = strand.line.station_of(frame);
                let radius = strand.outside.radius_at(station, Side::Downstream);
                let around = layout.pieces.iter().filter(of_run).any(|other| {
                    let middle = other.piece.frame_at(0.5 * other.piece.length());
                    let at = strand.line.station_of(middle);
                    let there = station - at + 0.5 * other.piece.length();
                    (0.0..=other.piece.length()).contains(&there)
                        && (other.piece.outer_radius(there) - radius).abs() < 1e-6
                });
                let is_own = (part.piece.outer_radius(own) - radius).abs() < 1e-6;
                let lies_inside = station < 1e-6 || station > strand.line.length() - 1e-6;
                let in_block =
                    nodes.iter().flat_map(|node| &node.blocks).any(|block| block.mark == part.mark);
                assert!(
                    is_own || around || lies_inside || in_block,
                    "{name}: {} at {own}: {radius}",
                    part.mark
                );
                assert!(strand.bore.radius_at(station, Side::Downstream) < radius, "{name}: {}", part.mark);
                looked += 1;
            }
        }
    }
    assert!(looked > 5_000, "{looked}");
}

/// Ascending keeps and joints within the strand; holds within their strands.
#[test]
fn what_stands_on_a_strand_stands_within_it() {
    for Header { name, strands, nodes, .. } in &headers(0.02) {
        for strand in strands {
            let length = strand.line.length();
            assert!(strand.outside.reach().0.abs() < 1e-6, "{name}: {}", strand.name);
            assert!((strand.outside.reach().1 - length).abs() < 1e-6, "{name}: {}", strand.name);
            assert!(
                strand.joints.windows(2).all(|j| j[0].station < j[1].station),
                "{name}: {:?}",
                strand.joints
            );
            for keep in &strand.keeps {
                let within = keep.from >= -1e-6 && keep.to <= length + 1e-6 && keep.from < keep.to;
                assert!(within, "{name}: {} {keep:?} of {length}", strand.name);
            }
        }
        for hold in nodes.iter().flat_map(|node| &node.holds) {
            assert!(hold.to - hold.from >= 0.5, "{name}: {hold:?}");
            assert!(hold.to <= strands[hold.strand].line.length() + 1e-9, "{name}: {hold:?}");
        }
    }
}

/// A leg fitted into its outlet ends, square, within what of the outlet is one part with it.
#[test]
fn fitted_legs_end_in_their_own_part() {
    let mut looked = 0;
    for Header { name, layout, strands, nodes, .. } in &headers(0.02) {
        for node in nodes {
            let NodeKind::Merge(index) = node.kind else { continue };
            let merge = &layout.merges[index];
            if merge.way == Way::Trimmed {
                continue;
            }
            let outlet = node.holds.iter().find(|hold| hold.strand == merge.outlet).unwrap();
            let until = strands[merge.outlet].line.frame_at(outlet.to);
            for leg in &merge.legs {
                let end = strands[leg.run].line.frame_at(strands[leg.run].line.length());
                let tip = |k: u32| end.at + end.outward(f64::from(k) * TAU / 360.0) * merge.cluster.outer;
                let over = (0..360).map(|k| (tip(k) - until.at).dot(until.along)).fold(f64::MIN, f64::max);
                assert!(over < 0.0, "{name}: {}: {over} mm beyond", node.name);
                looked += 1;
            }
        }
    }
    assert!(looked > 20, "{looked}");
}

/// A plate's block is the plate with its openings filled: its volume is that of its outline and theirs.
/// Half of an outlet's wall belongs to a merge's rim: what it is asked to be printed hollow by is the steel's.
#[test]
fn a_strands_wall_is_that_of_its_steel() {
    let wall = |part: &Part| part.piece.wall_at(End::Start).min(part.piece.wall_at(End::End));
    for Header { name, layout, strands, .. } in &headers(0.05) {
        let least = layout.pieces.iter().map(wall).fold(f64::INFINITY, f64::min);
        for strand in strands {
            let pieces = layout.runs[strand.run].pieces.iter().map(|piece| wall(&layout.pieces[*piece]));
            let own = pieces.fold(f64::INFINITY, f64::min);
            assert!(
                strand.wall > least - 1e-6 && strand.wall < own + 1e-6,
                "{name} {}: {}, not {own}",
                strand.name,
                strand.wall
            );
        }
    }
}

#[test]
fn plates_keep_their_bolt_holes_and_lose_their_openings() {
    let mut looked = 0;
    for Header { name, layout, nodes, .. } in &headers(0.02) {
        for node in nodes {
            let NodeKind::Flange(index, number) = node.kind else { continue };
            let plate = &layout.plates[index];
            let outline = &plate.parts[number].outline;
            let here = plate.openings.iter().filter(|o| o.run.is_some() && outline.outer.contains(o.centre));
            let filled: f64 = here.flat_map(|o| &o.cut).map(|cut| cut.area().abs()).sum();
            let exact = (outline.area() + filled) * plate.thickness();
            let volume = node.blocks[0].outside.volume();
            assert!((volume / exact - 1.0).abs() < 1e-3, "{name}: {}: {volume} {exact}", node.name);
            looked += 1;
        }
    }
    assert!(looked > 10, "{looked}");
}

/// What closes a hollow print at a trimmed merge is four lines of the nozzle, or the wall where that is thicker.
#[test]
fn floors_at_merges_are_as_the_nozzle_lays_them() {
    let all = headers::shared::designs_in(&["tests/fixtures"]).into_iter();
    let (name, mut design, layout) = all.into_iter().find(|(name, ..)| name == "trimmed-cone-4").unwrap();
    let merge = &layout.merges[0];
    let wall = layout.pieces[merge.legs[0].piece].piece.wall();
    let mut ends = |nozzle: f64| {
        design.shop.printer.nozzle = nozzle;
        let header = headers::of_layout(name.clone(), design.clone(), layout.clone(), 0.05);
        let leg = header.strands[merge.legs[0].run].bore.reach().1;
        (leg, header.strands[merge.outlet].bore.clone())
    };
    let (thin, _) = ends(0.05);
    for nozzle in [0.4, 0.6, 0.8] {
        let (leg, outlet) = ends(nozzle);
        let more = 4.0 * nozzle - wall;
        assert!(more > 0.0);
        assert!((thin - leg - more / geom::math::cos(merge.cluster.convergence)).abs() < 1e-9, "{nozzle}");
        let step = outlet.stations()[1];
        let own = outlet.radius_at(step, Side::Downstream) - outlet.radius_at(step, Side::Upstream);
        assert!(own > 4.0 * nozzle - 1.0, "{nozzle}: {own}");
    }
}

/// A branch that leans reaches further along inside its host than its edge on the wall: all of that stays in its part, and
/// there is room for a floor beyond.
#[test]
fn a_branch_begins_within_what_its_part_has_of_the_host() {
    let mut looked = 0;
    for Header { name, strands, nodes, .. } in &headers(0.05) {
        for node in nodes.iter().filter(|node| matches!(node.kind, NodeKind::Branch(_))) {
            let [host, own] = node.holds[..] else { continue };
            let (line, branch) = (&strands[host.strand].line, &strands[own.strand]);
            let radius = branch.outside.radius_at(0.0, Side::Downstream);
            for k in 0..72 {
                let point = branch.line.start.point(0.0, TAU * f64::from(k) / 72.0, radius);
                let near = abreast(line, point).into_iter().min_by(|a, b| a.1.total_cmp(&b.1));
                let Some((station, _)) = near else { continue };
                let within = [station - host.from, host.to - station];
                let ends = [host.from < 1e-6, host.to > line.length() - 1e-6];
                for (room, is_end) in within.into_iter().zip(ends) {
                    assert!(is_end || room > 2.99, "{name} {}: {station} {host:?}", node.name);
                    looked += 1;
                }
            }
        }
    }
    assert!(looked > 500, "{looked}");
}
