//! Branches and bungs on the laid pieces: their holes, the bungs' own pieces, and their welds.

use std::f64::consts::TAU;

use geom::Frame;
use geom::angle::wrap_turn;
use spec::Design;
use spec::design::From;
use tube::{Centreline, Cut, End, Piece, Section, Shape};

use crate::holes::Driller;
use crate::layout::{
    Branch, Bung, Fault, Joint, JointKind, Layout, Make, Merge, Owner, Part, Place, Run, Whole, WholeKind,
};
use crate::merges::MergeFrame;
use crate::run_lines::Line;
use crate::through::{Root, Through, host_name};

/// Everything that goes through a wall, with its axis: the design's branches, then the bungs of each run.
pub(crate) struct Roots {
    pub branches: Vec<(Through, Root)>,
    pub bungs: Vec<BungRoot>,
}

/// A bung's axis.
pub(crate) struct BungRoot {
    pub run: usize,
    pub bung: usize,
    pub through: Through,
    pub root: Root,
}

/// Finds every axis; what has none goes into `faults`. A branch's own fault is its run's, and told there.
pub(crate) fn roots(
    design: &Design,
    merges: &[MergeFrame],
    lines: &[Option<Line>],
    faults: &mut Vec<Fault>,
) -> Roots {
    let mut branches = Vec::new();
    for index in 0..design.branches.len() {
        let through = Through::branch(design, index);
        if let Ok(root) = through.root(design, merges, lines) {
            branches.push((through, root));
        }
    }
    let mut bungs = Vec::new();
    for (run, wanted) in design.runs.iter().enumerate().filter(|(run, _)| lines[*run].is_some()) {
        for place in &wanted.bungs {
            let through = Through::bung(design, run, place);
            match through.root(design, merges, lines) {
                Ok(root) => bungs.push(BungRoot { run, bung: place.bung, through, root }),
                Err(fault) => faults.push(fault),
            }
        }
    }
    Roots { branches, bungs }
}

/// Cuts every hole and makes every bung's piece; what cannot be goes into `faults`.
pub(crate) fn lay(
    design: &Design,
    roots: &Roots,
    (runs, merges): (&[Run], &[Merge]),
    pieces: &mut Vec<Part>,
    faults: &mut Vec<Fault>,
) -> (Vec<Branch>, Vec<Bung>) {
    let mut driller = Driller { design, runs, merges, pieces, outlines: Vec::new() };
    let (mut branches, mut bungs) = (Vec::new(), Vec::new());
    for (index, (through, root)) in roots.branches.iter().enumerate() {
        let laid =
            driller.drill(through, root).and_then(|place| branch(&driller, index, through, root, place));
        laid.map_or_else(|fault| faults.push(fault), |branch| branches.push(branch));
    }
    for BungRoot { run, bung, through, root } in &roots.bungs {
        let laid = driller.drill(through, root).and_then(|place| {
            let order = 1 + bungs.iter().filter(|b: &&Bung| b.run == *run).count();
            let part = part(design, (*run, order), *bung, (through, root), &driller.pieces[place.host])?;
            let face = part.piece.frame_at(part.piece.length()).at;
            driller.pieces.push(part);
            Ok(Bung { bung: *bung, run: *run, piece: driller.pieces.len() - 1, place, face })
        });
        laid.map_or_else(|fault| faults.push(fault), |bung| bungs.push(bung));
    }
    (branches, bungs)
}

/// A branch, after a look at the tube that begins at it.
fn branch(
    driller: &Driller,
    index: usize,
    through: &Through,
    root: &Root,
    place: Place,
) -> Result<Branch, Fault> {
    let design = driller.design;
    let run = design.runs.iter().position(|run| run.from == From::Branch(index));
    let first = run.and_then(|run| driller.runs[run].pieces.first());
    let is_fitted = first.is_some_and(|&i| matches!(driller.pieces[i].piece.start.shape, Shape::Saddle(_)));
    let Some(run) = run.filter(|_| is_fitted) else {
        let message =
            "the run that begins at it begins with a fitting, which cannot be fitted to a wall".into();
        return Err(through.fault("", "no-stub", message, "let it begin with a straight of its own tube"));
    };
    let own = 0.5 * TAU * through.radii[1] * through.radii[1];
    Ok(Branch {
        name: design.branches[index].name.clone(),
        on: host_name(design, through.on),
        run,
        place,
        bores: [own, root.host_bore()],
    })
}

/// A bung as a part of its run: a straight tube fitted to its host at its foot.
fn part(
    design: &Design,
    (run, order): (usize, usize),
    bung: usize,
    (through, root): (&Through, &Root),
    host: &Part,
) -> Result<Part, Fault> {
    let wanted = &design.bungs[bung];
    let section = Section {
        od: wanted.od,
        wall: 0.5 * (wanted.od - wanted.bore),
        alloy: wanted.alloy.unwrap_or(host.piece.alloy()),
    };
    let piece = bung_piece(root, section, wanted.height).ok_or_else(|| {
        let message = format!("a height of {:.2} mm leaves no metal above the wall", wanted.height);
        through.fault(".bung", "bung-too-low", message, "use a higher bung")
    })?;
    Ok(Part {
        mark: format!("{}-B{order}", design.runs[run].name),
        owner: Owner::Run(run),
        order,
        piece,
        make: Make::Whole(Whole { kind: WholeKind::Bung, name: wanted.name.clone(), mass: wanted.mass }),
        shrinkage: [0.0; 2],
    })
}

/// A tube of `height` mm from the longest point of its foot to its face; `None` where nothing is left.
fn bung_piece(root: &Root, section: Section, height: f64) -> Option<Piece> {
    let frame = Frame::upright(root.frame.at, root.frame.along)?;
    let of_length = |length: f64| {
        let line = Centreline::straight(frame, length);
        Piece::tube(line, section, root.start_cut(frame), Cut::square(length))
    };
    // The foot's long point lies below the point where the axis pierces the outside: by how much tells
    // a first try, long enough for any.
    let reach = 100.0 * (section.od + height);
    let below = of_length(reach)?.length() - reach;
    let piece = of_length(height - below).filter(|_| height > below)?;
    piece.crossing().is_none().then_some(piece)
}

/// The welds of branches and bungs around their feet.
pub(crate) fn joints(layout: &Layout) -> Vec<Joint> {
    layout.places().map(|(place, foot)| saddle(layout, place, foot)).collect()
}

/// The weld around a foot. Its clocks meet on the side toward the host's travel.
fn saddle(layout: &Layout, place: &Place, foot: usize) -> Joint {
    let (host, piece) = (&layout.pieces[place.host].piece, &layout.pieces[foot].piece);
    let ahead = place.frame.inside;
    let clock_b = piece.frame_at(0.0).clock_of(ahead);
    let meets = piece.edge_point(End::Start, clock_b, 1.0);
    let pierced = host.frame_at(place.station(host));
    Joint {
        mark: String::new(),
        kind: JointKind::Saddle,
        a: place.host,
        a_end: End::End,
        b: foot,
        b_end: End::Start,
        at: place.frame.at,
        clock_a: wrap_turn(pierced.clock_of(meets - pierced.at)),
        clock_b: wrap_turn(clock_b),
        weld_length: piece.edge_length(End::Start, 0.0, TAU),
        overlap: 0.0,
    }
}
