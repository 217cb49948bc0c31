//! The plates of flanges: from the design's words to outlines.

use std::f64::consts::TAU;

use geom::Frame;
use geom::math::atan2;
use plate::{DVec2, Edge, Loop, Outline, hull};
use spec::Design;
use spec::design::{self, Flange, From, Parting, Plate, PlateForm, To, TubeFit};
use tube::Section;
use tube::alloy::SHOP_TEMPERATURE;

use crate::flange_plate::{FlangePlate, Opening, PlacedHole, PlatePart};
use crate::layout::{Fault, Part};

/// Every plate that the design makes; what keeps one from being made goes into `faults`.
pub(crate) fn lay(design: &Design, faults: &mut Vec<Fault>) -> Vec<FlangePlate> {
    let mut plates = Vec::new();
    for (index, flange) in design.flanges.iter().enumerate() {
        let Some(wanted) = &flange.plate else { continue };
        match (Making { design, index, flange, wanted }).plate() {
            Ok(plate) => plates.push(plate),
            Err(fault) => faults.push(fault),
        }
    }
    plates
}

/// What is wrong with a plate whose parts have the mark of a piece: marks become file names.
pub(crate) fn name_taken(plate: &FlangePlate, pieces: &[Part]) -> Vec<Fault> {
    let taken = |mark: &str| pieces.iter().any(|piece| piece.mark.eq_ignore_ascii_case(mark));
    let fault = |part: &PlatePart| Fault {
        key: format!("flange.{}", plate.name),
        code: "mark-twice",
        message: format!("flange `{}`: its plate and a piece would both be marked {}", plate.name, part.mark),
        help: "rename the flange or the run".into(),
    };
    plate.parts.iter().filter(|part| taken(&part.mark)).map(fault).collect()
}

/// How far behind the face of its flange a tube ends, mm.
pub(crate) fn standing(plate: &Plate) -> f64 {
    match plate.fit {
        TubeFit::Into(setback) => setback,
        TubeFit::Flush => 0.0,
        TubeFit::On => plate.thickness,
    }
}

/// The plate at a run's start: of the head flange that has its port.
pub(crate) fn at_start(design: &Design, run: &design::Run) -> Option<usize> {
    let From::Port(port) = run.from else { return None };
    design.flanges.iter().position(|flange| flange.plate.is_some() && flange.ports.contains(&port))
}

/// The plate at a run's end.
pub(crate) fn at_end(design: &Design, run: &design::Run) -> Option<usize> {
    let To::Flange(flange) = run.to else { return None };
    design.flanges[flange].plate.as_ref().map(|_| flange)
}

/// A plate that is being made.
struct Making<'a> {
    design: &'a Design,
    index: usize,
    flange: &'a Flange,
    wanted: &'a Plate,
}

impl Making<'_> {
    fn plate(&self) -> Result<FlangePlate, Fault> {
        let Flange { at, along, up, .. } = *self.flange;
        let frame = Frame::new(at, along, up.cross(along)).ok_or_else(|| self.no_frame())?;
        let openings = self.openings(&frame)?;
        let middle = openings.iter().map(|o| o.centre).sum::<DVec2>() / openings.len().max(1) as f64;
        let holes = self.holes(middle)?;
        let outline = self.outline(&openings, &holes)?;
        let parts = self.parts(outline, &openings)?;
        let thickness = self.wanted.thickness;
        Ok(FlangePlate {
            name: self.flange.name.clone(),
            flange: self.index,
            frame,
            reach: if self.flange.ports.is_empty() { [-thickness, 0.0] } else { [0.0, thickness] },
            alloy: self.wanted.alloy,
            parts,
            grooves: self.grooves(&openings),
            groove_depth: self.wanted.relief.map_or(0.0, |relief| relief.depth),
            growth: (!self.flange.ports.is_empty()).then(|| self.growth() * span(&openings)),
            openings,
            holes,
        })
    }

    fn fault(&self, code: &'static str, message: String, help: &str) -> Fault {
        let name = &self.flange.name;
        Fault {
            key: format!("flange.{name}"),
            code,
            message: format!("flange `{name}`: {message}"),
            help: help.to_owned(),
        }
    }

    fn drawn(&self, fault: plate::Fault) -> Fault {
        self.fault(fault.code, fault.message, fault.help)
    }

    fn no_frame(&self) -> Fault {
        self.fault("no-direction", "its face has no direction".into(), "give `along` and `up`")
    }

    fn openings(&self, frame: &Frame) -> Result<Vec<Opening>, Fault> {
        let runs = &self.design.runs;
        if self.flange.ports.is_empty() {
            let run = runs.iter().position(|run| run.to == To::Flange(self.index));
            let tube = run.and_then(|run| runs[run].sections.last()).map(|s| s.section);
            return Ok(vec![self.opening(self.flange.name.clone(), DVec2::ZERO, None, run, tube)?]);
        }
        let of_port = |port: &usize| {
            let wanted = &self.design.ports[*port];
            let place = frame.local_point(wanted.at);
            let run = runs.iter().position(|run| run.from == From::Port(*port));
            let tube = run.and_then(|run| runs[run].sections.first()).map(|s| s.section);
            let shape = wanted.shape.as_ref();
            self.opening(wanted.name.clone(), DVec2::new(place.x, place.y), shape, run, tube)
        };
        self.flange.ports.iter().map(of_port).collect()
    }

    /// One opening: the tube's own hole where it stands in the plate, else the port's shape, the
    /// flange's, or the tube's bore.
    fn opening(
        &self,
        name: String,
        centre: DVec2,
        port: Option<&design::Shape>,
        run: Option<usize>,
        tube: Option<Section>,
    ) -> Result<Opening, Fault> {
        let shape = port.or(self.wanted.opening.as_ref());
        let (through, kind) = match (self.wanted.fit, shape, tube) {
            (TubeFit::Into(_) | TubeFit::Flush, _, Some(tube)) => {
                (Loop::circle(DVec2::ZERO, tube.outer() + 0.5 * self.wanted.clearance), "round".to_owned())
            }
            (_, Some(shape), _) => (shape.outline.clone(), shape.kind.clone()),
            (_, None, Some(tube)) => (Loop::circle(DVec2::ZERO, 0.5 * tube.bore()), "round".to_owned()),
            (_, None, None) => {
                let message =
                    format!("no run meets it at `{name}`, and nothing says the shape of the opening there");
                return Err(self.fault(
                    "opening-unknown",
                    message,
                    "give the port a `shape`, or the flange an `opening`",
                ));
            }
        };
        Ok(Opening {
            name,
            run,
            centre,
            through: through.moved(0.0, centre),
            port: shape.map(|shape| shape.outline.moved(0.0, centre)),
            kind,
            tube,
            weld_length: tube.map_or(0.0, |tube| TAU * tube.outer()),
        })
    }

    /// What the plate grows more than the head, for each mm from the fixed point.
    fn growth(&self) -> f64 {
        let growth = self.wanted.growth;
        self.wanted.alloy.growth(growth.plate) - growth.metal.expansion().0 * (growth.head - SHOP_TEMPERATURE)
    }

    /// The bolt holes. When hot the plate has moved outwards, so a slot reaches from the cold place
    /// towards the fixed point.
    fn holes(&self, middle: DVec2) -> Result<Vec<PlacedHole>, Fault> {
        let fixed = self.wanted.growth.fixed.unwrap_or(middle);
        let place = |hole: &design::BoltHole| {
            let inwards = fixed - hole.at;
            let travel = if hole.slotted { (self.growth() * inwards.length()).max(0.0) } else { 0.0 };
            let toward = inwards.try_normalize().unwrap_or(DVec2::X);
            let angle = atan2(toward.y, toward.x);
            let through = Loop::slot(hole.at + toward * (0.5 * travel), hole.diameter, travel, angle)
                .map_err(|fault| self.drawn(fault))?;
            let washer = self.wanted.washer.unwrap_or(2.0 * hole.diameter);
            Ok(PlacedHole { at: hole.at, diameter: hole.diameter, travel, through, washer })
        };
        self.wanted.holes.iter().map(place).collect()
    }

    /// The whole plate with every hole, none of which may meet another or the outside.
    fn outline(&self, openings: &[Opening], holes: &[PlacedHole]) -> Result<Outline, Fault> {
        let mut cut: Vec<(String, Loop)> = Vec::new();
        cut.extend(openings.iter().map(|o| (format!("the opening of `{}`", o.name), o.through.clone())));
        cut.extend(
            holes.iter().enumerate().map(|(k, hole)| (format!("hole {}", k + 1), hole.through.clone())),
        );
        cut.extend(
            self.wanted.slots.iter().enumerate().map(|(k, slot)| (format!("slot {}", k + 1), slot.clone())),
        );
        let outer = match &self.wanted.form {
            PlateForm::Drawn(outline) => {
                cut.extend(outline.holes.iter().map(|hole| ("a hole of the DXF".to_owned(), hole.clone())));
                outline.outer.clone()
            }
            PlateForm::Margin(margin) => {
                let circles: Vec<(DVec2, f64)> =
                    cut.iter().flat_map(|(_, edge)| rounds(edge, *margin)).collect();
                hull(&circles).map_err(|fault| self.drawn(fault))?
            }
        };
        for (k, (name, hole)) in cut.iter().enumerate() {
            let inside = hole.edges.iter().all(|edge| outer.contains(edge.from()));
            if !inside || outer.gap(hole).distance <= 0.0 {
                let message = format!("{name} does not lie within the outside");
                return Err(self.fault("hole-outside", message, "move it, or draw the outside wider"));
            }
            let meets = |other: &&(String, Loop)| {
                other.1.gap(hole).distance <= 0.0
                    || other.1.contains(hole.edges[0].from())
                    || hole.contains(other.1.edges[0].from())
            };
            if let Some((other, _)) = cut[..k].iter().find(meets) {
                let message = format!("{name} meets {other}");
                return Err(self.fault("holes-meet", message, "move them apart, or make one smaller"));
            }
        }
        Ok(Outline::new(outer, cut.into_iter().map(|(_, hole)| hole).collect()))
    }

    /// The plate parted between neighbouring openings.
    fn parts(&self, outline: Outline, openings: &[Opening]) -> Result<Vec<PlatePart>, Fault> {
        let name = &self.flange.name;
        let mut row: Vec<DVec2> = openings.iter().map(|opening| opening.centre).collect();
        let along = (row[row.len() - 1] - row[0]).try_normalize().unwrap_or(DVec2::X);
        row.sort_by(|a, b| a.dot(along).total_cmp(&b.dot(along)));
        let mut rest = outline;
        let mut outlines = Vec::new();
        for two in row.windows(2) {
            let middle = 0.5 * (two[0] + two[1]);
            let towards = (two[1] - two[0]).normalize_or_zero();
            match self.wanted.parting {
                Parting::One => (),
                Parting::Split(gap) => {
                    let [ahead, behind] =
                        rest.split(middle, towards, gap).map_err(|fault| self.drawn(fault))?;
                    outlines.push(behind);
                    rest = ahead;
                }
                Parting::Relieved { width, neck } => {
                    for outward in [towards.perp(), -towards.perp()] {
                        let end = middle + outward * (0.5 * (neck + width));
                        rest = rest.slotted(end, outward, width).map_err(|fault| self.drawn(fault))?;
                    }
                }
            }
        }
        outlines.push(rest);
        let several = outlines.len() > 1;
        let mark = |k: usize| if several { format!("{name}-{}", k + 1) } else { name.clone() };
        Ok(outlines
            .into_iter()
            .enumerate()
            .map(|(k, outline)| PlatePart { mark: mark(k), outline })
            .collect())
    }

    fn grooves(&self, openings: &[Opening]) -> Vec<[Loop; 2]> {
        let Some(relief) = self.wanted.relief else { return Vec::new() };
        let groove = |opening: &Opening| {
            let inner = opening.tube?.outer() + relief.distance;
            Some([inner, inner + relief.width].map(|radius| Loop::circle(opening.centre, radius)))
        };
        openings.iter().filter_map(groove).collect()
    }
}

/// Circles whose hull is the hull of a loop, `margin` mm outside it.
fn rounds(edges: &Loop, margin: f64) -> Vec<(DVec2, f64)> {
    let mut circles = Vec::new();
    for edge in &edges.edges {
        circles.push((edge.from(), margin));
        if let Edge::Arc { centre, radius, turn, .. } = *edge
            && turn > 0.0
        {
            circles.push((centre, radius + margin));
        }
    }
    circles
}

/// The largest distance between two openings' centres, mm.
fn span(openings: &[Opening]) -> f64 {
    let pairs = openings.iter().flat_map(|a| openings.iter().map(|b| a.centre.distance(b.centre)));
    pairs.fold(0.0, f64::max)
}
