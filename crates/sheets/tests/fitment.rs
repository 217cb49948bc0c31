//! The sheets of a printed model: a model made by hand of the invented bench, and what has to stand on its pages.

mod bench;

use bench::bench;
use fitment::{
    Collar, Division, Fitment, Hold, Joining, Keyed, Node, NodeKind, PartPlan, Placement, PrintPlate,
    Printed, Profile, Settings, Strand, Stretch, TestCube, Variant,
};
use geom::{DMat3, DVec3, Frame};
use layout::Layout;
use sheets::canvas::{Canvas, Ink};
use solids::{Mesh, MeshSettings, part_mesh};
use spec::shop::Printer;
use tube::{Cut, End};

/// Each run up to its cut is a part; the merge with the rest of the runs is the first.
fn model(layout: &Layout, printer: &Printer) -> Fitment {
    let strands: Vec<Strand> = layout.runs.iter().enumerate().map(|(run, _)| strand(layout, run)).collect();
    let cut: Vec<usize> = (0..4).collect();
    let keyed = Keyed {
        radius: 13.0,
        length: 12.0,
        rib_width: 6.0,
        rib_height: 3.0,
        clock: 0.5,
        draft: 0.1,
        gap: printer.fit_gap,
    };
    let joinings = cut.iter().map(|&strand| Joining {
        number: strand + 1,
        strand,
        station: 0.6 * strands[strand].line.length(),
        steel: None,
        in_bend: strand == 3,
        spigot: if strand == 2 { End::Start } else { End::End },
        keyed,
    });
    let joinings: Vec<Joining> = joinings.collect();
    let rest = joinings.iter().map(|joining| Stretch {
        strand: joining.strand,
        from: joining.station,
        to: strands[joining.strand].line.length(),
        start: Some(joining.number - 1),
        end: None,
    });
    let outlet = Stretch { strand: 4, from: 0.0, to: strands[4].line.length(), start: None, end: None };
    let mut parts = vec![PartPlan {
        mark: "P1".to_owned(),
        stretches: rest.chain([outlet]).collect(),
        nodes: vec![0],
        put_in: None,
        aside: None,
    }];
    for joining in &joinings {
        let along = strands[joining.strand].line.frame_at(joining.station).along;
        parts.push(PartPlan {
            mark: format!("P{}", joining.number + 1),
            stretches: vec![Stretch {
                strand: joining.strand,
                from: 0.0,
                to: joining.station,
                start: None,
                end: Some(joining.number - 1),
            }],
            nodes: Vec::new(),
            aside: None,
            put_in: Some(if joining.number == 1 { DVec3::new(0.6, 0.0, -0.8) } else { along }),
        });
    }
    let merge = Node {
        name: layout.merges[0].name.clone(),
        kind: NodeKind::Merge(0),
        holds: (0..4).map(|strand| Hold { strand, from: 0.0, to: 1.0 }).collect(),
        blocks: Vec::new(),
    };
    let mesh = part_mesh(&layout.pieces[0].piece, MeshSettings::default()).unwrap();
    let division = Division { joinings, parts, touching: Vec::new() };
    let printed = division.parts.iter().enumerate().map(|(index, plan)| printed(index, &plan.mark, &mesh));
    Fitment {
        parts: printed.collect(),
        nodes: vec![merge],
        whole: mesh.clone(),
        plates: vec![plate(&[0, 1]), plate(&[2, 3, 4])],
        collars: vec![
            collar(&layout.pieces[0].mark, (1, 2), &mesh),
            collar(&layout.pieces[0].mark, (2, 2), &mesh),
        ],
        collar_plates: vec![plate(&[0, 1])],
        cube: TestCube { cube: mesh.clone(), spigot: mesh, gaps: vec![0.1, 0.2, 0.3] },
        findings: Vec::new(),
        strands,
        division,
    }
}

fn strand(layout: &Layout, run: usize) -> Strand {
    let it = &layout.runs[run];
    let length = it.centreline.length();
    Strand {
        run,
        name: it.name.clone(),
        line: it.centreline.clone(),
        origin: 0.0,
        outside: Profile::constant(0.0, length, it.sections[0].section.outer()),
        bore: Profile::constant(0.0, length, 20.0),
        wall: 2.0,
        ends: [Cut::square(0.0), Cut::square(length)],
        joints: Vec::new(),
        keeps: Vec::new(),
    }
}

fn printed(index: usize, mark: &str, mesh: &Mesh) -> Printed {
    let turn = DMat3::from_cols(DVec3::Y, DVec3::Z, DVec3::X);
    Printed {
        mark: mark.to_owned(),
        mesh: mesh.clone(),
        plain_volume: 1000.0,
        boss_volume: 0.0,
        placement: Placement { turn, by: DVec3::new(160.0 + 60.0 * index as f64, 120.0, 0.0) },
        plate: if index < 2 { 0 } else { 1 },
        size: DVec3::new(101.0, 52.0, 203.0),
        overhang: if index == 1 { 250.0 } else { 0.0 },
        datum: Some(datum(index)),
        figures: None,
        united: index == 0,
    }
}

/// Cones in a line, 100.5 mm apart, that look the same way.
fn datum(index: usize) -> Frame {
    Frame::new(DVec3::new(100.5 * index as f64, 0.0, 0.0), DVec3::Z, DVec3::X).unwrap()
}

fn plate(holds: &[usize]) -> PrintPlate {
    PrintPlate { holds: holds.to_vec(), volume: 1000.0 }
}

fn collar(piece: &str, half: (usize, usize), mesh: &Mesh) -> Collar {
    Collar {
        piece: piece.to_owned(),
        end: "end".to_owned(),
        half,
        mesh: mesh.clone(),
        reach: 61.3,
        downstream: true,
        placement: Placement { turn: DMat3::IDENTITY, by: DVec3::ZERO },
        plate: 0,
    }
}

fn settings(printer: Printer) -> Settings {
    Settings { printer, variant: Variant::Solid, chord: 0.02, threads: 1 }
}

fn words(pages: &[Canvas]) -> String {
    pages.iter().flat_map(Canvas::texts).collect::<Vec<_>>().join(" ")
}

#[test]
fn every_part_joint_plate_and_collar_is_told() {
    let (design, layout) = bench();
    let settings = settings(Printer { stated: true, ..Printer::default() });
    let model = model(&layout, &settings.printer);
    let pages = sheets::fitment_pages(&design, &layout, &settings, &model);
    let text = words(&pages);
    for part in &model.parts {
        // In the step table, on its plate and in its table, and on the pictures.
        let count = pages.iter().flat_map(Canvas::texts).filter(|text| **text == *part.mark).count();
        assert!(count >= 7, "{} is told {count} times", part.mark);
    }
    for said in ["Plate 1", "Plate 2", "P1 at joint 3", "straight", "x 0.60, y 0.00, z -0.80", "in a bend"] {
        assert!(text.contains(said), "{said}");
    }
    for said in ["P3 downstream", "26.0 × 12.0", "5.7°", "28.6°", "1 of 2", "61.3", "2.5", "collars-1"] {
        assert!(text.contains(said), "{said}");
    }
    assert!(!text.contains("has no [printer]"));
    for said in ["Never start an engine", "ventilated", "protection and gloves", "Local codes"] {
        assert!(text.contains(said), "the cautions: {said}");
    }
    let bytes = sheets::fitment(&design, &layout, &settings, &model).unwrap();
    assert_eq!(bytes, sheets::fitment(&design, &layout, &settings, &model).unwrap());
    assert!(bytes.starts_with(b"%PDF"));
}

/// What a groove in a flange's face is, is told of full prints with flanges alone.
#[test]
fn a_groove_is_said_to_be_the_opening() {
    let (design, layout) = bench();
    let mut settings = settings(Printer::default());
    let mut model = model(&layout, &settings.printer);
    let told = |settings: &Settings, model: &Fitment| {
        words(&sheets::fitment_pages(&design, &layout, settings, model)).contains("Its OUTER edge")
    };
    assert!(!told(&settings, &model));
    model.nodes.push(Node { kind: NodeKind::Flange(0, 0), ..model.nodes[0].clone() });
    assert!(told(&settings, &model));
    settings.variant = Variant::Shell;
    assert!(!told(&settings, &model));
}

#[test]
fn a_way_from_aside_is_told_first() {
    let (design, layout) = bench();
    let settings = settings(Printer::default());
    let mut model = model(&layout, &settings.printer);
    model.division.parts[4].aside = Some(DVec3::Z);
    let told = |model: &Fitment| words(&sheets::fitment_pages(&design, &layout, &settings, model));
    let said = "first up (x 0.00, y 0.00, z 1.00) until it stands before its joints, then";
    assert!(told(&model).contains(said));
    model.division.touching = vec![4];
    let text = told(&model);
    assert!(!text.contains(said) && text.contains("worked past others"));
}

#[test]
fn datums_are_told_from_tip_to_tip() {
    let (design, layout) = bench();
    let settings = settings(Printer::default());
    let mut model = model(&layout, &settings.printer);
    // The second cone looks the other way: its tip is 3 mm off the line of the others'.
    model.parts[1].datum = Some(datum(1).reversed());
    model.parts[2].datum = None;
    let pages = sheets::fitment_pages(&design, &layout, &settings, &model);
    let text = words(&pages);
    let second = (100.5_f64.powi(2) + 9.0).sqrt();
    for said in
        [format!("P1 P2 {second:.1}"), "P1 P4 301.5".to_owned(), "P1 P5 402.0 furthest apart".to_owned()]
    {
        assert!(text.contains(&said), "{said}");
    }
    assert!(!text.contains("P1 P3"), "a part without a datum is measured from nothing");
}

#[test]
fn an_assumed_printer_is_said_to_be_assumed() {
    let (design, layout) = bench();
    let settings = settings(Printer::default());
    let model = model(&layout, &settings.printer);
    let text = words(&sheets::fitment_pages(&design, &layout, &settings, &model));
    assert!(text.contains("has no [printer]"));
}

/// The least and the most of a page's white areas, which are parts and labels.
fn parts_shown(page: &Canvas) -> Vec<[f64; 2]> {
    let areas = page.inks.iter().filter_map(|ink| match ink {
        // Labels' dots are black.
        Ink::Area { points, grey } if *grey > 0.0 && points.len() > 4 => Some(points),
        _ => None,
    });
    areas.flatten().copied().collect()
}

#[test]
fn plates_are_shown_as_they_are_printed() {
    let (design, layout) = bench();
    let plates = |scale: [f64; 3]| {
        let settings = settings(Printer { scale, bed: [300.0, 280.0], ..Printer::default() });
        let pages = sheets::fitment_pages(&design, &layout, &settings, &model(&layout, &settings.printer));
        pages
            .into_iter()
            .filter(|page| words(std::slice::from_ref(page)).contains("FROM ABOVE, 1 :"))
            .collect()
    };
    let (plain, scaled): (Vec<Canvas>, Vec<Canvas>) = (plates([1.0; 3]), plates([1.02, 0.97, 1.01]));
    assert_eq!((plain.len(), scaled.len()), (2, 2));
    for (plain, scaled) in plain.iter().zip(&scaled) {
        let (plain, scaled) = (parts_shown(plain), parts_shown(scaled));
        assert!(plain.len() > 100 && plain.len() == scaled.len());
        let away = |points: &[[f64; 2]], k: usize, axis: usize| points[k][axis] - points[0][axis];
        for k in 1..plain.len() {
            for (axis, scale) in [(0, 1.02), (1, 0.97)] {
                assert!((away(&scaled, k, axis) - scale * away(&plain, k, axis)).abs() < 1e-9);
            }
        }
    }
    // 101, 52 and 203 mm before the printer's scale.
    assert!(words(&scaled).contains("103.0 50.4 205.0"), "{}", words(&scaled));
    assert!(words(&plain).contains("101.0 52.0 203.0"));
}
