//! Hollow prints and skeletons: walls, full lengths, plastic.

mod shared;

use fitment::header::strands_and_nodes;
use fitment::profile::Side;
use fitment::variant::{around, made, mitres};
use fitment::{Fault, Joining, Keep, Keyed, Settings, Strand, Tip, Variant, swept};
use geom::math::tan;
use shared::{designs, line, profile, solid};
use spec::shop::Printer;
use tube::{Cut, End};

fn strand() -> Strand {
    let line = line(&[[60.0, 0.0, 1.3, 70.0], [40.0, 1.0, 0.3, 0.0], [70.0, 1.0, 0.8, 55.0]], 80.0);
    let to = line.length();
    let keeps = vec![Keep { from: 20.0, to: 40.0, what: "bung one-1".to_owned() }];
    Strand {
        run: 0,
        name: "one".to_owned(),
        outside: profile(&[(0.0, 22.0), (30.0, 22.0), (30.0, 24.0), (to, 24.0)]),
        bore: profile(&[(0.0, 20.5), (28.0, 20.5), (28.0, 21.0), (to, 22.5)]),
        origin: 0.0,
        wall: 1.5,
        ends: [Cut::square(0.0), Cut::square(to)],
        joints: Vec::new(),
        keeps,
        line,
    }
}

fn joining(station: f64, spigot: End) -> Joining {
    let keyed = Keyed::fitting(22.0, 0.3, 0.0, &Printer::default()).unwrap();
    Joining { number: 1, strand: 0, station, steel: None, in_bend: false, spigot, keyed }
}

fn settings(variant: Variant) -> Settings {
    Settings { printer: Printer::default(), variant, chord: 0.05, threads: 1 }
}

#[test]
fn a_shell_is_full_around_its_joints_and_empty_elsewhere() {
    let strand = strand();
    let to = strand.line.length();
    let cuts = [joining(50.0, End::End), joining(290.0, End::Start)];
    assert_eq!(around(&cuts[0], &strand), [48.0, 50.0 + 12.2 + 2.0]);
    assert_eq!(around(&cuts[1], &strand), [290.0 - 12.2 - 2.0, 292.0]);
    let shell = made(&strand, &[], &[&cuts[0], &cuts[1]], &settings(Variant::Shell)).unwrap();
    assert_eq!(shell.hollows, [[0.0, 48.0], [64.2, 275.8], [292.0, to]]);
    assert_eq!(shell.outside, strand.outside);
    let tips = [Tip::Socket(cuts[0].keyed), Tip::Socket(cuts[1].keyed)];
    let part = swept(&shell.sweep(&strand.line, [50.0, 290.0], tips, 0.05)).unwrap();
    solid(&part);
    let full = made(&strand, &[], &[], &settings(Variant::Solid)).unwrap();
    let full = swept(&full.sweep(&strand.line, [50.0, 290.0], tips, 0.05)).unwrap();
    // Pappus again: the bore from 64.2 to 275.8.
    let [a, b] = [64.2, 275.8].map(|s| strand.bore.radius_at(s, Side::Upstream));
    let empty = std::f64::consts::PI / 3.0 * 211.6 * (a * a + a * b + b * b);
    assert!(((full.volume() - part.volume()) / empty - 1.0).abs() < 0.005);
    let open =
        swept(&shell.sweep(&strand.line, [0.0, 50.0], [Tip::Square, Tip::Spigot(cuts[0].keyed)], 0.05));
    solid(&open.unwrap());
}

/// A socket is straight and stands in a bend: no point of what is left empty comes nearer to its mouth than its floor.
#[test]
fn what_is_empty_behind_a_socket_in_a_bend_stays_behind_its_floor() {
    let line = line(&[[60.0, 0.0, 1.5, 76.0]], 60.0);
    let to = line.length();
    let mut strand = strand();
    (strand.outside, strand.bore) =
        (profile(&[(0.0, 22.0), (to, 22.0)]), profile(&[(0.0, 20.5), (to, 20.5)]));
    (strand.line, strand.ends, strand.keeps) = (line, [Cut::square(0.0), Cut::square(to)], Vec::new());
    for (station, spigot, way) in [(100.0, End::End, 1.0), (140.0, End::Start, -1.0), (165.0, End::End, 1.0)]
    {
        let joint = Joining { in_bend: true, ..joining(station, spigot) };
        let [from, to] = around(&joint, &strand);
        let face = strand.line.frame_at(station);
        let depth = joint.keyed.depth();
        let near = |beyond: f64| {
            let section = strand.line.frame_at(if way > 0.0 { to + beyond } else { from - beyond });
            let rim = (0..360).map(|k| section.point(0.0, f64::from(k).to_radians(), 20.5));
            rim.map(|p| way * (p - face.at).dot(face.along)).fold(f64::INFINITY, f64::min)
        };
        let least = (0..40).map(|k| near(f64::from(k))).fold(f64::INFINITY, f64::min);
        assert!(least >= depth + 2.0 - 1e-9 && near(0.0) < depth + 4.0, "{station}: {least} of {depth}");
    }
}

#[test]
fn a_printers_wall_is_kept_across_steps_too() {
    let mut strand = strand();
    strand.outside =
        profile(&[(0.0, 22.0), (50.0, 22.0), (50.0, 30.0), (51.0, 30.0), (51.0, 20.0), (90.0, 26.0)]);
    let mut settings = settings(Variant::Shell);
    settings.printer.wall = Some(2.0);
    let bore = made(&strand, &[], &[], &settings).unwrap().bore;
    for k in 0..900 {
        let s = 0.05 + 0.1 * f64::from(k);
        let around = (0..=400).map(|j| s - 2.0 + 0.01 * f64::from(j));
        let near = around
            .flat_map(|s| [Side::Upstream, Side::Downstream].map(|side| strand.outside.radius_at(s, side)));
        let wanted = near.fold(f64::INFINITY, f64::min) - 2.0;
        assert!((bore.radius_at(s, Side::Upstream) - wanted).abs() < 0.01, "{s}");
    }
}

/// Where the bore behind a step is as wide as the outside ahead of it, the steel meets in a ring without width.
#[test]
fn a_shell_keeps_its_wall_where_both_step() {
    let mut strand = strand();
    let to = strand.line.length();
    strand.outside = profile(&[(0.0, 22.5), (50.0, 22.5), (50.0, 24.0), (to, 24.0)]);
    strand.bore = profile(&[(0.0, 21.0), (50.0, 21.0), (50.0, 22.5), (to, 22.5)]);
    let shell = made(&strand, &[], &[], &settings(Variant::Shell)).unwrap();
    let step: Vec<(f64, f64)> =
        shell.bore.points.iter().copied().filter(|p| p.0 > 40.0 && p.0 < 60.0).collect();
    assert_eq!(step, [(51.5, 21.0), (51.5, 22.5)]);
    solid(&swept(&shell.sweep(&strand.line, [0.0, to], [Tip::Square; 2], 0.05)).unwrap());
}

/// A joint near a mitre: what is full around it goes on over the mitre, where no hollow can end square.
#[test]
fn hollows_end_clear_of_mitres() {
    let strand = strand();
    let mitre = strand.line.spans()[3].from;
    let cut = joining(mitre + 9.0, End::End);
    let shell = made(&strand, &[], &[&cut], &settings(Variant::Shell)).unwrap();
    let [[reach, _], ..] = mitres(&strand)[..] else { panic!("no mitre") };
    assert!((mitre - reach - (24.0 * tan(0.15) + 2.0)).abs() < 1e-9);
    assert_eq!(shell.hollows.iter().map(|h| h[1]).next(), Some(mitre + 7.0));
    let near = joining(mitre + 5.0, End::End);
    let shell = made(&strand, &[], &[&near], &settings(Variant::Shell)).unwrap();
    assert_eq!(shell.hollows.iter().map(|h| h[1]).next(), Some(reach));
    let to = strand.line.length();
    solid(&swept(&shell.sweep(&strand.line, [0.0, to], [Tip::Square; 2], 0.05)).unwrap());
}

/// Every run of every spec and fixture, whole, in each variant: closed, and in single precision too. The
/// skeleton of every header takes less plastic than its shell, but where there is next to nothing between its ends.
#[test]
fn every_run_closes_in_every_variant() {
    for (name, design, layout) in designs() {
        let (strands, nodes) = strands_and_nodes(&design, &layout, 0.05).unwrap();
        let mut sums = [0.0; 3];
        for (k, strand) in strands.iter().enumerate() {
            let holds = nodes.iter().flat_map(|n| &n.holds).filter(|h| h.strand == k);
            let held: Vec<[f64; 2]> = holds.map(|h| [h.from, h.to]).collect();
            let volumes = [Variant::Solid, Variant::Shell, Variant::Skeleton].map(|variant| {
                // One fixture's wall is 0.3 mm.
                let fine = Printer { nozzle: 0.25, ..Printer::default() };
                let settings = Settings { printer: fine, ..settings(variant) };
                let made = made(strand, &held, &[], &settings).unwrap();
                let [start, end] = [0, 1].map(|i| Tip::of(&strand.ends[i]).unwrap());
                let sweep = made.sweep(&strand.line, [start.0, end.0], [start.1, end.1], 0.1);
                let mesh = swept(&sweep).unwrap_or_else(|fault| panic!("{name} {}: {fault}", strand.name));
                solid(&mesh);
                mesh.volume()
            });
            let [full, shell, skeleton] = volumes;
            assert!(shell < full && skeleton <= full, "{name} {} {volumes:?}", strand.name);
            sums.iter_mut().zip(volumes).for_each(|(sum, volume)| *sum += volume);
        }
        let is_short = ["cuts-straight", "no-bend", "tiny-letter"].contains(&name.as_str());
        assert!(sums[2] < sums[1] || is_short, "{name} {sums:?}");
    }
}

#[test]
fn a_wall_thinner_than_the_nozzle_is_told() {
    let mut settings = settings(Variant::Shell);
    settings.printer.nozzle = 1.8;
    let Err(Fault::WallTooThin { what, wall, missing }) = made(&strand(), &[], &[], &settings) else {
        panic!("a wall of 1 mm printed with a nozzle of 1.8 mm")
    };
    assert_eq!(what, "run one");
    assert!(wall < 1.5 + 1e-9 && (wall + missing - 1.8).abs() < 1e-12);
    // A nozzle finer by what is missing lays it down; one a little wider does not.
    for wide in [1.2, 1.3, 1.4, 1.5, 1.6, 1.75, 1.8, 1.95, 2.0, 2.5, 3.0] {
        let mut missing = |nozzle: f64| {
            settings.printer.nozzle = nozzle;
            match made(&strand(), &[], &[], &settings) {
                Err(Fault::WallTooThin { missing, .. }) => Some(missing),
                _ => None,
            }
        };
        let Some(said) = missing(wide) else {
            assert!(wide <= wall, "{wide}");
            continue;
        };
        assert_eq!(missing(wide - said), None);
        assert!(missing(wide - said + 0.05).is_some_and(|left| (left - 0.05).abs() < 1e-9));
    }
    settings.variant = Variant::Solid;
    assert!(made(&strand(), &[], &[], &settings).is_ok());
}

#[test]
fn a_skeleton_has_the_full_radius_where_it_counts_and_little_plastic() {
    let strand = strand();
    let cut = joining(50.0, End::End);
    let to = strand.line.length();
    let made = made(&strand, &[[0.0, 15.0]], &[&cut], &settings(Variant::Skeleton)).unwrap();
    let at =
        |s: f64| (made.outside.radius_at(s, Side::Upstream), strand.outside.radius_at(s, Side::Upstream));
    // A node, beside a step outward, a joint, a mitre, the end.
    let mitre = strand.line.spans()[3].from;
    for s in [1.0, 14.0, 30.1, 31.9, 49.0, 62.0, mitre - 4.0, mitre, mitre + 4.0, to - 1.0] {
        assert_eq!(at(s).0, at(s).1, "{s}");
    }
    let spans = strand.line.spans();
    // Along straights, and in bends.
    let (mut rod, mut longest) = (0.0, [0.0_f64; 2]);
    for k in 0..(10.0 * to) as u32 {
        let (has, full) = at(0.1 * f64::from(k));
        assert!(has == full || (has - (0.18 * full).max(4.0)).abs() < 1e-9);
        rod = if has < full { rod + 0.1 } else { 0.0 };
        let begun = 0.1 * f64::from(k) - rod;
        let is_bent = spans.iter().any(|s| s.is_arc() && s.from < begun && 0.1 * f64::from(k) < s.to);
        longest[usize::from(is_bent)] = longest[usize::from(is_bent)].max(rod);
    }
    assert!(longest[0] > 20.0 && longest[0] < 34.2 && longest[1] > 15.0 && longest[1] < 22.2, "{longest:?}");
    let tips = [Tip::Square; 2];
    let mesh = swept(&made.sweep(&strand.line, [0.0, to], tips, 0.05)).unwrap();
    solid(&mesh);
    let full = std::f64::consts::PI * 24.0 * 24.0 * to;
    assert!(mesh.volume() < 0.3 * full, "{}", mesh.volume() / full);
}
