//! What to measure on a printed model: from datum to datum, to see that every joint is home.

use fitment::Fitment;
use fitment::datum::tip;
use geom::DVec3;
use geom::unit::{Units, fixed};
use spec::Design;

use crate::canvas::Style;
use crate::figure::length;
use crate::fitment_picture::onto;
use crate::folio::{BODY, Folio};
use crate::table::{Column, Table};

/// What stands above the distances. 1 mm in 300: common practice, no source.
const SAYS: &str = "A cone 3 mm across is a part's datum, as a rule near its mark. Put it all together, set the points \
     of a trammel or of dividers down to the bottom of two cones, and compare. Further off than 1 mm, or 1 mm in 300 \
     (common practice, no source): look for a joint that is not home, a part that warped, or a scale that was never set.";

/// The distances between the datums of parts that are joined, and of the two that are furthest apart.
pub fn draw(folio: &mut Folio, design: &Design, model: &Fitment) {
    let pairs = pairs(model);
    if pairs.is_empty() {
        return;
    }
    folio.heading("From datum to datum");
    folio.paragraph(SAYS, BODY);
    let bare: Vec<&str> =
        model.parts.iter().filter(|part| part.datum.is_none()).map(|part| &*part.mark).collect();
    if !bare.is_empty() {
        folio.paragraph(&format!("Too small for a datum: {}.", bare.join(", ")), BODY);
    }
    let inches = design.units == Units::Inch;
    let mut columns = vec![
        Column::words("PART", 14.0).set(Style::bold(3.2)),
        Column::words("TO PART", 14.0).set(Style::bold(3.2)),
        Column::numbers("TIP TO TIP, mm", 24.0).set(Style::bold(3.2)),
    ];
    if inches {
        columns.push(Column::numbers("TIP TO TIP, in", 24.0));
    }
    columns.push(Column::words("", 40.0));
    let mut table = Table::new(columns);
    for Pair { parts, distance, furthest } in pairs {
        let [a, b] = parts.map(|part| model.parts[part].mark.clone());
        let mut row = vec![a, b, fixed(distance, 1)];
        if inches {
            row.push(length(design.units, distance));
        }
        row.push(if furthest { "furthest apart" } else { "" }.to_owned());
        table.row(row);
    }
    table.draw(folio);
}

/// Two parts' datums.
struct Pair {
    parts: [usize; 2],
    /// From tip to tip, mm.
    distance: f64,
    /// Whether no two are further apart.
    furthest: bool,
}

fn pairs(model: &Fitment) -> Vec<Pair> {
    let tips: Vec<Option<DVec3>> = model.parts.iter().map(|part| part.datum.as_ref().map(tip)).collect();
    let between = |a: usize, b: usize| Some(tips[a]?.distance(tips[b]?));
    let mut pairs: Vec<Pair> = Vec::new();
    let mut furthest: Option<Pair> = None;
    for b in 0..tips.len() {
        let onto = onto(model, b);
        for a in 0..b {
            let Some(distance) = between(a, b) else { continue };
            let pair = || Pair { parts: [a, b], distance, furthest: false };
            if onto.iter().any(|(part, _)| *part == a) {
                pairs.push(pair());
            }
            if furthest.as_ref().is_none_or(|known| known.distance < distance) {
                furthest = Some(pair());
            }
        }
    }
    let Some(furthest) = furthest else { return pairs };
    match pairs.iter_mut().find(|pair| pair.parts == furthest.parts) {
        Some(known) => known.furthest = true,
        None => pairs.push(Pair { furthest: true, ..furthest }),
    }
    pairs
}
