//! The bend sheet of a drawn tube: what to do at the bender, in the order of doing it.

use geom::angle::{wrap_signed, wrap_turn};
use geom::unit::Units;
use layout::layout::{Drawing, Make, Part};
use spec::Design;
use spec::shop::Reference;
use tube::{End, Piece};

use crate::csv::end_name;
use crate::figure::{degrees, full_length, full_mark, plain_length};

/// Everything that the person at the bender needs for one tube. Lengths in mm, angles in rad.
#[derive(Clone, Debug, PartialEq)]
pub struct BendSheet {
    /// The mark of the piece.
    pub mark: String,
    /// Units of the words.
    pub units: Units,
    /// Outside diameter of the tube.
    pub od: f64,
    /// Raw tube, square at both ends.
    pub raw_length: f64,
    /// The end that goes into the bender first; tape marks are measured from its raw end.
    pub first_in: End,
    /// Where the scribe line stands at the first bend: turned from the inside of the bend (the die's
    /// side); `None` where it faces the inside.
    pub scribe: Option<Turn>,
    /// The die's name.
    pub die: Option<String>,
    /// What the tape marks mark.
    pub reference: Reference,
    /// Centreline radius, as bent.
    pub clr: f64,
    /// The bends in the order of bending.
    pub steps: Vec<BendStep>,
    /// What to trim after bending.
    pub trims: [Trim; 2],
    /// Straight distance from centre to centre of the raw ends, before trimming.
    pub raw_ends_apart: f64,
    /// Straight distance from centre to centre of the ends, trimmed square (with what is added for weld
    /// shrinkage).
    pub ends_apart: f64,
}

/// One bend.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BendStep {
    /// Its number in the direction of travel, from 1.
    pub bend: usize,
    /// Tape mark, from the raw end that goes in first.
    pub tape_mark: f64,
    /// How far to turn the tube first; `None` at the first bend.
    pub turn: Option<Turn>,
    /// Clockwise turns summed since the first bend, in `[0, TAU)`.
    pub dial: f64,
    /// Angle to set: wanted plus springback.
    pub set_angle: f64,
    /// Angle that the tube is to have.
    pub wanted_angle: f64,
}

/// A turn of the tube, seen from the collet towards the bend head.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// Clockwise, or else counter-clockwise.
    pub clockwise: bool,
    /// By how much, in `[0, PI]`.
    pub angle: f64,
}

/// What to trim at an end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trim {
    /// The end.
    pub end: End,
    /// Length to cut off, square: from the raw end to the long point as made.
    pub length: f64,
    /// Whether a cut other than square follows, its long point at the trimmed end.
    pub cut_follows: bool,
}

impl BendSheet {
    /// The bend sheet of a drawn piece; `None` for a piece that is made otherwise.
    pub fn of(design: &Design, part: &Part) -> Option<BendSheet> {
        let Make::Drawn(drawing) = &part.make else { return None };
        let rows = part.piece.rows();
        let die = drawing.die.and_then(|i| design.shop.dies.get(i));
        let order: Vec<usize> = match drawing.first_in {
            End::Start => (0..rows.rows.len()).collect(),
            End::End => (0..rows.rows.len()).rev().collect(),
        };
        let mut dial = 0.0;
        let mut steps = Vec::new();
        for (done, &i) in order.iter().enumerate() {
            // Between bends i and j > i the plane turns by the rotate of j, whichever comes first.
            let turn = (done > 0).then(|| Turn::of(rows.rows[i.max(order[done - 1])].rotate));
            dial = wrap_turn(dial + turn.map_or(0.0, Turn::signed));
            steps.push(BendStep {
                bend: i + 1,
                tape_mark: from_first_in(drawing, drawing.marks[i].tape),
                turn,
                dial,
                set_angle: drawing.marks[i].set_angle,
                wanted_angle: rows.rows[i].bend,
            });
        }
        Some(BendSheet {
            mark: part.mark.clone(),
            units: design.units,
            od: part.piece.od(),
            raw_length: drawing.raw_length,
            first_in: drawing.first_in,
            scribe: scribe(&part.piece, drawing),
            die: die.map(|d| d.name.clone()),
            reference: die.map_or(Reference::Start, |d| d.reference),
            clr: rows.rows.first().map_or(0.0, |r| r.radius),
            steps,
            trims: [trim(part, drawing, End::Start), trim(part, drawing, End::End)],
            raw_ends_apart: ends_apart(
                &part.piece,
                [drawing.trims[0] + part.shrinkage[0], drawing.trims[1] + part.shrinkage[1]],
            ),
            ends_apart: ends_apart(&part.piece, part.shrinkage),
        })
    }

    /// How to load the tube, and where tape marks are measured from.
    pub fn loading_words(&self) -> String {
        let end = end_name(self.first_in).to_uppercase();
        let scribe = match self.scribe {
            None => "the scribe line faces the inside of the bend".to_owned(),
            Some(turn) => format!(
                "the scribe line stands {} {} ({} round the outside) from the inside of the bend, seen from the \
                 collet towards the bend head",
                degrees(turn.angle),
                turn.direction(),
                plain_length(self.units, 0.5 * self.od * turn.angle)
            ),
        };
        format!(
            "The {end} of the piece goes in first, into the bend head. At the first bend {scribe}. Every tape mark is \
             measured from the raw {end} and is {}.",
            self.reference_words()
        )
    }

    /// What to do for one bend, in words. Without a die there is nothing to set: the angle is net.
    pub fn step_words(&self, step: &BendStep) -> String {
        let turn = match step.turn {
            None => "do not turn the tube; set the dial to 0".to_owned(),
            Some(turn) if turn.is_nothing() => {
                format!("do not turn the tube; the dial stays at {}", degrees(step.dial))
            }
            Some(turn) => format!(
                "turn the tube {}, seen from the collet towards the bend head, by {}; the dial then reads {}",
                turn.direction(),
                degrees(turn.angle),
                degrees(step.dial)
            ),
        };
        let bend = match self.die {
            Some(_) => {
                format!("Set {}; it opens to {}.", degrees(step.set_angle), degrees(step.wanted_angle))
            }
            None => format!("Bend it to {} net.", degrees(step.wanted_angle)),
        };
        format!("Slide to the tape mark at {}; {turn}. {bend}", full_mark(self.units, step.tape_mark))
    }

    /// What a tape mark marks.
    pub fn reference_words(&self) -> String {
        match self.reference {
            Reference::Start => "the start of the bend".to_owned(),
            Reference::Middle => "the middle of the bend".to_owned(),
            Reference::ClampFace(ahead) => format!(
                "the outer face of the clamp, {} ahead of the start of the bend",
                full_length(self.units, ahead)
            ),
        }
    }
}

impl Turn {
    /// The turn of the tube that a rotate asks for: a positive one turns the tube clockwise, seen from
    /// the collet towards the bend head, whichever end goes in first.
    ///
    /// The bend plane of a machine is fixed, so the tube turns against the rotate; and rotates keep
    /// their signs when a part is travelled from its other end (derived; proved by a virtual bender).
    pub fn of(rotate: f64) -> Turn {
        let rotate = wrap_signed(rotate);
        Turn { clockwise: rotate >= 0.0, angle: rotate.abs() }
    }

    /// The angle, positive clockwise.
    pub fn signed(self) -> f64 {
        if self.clockwise { self.angle } else { -self.angle }
    }

    /// `clockwise` or `counter-clockwise`.
    pub fn direction(self) -> &'static str {
        if self.clockwise { "clockwise" } else { "counter-clockwise" }
    }

    /// Whether it prints as 0.0 degrees.
    pub fn is_nothing(self) -> bool {
        degrees(self.angle) == degrees(0.0)
    }
}

/// Where the scribe line stands at the first bend.
///
/// With the start in first it faces the inside of bend 1 by definition. With the end in first the last
/// bend comes first, whose inside is at the sum of the rotates; collet to head is then downstream, in
/// which clocks grow clockwise, so the scribe line lies that much counter-clockwise of it.
fn scribe(piece: &Piece, drawing: &Drawing) -> Option<Turn> {
    if drawing.first_in == End::Start {
        return None;
    }
    let plane: f64 = piece.rows().rows.iter().map(|r| r.rotate).sum();
    let turn = Turn::of(-plane);
    (!turn.is_nothing()).then_some(turn)
}

fn trim(part: &Part, drawing: &Drawing, end: End) -> Trim {
    let length = drawing.trims[if end == End::Start { 0 } else { 1 }];
    Trim { end, length, cut_follows: part.piece.cut(end).kind() != "square" }
}

/// A station of the raw tube as measured from the end that goes in first, mm.
pub fn from_first_in(drawing: &Drawing, station: f64) -> f64 {
    match drawing.first_in {
        End::Start => station,
        End::End => drawing.raw_length - station,
    }
}

fn ends_apart(piece: &Piece, beyond: [f64; 2]) -> f64 {
    let start = piece.frame_at(-beyond[0]);
    let end = piece.frame_at(piece.length() + beyond[1]);
    start.at.distance(end.at)
}
