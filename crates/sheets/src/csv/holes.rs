//! The holes of branches and bungs as CSV.

use geom::angle::{from_degrees, wrap_turn};
use layout::Layout;
use layout::layout::Place;
use spec::Design;

use super::{Csv, deg, mm};

/// `holes.csv`: each hole with its host piece, the piece that stands there, and its place: the station on
/// the host at which its axis pierces the outside, the clock of the side to which it leaves, its angle to
/// the host's travel, the distance of its axis from the host's (toward the host's travel x outward), the
/// radius of the hole's cylinder, the station of its foot, where the two axes pass abreast, and how it is
/// set. `None` where there is no hole.
pub fn holes(_: &Design, layout: &Layout) -> Option<String> {
    let last = ["station_mm", "clock_deg", "angle_deg", "offset_mm", "radius_mm", "foot_mm", "set"];
    let mut csv = Csv::new(&["piece", "hole", "of"], &[], &last);
    let mut is_empty = true;
    for (place, foot) in layout.places() {
        let host = &layout.pieces[place.host];
        let hole = host.piece.holes[place.hole];
        is_empty = false;
        csv.row(vec![
            host.mark.clone(),
            (place.hole + 1).to_string(),
            layout.pieces[foot].mark.clone(),
            mm(place.station(&host.piece)),
            deg(wrap_turn(hole.clock)),
            deg(hole.angle),
            mm(hole.offset),
            mm(hole.radius),
            mm(hole.station),
            place.set.name().to_owned(),
        ]);
    }
    (!is_empty).then_some(csv.text)
}

/// `hole_edges.csv`: the edge of each hole on the host's outside and at its bore, as clock and station on the
/// host, every 10 degrees around the branch from the side toward the host's travel. `None` where there is no
/// hole.
pub fn hole_edges(_: &Design, layout: &Layout) -> Option<String> {
    let last = ["outer_clock_deg", "outer_mm", "inner_clock_deg", "inner_mm"];
    let mut csv = Csv::new(&["piece", "hole", "around_deg"], &[], &last);
    let places: Vec<&Place> = layout.places().map(|(place, _)| place).collect();
    for place in &places {
        let host = &layout.pieces[place.host];
        let hole = host.piece.holes[place.hole];
        for step in 0..36 {
            let around = from_degrees(f64::from(10 * step));
            let mut row = vec![host.mark.clone(), (place.hole + 1).to_string(), deg(around)];
            for depth in [1.0, 0.0] {
                let (clock, station) = hole.edge(&host.piece, around, depth);
                row.extend([deg(wrap_turn(clock)), mm(station)]);
            }
            csv.row(row);
        }
    }
    (!places.is_empty()).then_some(csv.text)
}
