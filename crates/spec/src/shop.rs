//! What a shop has and can do: benders' dies, bought bends, the saw, the torch, its accuracy.
//!
//! Lengths are in mm, angles in radians. Where the spec names no shop file, [`Shop::default`] holds
//! the values that the file would otherwise override.

use tube::alloy::Alloy;

use crate::design::Class;

/// A shop's file, resolved.
#[derive(Clone, Debug, PartialEq)]
pub struct Shop {
    /// The shop's name, for the sheets' heads.
    pub name: String,
    /// The bender's dies.
    pub dies: Vec<Die>,
    /// Bends to buy.
    pub bends: Vec<StockBend>,
    /// Straight tube to buy.
    pub tubes: Vec<StockTube>,
    /// The saw.
    pub saw: Saw,
    /// How exactly the shop works.
    pub accuracy: Accuracy,
    /// How far things have to stay apart.
    pub clearance: ClearanceRules,
    /// How far into a tube the torch reaches, mm (common practice, no source: 60).
    pub torch_reach: f64,
    /// How much each butt joint draws the pieces together, mm (0 until measured).
    pub weld_shrinkage: f64,
    /// The shortest straight piece worth cutting and welding, mm (common practice, no source: 20).
    pub least_piece: f64,
    /// Whether tube has no weld seam unless its table says otherwise (false).
    pub seamless: bool,
    /// Largest gap on the diameter of a sliding fit, at the limits of the tubes' tolerances, mm (common
    /// practice, no source: 1).
    pub slip_gap: f64,
    /// Thickness of the template paper, mm; a wrap is drawn for `od` plus this (0.1).
    pub paper_thickness: f64,
    /// The printer for test-fitment models.
    pub printer: Printer,
}

/// A printer for test-fitment models, and what it prints with.
#[derive(Clone, Debug, PartialEq)]
pub struct Printer {
    /// Whether the shop file has one; else the values are assumed.
    pub stated: bool,
    /// Its bed, x and y, mm (220 by 220).
    pub bed: [f64; 2],
    /// How high it prints, mm (240).
    pub height: f64,
    /// Width of its nozzle, mm (0.4).
    pub nozzle: f64,
    /// What it prints with, as the shop calls it (PLA).
    pub material: String,
    /// Density of that, kg/m3 (1240: PLA, data sheets of makers; from memory).
    pub density: f64,
    /// Room between a spigot and its socket, on every side, mm (common practice, no source: 0.2).
    pub fit_gap: f64,
    /// How far a spigot stands out, mm (common practice, no source: 12).
    pub spigot: f64,
    /// Wall of a hollow print, inward from the outside, mm; `None`: that of the steel.
    pub wall: Option<f64>,
    /// How far a surface may lean out from upright without support, rad (common practice, no source: 45 degrees).
    pub overhang: f64,
    /// Room between parts on a plate and to its edge, mm (common practice, no source: 5).
    pub apart: f64,
    /// How much larger x, y and z are printed: 50 mm over what the test cube measured (1).
    pub scale: [f64; 3],
}

impl Printer {
    /// Mass of a volume of its plastic in mm3, kg.
    pub fn mass(&self, volume: f64) -> f64 {
        1e-9 * self.density * volume
    }
}

/// A rotary-draw die.
#[derive(Clone, Debug, PartialEq)]
pub struct Die {
    /// Its name on the sheets.
    pub name: String,
    /// Outside diameter of the tube that it takes, mm.
    pub od: f64,
    /// Centreline radius as bent, mm.
    pub clr: f64,
    /// Largest bend, rad.
    pub largest: f64,
    /// Straight that the clamp needs ahead of a bend, and so between two bends, mm.
    pub grip: f64,
    /// Straight that has to follow the last bend, for the pressure die, mm.
    pub tail: f64,
    /// Extra left at each raw end, cut square after bending, mm.
    pub trim: f64,
    /// Longest raw tube, mm.
    pub longest: f64,
    /// Angle that a bend opens by, for each radian bent, rad.
    pub springback: f64,
    /// Angle that every bend opens by whatever its size, rad.
    pub springback_fixed: f64,
    /// Growth of the tube for each radian bent, mm.
    pub stretch: f64,
    /// Where the tape mark of a bend is.
    pub reference: Reference,
}

/// Where a bender takes its tape mark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reference {
    /// At the start of the bend.
    Start,
    /// At the clamp's outer face, this far ahead of the start of the bend, mm.
    ClampFace(f64),
    /// At the middle of the bend.
    Middle,
}

/// A bend that can be bought.
#[derive(Clone, Debug, PartialEq)]
pub struct StockBend {
    /// Its name on the sheets.
    pub name: String,
    /// Outside diameter, mm.
    pub od: f64,
    /// Wall, mm.
    pub wall: f64,
    /// What it is made of.
    pub alloy: &'static Alloy,
    /// Centreline radius, mm.
    pub clr: f64,
    /// Bend angle, rad.
    pub angle: f64,
    /// Straight legs before and after the arc, mm.
    pub legs: [f64; 2],
}

/// Straight tube that can be bought.
#[derive(Clone, Debug, PartialEq)]
pub struct StockTube {
    /// Its name on the sheets.
    pub name: String,
    /// Outside diameter, mm.
    pub od: f64,
    /// Wall, mm.
    pub wall: f64,
    /// What it is made of.
    pub alloy: &'static Alloy,
    /// Length as bought, mm.
    pub length: f64,
}

/// The saw.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saw {
    /// Width of the cut, mm.
    pub kerf: f64,
    /// Largest miter that its head or vise swings to, rad from square.
    pub swing: f64,
}

/// How exactly the shop works, for the error that adds up at a run's end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Accuracy {
    /// Of a length or a mark, mm.
    pub length: f64,
    /// Of a bend angle, rad.
    pub bend: f64,
    /// Of a turn of the tube, rad.
    pub turn: f64,
}

/// How far the header has to stay clear, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClearanceRules {
    /// Of metal that stands still.
    pub fixed: f64,
    /// Of what moves.
    pub moving: f64,
    /// Of wiring, hoses and other things that heat spoils.
    pub wiring: f64,
    /// Of fuel and brake lines, tanks and cylinders.
    pub fuel: f64,
    /// Of the steering.
    pub steering: f64,
    /// Of one tube from another.
    pub tubes: f64,
    /// Of the ground.
    pub ground: f64,
    /// Around a weld that is made on the car, for the torch.
    pub torch: f64,
}

impl ClearanceRules {
    /// What an obstacle of `class` needs, mm.
    pub fn of(&self, class: Class) -> f64 {
        match class {
            Class::Fixed => self.fixed,
            Class::Moving => self.moving,
            Class::Wiring => self.wiring,
            Class::Fuel => self.fuel,
            Class::Steering => self.steering,
        }
    }
}

/// Common practice, no source.
impl Default for ClearanceRules {
    fn default() -> Self {
        ClearanceRules {
            fixed: 12.0,
            moving: 20.0,
            wiring: 60.0,
            fuel: 75.0,
            steering: 15.0,
            tubes: 3.0,
            ground: 100.0,
            torch: 25.0,
        }
    }
}

impl Default for Shop {
    fn default() -> Self {
        Shop {
            name: String::new(),
            dies: Vec::new(),
            bends: Vec::new(),
            tubes: Vec::new(),
            saw: Saw::default(),
            accuracy: Accuracy::default(),
            clearance: ClearanceRules::default(),
            torch_reach: 60.0,
            weld_shrinkage: 0.0,
            least_piece: 20.0,
            seamless: false,
            slip_gap: 1.0,
            paper_thickness: 0.1,
            printer: Printer::default(),
        }
    }
}

/// The values in brackets at each field.
impl Default for Printer {
    fn default() -> Self {
        Printer {
            stated: false,
            bed: [220.0, 220.0],
            height: 240.0,
            nozzle: 0.4,
            material: "PLA".to_owned(),
            density: 1240.0,
            fit_gap: 0.2,
            spigot: 12.0,
            wall: None,
            overhang: 45_f64.to_radians(),
            apart: 5.0,
            scale: [1.0; 3],
        }
    }
}

/// Band saw, 1 mm kerf, 45 degrees (common practice, no source).
impl Default for Saw {
    fn default() -> Self {
        Saw { kerf: 1.0, swing: 45_f64.to_radians() }
    }
}

/// 0.5 mm, 0.5 degree a bend, 1 degree a turn (common practice, no source).
impl Default for Accuracy {
    fn default() -> Self {
        Accuracy { length: 0.5, bend: 0.5_f64.to_radians(), turn: 1_f64.to_radians() }
    }
}
