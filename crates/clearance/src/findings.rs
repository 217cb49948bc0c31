//! What the rows come to: findings.

use layout::layout::Owner;
use spec::design::Form;
use spec::finding::accept;
use spec::{Finding, Level};

use crate::against::Against;
use crate::clearance::{Clearance, Row};
use crate::drain::DrainLean;
use crate::header::{Header, bounds};
use crate::subject::{Kind, Subject};

/// The findings of all rows, gravest first, accepted failures as warnings.
pub(crate) fn of(header: &Header, obstacles: &[Against], clearance: &Clearance) -> Vec<Finding> {
    let told = Told { header };
    let mut found: Vec<Finding> = clearance.rows.iter().filter_map(|row| told.against(row)).collect();
    found.extend(clearance.own.iter().filter_map(|row| told.own(row)));
    found.extend(obstacles.iter().filter_map(|against| told.short(against, clearance)));
    found.extend(clearance.overlaps.iter().map(|overlap| overlap.finding(header)));
    found.extend(obstacles.iter().filter_map(|against| told.left_out(against, clearance)));
    found.extend(obstacles.iter().filter_map(|against| told.around(against, clearance)));
    found.extend(clearance.holes.iter().map(|hole| hole.finding(header)));
    found.extend(clearance.bolts.iter().filter_map(|bolt| bolt.finding(header)));
    found.extend(clearance.torches.iter().filter_map(|torch| torch.finding(header)));
    found.extend(clearance.way_out.iter().filter_map(|passage| passage.finding(header)));
    found.extend(clearance.plugs.iter().filter_map(|plug| plug.finding(header)));
    found.extend(clearance.ground.iter().filter_map(|ground| ground.finding(header)));
    found.extend(clearance.drain.iter().filter_map(DrainLean::finding));
    accept(&header.design.accepted, &mut found);
    found.sort_by_key(|finding| finding.level);
    found
}

struct Told<'a> {
    header: &'a Header<'a>,
}

impl Told<'_> {
    fn written(&self, mm: f64) -> String {
        self.header.design.units.written(mm)
    }

    fn subject(&self, row: &Row) -> Option<&Subject> {
        self.header.subjects.iter().find(|subject| subject.kind == row.kind)
    }

    fn finding(&self, level: Level, code: &'static str, row: &Row, message: String) -> Finding {
        Finding {
            level,
            code,
            place: format!("{}, {}", row.words(), row.against_words()),
            message,
            value: Some(row.distance),
            limit: Some(row.required),
        }
    }

    /// A subject too near to an obstacle, or just not.
    fn against(&self, row: &Row) -> Option<Finding> {
        let name = &row.against;
        if row.inside || row.behind {
            let code = if row.inside { "inside-obstacle" } else { "behind-scan" };
            return Some(self.finding(Level::Failure, code, row, self.buried(row)));
        }
        let accuracy = self.accuracy(row);
        let (level, code, mend) = if row.margin() < 0.0 {
            let by = self.written(-row.margin());
            (Level::Failure, "clearance", format!("move it {by} away"))
        } else if row.margin() < accuracy {
            let off = self.written(accuracy);
            (Level::Warning, "clearance-tight", format!("the shop's accuracy of {off} may take what is left"))
        } else if row.margin() < row.within {
            let nearer = self.written(row.within);
            let mend =
                format!("states between those looked at may come up to {nearer} nearer: give it more room");
            (Level::Warning, "clearance-tight", mend)
        } else {
            return None;
        };
        let message = format!("{} {} {name} {}: {mend}", row.words(), self.passes(row), self.stands(row));
        Some(self.finding(level, code, row, message))
    }

    fn buried(&self, row: &Row) -> String {
        let (words, name) = (row.words(), &row.against);
        let place = self.place(row);
        let away = self.written(row.distance.abs());
        if row.behind {
            return format!(
                "{words} lies behind the surface of {name}, {away} from it {place}: where only the front was seen, \
                 behind it is metal; move it out, or place or wind the scan the right way round"
            );
        }
        let told = match row.rays {
            Some([inside, of]) => format!(" ({inside} of {of} rays say so), {away} from its surface {place}"),
            None => String::new(),
        };
        format!(
            "{words} or a part of it lies wholly inside {name}, or around it{told}: move it out, or see whether the \
             obstacle is placed as it is on the car"
        )
    }

    /// Two parts of the header too near to each other: a failure where they touch.
    fn own(&self, row: &Row) -> Option<Finding> {
        if row.margin() >= 0.0 {
            return None;
        }
        let level = if row.distance <= TOUCH { Level::Failure } else { Level::Warning };
        let itself = row.other == Some(row.kind);
        let other = if itself { "itself".to_owned() } else { row.against_words() };
        let message = format!(
            "{} {} {other} {}: move it {} away",
            row.words(),
            self.passes(row),
            self.stands(row),
            self.written(-row.margin())
        );
        Some(self.finding(level, "own-clearance", row, message))
    }

    fn passes(&self, row: &Row) -> String {
        if row.distance < -TOUCH {
            format!("reaches {} into", self.written(-row.distance))
        } else if row.distance <= TOUCH {
            "touches".to_owned()
        } else {
            format!("passes {} from", self.written(row.distance))
        }
    }

    /// Where, what is needed, and in which state: at 312 mm from its start, clock 145 deg (needs 15 mm), hot.
    fn stands(&self, row: &Row) -> String {
        format!("{} (needs {}), {}", self.place(row), self.written(row.required), row.state.words())
    }

    fn place(&self, row: &Row) -> String {
        format!("at {}", row.place(self.header.design.units))
    }

    /// How far a part may be off by the shop's accuracy, mm.
    fn accuracy(&self, row: &Row) -> f64 {
        let layout = self.header.layout;
        let of_run = |run: usize| layout.runs[run].end_error.shop_likely;
        match row.kind {
            Kind::Run(run) => of_run(run),
            Kind::Merge(merge) => {
                layout.merges[merge].legs.iter().map(|leg| of_run(leg.run)).fold(0.0, f64::max)
            }
            Kind::Bung(bung) => of_run(layout.bungs[bung].run),
            Kind::Fitting(piece) => match layout.pieces[piece].owner {
                Owner::Run(run) => of_run(run),
                Owner::Merge(_) => self.header.design.shop.accuracy.length,
            },
            Kind::Flange(_) | Kind::Transition(_) => self.header.design.shop.accuracy.length,
        }
    }

    /// What was left out of a scan as noise, and is nearer to the header than metal might be.
    fn left_out(&self, against: &Against, clearance: &Clearance) -> Option<Finding> {
        let name = &against.obstacle.name;
        let rows: Vec<&Row> = clearance.noise.iter().filter(|row| row.against == *name).collect();
        let row = rows.iter().min_by(|a, b| a.margin().total_cmp(&b.margin()))?;
        let removed = against.scan?.told.removed;
        let [x, y, z] = row.there.to_array().map(|mm| self.written(mm));
        let others = rows.iter().filter(|other| other.kind != row.kind).map(|other| other.words());
        let others: Vec<String> = others.collect();
        let others = match others.is_empty() {
            true => String::new(),
            false => format!("; too near to some of it, too: {}", others.join(", ")),
        };
        let message = format!(
            "`isolated` left {} points and {} triangles out of it; {} {} one of them, x {x}, y {y}, z {z}, {}{others}: \
             look there on the car, and give a smaller `within` or `least` if something is there",
            removed.points,
            removed.triangles,
            row.words(),
            self.passes(row),
            self.stands(row),
        );
        Some(Finding {
            level: Level::Warning,
            code: "left-out",
            place: name.clone(),
            message,
            value: Some(row.distance),
            limit: Some(row.required),
        })
    }

    /// A scan around the header that may be a body turned inside out.
    fn around(&self, against: &Against, clearance: &Clearance) -> Option<Finding> {
        let name = &against.obstacle.name;
        let rows: Vec<&Row> =
            clearance.rows.iter().filter(|row| row.against == *name && row.around).collect();
        let [inside, of] = rows.first()?.rays?;
        let names: Vec<String> = rows.iter().map(|row| row.words()).collect();
        let message = format!(
            "it goes around {} on all sides ({inside} of {of} rays meet it) and shows its front there: if it is a body, \
             not a room around the header, that is inside it, and the scan's triangles are wound the wrong way round",
            names.join(", ")
        );
        Some(Finding {
            level: Level::Warning,
            code: "scan-around",
            place: name.clone(),
            message,
            value: None,
            limit: None,
        })
    }

    /// What a scan does not cover near the header.
    fn short(&self, against: &Against, clearance: &Clearance) -> Option<Finding> {
        let (scan, obstacle) = (against.scan?, against.obstacle);
        let Form::Scan(_) = obstacle.form else { return None };
        let near = |row: &&Row| {
            row.against == obstacle.name && row.on_rim && row.distance < obstacle.required + COVERED
        };
        let rows: Vec<&Row> = clearance.rows.iter().filter(near).collect();
        let least = rows.iter().min_by(|a, b| a.distance.total_cmp(&b.distance))?;
        let names: Vec<String> = rows.iter().map(|row| row.words()).collect();
        let beyond = rows.iter().filter_map(|row| self.subject(row)).map(|subject| {
            let b = bounds(subject.bodies.iter().map(|body| &body.solid));
            let [low, high] = scan.told.bounds;
            (low - b.min).max(b.max - high).max_element()
        });
        let beyond = beyond.fold(0.0, f64::max);
        let message = format!(
            "it is nearest to {} where its surface ends, {} away at the least, and the header reaches up to {} beyond \
             its box: what lies further was not seen; scan further, or add a plain body there",
            names.join(", "),
            self.written(least.distance),
            self.written(beyond)
        );
        Some(Finding {
            level: Level::Note,
            code: "scan-short",
            place: obstacle.name.clone(),
            message,
            value: Some(least.distance),
            limit: None,
        })
    }
}

/// Parts that are this near touch, mm.
const TOUCH: f64 = 1e-3;

/// A scan's rim matters where the header is nearer to it than this beyond what is wanted, mm.
const COVERED: f64 = 50.0;
