//! The plates of flanges: from the design's words to outlines.

use std::f64::consts::TAU;

use geom::Frame;
use geom::math::atan2;
use plate::{DVec2, Edge, Loop, Outline, hull};
use spec::Design;
use spec::design::{self, Flange, From, Parting, Plate, PlateForm, To, TubeFit};
use tube::alloy::SHOP_TEMPERATURE;
use tube::{End, Section};

use crate::flange_plate::{FlangePlate, Opening, PlacedHole, PlateOf, PlatePart};
use crate::layout::Fault;
use crate::transition::{Standing, Transition};

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

/// What is wrong with plates whose parts have a mark that is taken: by one of `others`, or by a plate before it.
/// Marks become file names.
pub(crate) fn marks_taken(plates: &[FlangePlate], others: &[&str]) -> Vec<Fault> {
    let mut taken: Vec<&str> = others.to_vec();
    let mut faults = Vec::new();
    for plate in plates {
        for part in &plate.parts {
            if taken.iter().any(|mark| mark.eq_ignore_ascii_case(&part.mark)) {
                faults.push(mark_taken(plate, &part.mark));
            }
            taken.push(&part.mark);
        }
    }
    faults
}

fn mark_taken(plate: &FlangePlate, mark: &str) -> Fault {
    let (owner, what) = match plate.of {
        PlateOf::Flange(_) => ("flange", "plate"),
        PlateOf::Merge(_) => ("merge", "plug"),
    };
    Fault {
        key: plate.key(),
        code: "mark-twice",
        message: format!("{owner} `{}`: its {what} and another part would both be marked {mark}", plate.name),
        help: "rename one of the two that they belong to".into(),
    }
}

/// How far behind the face of its flange a run's own tube ends, mm: beyond its transition, if it has one.
pub(crate) fn tube_behind(design: &Design, run: &design::Run, flange: usize, end: End) -> Option<f64> {
    let plate = design.flanges[flange].plate.as_ref()?;
    let length = wanted_transition(design, run, flange, end).map_or(0.0, |(wanted, _)| wanted.length);
    Some(standing(plate) + length)
}

/// The transition at an end of a run, and the shape that it goes over to.
fn wanted_transition<'a>(
    design: &'a Design,
    run: &design::Run,
    flange: usize,
    end: End,
) -> Option<(design::Transition, &'a design::Shape)> {
    match (end, run.from) {
        (End::Start, From::Port(port)) => {
            design.ports[port].transition.zip(design.ports[port].shape.as_ref())
        }
        (End::Start, _) => None,
        (End::End, _) => {
            let plate = design.flanges[flange].plate.as_ref()?;
            plate.transition.zip(plate.opening.as_ref())
        }
    }
}

/// Every transition; one that cannot be made, or that stands at no plate, goes into `faults`.
pub(crate) fn transitions(design: &Design, faults: &mut Vec<Fault>) -> Vec<Transition> {
    let mut found = Vec::new();
    for (index, run) in design.runs.iter().enumerate() {
        if let From::Port(port) = run.from
            && design.ports[port].transition.is_some()
            && at_start(design, run).is_none()
        {
            let name = &design.ports[port].name;
            let message = format!("port `{name}`: its transition stands at no head flange with a plate");
            let help = "list the port in a flange with `ports` and `thickness`".to_owned();
            faults.push(Fault {
                key: format!("port.{name}"),
                code: "transition-without-plate",
                message,
                help,
            });
        }
        for (end, flange) in [(End::Start, at_start(design, run)), (End::End, at_end(design, run))] {
            let Some(flange) = flange else { continue };
            let Some((wanted, shape)) = wanted_transition(design, run, flange, end) else { continue };
            match transition(design, index, flange, end, (wanted, shape)) {
                Some(part) => found.push(part),
                None => {
                    let message = format!("run `{}`: its transition has to end in sharp corners", run.name);
                    let help = "give the shape rounded corners: a wall cannot be formed round a sharp one"
                        .to_owned();
                    faults.push(Fault {
                        key: format!("run.{}", run.name),
                        code: "transition-sharp",
                        message,
                        help,
                    });
                }
            }
        }
    }
    found
}

/// The transition of a run at a flange, from the end of what stands in or on the plate to its own length.
fn transition(
    design: &Design,
    run: usize,
    flange: usize,
    end: End,
    (wanted, shape): (design::Transition, &design::Shape),
) -> Option<Transition> {
    let Flange { at, along, up, .. } = design.flanges[flange];
    let (of, plate) = (&design.runs[run], design.flanges[flange].plate.as_ref()?);
    let (at, sign, section, number) = match (end, of.from) {
        (End::Start, From::Port(port)) => (design.ports[port].at, 1.0, of.sections.first()?, 1),
        _ => (at, -1.0, of.sections.last()?, 2),
    };
    let frame = Frame::new(at + along * (sign * standing(plate)), along * sign, up.cross(along))?;
    let mark = format!("{}-T{number}", of.name);
    Transition::new(Standing { mark, run, flange, frame, up, wanted, shape, section: section.section })
}

/// How far behind the face of its flange what is welded to its plate ends, mm.
fn standing(plate: &Plate) -> f64 {
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

/// The largest plate, mm across: a sheet's length (common practice, no source).
const LARGEST_PLATE: f64 = 3000.0;

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
            of: PlateOf::Flange(self.index),
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
            return Ok(vec![self.opening(
                self.flange.name.clone(),
                DVec2::ZERO,
                (None, self.wanted.transition.is_some()),
                run,
                tube,
            )?]);
        }
        let of_port = |port: &usize| {
            let wanted = &self.design.ports[*port];
            let place = frame.local_point(wanted.at);
            let run = runs.iter().position(|run| run.from == From::Port(*port));
            let tube = run.and_then(|run| runs[run].sections.first()).map(|s| s.section);
            let shape = wanted.shape.as_ref();
            let transition = wanted.transition.is_some();
            self.opening(wanted.name.clone(), DVec2::new(place.x, place.y), (shape, transition), run, tube)
        };
        self.flange.ports.iter().map(of_port).collect()
    }

    /// One opening: the tube's own hole where it stands in the plate, else the port's shape, the
    /// flange's, or the tube's bore.
    fn opening(
        &self,
        name: String,
        centre: DVec2,
        (port, transition): (Option<&design::Shape>, bool),
        run: Option<usize>,
        tube: Option<Section>,
    ) -> Result<Opening, Fault> {
        let shape = port.or(self.wanted.opening.as_ref());
        let formed = |shape: &design::Shape, wall: f64| {
            shape.outline.offset(wall + 0.5 * self.wanted.clearance).map_err(|fault| self.drawn(fault))
        };
        let (through, kind) = match (self.wanted.fit, shape, tube) {
            (TubeFit::Into(_) | TubeFit::Flush, Some(shape), Some(tube)) if transition => {
                (formed(shape, tube.wall)?, shape.kind.clone())
            }
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
        let halves = shape.filter(|_| self.wanted.fit == TubeFit::On).and_then(|shape| shape.halves.as_ref());
        let cut = halves.map_or_else(|| vec![through.clone()], |halves| halves.to_vec());
        let around =
            shape.filter(|_| transition).zip(tube).map(|(s, tube)| s.outline.length() + TAU * tube.wall);
        Ok(Opening {
            name,
            run,
            centre,
            cut: cut.iter().map(|one| one.moved(0.0, centre)).collect(),
            through: through.moved(0.0, centre),
            port: shape.map(|shape| shape.outline.moved(0.0, centre)),
            kind,
            tube,
            weld_length: around.or(tube.map(|tube| TAU * tube.outer())).unwrap_or(0.0),
            transition: around.is_some(),
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

    /// Refuses a plate that no shop could lay on its table.
    fn not_too_large(&self, outer: &Loop) -> Result<(), Fault> {
        let (low, high) = outer.bounds();
        let reach = (high - low).max_element();
        if reach <= LARGEST_PLATE {
            return Ok(());
        }
        let message =
            format!("its plate would be {reach:.0} mm across, and the largest is {LARGEST_PLATE:.0} mm");
        Err(self.fault("plate-too-large", message, "check the units of its outline, margin, holes and ports"))
    }

    /// The whole plate with every hole, none of which may meet another or the outside.
    fn outline(&self, openings: &[Opening], holes: &[PlacedHole]) -> Result<Outline, Fault> {
        let mut cut: Vec<(String, Loop)> = Vec::new();
        for opening in openings {
            let name = format!("the opening of `{}`", opening.name);
            cut.extend(opening.cut.iter().map(|one| (name.clone(), one.clone())));
        }
        cut.extend(
            holes.iter().enumerate().map(|(k, hole)| (format!("hole {}", k + 1), hole.through.clone())),
        );
        cut.extend(
            self.wanted
                .slots
                .iter()
                .enumerate()
                .map(|(k, slot)| (format!("slot {}", k + 1), slot.edge.clone())),
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
        self.not_too_large(&outer)?;
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
            let tube = opening.tube?;
            let round = Loop::circle(opening.centre, tube.outer());
            let inside =
                if opening.transition { opening.port.as_ref()?.offset(tube.wall).ok()? } else { round };
            let edge = |distance: f64| inside.offset(distance).ok();
            Some([edge(relief.distance)?, edge(relief.distance + relief.width)?])
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
