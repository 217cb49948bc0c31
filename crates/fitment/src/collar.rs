//! Cutting collars: a sleeve for every end that is not cut square, instead of a paper template.

use geom::{DMat3, DVec3, Frame};
use layout::Layout;
use layout::layout::{Make, Part};
use solids::{Mesh, MeshFault};
use spec::{Finding, Level};
use tube::{Centreline, End};

use crate::fault::Fault;
use crate::figures::{Figures, Surface, Way};
use crate::fitment::Collar;
use crate::placement::Placement;
use crate::settings::Settings;
use crate::sleeve::{LEAST_LENGTH, Share, Sleeve};
use crate::store::Store;
use crate::unite::combined;

/// The collars of a header, and what was noticed about them.
#[derive(Clone, Debug, Default)]
pub struct Collars {
    /// The collars, piece by piece, start before end; placed nowhere yet.
    pub collars: Vec<Collar>,
    /// Ends that have none, with the length that is missing.
    pub findings: Vec<Finding>,
}

/// A collar for every end of a piece that is not cut square; mitres that are cut alike share one, and parts that are
/// bought whole have none.
///
/// Errors: a solid that came out wrong, for each collar.
pub fn collars(layout: &Layout, settings: &Settings, store: &dyn Store) -> Result<Collars, Vec<Fault>> {
    let (mut all, mut faults) = (Collars::default(), Vec::new());
    for (index, part) in layout.pieces.iter().enumerate() {
        for end in [End::Start, End::End] {
            let square = part.piece.cut(end).kind() == "square";
            if square || matches!(part.make, Make::Whole(_)) || layout.mitres_like(index, end) == Some(0) {
                continue;
            }
            let sleeve = Sleeve::new(&part.piece, end, &settings.printer);
            if let Some(missing) = sleeve.missing().filter(|_| !goes_on(part)) {
                all.findings.push(too_short(part, end, missing));
                continue;
            }
            let shares: &[Share] =
                if slides_on(part, end) { &[Share::Whole] } else { &[Share::Near, Share::Far] };
            for share in shares {
                match collar(part, &sleeve, *share, settings, store) {
                    Ok(collar) => all.collars.push(collar),
                    Err(fault) => {
                        let what = format!("collar {} {}", part.mark, name(end));
                        faults.push(Fault::Mesh { what, fault });
                    }
                }
            }
        }
    }
    if faults.is_empty() { Ok(all) } else { Err(faults) }
}

/// Whether a piece is sawn from straight tube that goes on beyond it: then its collar may be longer than it is, and is
/// used before the other end is sawn.
fn goes_on(part: &Part) -> bool {
    matches!(part.make, Make::Straight | Make::Segment) && part.piece.forms == [None; 2]
}

/// Whether a collar can be slid on from the end that it marks: not where a bought bend goes on beyond the cut.
pub fn slides_on(part: &Part, end: End) -> bool {
    match &part.make {
        Make::Bought(cutting) => cutting.kept == end || !cutting.cut_in_arc,
        _ => true,
    }
}

/// One collar, its figures sunk into it.
fn collar(
    part: &Part,
    sleeve: &Sleeve,
    share: Share,
    settings: &Settings,
    store: &dyn Store,
) -> Result<Collar, MeshFault> {
    let half = match share {
        Share::Whole => (1, 1),
        Share::Near => (1, 2),
        Share::Far => (2, 2),
    };
    let mut text = format!("{} {}^", part.mark, name(sleeve.end));
    if share != Share::Whole {
        text += &format!("{}/{}", half.0, half.1);
    }
    let plain = sleeve.mesh(share, settings.chord)?;
    let cutter = figures(&text, sleeve, share, settings.printer.nozzle)?;
    Ok(Collar {
        piece: part.mark.clone(),
        end: name(sleeve.end).to_owned(),
        half,
        mesh: combined(&[&plain], &[&cutter], store)?,
        reach: sleeve.edge(0.0),
        downstream: sleeve.end == End::End,
        placement: Placement { turn: DMat3::IDENTITY, by: DVec3::ZERO },
        plate: 0,
    })
}

/// Text around the sleeve at half its least length, its top downstream, smaller where it would not fit.
fn figures(text: &str, sleeve: &Sleeve, share: Share, nozzle: f64) -> Result<Mesh, MeshFault> {
    let height = 0.5 * LEAST_LENGTH;
    let radius = sleeve.outside(height);
    let (clock, round) = match share {
        Share::Whole => (std::f64::consts::PI, std::f64::consts::TAU),
        Share::Near => (0.0, std::f64::consts::PI),
        Share::Far => (std::f64::consts::PI, std::f64::consts::PI),
    };
    let figures = Figures::new(text, nozzle);
    let fits = (round * radius - CLEAR) / figures.size()[0];
    let figures = Figures { height: figures.height * fits.min(1.0), ..figures };
    let (at, along) = match sleeve.end {
        End::End => (DVec3::ZERO, DVec3::Z),
        End::Start => (DVec3::Z * LEAST_LENGTH, -DVec3::Z),
    };
    let frame = Frame { at, along, inside: DVec3::X };
    let line = Centreline::straight(frame, LEAST_LENGTH);
    figures.sunk(&Surface::Tube { line, station: height, clock, radius, way: Way::Around })
}

fn too_short(part: &Part, end: End, missing: f64) -> Finding {
    Finding {
        level: Level::Note,
        code: "no-collar",
        place: part.mark.clone(),
        message: format!(
            "the {} has no cutting collar: the straight there is {missing:.1} mm too short for a sleeve of \
             {LEAST_LENGTH:.0} mm beyond the cut; use the paper template",
            name(end)
        ),
        value: Some(missing),
        limit: Some(0.0),
    }
}

fn name(end: End) -> &'static str {
    match end {
        End::Start => "start",
        End::End => "end",
    }
}

/// Room that text leaves around a sleeve, mm.
const CLEAR: f64 = 6.0;
