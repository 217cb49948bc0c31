//! How near the header comes to everything, in the report.

use clearance::{Clearance, Row, ScanTold};
use geom::angle::wrap_turn;
use serde::Serialize;
use spec::Design;
use spec::design::{Class, Form, Obstacle, ScanFile};

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

/// What is known of a scan: counts, its box in the car, what its filter left out, where its surface ends; mm.
#[derive(Debug, Serialize)]
pub struct ScanRow<'a> {
    name: &'a str,
    file: &'a str,
    points: usize,
    triangles: usize,
    #[serde(rename = "box")]
    bounds: [Point; 2],
    removed: RemovedRow,
    holes: HolesRow,
    /// How far its matched points stay apart, root of the mean square.
    #[serde(skip_serializing_if = "Option::is_none")]
    residual: Option<Num>,
}

#[derive(Debug, Serialize)]
struct RemovedRow {
    points: usize,
    triangles: usize,
}

/// The rims of a surface, its outer one among them.
#[derive(Debug, Serialize)]
struct HolesRow {
    count: usize,
    largest: Num,
}

/// A row for each scan of a bay.
pub fn scans<'a>(design: &'a Design, clearance: &'a Clearance) -> Vec<ScanRow<'a>> {
    let obstacles = design.bay.obstacles.iter().zip(&clearance.scans);
    let scan = |(obstacle, told): (&'a Obstacle, &'a Option<ScanTold>)| match &obstacle.form {
        Form::Scan(file) => Some(ScanRow::of(&obstacle.name, file, told.as_ref()?)),
        _ => None,
    };
    obstacles.filter_map(scan).collect()
}

impl<'a> ScanRow<'a> {
    fn of(name: &'a str, file: &'a ScanFile, told: &ScanTold) -> ScanRow<'a> {
        ScanRow {
            name,
            file: &file.file,
            points: told.points,
            triangles: told.triangles,
            bounds: told.bounds.map(point),
            removed: RemovedRow { points: told.removed.points, triangles: told.removed.triangles },
            holes: HolesRow { count: told.rims.len(), largest: Num(told.widest()) },
            residual: file.residual.map(Num),
        }
    }
}
