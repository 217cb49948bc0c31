//! The sheet of a merge collector: its measures, its mouth, and the order of welding.

use std::f64::consts::{PI, TAU};

use geom::angle::to_degrees;
use geom::math::{atan2, cos, hypot, sin_cos, tan};
use geom::unit::Units;
use layout::Layout;
use layout::layout::Merge;
use spec::Design;
use spec::design::Way;

use crate::canvas::{Align, Canvas, Pen, Point, Style};
use crate::figure::{angle, cell_length, full_length, length, section};
use crate::folio::{BODY, FIGURE, Folio, Head, LABEL};
use crate::plug_sheet::{self, Step};
use crate::saw_sheet::cut_words;
use crate::table::{Column, Table};

/// Draws a sheet for each merge.
pub fn draw(folio: &mut Folio, design: &Design, layout: &Layout) {
    for (index, merge) in layout.merges.iter().enumerate() {
        folio.sheet(head(design, merge, index));
        measures(folio, design, merge);
        mouth(folio, design, merge);
        legs(folio, design, layout, merge);
        plug_sheet::draw(folio, design, layout, index);
        order(folio, design, layout, index);
    }
}

/// The steps of welding, in words: pairs, the plug when a torch reaches it, then the inside seams from the mouth, the
/// outlet last.
pub fn welding_order(legs: usize, plug: Option<Step>, outlet: &str) -> Vec<String> {
    let mut steps = Vec::new();
    let pairs: Vec<String> = (0..legs / 2).map(|k| format!("{} with {}", 2 * k + 1, 2 * k + 2)).collect();
    steps.push(format!("Tack and weld the legs in pairs, outside: leg {}.", pairs.join(", leg ")));
    let (early, late) = match plug {
        Some(step) if step.early => (Some(step.words), None),
        step => (None, step.map(|step| step.words)),
    };
    steps.extend(early);
    match (legs / 2, legs % 2) {
        (1, 0) => {}
        (1, _) => steps.push("Add leg 3 to the pair.".to_owned()),
        (_, 0) => steps.push("Join the pairs, outside.".to_owned()),
        _ => steps.push(format!("Join the pairs and add leg {legs}, outside.")),
    }
    steps.extend(late);
    steps.push("Weld the inside seams from the mouth, as far as the torch reaches.".to_owned());
    steps.push(format!("Dress the mouth, then weld {outlet} on last."));
    steps
}

fn head(design: &Design, merge: &Merge, index: usize) -> Head {
    let of_legs = &design.merges[index].section;
    Head {
        mark: merge.name.clone(),
        title: "Merge sheet".to_owned(),
        facts: vec![
            ("QUANTITY".to_owned(), "1".to_owned()),
            ("ALLOY".to_owned(), of_legs.alloy.name.to_owned()),
            ("LEGS, OD × WALL".to_owned(), section(design.units, of_legs)),
            ("SPEC".to_owned(), design.name.clone()),
        ],
        about: vec![merge.name.clone()],
    }
}

fn measures(folio: &mut Folio, design: &Design, merge: &Merge) {
    let (units, unit) = (design.units, design.units.symbol());
    let way = match merge.way {
        Way::Trimmed => "TRIMMED",
        Way::Fitted => "FITTED",
    };
    let first = [
        ("LEGS".to_owned(), merge.cluster.legs.to_string()),
        ("LEG TO AXIS".to_owned(), angle(merge.cluster.convergence)),
        ("JOINED TO THE OUTLET".to_owned(), way.to_owned()),
        (format!("OD AT THE MOUTH, {unit}"), cell_length(units, merge.mouth_od)),
    ];
    folio.figures(&first, FIGURE);
    let second = [
        (format!("FIRST CONTACT, {unit} INSIDE THE MOUTH"), cell_length(units, merge.first_contact_depth())),
        (format!("SPIKE, {unit} INSIDE THE MOUTH"), cell_length(units, merge.spike_depth())),
        (format!("TORCH REACHES, {unit}"), cell_length(units, design.shop.torch_reach)),
    ];
    folio.figures(&second, FIGURE);
    folio.paragraph(&reach_words(design, merge), BODY);
    if let Some(words) = void_words(design.units, merge) {
        folio.paragraph(&words, BODY);
    }
}

/// The pointed void between four and more legs: what a plug has to fill.
fn void_words(units: Units, merge: &Merge) -> Option<String> {
    let (cluster, rho) = (merge.cluster, merge.cluster.outer);
    let from = cluster.void_from(rho).filter(|_| cluster.legs >= 4)?;
    let corner = cluster.void_section(from, rho)?.corner;
    Some(format!(
        "The legs leave a pointed void around the axis, from {} inside the mouth to the spike. Where it opens upstream \
         its {} corners lie {} from the axis. {}",
        full_length(units, merge.mouth - from),
        cluster.legs,
        full_length(units, corner),
        if merge.plug.is_some() { "A plug closes it." } else { "This packet holds no plug for it." }
    ))
}

fn reach_words(design: &Design, merge: &Merge) -> String {
    let (spike, contact) = (merge.spike_depth(), merge.first_contact_depth());
    let units = design.units;
    // Two legs first touch in the spike itself.
    let seams = if contact - spike < 1e-6 {
        format!(
            "Along the axis, the inner seam begins {} inside the mouth, where the legs first touch: that is the spike.",
            full_length(units, spike)
        )
    } else {
        between_words(units, contact, spike)
    };
    let reach = full_length(units, design.shop.torch_reach);
    if contact.max(spike) <= design.shop.torch_reach {
        format!("{seams} The torch reaches {reach}: all of it.")
    } else if spike <= design.shop.torch_reach {
        format!(
            "{seams} The torch reaches {reach}: to the spike, but NOT to the first contact; seal the rest outside."
        )
    } else {
        format!(
            "{seams} The torch reaches {reach}: NOT to the spike. Weld what it reaches, seal the rest outside."
        )
    }
}

/// Where the inner seams of three and more legs begin and where they meet.
fn between_words(units: Units, contact: f64, spike: f64) -> String {
    format!(
        "Along the axis, the inner seams begin {} inside the mouth, where neighbours first touch, and meet in the spike \
         {} inside it.",
        full_length(units, contact),
        full_length(units, spike)
    )
}

/// The mouth: the cluster's outline against the outlet, drawn looking downstream, and its numbers.
fn mouth(folio: &mut Folio, design: &Design, merge: &Merge) {
    folio.heading("The mouth, looking downstream");
    let size = 74.0;
    folio.need(size + 4.0);
    let (left, top) = (folio.left(), folio.y);
    outline(folio.canvas(), merge, [left, top], size);
    let mut y = top + 4.0;
    let (x, room) = (left + size + 8.0, folio.width() - size - 8.0);
    for (label, value) in mouth_figures(design, merge) {
        folio.canvas().words([x, y], label, LABEL);
        folio.canvas().words([x, y + 6.4], value, FIGURE);
        y += 12.0;
    }
    let words = [Some(mouth_words(merge).to_owned()), bore_words(design.units, merge)];
    for words in words.into_iter().flatten() {
        for line in crate::font::wrap(&words, &BODY, room) {
            folio.canvas().words([x, y], line, BODY);
            y += 4.0;
        }
        y += 1.0;
    }
    folio.y = (top + size).max(y) + 2.0;
}

fn mouth_figures(design: &Design, merge: &Merge) -> Vec<(String, String)> {
    let (units, unit) = (design.units, design.units.symbol());
    let mut figures = Vec::new();
    if let Some([outside, bore]) = merge.outline {
        figures.push((format!("OUTLINE, OUTSIDE, {unit}"), cell_length(units, outside)));
        let bores = match bores_meet(merge) {
            true => "OUTLINE, BORES, JOINED".to_owned(),
            false => format!("ALL {} BORES, APART", merge.cluster.legs),
        };
        figures.push((format!("{bores}, {unit}"), cell_length(units, bore)));
    }
    figures.push((format!("OUTLET'S CIRCUMFERENCE, {unit}"), cell_length(units, PI * merge.mouth_od)));
    if let Some([lobe, valley]) = merge.lobe_and_valley {
        figures.push((format!("AXIS TO THE TOP OF A LEG, {unit}"), cell_length(units, lobe)));
        figures.push((
            format!("VALLEY, {unit} DEEP"),
            format!("{} ({} from the axis)", length(units, lobe - valley), length(units, valley)),
        ));
    }
    figures
}

fn mouth_words(merge: &Merge) -> &'static str {
    match merge.way {
        Way::Trimmed => {
            "The legs' templates end in the mouth's plane, square to the axis: do not saw it again, dress the welded \
             cluster flat there. Its outline is as long as the outlet's circumference: dress the lobes in and the \
             valleys out until it is round, then butt weld the outlet."
        }
        Way::Fitted => {
            "Each leg ends on the outlet's outside, and the outlet runs on inside to the legs' bores: cut both by their \
             templates, slide the outlet in from downstream, and weld around it."
        }
    }
}

/// Whether neighbours' bores meet in the mouth's plane.
fn bores_meet(merge: &Merge) -> bool {
    merge.cluster.valley_radius(merge.mouth, merge.cluster.inner).is_some()
}

/// What the legs' walls leave standing between the bores in a sawn mouth.
fn bore_words(units: Units, merge: &Merge) -> Option<String> {
    let spike = merge.cluster.spike(merge.cluster.inner);
    if merge.way != Way::Trimmed || spike <= merge.mouth {
        return None;
    }
    let further = full_length(units, spike - merge.mouth);
    Some(match bores_meet(merge) {
        true => format!(
            "The bores are joined around the axis only {further} beyond the mouth: in the mouth the legs' walls leave a \
             pointed island around it, drawn inside, which the outline of the bores does not count."
        ),
        false => "The bores do not meet in the mouth yet: the legs' walls still stand between them there."
            .to_owned(),
    })
}

/// The legs' outside in the mouth's plane, and the outlet dashed. Leg 1 is up; azimuths grow clockwise.
fn outline(canvas: &mut Canvas, merge: &Merge, [left, top]: Point, size: f64) {
    let cluster = &merge.cluster;
    let z = merge.mouth;
    let widest = cluster.lobe_radius(z, cluster.outer).max(0.5 * merge.mouth_od);
    let scale = (0.5 * size - 6.0) / widest;
    let centre = [left + 0.5 * size, top + 0.5 * size];
    let at = |azimuth: f64, radius: f64| {
        let (s, c) = sin_cos(azimuth);
        [centre[0] + scale * radius * s, centre[1] - scale * radius * c]
    };
    for rho in [cluster.outer, cluster.inner] {
        let pen = Pen::solid(if rho == cluster.outer { 0.5 } else { 0.2 });
        for line in section_lines(merge, z, rho) {
            let points: Vec<Point> = line.into_iter().map(|(azimuth, radius)| at(azimuth, radius)).collect();
            canvas.line(&points, pen);
        }
    }
    let outlet: Vec<Point> = (0..=90).map(|i| at(TAU * f64::from(i) / 90.0, 0.5 * merge.mouth_od)).collect();
    canvas.line(&outlet, Pen::dashed(0.3));
    for k in 0..cluster.legs {
        let azimuth = TAU * k as f64 / cluster.legs as f64;
        let p = at(azimuth, widest + 3.2 / scale);
        canvas.words([p[0], p[1] + 1.2], (k + 1).to_string(), Style::bold(2.6).align(Align::Centre));
    }
    canvas.words([left, top + size + 1.0], "dashed: the outlet's outside", LABEL);
}

/// The lines of the legs' surfaces of radius `rho` in the plane at `z`, as azimuths (rad) and distances from the
/// axis (mm): where neighbours meet, the line around them all and, upstream of the spike, the one around what they
/// leave open in the middle; else each leg's own.
fn section_lines(merge: &Merge, z: f64, rho: f64) -> Vec<Vec<(f64, f64)>> {
    let cluster = &merge.cluster;
    let turn = || (0..=360).map(|i| TAU * f64::from(i) / 360.0);
    if cluster.valley_radius(z, rho).is_none() {
        let (radial, centre) = (rho / cos(cluster.convergence), -z * tan(cluster.convergence));
        let point = |leg: usize, t: f64| {
            let (s, c) = sin_cos(t);
            let (out, side) = (centre + radial * c, rho * s);
            (TAU * leg as f64 / cluster.legs as f64 + atan2(side, out), hypot(out, side))
        };
        return (0..cluster.legs).map(|leg| turn().map(|t| point(leg, t)).collect()).collect();
    }
    let line = |which: usize| {
        turn().filter_map(move |azimuth| Some((azimuth, meetings(merge, azimuth, z, rho)?[which])))
    };
    let (inner, outer): (Vec<_>, Vec<_>) = (line(0).collect(), line(1).collect());
    let open = z < cluster.spike(rho) && cluster.legs > 2 && inner.iter().all(|(_, radius)| *radius > 0.0);
    if open { vec![outer, inner] } else { vec![outer] }
}

/// Distances from the axis at which a line at `azimuth` meets the nearest leg's section: the inner, the outer.
fn meetings(merge: &Merge, azimuth: f64, z: f64, rho: f64) -> Option<[f64; 2]> {
    let cluster = &merge.cluster;
    let sector = TAU / cluster.legs as f64;
    let off = azimuth - sector * (azimuth / sector).round();
    let (s, c) = sin_cos(off);
    let (radial, centre) = (rho / cos(cluster.convergence), -z * tan(cluster.convergence));
    let a = c * c / (radial * radial) + s * s / (rho * rho);
    let b = -c * centre / (radial * radial);
    let root = b * b - a * (centre * centre / (radial * radial) - 1.0);
    (root >= 0.0).then(|| [(-b - root.sqrt()) / a, (-b + root.sqrt()) / a])
}

fn legs(folio: &mut Folio, design: &Design, layout: &Layout, merge: &Merge) {
    folio.heading("Legs");
    let mut table = Table::new(vec![
        Column::words("LEG", 8.0).set(Style::bold(3.6)),
        Column::words("MARK", 30.0).set(Style::bold(3.6)),
        Column::words("FROM RUN", 28.0),
        Column::numbers("AZIMUTH", 20.0),
        Column::numbers("LONG-POINT LENGTH", 34.0).set(Style::bold(3.6)),
        Column::numbers("INLET TO MERGE TIP", 28.0),
        Column::words("CUT", 24.0),
    ]);
    for (k, leg) in merge.legs.iter().enumerate() {
        let part = &layout.pieces[leg.piece];
        table.row(vec![
            (k + 1).to_string(),
            part.mark.clone(),
            layout.runs[leg.run].name.clone(),
            format!("{}°", geom::unit::fixed(to_degrees(leg.azimuth), 1)),
            cell_length(design.units, crate::csv::finished_length(part)),
            length(design.units, leg.to_tip),
            cut_words(design, part, tube::End::End),
        ]);
    }
    table.draw(folio);
    folio.paragraph(
        "Azimuths are about the outlet's axis from leg 1, clockwise looking downstream. The merge tip is the point of a \
         leg's centreline abreast of the spike.",
        Style::plain(2.0).grey(0.2),
    );
}

fn order(folio: &mut Folio, design: &Design, layout: &Layout, index: usize) {
    let merge = &layout.merges[index];
    folio.heading("Order of welding");
    let outlet = match merge.cone {
        Some(cone) => format!("the cone ({})", layout.pieces[cone].mark),
        None => {
            let first = layout.runs[merge.outlet].pieces.first();
            first.map_or("the outlet".to_owned(), |&p| format!("the outlet ({})", layout.pieces[p].mark))
        }
    };
    let plug = plug_sheet::step(design, layout, index);
    for (i, step) in welding_order(merge.cluster.legs, plug, &outlet).iter().enumerate() {
        folio.item(&format!("{}.", i + 1), step, Style::plain(3.0));
    }
    if design.shop.weld_shrinkage > 0.0 {
        let each = full_length(design.units, design.shop.weld_shrinkage);
        folio.paragraph(&format!("Weld shrinkage reckoned with: {each} a butt joint."), BODY);
    }
}
