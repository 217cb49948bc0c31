//! Clearance: the tightest places, what was checked and how, what the scans do not show.

use clearance::{BoltAccess, Clearance, Row, ScanTold};
use geom::angle::to_degrees;
use geom::unit::{Units, fixed};
use spec::Design;
use spec::design::{Class, Form, Holder, Obstacle};

use crate::canvas::Style;
use crate::csv::end_name;
use crate::figure::{angle, full_length, length, plain_length};
use crate::folio::{BODY, Folio};
use crate::head::plain_head;
use crate::table::{Column, Table};

/// How many of the tightest places against the bay are listed.
const PLACES: usize = 10;

/// How many between the header's own parts.
const OWN: usize = 6;

/// What the page cannot know.
const CAUTION: &str = "Check on the car: tack the header, hang it on its bolts, and go around it with a block gauge, the \
     engine pushed both ways on its mounts, the wheels turned to both locks and the suspension at bump and droop. A \
     number here is geometry from a scan and a drawing. Fuel and brake lines, wiring and steering that a header heats or \
     touches kill: shield or move them, and let the makers' instructions, local codes and a licensed person decide \
     where one is required.";

/// Draws the sheet; nothing where nothing was found near.
pub fn draw(folio: &mut Folio, design: &Design, clearance: &Clearance) {
    if clearance.rows.is_empty() && clearance.own.is_empty() {
        return;
    }
    folio.sheet(plain_head(design, "Clearance", "Bay, own tubes, tools"));
    bay(folio, design, clearance);
    own(folio, design, clearance);
    ways(folio, design, clearance);
    checked(folio, design, clearance);
    scans(folio, design, clearance);
    folio.heading("Caution");
    folio.paragraph(CAUTION, BODY);
}

fn bay(folio: &mut Folio, design: &Design, clearance: &Clearance) {
    folio.heading("Tightest places against the bay");
    if clearance.rows.is_empty() {
        folio.paragraph(
            "The spec has no obstacle: nothing was checked against the car. Give it a scan or plain bodies.",
            BODY,
        );
        return;
    }
    let mut table = Table::new(vec![
        Column::words("PART", 26.0).set(Style::bold(2.6)),
        Column::words("AGAINST, ITS CLASS", 34.0),
        Column::numbers("ROOM", 15.0).set(Style::bold(3.4)),
        Column::numbers("NEEDS", 13.0).set(Style::plain(2.6)),
        Column::numbers("COLD", 13.0).set(Style::plain(2.6)),
        Column::words("WHERE", 44.0),
        Column::words("WORST WHEN", 36.0),
    ]);
    for row in clearance.tightest(PLACES) {
        let class = row.class.map_or("", Class::name);
        table.row(cells(design, row, format!("{}, {class}", row.against)));
    }
    table.draw(folio);
    folio.paragraph(
        "Room is the least distance from the part's outside in any state; cold is the distance with the engine cold and \
         at rest. Below 0 it reaches in. Of metal on the engine less is needed near the ports and flanges, where the header \
         is bolted to it: from 0 there it grows to the whole.",
        BODY,
    );
}

fn own(folio: &mut Folio, design: &Design, clearance: &Clearance) {
    let rows = clearance.tightest_own(OWN, design.shop.clearance.tubes);
    if rows.is_empty() {
        return;
    }
    folio.heading("Tightest places between the header's own parts");
    let mut table = Table::new(vec![
        Column::words("PART", 26.0).set(Style::bold(2.6)),
        Column::words("AND", 34.0),
        Column::numbers("ROOM", 15.0).set(Style::bold(3.4)),
        Column::numbers("NEEDS", 13.0).set(Style::plain(2.6)),
        Column::numbers("COLD", 13.0).set(Style::plain(2.6)),
        Column::words("WHERE", 44.0),
        Column::words("WORST WHEN", 36.0),
    ]);
    for row in rows {
        let other = row.other.map_or_else(String::new, |kind| kind.noun().to_owned());
        table.row(cells(design, row, format!("{other} {}", row.against)));
    }
    table.draw(folio);
    folio.paragraph(
        "Where parts are meant to meet (ports, merges, steps, flanges, branches) less is wanted: it grows from 0 at the \
         place to the whole over one and a half tube diameters (common practice, no source). Such places are not listed.",
        BODY,
    );
}

fn cells(design: &Design, row: &Row, against: String) -> Vec<String> {
    let units = design.units;
    vec![
        format!("{} {}", row.kind.noun(), row.subject),
        against,
        length(units, row.distance),
        length(units, row.required),
        length(units, row.cold),
        row.place(units),
        row.state.words(),
    ]
}

/// Tools, ways, the ground and the drain.
fn ways(folio: &mut Folio, design: &Design, clearance: &Clearance) {
    let mut table = Table::new(vec![
        Column::words("WHAT", 42.0).set(Style::bold(2.6)),
        Column::words("NEAREST", 66.0),
        Column::numbers("ROOM", 16.0).set(Style::bold(3.4)),
        Column::numbers("NEEDS", 16.0).set(Style::plain(2.6)),
        Column::words("WORST WHEN", 42.0),
    ]);
    let units = design.units;
    bolts(&mut table, units, clearance);
    torches(&mut table, units, clearance);
    passages(&mut table, units, clearance);
    if let Some(ground) = &clearance.ground {
        let (near, needs) = (&ground.near, length(units, ground.required));
        let what = "height over the ground".to_owned();
        table.row(vec![what, near.words(units), length(units, near.room), needs, ground.state.words()]);
    }
    if let Some(drain) = &clearance.drain {
        let lean = format!("leans {} from straight down", angle(drain.angle));
        let most = format!("≤ {}", angle(drain.largest));
        table.row(vec!["oil drain".into(), lean, "–".into(), most, String::new()]);
    }
    if !table.rows.is_empty() {
        folio.heading("Tools, ways, ground, drain");
        table.draw(folio);
    }
}

/// A row for each weld that is made on the car.
fn torches(table: &mut Table, units: Units, clearance: &Clearance) {
    for torch in &clearance.torches {
        let what = format!("torch at run {}, {}", torch.run, end_name(torch.end));
        let near = torch.near.as_ref();
        let words = near.map_or_else(|| "nothing".to_owned(), |near| near.words(units));
        let room = near.map_or_else(|| "–".to_owned(), |near| length(units, near.room));
        table.row(vec![what, words, room, length(units, torch.required), "cold".into()]);
    }
}

/// A row for the tightest place on the way out, and one for the way of each plug.
fn passages(table: &mut Table, units: Units, clearance: &Clearance) {
    let way = clearance.way_out.iter().min_by(|a, b| a.near.room.total_cmp(&b.near.room));
    if let Some(way) = way {
        let near = format!("{} past {}", way.words, way.near.what);
        let (number, along) = way.place;
        let place = format!("cold, in move {number} after {}", plain_length(units, along));
        let room = length(units, way.near.room);
        table.row(vec!["way out of the car".into(), near, room, "free".into(), place]);
    }
    for plug in &clearance.plugs {
        let (what, near) = (format!("way of plug {}", plug.plug), &plug.near);
        let state = plug.state.words();
        table.row(vec![what, near.words(units), length(units, near.room), "free".into(), state]);
    }
}

/// A row for the bolts of each flange: how they are reached, and what is nearest to a socket that goes on.
fn bolts(table: &mut Table, units: Units, clearance: &Clearance) {
    for flange in clearance.bolts.chunk_by(|a, b| a.flange == b.flange) {
        let numbers = |which: &dyn Fn(&BoltAccess) -> bool| {
            let chosen = flange.iter().filter(|bolt| which(bolt)).map(|bolt| bolt.bolt.to_string());
            chosen.collect::<Vec<_>>().join(", ")
        };
        let socketed = |bolt: &BoltAccess| bolt.room().is_none_or(|room| room >= 0.0);
        let ways = [
            ("NOT REACHED", numbers(&|bolt| !bolt.passes)),
            ("by socket", numbers(&|bolt| bolt.passes && socketed(bolt))),
            ("by spanner alone", numbers(&|bolt| bolt.passes && !socketed(bolt))),
        ];
        let ways = ways.iter().filter(|(_, bolts)| !bolts.is_empty());
        let mut words = ways.map(|(way, bolts)| format!("{way}: {bolts}")).collect::<Vec<_>>().join("; ");
        let beside = flange.iter().filter(|bolt| socketed(bolt)).filter_map(|bolt| bolt.beside.as_ref());
        let mut room = "–".to_owned();
        if let Some(near) = beside.min_by(|a, b| a.room.total_cmp(&b.room)) {
            words += &format!(". Beside the tightest socket: {}", near.words(units));
            room = length(units, near.room);
        }
        table.row(vec![
            format!("bolts of flange {}", flange[0].flange),
            words,
            room,
            "free".into(),
            "cold".into(),
        ]);
    }
}

/// What was checked, and how.
fn checked(folio: &mut Folio, design: &Design, clearance: &Clearance) {
    folio.heading("What was checked, and how");
    let apart = format!(
        "Own parts against each other, {} apart (the shop file's, or else common practice, no source), cold and hot.",
        plain_length(design.units, design.shop.clearance.tubes)
    );
    let items = [
        obstacles(design),
        Some(apart),
        Some(states(design, clearance)),
        (!clearance.bolts.is_empty()).then(|| BOLTS.to_owned()),
        (!clearance.way_out.is_empty()).then(|| WAY_OUT.to_owned()),
        between_states(design.units, clearance),
    ];
    items.iter().flatten().for_each(|item| folio.item("·", item, BODY));
}

/// Which obstacles are held against the header, and how far away they have to be; none where there are none.
fn obstacles(design: &Design) -> Option<String> {
    let rules = &design.shop.clearance;
    let of_class = |class: &Class| {
        let names: Vec<&str> =
            design.bay.obstacles.iter().filter(|o| o.class == *class).map(|o| o.name.as_str()).collect();
        let needs = plain_length(design.units, rules.of(*class));
        (!names.is_empty()).then(|| format!("{} {needs} ({})", class.name(), names.join(", ")))
    };
    let classes = [Class::Fixed, Class::Moving, Class::Wiring, Class::Fuel, Class::Steering];
    let classes: Vec<String> = classes.iter().filter_map(of_class).collect();
    (!classes.is_empty()).then(|| {
        format!(
            "Every run, merge, bung, flange, fitting and transition against every obstacle. Needed, where an obstacle \
             has no figure of its own: {}. These are the shop file's, or else common practice, no source.",
            classes.join("; ")
        )
    })
}

/// How much nearer a part may come between the states that were looked at; none where it may not.
fn between_states(units: Units, clearance: &Clearance) -> Option<String> {
    let within = clearance.tightest(PLACES).iter().map(|row| row.within).fold(0.0, f64::max);
    (within > 0.0).then(|| {
        format!(
            "Between the states that were looked at, a part of the first table may come nearer than printed by up to {}.",
            plain_length(units, within)
        )
    })
}

/// How bolts were reached.
const BOLTS: &str = "Each bolt from the tubes' side, cold: a socket with its extension, or the swing of a spanner, as plain bodies \
     of the sizes in the spec, or else of common practice, no source. The hand that holds it is not in them. What fixed \
     metal shows in the bolt's own hole, up to three hole diameters out of the plate, is taken as its stud.";

/// What was looked at on the way out.
const WAY_OUT: &str = "The way out: all of the header along the straight moves of the spec, cold, past everything that the spec \
     names and nothing else.";

/// The states in words.
fn states(design: &Design, clearance: &Clearance) -> String {
    let mut words = "States: cold, and hot, each run as hot as the spec says or as its alloy's tube commonly gets (rough, \
         no source), growing from the fixed flanges outward."
        .to_owned();
    if clearance.spread > 0.0 {
        words += &format!(
            " Where two ways through the header disagree the difference is spread along the run: up to {}.",
            plain_length(design.units, clearance.spread)
        );
    }
    let Some(rock) = &design.bay.rock else {
        return words + " The engine was taken as rigid in the car: the spec says nothing of its mounts.";
    };
    let [x, y, z] = rock.shift.to_array().map(|mm| fixed(mm, 1));
    let engine: Vec<&str> =
        design.bay.obstacles.iter().filter(|o| o.on == Holder::Engine).map(|o| o.name.as_str()).collect();
    let along =
        if engine.is_empty() { String::new() } else { format!(" {} move with it.", engine.join(", ")) };
    words
        + &format!(
            " The engine rocks {}° one way and {}° the other, and shifts up to ({x}, {y}, {z}) mm either way.{along}",
            fixed(to_degrees(rock.forward), 1),
            fixed(to_degrees(rock.back), 1)
        )
}

/// What each scan holds, and what it does not.
fn scans(folio: &mut Folio, design: &Design, clearance: &Clearance) {
    let told = design.bay.obstacles.iter().zip(&clearance.scans);
    let told: Vec<(&Obstacle, &ScanTold)> =
        told.filter_map(|(obstacle, told)| Some((obstacle, told.as_ref()?))).collect();
    if told.is_empty() {
        return;
    }
    folio.heading("What the scans show, and what they do not");
    for (obstacle, told) in told {
        folio.item("·", &scan(design, obstacle, told), BODY);
    }
    folio.paragraph(
        "A scan shows what the scanner saw. Behind a hole, beyond the scan's edge and between the points of a cloud \
         something can stand that no number here knows of. Look there on the car.",
        Style::bold(2.3),
    );
}

fn scan(design: &Design, obstacle: &Obstacle, told: &ScanTold) -> String {
    let units = design.units;
    let Form::Scan(file) = &obstacle.form else { return obstacle.name.clone() };
    let holds = match told.triangles {
        0 => format!("{} points", told.points),
        triangles => format!("{triangles} triangles"),
    };
    let size = (told.bounds[1] - told.bounds[0]).to_array().map(|mm| length(units, mm)).join(" × ");
    let mut words =
        format!("{}, from {}: {holds}, {size} {} overall.", obstacle.name, file.file, units.symbol());
    if told.removed.points + told.removed.triangles > 0 {
        words += &format!(
            " Left out as noise: {} points, {} triangles.",
            told.removed.points, told.removed.triangles
        );
    }
    words += &match told.rims.len() {
        0 if told.triangles > 0 => " The surface is closed.".to_owned(),
        0 => " Between its points nothing is known.".to_owned(),
        count => format!(
            " It ends at {count} edges and holes, the widest {} across.",
            full_length(units, told.widest())
        ),
    };
    if let Some(residual) = file.residual {
        words += &format!(
            " Placed by matched points, which stay {} apart (root mean square).",
            plain_length(units, residual)
        );
    }
    if file.one_sided {
        words += " Behind its front is metal.";
    }
    words
}
