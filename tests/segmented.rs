//! Segmented bends against published tables, and the pieces and sticks made of them.

use std::f64::consts::{PI, TAU};

use geom::angle::{from_degrees, to_degrees};
use geom::math::{cos, tan};
use layout::Layout;
use layout::layout::{JointKind, Make};
use spec::{Design, Source, read_design};
use tube::{End, MitredBend};

fn near(found: f64, wanted: f64, within: f64, what: &str) {
    assert!((found - wanted).abs() <= within, "{what}: {found}, wanted {wanted} within {within}");
}

fn bend(radius: f64, angle: f64, pieces: u32) -> MitredBend {
    MitredBend { from: 0.0, to: 0.0, radius, angle: from_degrees(angle), pieces }
}

/// A segmented run of `path`, laid out.
fn laid(od: f64, radius: f64, keys: &str, path: &str) -> (Design, Layout) {
    let text = format!(
        "title = \"A test (invented)\"\nunits = \"mm\"\nmaking = \"segmented\"\n\
         [tube.t]\nod = {od}\nwall = 1.6\nalloy = \"304\"\n[port.p]\nat = [0, 0, 0]\nalong = [1, 0, 0]\n\
         [run.r]\nfrom = \"p\"\nto = \"open\"\ntube = \"t\"\nradius = {radius}\ninside = [0, 0, 1]\n{keys}\n\
         path = [{path}]\n"
    );
    let source = Source::from_bytes("test", text.as_bytes()).unwrap();
    let (design, _) =
        read_design(&source, &mut |_| Err("none".into())).unwrap_or_else(|d| panic!("{}", d[0]));
    let layout = layout::lay(&design).unwrap_or_else(|f| panic!("{f:?}"));
    (design, layout)
}

/// Sources: BCcampus open textbook on pattern development, ch. 19, "Round Elbow" (half-gores 6, miter angle
/// 15; its measured heights are scaled off a drawing and 1 % high); Sheet Metal Drafting, about 1921, p. 59
/// (5 pieces: 8 backsets of 11 1/4); a piping-design page (OD 273, R 381, 4 cuts: L1 151.6, L2 75.8, cutback
/// 27.15); a pipe-fitter page (OD 168, 3 cuts: cutback 84 tan 15 = 22.50); a worksheet per ASME B31.3-2002,
/// appendix D (R1 = 30, t = 11.25: s = 11.9347 in, crotch length 7.956 in with OD 20 in).
#[test]
fn published_elbows() {
    near(to_degrees(bend(9.0, 90.0, 4).tilt()), 15.0, 1e-12, "textbook miter angle");
    near(bend(9.0, 90.0, 4).half(), 2.4115, 5e-5, "textbook seam height, computed");
    near(to_degrees(bend(9.0, 90.0, 5).tilt()), 11.25, 1e-12, "1921 backset");
    let piping = bend(381.0, 90.0, 5);
    near(2.0 * piping.half(), 151.6, 0.05, "L1");
    near(piping.half(), 75.8, 0.05, "L2");
    near(136.5 * tan(piping.tilt()), 27.15, 0.005, "cutback");
    near(84.0 * tan(bend(200.0, 90.0, 4).tilt()), 22.50, 0.01, "pipe-fitter cutback");
    let worksheet = bend(30.0, 90.0, 5);
    near(worksheet.side(0.0), 11.9347, 5e-5, "B31.3 worksheet s");
    near(worksheet.side(-10.0), 7.956, 6e-4, "B31.3 worksheet crotch");
}

/// Source: a table computed from the same formula and, for 6 pieces, by slicing a mesh (OD 76.2, R 114.3,
/// 90 degrees): pieces, tilt, end centre, full centre, long side, short side, centreline in all.
#[test]
fn a_right_angle_in_three_to_eight_pieces() {
    let rows: [(u32, [f64; 6]); 6] = [
        (3, [22.5, 47.3446, 94.6892, 126.2523, 63.1261, 189.3784]),
        (4, [15.0, 30.6266, 61.2532, 81.6709, 40.8355, 183.7596]),
        (5, [11.25, 22.7357, 45.4714, 60.6285, 30.3142, 181.8855]),
        (6, [9.0, 18.1033, 36.2067, 48.2756, 24.1378, 181.0334]),
        (7, [7.5, 15.0479, 30.0958, 40.1277, 20.0638, 180.5746]),
        (8, [6.42857, 12.8785, 25.7570, 34.3427, 17.1714, 180.2992]),
    ];
    for (pieces, [tilt, half, full, long, short, total]) in rows {
        let (_, layout) = laid(76.2, 114.3, &format!("segments = {pieces}"), "{ bend = 90 }");
        let run = &layout.runs[0];
        assert_eq!((layout.pieces.len(), layout.joints.len()), (pieces as usize, pieces as usize - 1));
        near(run.length(), total, 1e-4, "centreline");
        near(to_degrees(run.mitred[0].tilt()), tilt, 1e-5, "tilt");
        let end = &layout.pieces[0].piece;
        near(end.end.station, half, 1e-4, "end half's centre");
        let piece = &layout.pieces[1].piece;
        near(piece.end.station - piece.start.station, full, 1e-4, "centre");
        let side = |clock: f64| piece.edge(End::End, clock, 1.0) - piece.edge(End::Start, clock, 1.0);
        near(side(PI), long, 1e-4, "long side, on the outside of the bend");
        near(side(0.0), short, 1e-4, "short side, on the inside");
        let metal = PI * (76.2 - 1.6) * 1.6 * (piece.end.station - piece.start.station);
        near(piece.volume(), metal, 1e-6 * metal, "volume");
    }
}

/// The poses and tangent lengths of a bend stay when it is made of segments.
#[test]
fn a_segmented_run_ends_where_a_drawn_one_does() {
    let path =
        "{ straight = 60 }, { bend = 90 }, { straight = 5 }, { bend = 35, rotate = 80 }, { straight = 50 }";
    let (_, segmented) = laid(45.0, 80.0, "largest_cut = 12", path);
    let (_, drawn) = laid(45.0, 80.0, "making = \"drawn\"", path);
    let (a, b) = (segmented.runs[0].centreline.end(), drawn.runs[0].centreline.end());
    assert!(
        a.at.distance(b.at) < 1e-9
            && a.along.distance(b.along) < 1e-12
            && a.inside.distance(b.inside) < 1e-12
    );
    let mitred: f64 = segmented.runs[0].mitred.iter().map(|m| 2.0 * f64::from(m.pieces - 1) * m.half()).sum();
    near(segmented.runs[0].length(), 115.0 + mitred, 1e-9, "length");
    assert!(segmented.runs[0].length() > drawn.runs[0].length());
}

/// Neighbours share the ellipse of their mitre at equal clocks, and the scribe line runs on.
#[test]
fn mitres_fit_and_the_scribe_line_runs_through() {
    let path = "{ straight = 60 }, { bend = 90 }, { bend = 60, rotate = 120 }, { straight = 50 }";
    let (_, layout) = laid(45.0, 80.0, "segments = 4", path);
    assert_eq!(layout.pieces.len(), 7, "the halves of two bends that touch are one piece");
    for joint in &layout.joints {
        assert_eq!(joint.kind, JointKind::Mitre);
        near(joint.clock_a.min(TAU - joint.clock_a), 0.0, 1e-9, "clock on a");
        assert_eq!(joint.clock_b, 0.0);
        let (a, b) = (&layout.pieces[joint.a].piece, &layout.pieces[joint.b].piece);
        for clock in (0..36).map(|i| from_degrees(10.0 * f64::from(i))) {
            for depth in [0.0, 1.0] {
                let gap =
                    a.edge_point(End::End, clock, depth).distance(b.edge_point(End::Start, clock, depth));
                assert!(gap < 1e-9, "{}: {gap} mm apart at {clock}", joint.mark);
            }
        }
    }
}

/// Stick: (2 n - 2) R tan t + (n - 1) blade / cos t (common sheet-metal practice); and the pieces, laid on
/// the stick with every second one turned half a turn, fill it without overlap, a kerf between each two.
#[test]
fn segments_nest_in_a_stick() {
    let path = "{ bend = 90 }";
    let (design, layout) = laid(76.2, 114.3, "segments = 5", path);
    let sticks = sheets::stick::sticks(&design, &layout);
    assert_eq!((sticks.len(), sticks[0].pieces.len()), (1, 5));
    let (t, kerf) = (from_degrees(11.25), design.shop.saw.kerf);
    near(sticks[0].length, 8.0 * 114.3 * tan(t) + 4.0 * kerf / cos(t), 1e-9, "stick");
    let stock = sheets::stock_list::tubes(&design, &layout);
    assert_eq!((stock.len(), stock[0].pieces), (1, 5));
    near(stock[0].length, sticks[0].length + kerf, 1e-9, "stock: the stick and a last kerf");

    let path =
        "{ straight = 40 }, { bend = 90 }, { straight = 9 }, { bend = 70, rotate = 50 }, { straight = 50 }";
    let (design, layout) = laid(45.0, 80.0, "largest_cut = 10", path);
    let stick = &sheets::stick::sticks(&design, &layout)[0];
    assert_eq!(stick.pieces.len(), layout.pieces.len());
    // Where each piece's station 0 lies on the stick, on its axis.
    let mut begin = 0.0;
    for (i, &index) in stick.pieces.iter().enumerate() {
        let piece = &layout.pieces[index].piece;
        assert_eq!(layout.pieces[index].make, Make::Segment);
        if let Some(cut) = stick.cuts.get(i) {
            let half_turn = if i % 2 == 0 { 0.0 } else { PI };
            near(begin + piece.end.station, cut.axis, 1e-9, "axis tape");
            near(
                begin + piece.edge(End::End, cut.clock - half_turn, 1.0),
                cut.long,
                1e-9,
                "long side's tape",
            );
            near(
                begin + piece.edge(End::End, cut.clock - half_turn + PI, 1.0),
                cut.short,
                1e-9,
                "short side's",
            );
            let next = &layout.pieces[stick.pieces[i + 1]].piece;
            let blade = design.shop.saw.kerf / cos(cut.tilt);
            let after = cut.axis + blade - next.start.station;
            for clock in (0..24).map(|k| from_degrees(15.0 * f64::from(k))) {
                let upstream = begin + piece.edge(End::End, clock - half_turn, 1.0);
                let downstream = after + next.edge(End::Start, clock - half_turn - PI, 1.0);
                near(downstream - upstream, blade, 1e-9, "kerf along the axis");
            }
            begin = after;
        } else {
            near(begin + piece.length(), stick.length, 1e-9, "the stick's end");
        }
    }
}
