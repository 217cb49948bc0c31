//! Fittings in the report.

use layout::Layout;
use layout::fitting::{Fit, Fitting, Movement, Slide, Stages};
use serde::Serialize;
use spec::Design;
use spec::design::{CouplingKind, FittingPart};
use tube::Tolerance;

use super::number::Num;

/// A fitting on a run.
#[derive(Debug, Serialize)]
pub struct FittingRow<'a> {
    name: &'a str,
    kind: &'static str,
    run: &'a str,
    from: Num,
    to: Num,
    pieces: Vec<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    movement: Option<MovementRow>,
    #[serde(skip_serializing_if = "Option::is_none")]
    allowed: Option<Allowed>,
    #[serde(skip_serializing_if = "Option::is_none")]
    slide: Option<SlideRow>,
    #[serde(skip_serializing_if = "Option::is_none")]
    gasket: Option<Num>,
    #[serde(skip_serializing_if = "Option::is_none")]
    bolts: Option<usize>,
}

/// What heat asks: degrees C and mm.
#[derive(Debug, Serialize)]
struct MovementRow {
    hot: Num,
    assumed: bool,
    axial: Num,
    lateral: Num,
}

/// What a bellows allows: mm and degrees.
#[derive(Debug, Serialize)]
struct Allowed {
    axial: Num,
    lateral: Num,
    angular: Num,
}

#[derive(Debug, Serialize)]
struct SlideRow {
    double: bool,
    insertion: StagesRow,
    room: StagesRow,
    least_insertion: Num,
    socket: Num,
    tabs: usize,
    fits: Vec<FitRow>,
}

#[derive(Debug, Serialize)]
struct StagesRow {
    cold: Num,
    assembly: Num,
    hot: Num,
}

#[derive(Debug, Serialize)]
struct FitRow {
    what: &'static str,
    slides: bool,
    nominal: Num,
    smallest: Num,
    largest: Num,
    inner_tolerance: &'static str,
    outer_tolerance: &'static str,
}

impl<'a> FittingRow<'a> {
    /// A fitting of a layout.
    pub fn of(fitting: &'a Fitting, design: &'a Design, layout: &'a Layout) -> FittingRow<'a> {
        let coupling = match fitting.part {
            FittingPart::Coupling(coupling) => Some(&design.couplings[coupling]),
            _ => None,
        };
        let bellows = match fitting.part {
            FittingPart::Bellows(bellows) => Some(&design.bellows[bellows]),
            _ => None,
        };
        FittingRow {
            name: &fitting.name,
            kind: kind(design, fitting.part),
            run: &layout.runs[fitting.run].name,
            from: Num(fitting.from),
            to: Num(fitting.to),
            pieces: fitting.pieces.iter().map(|&piece| layout.pieces[piece].mark.as_str()).collect(),
            movement: fitting.movement.as_ref().map(MovementRow::of),
            allowed: bellows.map(|b| Allowed {
                axial: Num(b.axial),
                lateral: Num(b.lateral),
                angular: Num::degrees(b.angular),
            }),
            slide: fitting.slide.as_ref().map(|slide| SlideRow::of(slide, fitting.part, design)),
            gasket: coupling.map(|c| Num(c.gasket)),
            bolts: coupling.and_then(|c| match c.kind {
                CouplingKind::VBand => None,
                CouplingKind::Flanged { bolts, .. } => Some(bolts),
            }),
        }
    }
}

fn kind(design: &Design, part: FittingPart) -> &'static str {
    match part {
        FittingPart::Slip(_) => "slip",
        FittingPart::Bellows(_) => "bellows",
        FittingPart::Coupling(coupling) => match design.couplings[coupling].kind {
            CouplingKind::VBand => "vband",
            CouplingKind::Flanged { .. } => "flanged",
        },
    }
}

impl MovementRow {
    fn of(movement: &Movement) -> MovementRow {
        MovementRow {
            hot: Num(movement.hot),
            assumed: movement.assumed,
            axial: Num(movement.axial),
            lateral: Num(movement.lateral),
        }
    }
}

impl SlideRow {
    fn of(slide: &Slide, part: FittingPart, design: &Design) -> SlideRow {
        let slip = match part {
            FittingPart::Slip(slip) => Some(&design.slips[slip]),
            _ => None,
        };
        SlideRow {
            double: slip.is_some_and(|slip| slip.inner.is_some()),
            insertion: StagesRow::of(slide.insertion),
            room: StagesRow::of(slide.room),
            least_insertion: Num(slide.least),
            socket: Num(slip.map_or(0.0, |slip| slip.socket)),
            tabs: slip.map_or(0, |slip| slip.tabs),
            fits: slide.fits.iter().map(FitRow::of).collect(),
        }
    }
}

impl StagesRow {
    fn of(stages: Stages) -> StagesRow {
        StagesRow { cold: Num(stages.cold), assembly: Num(stages.assembly), hot: Num(stages.hot) }
    }
}

impl FitRow {
    fn of(fit: &Fit) -> FitRow {
        FitRow {
            what: fit.what,
            slides: fit.slides,
            nominal: Num(fit.nominal),
            smallest: Num(fit.smallest),
            largest: Num(fit.largest),
            inner_tolerance: Tolerance::of(&fit.inner).source,
            outer_tolerance: Tolerance::of(&fit.outer).source,
        }
    }
}
