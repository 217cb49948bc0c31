//! How near the header comes to everything, in the report.

use clearance::Row;
use geom::angle::wrap_turn;
use serde::Serialize;
use spec::design::Class;

use super::number::{Num, Point, point};

/// How near one part comes to one other thing, at worst; mm and degrees. Of the header's own parts there is no
/// class.
#[derive(Debug, Serialize)]
pub struct ClearanceRow<'a> {
    kind: &'static str,
    subject: &'a str,
    against: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    class: Option<&'static str>,
    distance: Num,
    required: Num,
    at: Point,
    #[serde(skip_serializing_if = "Option::is_none")]
    station: Option<Num>,
    #[serde(skip_serializing_if = "Option::is_none")]
    clock: Option<Num>,
    state: String,
    cold: Num,
    within: Num,
}

impl<'a> ClearanceRow<'a> {
    /// A row of the report.
    pub fn of(row: &'a Row) -> ClearanceRow<'a> {
        ClearanceRow {
            kind: row.kind.noun(),
            subject: &row.subject,
            against: &row.against,
            class: row.class.map(Class::name),
            distance: Num(row.distance),
            required: Num(row.required),
            at: point(row.at),
            station: row.station.map(Num),
            clock: row.clock.map(|clock| Num::degrees(wrap_turn(clock))),
            state: row.state.words(),
            cold: Num(row.cold),
            within: Num(row.within),
        }
    }
}
