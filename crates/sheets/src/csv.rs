//! The CSV sheets: enough, on their own, to rebuild the header in space.
//!
//! UTF-8, dots as decimal marks, a header line, LF. Net geometry: mm and degrees, right-handed, z up.
//! The columns are a contract: other programs rebuild headers from them.

use geom::angle::{from_degrees, to_degrees, wrap_signed, wrap_turn};
use geom::unit::fixed;
use geom::{DVec3, Frame};
use layout::Layout;
use layout::layout::{Joint, JointKind, Make, Owner, Part, WholeKind};
use spec::Design;
use tube::{End, Piece};

use crate::bend_sheet::from_first_in;
use crate::edge::listed_clocks;

mod holes;

pub use holes::{hole_edges, holes};

/// A table being written.
struct Csv {
    text: String,
    columns: usize,
}

/// `runs.csv`: each run's ends as laid (start) and as demanded (end), and its length.
///
/// The gaps are from its start to its first piece, and from its last piece to its end, before cuts that are
/// not square; negative where a piece reaches beyond.
pub fn runs(_: &Design, layout: &Layout) -> String {
    let last = ["length_mm", "start_gap_mm", "end_gap_mm"];
    let mut csv = Csv::new(&["run", "from", "to"], &pose_columns(&["start_", "end_"]), &last);
    for run in &layout.runs {
        let mut row = vec![run.name.clone(), run.from.clone(), run.to.clone()];
        row.extend(pose(&run.start_pose()));
        row.extend(pose(&run.end_pose()));
        row.extend([mm(run.length()), mm(run.gaps[0]), mm(run.gaps[1])]);
        csv.row(row);
    }
    csv.text
}

/// `pieces.csv`: each piece with its section, the pose of its station 0, its lengths and its cuts.
///
/// `od_mm` and `wall_mm` are of a tube its own (of a cone at its start); of a formed end the columns of that
/// end hold what it is formed to, and its taper and land, which are 0 elsewhere.
///
/// `cut_mm` is the net length from long point to long point; `raw_mm` what is sawn off the stock:
/// with trim, and with what is added for weld shrinkage.
pub fn pieces(_: &Design, layout: &Layout) -> String {
    let head = ["mark", "belongs_to", "kind_of_owner", "order", "kind", "od_mm", "wall_mm", "alloy"];
    let tail = [
        "raw_mm",
        "cut_mm",
        "start_kind",
        "start_angle_deg",
        "start_roll_deg",
        "end_kind",
        "end_angle_deg",
        "end_roll_deg",
        "end_od_mm",
        "start_od_mm",
        "start_wall_mm",
        "end_wall_mm",
        "start_taper_mm",
        "start_land_mm",
        "end_taper_mm",
        "end_land_mm",
    ];
    let mut csv = Csv::new(&head, &pose_columns(&[""]), &tail);
    for part in &layout.pieces {
        let piece = &part.piece;
        let owner = match part.owner {
            Owner::Run(_) => "run",
            Owner::Merge(_) => "merge",
        };
        let mut row = vec![
            part.mark.clone(),
            layout.owner_name(part).to_owned(),
            owner.to_owned(),
            part.order.to_string(),
            kind(part).to_owned(),
            mm(piece.od()),
            mm(piece.wall()),
            piece.alloy().name.to_owned(),
        ];
        row.extend(pose(&piece.frame_at(0.0)));
        row.extend([mm(raw_length(part)), mm(piece.length())]);
        row.extend(cut(piece, End::Start));
        row.extend(cut(piece, End::End));
        row.push(mm(2.0 * piece.outer_radius(piece.length())));
        row.push(mm(2.0 * piece.outer_radius(0.0)));
        row.extend([End::Start, End::End].map(|end| mm(piece.wall_at(end))));
        for form in piece.forms {
            row.extend(form.map_or([0.0; 2], |form| [form.taper, form.land]).map(mm));
        }
        csv.row(row);
    }
    csv.text
}

/// `bends.csv`: each piece's own rows, measured from its station 0; then its tail as a row with only
/// `feed_mm`. The columns of the bender stand empty where the piece is not bent here: marks of the bend
/// zones are from the raw start; `tape_mm`, at the bender's own reference, is from the raw end that
/// `goes_first`.
pub fn bends(_: &Design, layout: &Layout) -> String {
    let columns = ["piece", "row", "feed_mm", "rotate_deg", "bend_deg", "clr_mm", "begin_mm", "end_mm"];
    let mut csv =
        Csv::new(&columns, &[], &["set_deg", "mark_begin_mm", "mark_end_mm", "goes_first", "tape_mm"]);
    for part in &layout.pieces {
        let rows = part.piece.rows();
        let mut station = 0.0;
        for (i, row) in rows.rows.iter().enumerate() {
            let begin = station + row.feed;
            station = begin + row.radius * row.bend;
            let mut cells = vec![part.mark.clone(), (i + 1).to_string(), mm(row.feed)];
            cells.extend([deg(wrap_signed(row.rotate)), deg(row.bend), mm(row.radius)]);
            cells.extend([mm(begin), mm(station)]);
            match &part.make {
                Make::Drawn(drawing) => {
                    let mark = &drawing.marks[i];
                    cells.extend([deg(mark.set_angle), mm(mark.begin), mm(mark.end)]);
                    cells.extend([
                        end_name(drawing.first_in).to_owned(),
                        mm(from_first_in(drawing, mark.tape)),
                    ]);
                }
                Make::Straight | Make::Bought(_) | Make::Cone | Make::Segment | Make::Whole(_) => {
                    cells.extend(empty(5));
                }
            }
            csv.row(cells);
        }
        let mut tail = vec![part.mark.clone(), (rows.rows.len() + 1).to_string(), mm(rows.tail)];
        tail.extend(empty(10));
        csv.row(tail);
    }
    csv.text
}

/// `cuts.csv`: where the metal ends at each end of each piece, on its outside, at its bore, and as a
/// template prints it; stations from the piece's station 0. Every 5 degrees and at each corner and
/// extreme; a square end every 90 degrees.
pub fn cuts(_: &Design, layout: &Layout) -> String {
    let mut csv = Csv::new(&["piece", "end", "clock_deg"], &[], &["outer_mm", "inner_mm", "printed_mm"]);
    for part in &layout.pieces {
        for end in [End::Start, End::End] {
            let square = part.piece.cut(end).kind() == "square";
            let step = from_degrees(if square { 90.0 } else { 5.0 });
            for clock in listed_clocks(&part.piece, end, step) {
                csv.row(vec![
                    part.mark.clone(),
                    end_name(end).to_owned(),
                    deg(clock),
                    mm(part.piece.edge(end, clock, 1.0)),
                    mm(part.piece.edge(end, clock, 0.0)),
                    mm(part.piece.printed(end, clock)),
                ]);
            }
        }
    }
    csv.text
}

/// `joints.csv`: which ends meet, where, at which clocks, how long the weld is, of what kind the joint is,
/// and how far `b` starts upstream of the end of `a` (negative: a gap).
pub fn joints(_: &Design, layout: &Layout) -> String {
    let columns = ["mark", "a", "a_end", "b", "b_end", "x", "y", "z"];
    let mut csv = Csv::new(&columns, &[], &["clock_a_deg", "clock_b_deg", "weld_mm", "kind", "overlap_mm"]);
    for joint in &layout.joints {
        let mut row = vec![
            joint.mark.clone(),
            layout.pieces[joint.a].mark.clone(),
            a_end_name(joint).to_owned(),
            layout.pieces[joint.b].mark.clone(),
            end_name(joint.b_end).to_owned(),
        ];
        row.extend(point(joint.at));
        row.extend([deg(wrap_turn(joint.clock_a)), deg(wrap_turn(joint.clock_b)), mm(joint.weld_length)]);
        row.extend([joint_kind(joint.kind).to_owned(), mm(joint.overlap)]);
        csv.row(row);
    }
    csv.text
}

/// `straight`, `drawn`, `bought`, `leg`, `cone`, or what a part that is bought whole is.
pub fn kind(part: &Part) -> &'static str {
    match (&part.make, part.owner) {
        (Make::Straight, Owner::Merge(_)) => "leg",
        (Make::Straight, Owner::Run(_)) => "straight",
        (Make::Drawn(_), _) => "drawn",
        (Make::Bought(_), _) => "bought",
        (Make::Cone, _) => "cone",
        (Make::Segment, _) => "segment",
        (Make::Whole(whole), _) => match whole.kind {
            WholeKind::Bellows => "bellows",
            WholeKind::VBandHalf => "vband half",
            WholeKind::FlangeHalf => "flange half",
            WholeKind::Bung => "bung",
        },
    }
}

/// The same as the sheets write it.
pub fn kind_said(part: &Part) -> String {
    kind(part).replace("vband", "V-band")
}

/// What kind of joint it is, in a word.
pub fn joint_kind(kind: JointKind) -> &'static str {
    match kind {
        JointKind::Butt => "butt",
        JointKind::Step => "step",
        JointKind::Mitre => "mitre",
        JointKind::Seam => "seam",
        JointKind::Mouth => "mouth",
        JointKind::Slip => "slip",
        JointKind::Socket => "socket",
        JointKind::Clamp => "clamp",
        JointKind::Bolted => "bolted",
        JointKind::Saddle => "saddle",
    }
}

/// Where on `a` a joint is: `start`, `end`, or of a saddle `wall`.
pub fn a_end_name(joint: &Joint) -> &'static str {
    match joint.kind {
        JointKind::Saddle => "wall",
        _ => end_name(joint.a_end),
    }
}

/// `start` or `end`.
pub fn end_name(end: End) -> &'static str {
    match end {
        End::Start => "start",
        End::End => "end",
    }
}

/// Length sawn off the stock, mm: the raw tube of a drawn piece, else the long-point length with what
/// is added for weld shrinkage.
pub fn raw_length(part: &Part) -> f64 {
    match &part.make {
        Make::Drawn(drawing) => drawing.raw_length,
        Make::Straight | Make::Bought(_) | Make::Cone | Make::Segment | Make::Whole(_) => {
            finished_length(part)
        }
    }
}

/// Length from long point to long point as made, mm: net, and what is added for weld shrinkage.
pub fn finished_length(part: &Part) -> f64 {
    part.piece.length() + part.shrinkage[0] + part.shrinkage[1]
}

impl Csv {
    fn new(first: &[&str], middle: &[String], last: &[&str]) -> Csv {
        let mut columns: Vec<String> = first.iter().map(|c| (*c).to_owned()).collect();
        columns.extend_from_slice(middle);
        columns.extend(last.iter().map(|c| (*c).to_owned()));
        let mut csv = Csv { text: String::new(), columns: columns.len() };
        csv.row(columns);
        csv
    }

    fn row(&mut self, cells: Vec<String>) {
        debug_assert_eq!(cells.len(), self.columns);
        let quoted: Vec<String> = cells.iter().map(|cell| quote(cell)).collect();
        self.text.push_str(&quoted.join(","));
        self.text.push('\n');
    }
}

/// A cell as RFC 4180 writes it.
fn quote(cell: &str) -> String {
    if cell.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.to_owned()
    }
}

fn cut(piece: &Piece, end: End) -> [String; 3] {
    let kind = piece.cut(end).kind();
    let roll = if kind == "square" { 0.0 } else { wrap_turn(piece.cut_roll(end)) };
    [kind.to_owned(), deg(piece.cut_angle(end)), deg(roll)]
}

fn pose_columns(prefixes: &[&str]) -> Vec<String> {
    let mut columns = Vec::new();
    for prefix in prefixes {
        for part in ["", "along_", "inside_"] {
            columns.extend(["x", "y", "z"].map(|axis| format!("{prefix}{part}{axis}")));
        }
    }
    columns
}

fn pose(frame: &Frame) -> Vec<String> {
    let mut cells = point(frame.at).to_vec();
    for direction in [frame.along, frame.inside] {
        cells.extend(direction.to_array().map(|x| fixed(x, 9)));
    }
    cells
}

fn point(at: DVec3) -> [String; 3] {
    at.to_array().map(mm)
}

fn mm(value: f64) -> String {
    fixed(value, 6)
}

fn deg(radians: f64) -> String {
    fixed(to_degrees(radians), 7)
}

fn empty(count: usize) -> Vec<String> {
    vec![String::new(); count]
}
