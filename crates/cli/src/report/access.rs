//! Tools, ways, the ground and the drain, in the report. mm and degrees.

use clearance::{BoltAccess, Clearance, DrainLean, GroundHeight, Nearby, Passage, PlugAccess, TorchAccess};
use geom::angle::wrap_turn;
use serde::Serialize;

use super::number::{Num, Point, Unit, point, unit};

/// What gets where it has to.
#[derive(Debug, Serialize)]
pub struct Access<'a> {
    #[serde(skip_serializing_if = "Vec::is_empty")]
    bolts: Vec<BoltRow<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    torches: Vec<TorchRow<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    way_out: Vec<PassageRow<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    plugs: Vec<PlugRow<'a>>,
}

#[derive(Debug, Serialize)]
struct NearRow<'a> {
    what: &'a str,
    room: Num,
    at: Point,
    #[serde(skip_serializing_if = "Option::is_none")]
    station: Option<Num>,
}

#[derive(Debug, Serialize)]
struct BoltRow<'a> {
    flange: &'a str,
    bolt: usize,
    at: Point,
    along: [Unit; 3],
    passes: bool,
    socket: Num,
    /// What is nearest to the socket.
    beside: Option<NearRow<'a>>,
    swing: Num,
    stops: Vec<NearRow<'a>>,
}

#[derive(Debug, Serialize)]
struct TorchRow<'a> {
    run: &'a str,
    end: &'static str,
    at: Point,
    required: Num,
    near: Option<NearRow<'a>>,
    clock: Num,
    shut: Vec<[Num; 2]>,
}

#[derive(Debug, Serialize)]
struct PassageRow<'a> {
    subject: &'a str,
    passes: bool,
    near: NearRow<'a>,
    /// Which move, from 1, and how far along it.
    place: (usize, Num),
    #[serde(skip_serializing_if = "Option::is_none")]
    met: Option<(usize, Num)>,
}

#[derive(Debug, Serialize)]
struct PlugRow<'a> {
    plug: &'a str,
    passes: bool,
    near: NearRow<'a>,
    state: String,
}

/// The header's lowest place.
#[derive(Debug, Serialize)]
pub struct GroundRow<'a> {
    near: NearRow<'a>,
    required: Num,
    state: String,
    cold: Num,
    within: Num,
}

/// How the oil drain leans from straight down.
#[derive(Debug, Serialize)]
pub struct DrainRow {
    angle: Num,
    largest: Num,
}

impl<'a> Access<'a> {
    /// All of it; `None` where the spec asks for none.
    pub fn of(clearance: &'a Clearance) -> Option<Access<'a>> {
        let access = Access {
            bolts: clearance.bolts.iter().map(BoltRow::of).collect(),
            torches: clearance.torches.iter().map(TorchRow::of).collect(),
            way_out: clearance.way_out.iter().map(PassageRow::of).collect(),
            plugs: clearance.plugs.iter().map(PlugRow::of).collect(),
        };
        let Access { bolts, torches, way_out, plugs } = &access;
        let none = bolts.is_empty() && torches.is_empty() && way_out.is_empty() && plugs.is_empty();
        (!none).then_some(access)
    }
}

impl<'a> NearRow<'a> {
    fn of(near: &'a Nearby) -> NearRow<'a> {
        let Nearby { what, room, at, station } = near;
        NearRow { what, room: Num(*room), at: point(*at), station: station.map(Num) }
    }
}

impl<'a> BoltRow<'a> {
    fn of(bolt: &'a BoltAccess) -> BoltRow<'a> {
        BoltRow {
            flange: &bolt.flange,
            bolt: bolt.bolt,
            at: point(bolt.at),
            along: unit(bolt.along),
            passes: bolt.passes,
            socket: Num(bolt.socket),
            beside: bolt.beside.as_ref().map(NearRow::of),
            swing: Num::degrees(bolt.swing),
            stops: bolt.stops.iter().map(NearRow::of).collect(),
        }
    }
}

impl<'a> TorchRow<'a> {
    fn of(torch: &'a TorchAccess) -> TorchRow<'a> {
        TorchRow {
            run: &torch.run,
            end: sheets::csv::end_name(torch.end),
            at: point(torch.at),
            required: Num(torch.required),
            near: torch.near.as_ref().map(NearRow::of),
            clock: Num::degrees(wrap_turn(torch.clock)),
            shut: torch.shut.iter().map(|arc| arc.map(Num::degrees)).collect(),
        }
    }
}

impl<'a> PassageRow<'a> {
    fn of(passage: &'a Passage) -> PassageRow<'a> {
        let place = |(number, along): (usize, f64)| (number, Num(along));
        PassageRow {
            subject: &passage.subject,
            passes: passage.met.is_none(),
            near: NearRow::of(&passage.near),
            place: place(passage.place),
            met: passage.met.map(place),
        }
    }
}

impl<'a> PlugRow<'a> {
    fn of(plug: &'a PlugAccess) -> PlugRow<'a> {
        let near = NearRow::of(&plug.near);
        PlugRow { plug: &plug.plug, passes: plug.passes, near, state: plug.state.words() }
    }
}

impl<'a> GroundRow<'a> {
    /// A row of the report.
    pub fn of(ground: &'a GroundHeight) -> GroundRow<'a> {
        GroundRow {
            near: NearRow::of(&ground.near),
            required: Num(ground.required),
            state: ground.state.words(),
            cold: Num(ground.cold),
            within: Num(ground.within),
        }
    }
}

impl DrainRow {
    /// A row of the report.
    pub fn of(drain: &DrainLean) -> DrainRow {
        DrainRow { angle: Num::degrees(drain.angle), largest: Num::degrees(drain.largest) }
    }
}
