//! Whether spark plugs and other straight ways stay free of the header.

use distance::{Cylinder, Solid};
use geom::Frame;
use spec::design::Plug;
use spec::{Finding, Level};

use crate::header::Header;
use crate::state::State;
use crate::surroundings::Nearby;

/// How near the header comes to a plug's way.
#[derive(Clone, Debug, PartialEq)]
pub struct PlugAccess {
    /// The plug's name.
    pub plug: String,
    /// What of the header is nearest, cold or hot; its station is as it is cold.
    pub near: Nearby,
    /// The state that gave it. The engine carries plugs and header alike, so rocking changes nothing.
    pub state: State,
    /// Whether the way is free.
    pub passes: bool,
}

/// Each plug's way against the header, cold and hot.
pub(crate) fn plugs(header: &Header) -> Vec<PlugAccess> {
    header.design.bay.plugs.iter().filter_map(|plug| access(header, plug)).collect()
}

fn access(header: &Header, plug: &Plug) -> Option<PlugAccess> {
    let frame = Frame::upright(plug.at, plug.along)?;
    let ends = [-frame.along, frame.along];
    let way = Solid::Cylinder(Cylinder { frame, length: plug.length, radius: plug.radius, ends });
    let reach = way.bounds();
    let mut best: Option<(Nearby, State)> = None;
    for hot in [false, true] {
        let state = State { hot, ..State::COLD };
        for (index, subject) in header.subjects.iter().enumerate() {
            for (number, body) in subject.bodies.iter().enumerate() {
                let moved = header.carried(index, number, &state);
                let solid = body.solid.carried(&moved);
                let below = best.as_ref().map_or(f64::INFINITY, |(near, _)| near.room);
                if reach.distance(&solid.bounds()) >= below {
                    continue;
                }
                let near = way.to_solid(&solid);
                if near.distance < below {
                    let along = solid.to_point(near.there).station / moved.scale;
                    let station = body.line.map(|line| line.from + along);
                    let near = Nearby { what: subject.words(), room: near.distance, at: near.there, station };
                    best = Some((near, state));
                }
            }
        }
    }
    best.map(|(near, state)| PlugAccess { plug: plug.name.clone(), passes: near.room >= 0.0, near, state })
}

impl PlugAccess {
    /// A failure where the way is not free.
    pub(crate) fn finding(&self, header: &Header) -> Option<Finding> {
        let units = header.design.units;
        let message = format!(
            "{} reaches {} into the way of the plug, {}: lead it past, or make the way narrower if less is needed",
            self.near.words(units),
            units.written(-self.near.room),
            self.state.words()
        );
        (!self.passes).then(|| Finding {
            level: Level::Failure,
            code: "plug-access",
            place: self.plug.clone(),
            message,
            value: Some(self.near.room),
            limit: Some(0.0),
        })
    }
}
