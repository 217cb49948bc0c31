//! The closing solver: random buildable runs with values blanked are closed again, and runs made
//! impossible on purpose are refused with what is missing.

use std::f64::consts::TAU;

use geom::DVec3;
use geom::angle::wrap_signed;
use geom::math::{atan2, sin_cos, tan};
use hotside_tests::demo_specs;
use layout::closing::SolvedValue;
use spec::design::{Design, OpenValue, Path, Slot};
use spec::{Source, read_design};

/// A closed run's end is this near to its place, mm, and to its direction, rad; its length to its target.
const CLOSED: (f64, f64) = (1e-6, 1e-9);

/// Numbers that look random and are the same in every run: splitmix64 (public domain, S. Vigna).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// In `[0, 1)`.
    fn part(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.part()
    }

    fn below(&mut self, count: usize) -> usize {
        (self.next() % count as u64) as usize
    }

    fn direction(&mut self) -> DVec3 {
        let (z, turn) = (self.between(-1.0, 1.0), self.between(0.0, TAU));
        let (s, c) = sin_cos(turn);
        let r = (1.0 - z * z).sqrt();
        DVec3::new(r * c, r * s, z)
    }
}

/// A bend row in mm and degrees.
#[derive(Clone, Copy)]
struct Bend {
    straight: f64,
    rotate: f64,
    bend: f64,
    radius: f64,
}

/// A run as a shop would build it.
#[derive(Clone)]
struct Built {
    at: DVec3,
    along: DVec3,
    inside: DVec3,
    bends: Vec<Bend>,
    tail: f64,
}

/// Where a run ends, and how long it is.
struct End {
    at: DVec3,
    along: DVec3,
    length: f64,
}

/// `v` turned about the unit vector `axis` by `angle` (rad): Rodrigues' formula.
fn turned(v: DVec3, axis: DVec3, angle: f64) -> DVec3 {
    let (s, c) = sin_cos(angle);
    v * c + axis.cross(v) * s + axis * (axis.dot(v) * (1.0 - c))
}

impl Built {
    fn random(dice: &mut Dice) -> Built {
        let along = dice.direction();
        let radius = [40.0, 63.5, 76.2, 100.0][dice.below(4)];
        let bends = 2 + dice.below(4);
        let bend = |dice: &mut Dice, first: bool| Bend {
            straight: dice.between(15.0, 160.0),
            rotate: if first { 0.0 } else { dice.between(-180.0, 180.0) },
            bend: dice.between(10.0, 120.0),
            radius,
        };
        Built {
            at: dice.direction() * dice.between(0.0, 500.0),
            along,
            inside: along.cross(dice.direction()).normalize(),
            bends: (0..bends).map(|i| bend(dice, i == 0)).collect(),
            tail: dice.between(15.0, 160.0),
        }
    }

    /// Marches the rows: go, turn, bend. Uses nothing of the crates under test.
    fn end(&self) -> End {
        let (mut at, mut along, mut inside, mut length) = (self.at, self.along, self.inside, 0.0);
        for bend in &self.bends {
            at += along * bend.straight;
            inside = turned(inside, along, bend.rotate.to_radians());
            let (centre, axis, angle) =
                (at + inside * bend.radius, along.cross(inside), bend.bend.to_radians());
            at = centre + turned(at - centre, axis, angle);
            along = turned(along, axis, angle);
            inside = turned(inside, axis, angle);
            length += bend.straight + bend.radius * angle;
        }
        End { at: at + along * self.tail, along, length: length + self.tail }
    }

    /// Its numbers, the order of [`Blank::place`]: straights, bends, rotates.
    fn numbers(&self) -> Vec<f64> {
        let straights = self.bends.iter().map(|b| b.straight).chain([self.tail]);
        let bends = self.bends.iter().map(|b| b.bend);
        straights.chain(bends).chain(self.bends.iter().skip(1).map(|b| b.rotate)).collect()
    }

    fn text(&self, end: &End, values: &[String], inside: &str, target: Option<f64>) -> String {
        let vector = |v: DVec3| format!("[{:e}, {:e}, {:e}]", v.x, v.y, v.z);
        let n = self.bends.len();
        let mut path = Vec::new();
        for (i, bend) in self.bends.iter().enumerate() {
            path.push(format!("{{ straight = {} }}", values[i]));
            let rotate = if i > 0 { format!(", rotate = {}", values[2 * n + i]) } else { String::new() };
            path.push(format!("{{ bend = {}{rotate}, radius = {:e} }}", values[n + 1 + i], bend.radius));
        }
        path.push(format!("{{ straight = {} }}", values[n]));
        let target = target.map_or(String::new(), |t| format!("target = {t:e}\n"));
        format!(
            "title = \"A random run (invented)\"\nunits = \"mm\"\n\
             [tube.t]\nod = 45\nwall = 1.5\nalloy = \"304\"\n\
             [port.p]\nat = {}\nalong = {}\n[flange.f]\nat = {}\nalong = {}\n\
             [run.r]\nfrom = \"p\"\nto = \"f\"\ntube = \"t\"\n{target}inside = {inside}\npath = [{}]\n",
            vector(self.at),
            vector(self.along),
            vector(end.at),
            vector(end.along),
            path.join(", ")
        )
    }

    fn inside_text(&self) -> String {
        format!("[{:e}, {:e}, {:e}]", self.inside.x, self.inside.y, self.inside.z)
    }
}

fn read(text: &str) -> Design {
    let source = Source::from_bytes("random.toml", text.as_bytes()).unwrap();
    let read = read_design(&source, &mut |_| unreachable!());
    read.unwrap_or_else(|faults| {
        panic!("{}\n{text}", faults.iter().map(|f| f.to_string()).collect::<String>())
    })
    .0
}

/// What is wrong with a closed design's run, marched anew.
fn wrong(design: &Design, built: &Built, end: &End, target: Option<f64>) -> Option<String> {
    let run = &design.runs[0];
    let Path::Rows { rows, tail } = &run.path else { return Some("not rows".into()) };
    let bends = rows.iter().map(|row| Bend {
        straight: row.feed,
        rotate: row.rotate.to_degrees(),
        bend: row.bend.to_degrees(),
        radius: row.radius,
    });
    let anew = Built { inside: run.inside.unwrap(), bends: bends.collect(), tail: *tail, ..built.clone() };
    let short = anew.bends.iter().map(|b| b.straight).chain([anew.tail]).find(|&s| s < 0.0);
    if let Some(short) = short {
        return Some(format!("a straight of {short}"));
    }
    if let Some(bend) = anew.bends.iter().find(|b| !(b.bend > 0.0 && b.bend <= 180.0 + 1e-9)) {
        return Some(format!("a bend of {}", bend.bend));
    }
    let reached = anew.end();
    let gap = reached.at.distance(end.at);
    let angle = atan2(reached.along.cross(end.along).length(), reached.along.dot(end.along));
    let off = target.map_or(0.0, |target| (reached.length - target).abs());
    let open = gap > CLOSED.0 || angle > CLOSED.1 || off > CLOSED.0;
    open.then(|| format!("gap {gap:e}, angle {angle:e}, length off {off:e}"))
}

/// Values of `built` blanked: which, and how they are written.
fn blanked(dice: &mut Dice, built: &Built, count: usize, is_drawn: bool) -> (Vec<String>, String) {
    let numbers = built.numbers();
    let mut places: Vec<usize> = (0..=numbers.len()).collect();
    for i in 0..count {
        places.swap(i, i + dice.below(numbers.len() + 1 - i));
    }
    let is_open = |i: usize| places[..count].contains(&i);
    let n = built.bends.len();
    let mut values = Vec::new();
    for (i, &number) in numbers.iter().enumerate() {
        let (low, high) = if i <= n {
            (0.0, f64::MAX)
        } else if i <= 2 * n {
            (1.0, 180.0)
        } else {
            (-180.0, 180.0)
        };
        let rough = (number * (1.0 + dice.between(-0.1, 0.1))).clamp(low, high);
        values.push(match (is_open(i), is_drawn) {
            (false, _) => format!("{number:e}"),
            (true, true) => format!("\"? {rough:.0}\""),
            (true, false) => "\"?\"".to_owned(),
        });
    }
    let inside = if is_open(numbers.len()) { "\"?\"".to_owned() } else { built.inside_text() };
    (values, inside)
}

#[test]
fn blanked_runs_are_closed_again() {
    let mut dice = Dice(1);
    let (mut refused, mut faults) = (Vec::new(), Vec::new());
    for number in 0..1000 {
        let built = Built::random(&mut dice);
        let end = built.end();
        let target = (number % 2 == 0).then_some(end.length);
        let equations = if target.is_some() { 6 } else { 5 };
        let most = equations.min(built.numbers().len());
        let count = if number % 5 == 4 { 1 + dice.below(most) } else { most };
        let (values, inside) = blanked(&mut dice, &built, count, number % 4 < 2);
        let text = built.text(&end, &values, &inside, target);
        match layout::close(&read(&text)) {
            Ok(closed) => faults.extend(
                wrong(&closed.design, &built, &end, target).map(|w| format!("{number}: {w}\n{text}")),
            ),
            Err(missed) => refused.push(format!("{number}: {}\n{text}", missed[0].message)),
        }
    }
    println!("{} of 1000 refused:\n{}", refused.len(), refused.join("\n"));
    assert!(faults.is_empty(), "{} wrong:\n{}", faults.len(), faults.join("\n"));
    assert!(refused.len() <= 10, "{} refused:\n{}", refused.len(), refused.join("\n"));
}

/// Of the solutions the nearest to the drawn values is taken, and for bare ones that of least bend: the
/// run as it was built is one of them, so what is taken is as near, or bends as little.
#[test]
fn the_nearest_solution_is_taken() {
    let mut dice = Dice(2);
    let mut further = Vec::new();
    for number in 0..400 {
        let built = Built::random(&mut dice);
        let (end, is_drawn) = (built.end(), number % 2 == 0);
        let (values, inside) = blanked(&mut dice, &built, 5, is_drawn);
        if inside.contains('?') {
            continue;
        }
        let text = built.text(&end, &values, &inside, None);
        let design = read(&text);
        let closed = layout::close(&design).unwrap_or_else(|missed| panic!("{}\n{text}", missed[0].message));
        let (rank, least) = if is_drawn {
            let own: f64 = closed.solved.iter().map(|s| far(s.value, s.drawn.unwrap())).sum();
            (own, design.runs[0].open.iter().map(|o| far(as_built(&built, o), o.drawn.unwrap())).sum())
        } else {
            let Path::Rows { rows, .. } = &closed.design.runs[0].path else { panic!() };
            let bends: f64 = rows.iter().map(|row| row.bend).sum();
            (bends, built.bends.iter().map(|b| b.bend.to_radians()).sum::<f64>())
        };
        if rank > least + 1e-6 {
            further.push(format!("{number}: {rank} and not {least}\n{text}"));
        }
    }
    assert!(further.is_empty(), "{} of 400:\n{}", further.len(), further.join("\n"));
}

/// The number of an open value as it was built, mm or rad.
fn as_built(built: &Built, open: &OpenValue) -> SolvedValue {
    let n = built.bends.len();
    match open.slot {
        Slot::Straight { row, .. } => SolvedValue::Length(built.numbers()[row]),
        Slot::Bend { row } => SolvedValue::Angle(built.numbers()[n + 1 + row].to_radians()),
        Slot::Rotate { row } => SolvedValue::Angle(built.numbers()[2 * n + row].to_radians()),
        _ => panic!("{open:?}"),
    }
}

/// The square of a value's distance from the drawn one; 100 mm count like 1 rad.
fn far(value: SolvedValue, drawn: f64) -> f64 {
    match value {
        SolvedValue::Length(mm) => ((mm - drawn) / 100.0).powi(2),
        SolvedValue::Angle(rad) => wrap_signed(rad - drawn).powi(2),
        SolvedValue::Direction(_) => panic!(),
    }
}

/// What was done to a run, and what its refusal has to say.
struct Impossible {
    text: String,
    /// A distance or angle that the message has to name, as it prints it.
    missing: Option<String>,
}

#[test]
fn impossible_runs_are_refused_with_what_is_missing() {
    let mut dice = Dice(3);
    for number in 0..200 {
        let built = Built::random(&mut dice);
        let Impossible { text, missing } = impossible(&mut dice, &built, number % 8);
        let faults = layout::close(&read(&text)).expect_err(&text);
        let [fault] = &faults[..] else { panic!("{faults:?}") };
        assert!(fault.key.starts_with("run.r"), "{number}: {}", fault.key);
        assert!(names_a_miss(&fault.message), "{number}: {}\n{text}", fault.message);
        if let Some(missing) = missing {
            assert!(fault.message.contains(&missing), "{number}: {}, not {missing}\n{text}", fault.message);
        }
    }
}

/// Whether a message holds a number above 0 before a unit.
fn names_a_miss(message: &str) -> bool {
    let words: Vec<&str> = message.split_whitespace().collect();
    words.windows(2).any(|pair| {
        let is_unit = pair[1].starts_with("mm") || pair[1].starts_with("degrees");
        is_unit && pair[0].parse::<f64>().is_ok_and(|number| number > 0.0)
    })
}

fn impossible(dice: &mut Dice, built: &Built, kind: usize) -> Impossible {
    let n = built.bends.len();
    let mut end = built.end();
    let mut values: Vec<String> = built.numbers().iter().map(|number| format!("{number:e}")).collect();
    let (mut target, mut missing) = (None, None);
    let by = dice.between(3.0, 60.0);
    let open = |values: &mut Vec<String>, places: std::ops::Range<usize>| {
        places.for_each(|i| values[i] = "\"?\"".to_owned());
    };
    match kind {
        // The end is nearer than the last straight allows: it would have to be this much below 0.
        0 | 1 => {
            end.at -= end.along * (built.tail + by);
            open(&mut values, n..n + 1);
            missing = Some(format!("would have to be -{by:.2} mm: {by:.2} mm are missing"));
        }
        // The end stands aside, and only the last straight is open.
        2 => {
            end.at += end.along.cross(dice.direction()).normalize() * by;
            open(&mut values, n..n + 1);
            missing = Some(format!("stays {by:.3} mm and 0.000 degrees from `f`"));
        }
        // The end looks elsewhere, and only straights are open.
        3 => {
            let askew = dice.between(2.0, 40.0);
            let axis = end.along.cross(dice.direction()).normalize();
            end.along = turned(end.along, axis, askew.to_radians());
            open(&mut values, n - 1..n + 1);
            missing = Some(format!(" {askew:.3} degrees from `f`"));
        }
        // Further away than all straights and bends together reach.
        4 => {
            end.at = built.at + built.along * 20.0 * end.length;
            open(&mut values, n + 1..n + 3);
        }
        // A length below the distance of the two ends.
        5 | 6 => {
            target = Some(0.9 * end.at.distance(built.at));
            open(&mut values, 0..2);
            open(&mut values, n..n + 3);
        }
        // A length that the given straights and half turns do not reach.
        _ => {
            target = Some(end.length + 4.0 * n as f64 * built.bends[0].radius);
            open(&mut values, n + 1..n + 3);
            missing = Some("shorter than the".to_owned());
        }
    }
    Impossible { text: built.text(&end, &values, &built.inside_text(), target), missing }
}

/// Lengths of a segmented run are those of its segments: it reaches its target by them.
#[test]
fn a_segmented_run_reaches_its_target() {
    let mut dice = Dice(4);
    for number in 0..30 {
        let built = Built::random(&mut dice);
        let end = built.end();
        let pieces = 3 + number % 4;
        let parts = f64::from(2 * pieces - 2);
        let grown = |b: &Bend| {
            let angle = b.bend.to_radians();
            b.radius * (parts * tan(angle / parts) - angle)
        };
        let target = end.length + built.bends.iter().map(grown).sum::<f64>();
        let (values, inside) = blanked(&mut dice, &built, 6, number % 2 == 0);
        let text = built.text(&end, &values, &inside, Some(target))
            + &format!("making = \"segmented\"\nsegments = {pieces}\n");
        let layout =
            layout::lay(&read(&text)).unwrap_or_else(|missed| panic!("{}\n{text}", missed[0].message));
        let run = &layout.runs[0];
        assert!(run.closure.gap < CLOSED.0 && run.closure.angle < CLOSED.1, "{number}: {:?}", run.closure);
        assert!((run.length() - target).abs() < CLOSED.0, "{number}: {} and not {target}", run.length());
    }
}

/// A spec of runs from ports 100 mm apart, each to a flange below; `runs` are the rest of their tables.
fn header(runs: &[&str], rest: &str) -> String {
    let mut text = "title = \"Runs (invented)\"\nunits = \"mm\"\n\
                    [tube.t]\nod = 45\nwall = 1.5\nalloy = \"304\"\n"
        .to_owned();
    for (i, run) in runs.iter().enumerate() {
        let y = 100 * i;
        text += &format!(
            "[port.p{i}]\nat = [0, {y}, 0]\nalong = [1, 0, 0]\n\
             [flange.f{i}]\nat = [200, {y}, -250]\nalong = [0, 0, -1]\n\
             [run.r{i}]\nfrom = \"p{i}\"\nto = \"f{i}\"\ntube = \"t\"\nradius = 70\n{run}\n"
        );
    }
    text + rest
}

fn lengths(text: &str) -> Vec<f64> {
    let layout = layout::lay(&read(text)).unwrap_or_else(|faults| panic!("{}\n{text}", faults[0].message));
    layout.runs.iter().map(|run| run.measured_length()).collect()
}

fn refusal(text: &str) -> Vec<String> {
    let faults = layout::lay(&read(text)).expect_err(text);
    faults.into_iter().map(|fault| format!("{}: {}", fault.key, fault.message)).collect()
}

/// It closes by itself.
const GIVEN: &str = "group = \"g\"\npath = [{ out = 160 }, { back = 170 }]";
/// A detour to the side that can be made longer.
const DETOUR: &str = "group = \"g\"\ninside = \"?\"\npath = [{ straight = 40 }, { bend = \"? 60\" }, \
                      { straight = \"? 60\" }, { bend = \"? 100\", rotate = \"? 120\" }, { straight = \"?\" }]";
const VERTICES: &str = "group = \"g\"\npath = [{ out = \"?\" }, { back = 150 }]";
const SHARED: &str = "[group.g]\ntarget = \"?\"\nspread = 2\n";

#[test]
fn a_group_shares_the_length_of_its_given_run() {
    let given = lengths(&header(&[&GIVEN.replace("group = \"g\"\n", "")], ""))[0];
    for other in [DETOUR, VERTICES] {
        let found = lengths(&header(&[GIVEN, other], SHARED));
        assert!(found.iter().all(|length| (length - given).abs() < 1e-6), "{found:?} and not {given}");
    }
}

/// With nothing given, the drawn target or the mean of what the runs have by themselves.
#[test]
fn a_group_without_a_given_run_shares_the_length_nearest_to_what_is_drawn() {
    let drawn = lengths(&header(&[DETOUR, DETOUR], "[group.g]\ntarget = \"? 400\"\n"));
    assert!(drawn.iter().all(|length| (length - 400.0).abs() < 1e-6), "{drawn:?}");
    // Two runs that are alike share the length that each has by itself.
    let alone = |run: &str| lengths(&header(&[run, run], SHARED))[0];
    let longer = DETOUR.replace("? 60\" }, { bend = \"? 100", "? 80\" }, { bend = \"? 100");
    let shared = lengths(&header(&[DETOUR, &longer], SHARED));
    assert!((shared[0] - shared[1]).abs() < 1e-6, "{shared:?}");
    let mean = 0.5 * (alone(DETOUR) + alone(&longer));
    assert!((shared[0] - mean).abs() < 1e-6, "{shared:?} and not {mean}");
}

#[test]
fn given_runs_that_differ_share_no_length() {
    let longer = GIVEN.replace("out = 160", "out = 180");
    let said = refusal(&header(&[GIVEN, &longer, DETOUR], SHARED));
    assert!(said.len() == 1 && said[0].contains("mm apart, and 2.0 mm is allowed"), "{said:?}");
}

/// A run that begins at a branch of a run with open values is closed after that one.
#[test]
fn a_branch_waits_for_its_open_host() {
    let rest = "[flange.w]\nat = [150, 200, -100]\nalong = [0, 1, 0]\n\
                [tube.s]\nod = 30\nwall = 1.5\nalloy = \"304\"\n\
                [branch.gate]\non = \"r0\"\nat = 60\ntoward = [0, 1, 0]\nangle = 60\n\
                [run.gate]\nfrom = \"gate\"\nto = \"w\"\ntube = \"s\"\nradius = 40\ninside = \"?\"\n\
                path = [{ straight = \"?\" }, { bend = \"?\" }, { straight = 30 }, { bend = \"?\", rotate = \"?\" }, { straight = 40 }]\n";
    let host = "inside = [0, 0, -1]\npath = [{ straight = \"?\" }, { bend = 90 }, { straight = \"?\" }]";
    let text = header(&[host], rest);
    let layout = layout::lay(&read(&text)).unwrap_or_else(|faults| panic!("{}", faults[0].message));
    for run in &layout.runs {
        assert!(
            run.closure.gap < CLOSED.0 && run.closure.angle < CLOSED.1,
            "{}: {:?}",
            run.name,
            run.closure
        );
    }
    assert_eq!(layout.solved.len(), 7);
}

/// Six open values reach a target exactly or not at all: the spread is no excuse.
#[test]
fn a_target_is_reached_or_refused() {
    let run = DETOUR.replace("group = \"g\"", "target = 463");
    let said = refusal(&header(&[&run], ""));
    assert!(said[0].contains("mm shorter than the 463.00 mm asked for"), "{said:?}");
}

/// A run that begins at a branch of a run whose length waits for it can never be closed.
#[test]
fn runs_that_wait_for_each_other_are_refused() {
    let rest = "[branch.gate]\non = \"r0\"\nat = 30\ntoward = [0, 1, 0]\nangle = 60\n\
                [tube.s]\nod = 30\nwall = 1.5\nalloy = \"304\"\n\
                [run.gate]\nfrom = \"gate\"\nto = \"open\"\ntube = \"s\"\ngroup = \"g\"\npath = [{ straight = \"?\" }]\n";
    let said = refusal(&header(&[DETOUR], &(rest.to_owned() + SHARED)));
    assert!(said.len() == 1 && said[0].contains("waits for theirs"), "{said:?}");
}

/// Each length and bend of the shipped specs' paths, left open near its own value, is solved or refused in
/// words; where it is solved its run closes.
#[test]
fn any_value_of_a_shipped_spec_can_be_left_open() {
    let (mut solved, mut refused) = (0, 0);
    for path in demo_specs() {
        let text = std::fs::read_to_string(&path).unwrap();
        let folder = path.parent().unwrap();
        let mut load = |shop: &str| {
            let bytes = std::fs::read(folder.join(shop)).map_err(|error| error.to_string())?;
            Source::from_bytes(shop, &bytes).map_err(|fault| fault.message)
        };
        for (from, number) in numbers_after(&text, &["{ straight = ", "{ bend = ", "{ out = ", "{ back = "]) {
            let open = format!("{}\"? {number}\"{}", &text[..from], &text[from + number.len()..]);
            let source = Source::from_bytes("open.toml", open.as_bytes()).unwrap();
            let place = || format!("{} at {from}: {number}", path.display());
            let design = match read_design(&source, &mut load) {
                Ok((design, _)) => design,
                Err(faults) => {
                    assert!(
                        faults.iter().all(|fault| fault.code == "too-many-open"),
                        "{}: {}",
                        place(),
                        faults[0]
                    );
                    refused += 1;
                    continue;
                }
            };
            match layout::lay(&design) {
                Ok(layout) => {
                    let wide = layout.runs.iter().find(|run| run.closure.gap > CLOSED.0);
                    assert!(wide.is_none() && layout.solved.len() == 1, "{}: {wide:?}", place());
                    solved += 1;
                }
                Err(faults) => {
                    let said = faults.iter().all(|fault| names_a_miss(&fault.message));
                    assert!(said, "{}: {}", place(), faults[0].message);
                    refused += 1;
                }
            }
        }
    }
    assert!(solved >= 40 && refused >= 1, "{solved} solved, {refused} refused");
}

/// The numbers that stand behind one of `heads` in a text, with their places.
fn numbers_after<'a>(text: &'a str, heads: &[&str]) -> Vec<(usize, &'a str)> {
    let at = heads.iter().flat_map(|head| text.match_indices(head).map(|(at, head)| at + head.len()));
    let number = |from: usize| {
        let rest = &text[from..];
        let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
        (end > 0).then(|| (from, &rest[..end]))
    };
    at.filter_map(number).collect()
}
