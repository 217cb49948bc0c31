//! A plate, laid out, of a flange or the plug of a merge: its parts, its holes and where it stands.

use geom::Frame;
use plate::{DVec2, Drawing, Ink, Loop, Outline};
use spec::Design;
use spec::design::Plate;
use tube::{Alloy, Section};

/// A plate. Its drawing is seen against the gas, x to the right and y up; mm.
#[derive(Clone, Debug)]
pub struct FlangePlate {
    /// The name of what it belongs to.
    pub name: String,
    /// What it belongs to.
    pub of: PlateOf,
    /// Where its drawing's origin stands, along the gas: on a flange's face, or a plug's upstream face. The
    /// drawing's x is `inside`, its y [`Frame::side`].
    pub frame: Frame,
    /// Where the plate begins and ends along the gas's travel from the face, mm.
    pub reach: [f64; 2],
    /// What it is made of.
    pub alloy: &'static Alloy,
    /// Its parts: one, or several where it is split between its ports.
    pub parts: Vec<PlatePart>,
    /// Its openings for the gas.
    pub openings: Vec<Opening>,
    /// Its bolt holes.
    pub holes: Vec<PlacedHole>,
    /// The grooves around its tubes: inner and outer edge.
    pub grooves: Vec<[Loop; 2]>,
    /// Depth of the grooves, mm; 0 where there are none.
    pub groove_depth: f64,
    /// What the plate grows more than the head over the span of its openings, mm; head flanges only.
    pub growth: Option<f64>,
}

/// What a plate belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlateOf {
    /// Index of a flange.
    Flange(usize),
    /// Index of a merge: the plate is the plug of its void.
    Merge(usize),
}

/// A part of a plate: one piece of metal.
#[derive(Clone, Debug, PartialEq)]
pub struct PlatePart {
    /// The mark to write on it; also its file name.
    pub mark: String,
    /// Its outline with every hole through it.
    pub outline: Outline,
}

/// An opening for the gas.
#[derive(Clone, Debug, PartialEq)]
pub struct Opening {
    /// Name of the port; else the flange's own.
    pub name: String,
    /// Index of the run that begins or ends there, if any.
    pub run: Option<usize>,
    /// Its centre.
    pub centre: DVec2,
    /// The hole that is cut, over all.
    pub through: Loop,
    /// What is cut: the hole, or its two halves beside a divider.
    pub cut: Vec<Loop>,
    /// The shape of the port in the head, where the spec says it.
    pub port: Option<Loop>,
    /// What the hole is in words: `round`, `oval`, `D`, `rectangle` or a DXF file's name.
    pub kind: String,
    /// The tube that is welded to it.
    pub tube: Option<Section>,
    /// Weld between tube and plate, mm: once around the outside of what stands there.
    pub weld_length: f64,
    /// Whether a transition stands there, not the tube itself.
    pub transition: bool,
}

/// A bolt hole.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedHole {
    /// Its centre; of a slotted one the place of the bolt when cold.
    pub at: DVec2,
    /// Its diameter, or the width of the slot, mm.
    pub diameter: f64,
    /// How far its slot lets the bolt travel, mm; 0 for a round hole.
    pub travel: f64,
    /// What is cut.
    pub through: Loop,
    /// Outside diameter of the washer or nut, mm.
    pub washer: f64,
}

impl Opening {
    /// Where a tube's outside stands on the plate: etched. `None` where it stands in it, or a transition does.
    pub fn ring(&self) -> Option<Loop> {
        let tube = self.tube.filter(|_| !self.transition)?;
        let ring = Loop::circle(self.centre, tube.outer());
        (ring.length() > self.through.length() + STANDS_ON).then_some(ring)
    }
}

impl FlangePlate {
    /// The dotted key of what it belongs to: `flange.NAME` or `merge.NAME`.
    pub fn key(&self) -> String {
        match self.of {
            PlateOf::Flange(_) => format!("flange.{}", self.name),
            PlateOf::Merge(_) => format!("merge.{}", self.name),
        }
    }

    /// What the design wanted of a flange's plate; `None` for a plug.
    pub fn wanted<'a>(&self, design: &'a Design) -> Option<&'a Plate> {
        match self.of {
            PlateOf::Flange(flange) => design.flanges[flange].plate.as_ref(),
            PlateOf::Merge(_) => None,
        }
    }

    /// Thickness, mm.
    pub fn thickness(&self) -> f64 {
        self.reach[1] - self.reach[0]
    }

    /// Volume of all parts, mm3, the grooves not taken off. Exact.
    pub fn volume(&self) -> f64 {
        self.parts.iter().map(|part| part.outline.area()).sum::<f64>() * self.thickness()
    }

    /// Mass of all parts, kg, the grooves not taken off.
    pub fn mass(&self) -> f64 {
        self.volume() * 1e-9 * self.alloy.density
    }

    /// Weld between tubes and plate, mm; of a plug, once around its edge.
    pub fn weld_length(&self) -> f64 {
        match self.of {
            PlateOf::Flange(_) => self.openings.iter().map(|opening| opening.weld_length).sum(),
            PlateOf::Merge(_) => self.parts.iter().map(|part| part.outline.perimeter()).sum(),
        }
    }

    /// Width and height of the smallest upright rectangle that the part comes out of, mm.
    pub fn blank(part: &PlatePart) -> DVec2 {
        let (low, high) = part.outline.outer.bounds();
        high - low
    }

    /// The drawing of a part: its edges cut; grooves and tubes that stand on its back etched; the
    /// middles of its holes and openings.
    pub fn drawing(&self, part: &PlatePart) -> Drawing {
        let cut = part.outline.loops().cloned().collect();
        let on = |at: DVec2| part.outline.outer.contains(at);
        let grooves = self.grooves.iter().flatten().filter(|groove| on(groove.points(1.0)[0]));
        let mut etch: Vec<Ink> = grooves.cloned().map(Ink::Loop).collect();
        for opening in self.openings.iter().filter(|opening| on(opening.centre)) {
            etch.extend(opening.ring().map(Ink::Loop));
        }
        let mut centre = Vec::new();
        for (at, across) in self.middles().into_iter().filter(|(at, _)| on(*at)) {
            centre.extend(Ink::cross(at, 0.5 * across + CENTRE_BEYOND));
        }
        Drawing { cut, etch, centre }
    }

    /// The middle of each hole and opening, and how wide it is.
    fn middles(&self) -> Vec<(DVec2, f64)> {
        let wide = |outline: &Loop| {
            let (low, high) = outline.bounds();
            (high - low).max_element()
        };
        let openings = self.openings.iter().map(|opening| (opening.centre, wide(&opening.through)));
        openings.chain(self.holes.iter().map(|hole| (hole.at, hole.diameter))).collect()
    }
}

/// How far centre lines reach beyond a hole's edge, mm.
const CENTRE_BEYOND: f64 = 3.0;

/// A tube whose outside is longer than the opening's edge by more than this stands on the plate, mm.
const STANDS_ON: f64 = 1e-6;
