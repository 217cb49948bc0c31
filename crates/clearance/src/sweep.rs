//! The nearest that a header comes to something in all its states.
//!
//! The states are cold and hot, each with every angle and every shift of the engine. No distance changes by more
//! than the header moves, so that between two states nothing can pass nearer than the distance in one of them
//! less the way to the other. The states are halved until that bound is good enough: within [`RESOLUTION`], and
//! [`SHARE`] of the room that there is, of the worst one found. Near the worst one the state is then refined,
//! against a scan only where there is little room: each state costs a search of it.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use distance::Solid;
use geom::{DVec3, Similarity};
use spec::design::Rock;

use crate::obstacle::{Barrier, Found};
use crate::state::State;

/// How much nearer something may come between the states that were looked at than is reported, mm.
pub const RESOLUTION: f64 = 0.25;

/// To that comes this share of what a distance is off from the one that is wanted.
pub const SHARE: f64 = 0.1;

/// Against a scan the state is refined where there is less room than this beyond what is wanted, mm.
const REFINED: f64 = 25.0;

/// The most states that are looked at; [`Worst::within`] says what bound was reached.
const MOST: usize = 600;

/// A part of a header in its states.
pub(crate) struct Sweep<'a> {
    /// Its bodies cold and hot.
    pub bodies: [&'a [Solid]; 2],
    /// How it moves against what it is held against; `None` where that moves along.
    pub rock: Option<&'a Rock>,
    /// What it is held against.
    pub barrier: &'a Barrier<'a>,
    /// The distance that is wanted, mm.
    pub required: f64,
}

/// The nearest of all states.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Worst {
    /// Where and how near.
    pub found: Found,
    /// The state.
    pub state: State,
    /// The distance cold and at rest, mm.
    pub cold: f64,
    /// How much nearer it may come in a state between those that were looked at, mm.
    pub within: f64,
}

/// Some of the states: those about a middle.
#[derive(Clone, Copy, Debug)]
struct Cell {
    middle: State,
    angle: f64,
    shift: DVec3,
    /// Nothing comes nearer in it than this, mm.
    floor: f64,
}

impl Sweep<'_> {
    /// The worst of all states; `None` where there is nothing to come near to. Only states in which it comes
    /// nearer than `below` count, but for the one cold and at rest.
    pub fn worst(&self) -> Option<Worst> {
        let found = self.ask(&State::COLD, f64::INFINITY)?;
        let cold = found.near.distance;
        let mut worst = Worst { found, state: State::COLD, cold, within: 0.0 };
        self.look(State { hot: true, ..State::COLD }, &mut worst);
        let Some(rock) = self.rock else { return Some(worst) };
        for hot in [false, true] {
            let guess = self.toward(rock, State { hot, ..State::COLD });
            self.look(guess, &mut worst);
        }
        self.shifted(rock, &mut worst);
        let floor = self.search(rock, &mut worst);
        let plain = !matches!(self.barrier, Barrier::Scan(_) | Barrier::Noise(_));
        if plain || worst.found.near.distance - self.required < REFINED {
            self.refined(rock, &mut worst);
        }
        self.plain(&mut worst);
        worst.within = (worst.found.near.distance - floor).max(0.0);
        Some(worst)
    }

    /// How near it comes in a state, if nearer than `below` mm.
    fn ask(&self, state: &State, below: f64) -> Option<Found> {
        let bodies = self.bodies[usize::from(state.hot)];
        match self.rock.filter(|_| state.angle != 0.0 || state.shift != DVec3::ZERO) {
            None => self.barrier.nearest(bodies, below),
            Some(rock) => {
                let moved = motion(rock, state);
                let moved: Vec<Solid> = bodies.iter().map(|body| body.carried(&moved)).collect();
                self.barrier.nearest(&moved, below)
            }
        }
    }

    /// Looks at a state, and takes it where it is worse; whether it is.
    fn look(&self, state: State, worst: &mut Worst) -> bool {
        let found = self.ask(&state, worst.found.near.distance);
        if let Some(found) = found {
            (worst.found, worst.state) = (found, state);
        }
        found.is_some()
    }

    /// How far the worst distance may be off, mm.
    fn tolerance(&self, worst: &Worst) -> f64 {
        RESOLUTION + SHARE * (worst.found.near.distance - self.required).abs()
    }

    /// The state at the ends of all ranges that moves it most toward what it is nearest to at rest.
    fn toward(&self, rock: &Rock, rest: State) -> State {
        let Some(found) = self.ask(&rest, f64::INFINITY) else { return rest };
        let way = way(&found);
        let swing = rock.axis.cross(found.near.on - rock.at).dot(way);
        let angle = if swing < 0.0 { -rock.back } else { rock.forward };
        let side = |limit: f64, way: f64| {
            if way < 0.0 {
                -limit
            } else if way > 0.0 {
                limit
            } else {
                0.0
            }
        };
        let [x, y, z] = [0, 1, 2].map(|k| side(rock.shift[k], way[k]));
        State { angle, shift: DVec3::new(x, y, z), ..rest }
    }

    /// Moves the worst state's shift toward what it is nearest to, as long as that brings it nearer.
    fn shifted(&self, rock: &Rock, worst: &mut Worst) {
        for _ in 0..STEPS {
            let Found { near, .. } = worst.found;
            let toward = if near.distance > 0.0 { near.there - near.on } else { near.on - near.there };
            let shift = (worst.state.shift + toward).clamp(-rock.shift, rock.shift);
            let before = worst.found.near.distance;
            if shift == worst.state.shift || !self.look(State { shift, ..worst.state }, worst) {
                return;
            }
            if before - worst.found.near.distance < FINE {
                return;
            }
        }
    }

    /// Halves the states until none can be worse by more than the tolerance, those that may be worst first; returns
    /// how near anything can come.
    fn search(&self, rock: &Rock, worst: &mut Worst) -> f64 {
        let reach = self.reach(rock);
        let mut floor = worst.found.near.distance;
        let mut open: BinaryHeap<Cell> = [false, true].map(|hot| self.all(rock, hot)).into();
        for _ in 0..MOST {
            let Some(cell) = open.pop() else { return floor };
            let enough = worst.found.near.distance - self.tolerance(worst);
            if cell.floor >= enough {
                return floor.min(cell.floor);
            }
            let moves = reach * cell.angle + cell.shift.length();
            let Some(found) = self.ask(&cell.middle, enough + moves) else {
                floor = floor.min(enough);
                continue;
            };
            if found.near.distance < worst.found.near.distance {
                (worst.found, worst.state) = (found, cell.middle);
            }
            let floor = cell.floor.max(found.near.distance - moves);
            open.extend(Cell { floor, ..cell }.halves(rock, reach, &found));
        }
        open.peek().map_or(floor, |cell| floor.min(cell.floor))
    }

    /// All states, cold or hot. Past a plane only the shift toward it counts.
    fn all(&self, rock: &Rock, hot: bool) -> Cell {
        let angle = 0.5 * (rock.forward + rock.back);
        let rest = State { hot, angle: 0.5 * (rock.forward - rock.back), shift: DVec3::ZERO };
        let floor = f64::NEG_INFINITY;
        match self.barrier {
            Barrier::HalfSpace { out, .. } => {
                let shift = -out.signum() * rock.shift;
                Cell { middle: State { shift, ..rest }, angle, shift: DVec3::ZERO, floor }
            }
            Barrier::Scan(_) | Barrier::Noise(_) | Barrier::Solid(_) => {
                Cell { middle: rest, angle, shift: rock.shift, floor }
            }
        }
    }

    /// Leaves out of the worst state what does not make it worse: heat, rocking, each part of the shift.
    fn plain(&self, worst: &mut Worst) {
        let without: [fn(&mut State); 5] = [
            |state| state.hot = false,
            |state| state.angle = 0.0,
            |state| state.shift.x = 0.0,
            |state| state.shift.y = 0.0,
            |state| state.shift.z = 0.0,
        ];
        for leave_out in without {
            let mut state = worst.state;
            leave_out(&mut state);
            if state != worst.state {
                let found = self.ask(&state, worst.found.near.distance + FINE);
                if let Some(found) = found {
                    (worst.found, worst.state) = (found, state);
                }
            }
        }
    }

    /// How far its points are from the rocking axis at most, mm.
    fn reach(&self, rock: &Rock) -> f64 {
        let corners = |body: &Solid| {
            let b = body.bounds();
            (0..8).map(move |k| {
                let pick = |bit: usize, axis: usize| if k & bit == 0 { b.min[axis] } else { b.max[axis] };
                DVec3::new(pick(1, 0), pick(2, 1), pick(4, 2))
            })
        };
        let off = |p: DVec3| rock.axis.cross(p - rock.at).length();
        self.bodies.iter().flat_map(|bodies| bodies.iter()).flat_map(corners).map(off).fold(0.0, f64::max)
    }

    /// Refines the worst state: its angle and its shift in turn.
    fn refined(&self, rock: &Rock, worst: &mut Worst) {
        let range = rock.forward + rock.back;
        let mut width = 0.05 * range;
        for _ in 0..ROUNDS {
            self.shifted(rock, worst);
            if range == 0.0 {
                return;
            }
            while width > FINEST * range {
                let beside =
                    [-width, width].map(|by| (worst.state.angle + by).clamp(-rock.back, rock.forward));
                let nearer = beside.map(|angle| self.look(State { angle, ..worst.state }, worst));
                if nearer == [false; 2] {
                    width *= 0.5;
                }
            }
            width = 4.0 * FINEST * range;
        }
    }
}

/// How often a shift is moved on.
const STEPS: usize = 8;

/// How often angle and shift are refined in turn.
const ROUNDS: usize = 3;

/// A shift that brings it nearer by less, mm, is not moved on.
const FINE: f64 = 1e-9;

/// An angle is refined to this share of its range.
const FINEST: f64 = 1e-4;

impl Cell {
    /// Its two halves, cut where the way to its ends leads past `found` more than toward it.
    fn halves(self, rock: &Rock, reach: f64, found: &Found) -> [Cell; 2] {
        let way = way(found);
        let swing = rock.axis.cross(found.near.on - rock.at).dot(way).abs() / reach.max(f64::MIN_POSITIVE);
        let idle = |moves: f64, toward: f64| moves * (IDLE - toward.abs());
        let [x, y, z] = [0, 1, 2].map(|k| idle(self.shift[k], way[k]));
        let turn = idle(reach * self.angle, swing);
        let most = x.max(y).max(z);
        if turn >= most {
            let angle = 0.5 * self.angle;
            return [-angle, angle].map(|by| Cell {
                middle: State { angle: self.middle.angle + by, ..self.middle },
                angle,
                ..self
            });
        }
        let axis = if most == x {
            DVec3::X
        } else if most == y {
            DVec3::Y
        } else {
            DVec3::Z
        };
        let by = 0.5 * self.shift * axis;
        [-by, by].map(|by| Cell {
            middle: State { shift: self.middle.shift + by, ..self.middle },
            shift: self.shift - by.abs(),
            ..self
        })
    }
}

/// Cells in the order in which they are looked at: the one with the lowest floor is the greatest; of equals, the
/// one that is less hot, rocked and shifted.
impl Ord for Cell {
    fn cmp(&self, other: &Cell) -> Ordering {
        let key = |c: &Cell| {
            [c.floor, f64::from(u8::from(c.middle.hot)), c.middle.angle]
                .into_iter()
                .chain(c.middle.shift.to_array())
        };
        let pairs = key(other).zip(key(self));
        pairs.map(|(a, b)| a.total_cmp(&b)).find(|order| order.is_ne()).unwrap_or(Ordering::Equal)
    }
}

impl PartialOrd for Cell {
    fn partial_cmp(&self, other: &Cell) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Cell {
    fn eq(&self, other: &Cell) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Cell {}

/// A little above 1, so that a range that leads straight toward something is cut too in the end.
const IDLE: f64 = 1.02;

/// The unit direction in which a part has to move to come nearer; zero where it touches.
fn way(found: &Found) -> DVec3 {
    let near = &found.near;
    if near.distance == 0.0 {
        DVec3::ZERO
    } else {
        ((near.there - near.on) / near.distance).normalize_or_zero()
    }
}

/// The header's move in a state of its engine.
pub(crate) fn motion(rock: &Rock, state: &State) -> Similarity {
    let mut turned = Similarity::turning(rock.at, rock.axis, state.angle);
    turned.shift += state.shift;
    turned
}
