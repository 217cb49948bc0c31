//! How high the header stands over the ground.

use distance::Solid;
use spec::{Finding, Level};

use crate::header::Header;
use crate::obstacle::Barrier;
use crate::state::State;
use crate::surroundings::Nearby;
use crate::sweep::Sweep;

/// The lowest place of a header, in the worst of its states.
#[derive(Clone, Debug, PartialEq)]
pub struct GroundHeight {
    /// What is lowest and where; its room is the height over the ground, mm, below 0 where it dips into it. The
    /// station is as it is cold.
    pub near: Nearby,
    /// The least height that is wanted, mm.
    pub required: f64,
    /// The state that gave it.
    pub state: State,
    /// The height of the same part cold and at rest, mm.
    pub cold: f64,
    /// How much lower it may come, between the states that were looked at, mm.
    pub within: f64,
}

/// The lowest of all subjects over the bay's ground, if it has one.
pub(crate) fn ground(header: &Header) -> Option<GroundHeight> {
    let ground = header.design.bay.ground?;
    let barrier = Barrier::HalfSpace { at: ground.at, out: ground.up };
    let lowest = |index: usize| {
        let subject = &header.subjects[index];
        let cold: Vec<Solid> = subject.bodies.iter().map(|body| body.solid.clone()).collect();
        let grown = &header.growth.bodies[index];
        let hot: Vec<Solid> = cold.iter().zip(grown).map(|(solid, by)| solid.carried(by)).collect();
        let rock = header.design.bay.rock.as_ref();
        let sweep = Sweep { bodies: [&cold, &hot], rock, barrier: &barrier, required: ground.required };
        let worst = sweep.worst()?;
        let place = header.place((index, worst.found.body), &worst.found.near, None, &worst.state);
        let near = worst.found.near;
        Some(GroundHeight {
            near: Nearby {
                what: subject.words(),
                room: near.distance,
                at: near.on,
                station: place.map(|place| place.0),
            },
            required: ground.required,
            state: worst.state,
            cold: worst.cold,
            within: worst.within,
        })
    };
    let all = (0..header.subjects.len()).filter_map(lowest);
    all.reduce(|least, next| if next.near.room < least.near.room { next } else { least })
}

impl GroundHeight {
    /// A failure where it is lower than wanted.
    pub(crate) fn finding(&self, header: &Header) -> Option<Finding> {
        let units = header.design.units;
        let short = self.required - self.near.room;
        let message = format!(
            "{} is {} over the ground (needs {}), {}: raise it by {}",
            self.near.words(units),
            units.written(self.near.room),
            units.written(self.required),
            self.state.words(),
            units.written(short)
        );
        (short > 0.0).then(|| Finding {
            level: Level::Failure,
            code: "ground",
            place: "ground".to_owned(),
            message,
            value: Some(self.near.room),
            limit: Some(self.required),
        })
    }
}
