//! How full a strand is printed: its outside, and the lengths of it that are left empty.

use geom::math::tan;
use spec::shop::Printer;
use tube::{Centreline, Cut, End, Segment, Shape, Span};

use crate::division::Joining;
use crate::fault::Fault;
use crate::profile::{Profile, Side};
use crate::settings::{Settings, Variant};
use crate::strand::Strand;
use crate::sweep::{Hollow, Sweep, Tip, limits};
use crate::wheel::Wheel;

/// A strand as it is printed.
#[derive(Clone, Debug, PartialEq)]
pub struct Made {
    /// Outside radius.
    pub outside: Profile,
    /// Radius of what is left empty.
    pub bore: Profile,
    /// Lengths that are left empty, ascending: stations from and to, mm. Between them it is full.
    pub hollows: Vec<[f64; 2]>,
    /// Rings with windows, ascending.
    pub wheels: Vec<Wheel>,
}

/// The strand as it is printed in a variant. `held` are the lengths that belong to nodes, `joinings` the cuts across
/// it.
///
/// Solid: as it is. Shell: empty within the steel's wall, or the printer's, as far as the strand's bore reaches, full
/// around joints. Skeleton: as a shell in what is held, around mitres and at ends cut slanting, closed there toward the
/// rest, which is a rod, full around joints and ends, with wheels of the full radius beside every step outward, at most
/// 36 mm apart and 24 mm in bends. Error: a hollow print's wall that is thinner than the nozzle.
pub fn made(
    strand: &Strand,
    held: &[[f64; 2]],
    joinings: &[&Joining],
    settings: &Settings,
) -> Result<Made, Fault> {
    let (outside, printer) = (strand.outside.clone(), &settings.printer);
    let around: Vec<[f64; 2]> = joinings.iter().map(|joining| around(joining, strand)).collect();
    let (hollows, wheels) = (Vec::new(), Vec::new());
    match settings.variant {
        Variant::Solid => Ok(Made { outside, bore: strand.bore.clone(), hollows, wheels }),
        Variant::Shell => {
            let hollows = emptied(strand, &[strand.bore.reach().into()], &around);
            Ok(Made { outside, bore: bore(strand, held, printer)?, hollows, wheels })
        }
        Variant::Skeleton => {
            let bore = bore(strand, held, printer)?;
            Ok(Made { bore, ..skeleton(strand, held, &around, RING.max(RING_LINES * printer.nozzle)) })
        }
    }
}

/// A strand as a rod with wheels as long as `ring`, mm; its bore the strand's own.
fn skeleton(strand: &Strand, held: &[[f64; 2]], around: &[[f64; 2]], ring: f64) -> Made {
    let shells = [held.to_vec(), slanted(strand, ring), around_mitres(strand)].concat();
    let ends = strand.ends.iter().map(|end| around_end(strand, end, ring)).collect();
    let mut full = [shells.clone(), around.to_vec(), ends, corners(&strand.outside, ring)].concat();
    full.extend(rings(&strand.line, &between(strand.outside.reach(), full.clone()), ring));
    let full = joined(full);
    Made {
        outside: rod(&strand.outside, &full),
        bore: strand.bore.clone(),
        hollows: emptied(strand, &floored(strand, joined(shells)), around),
        wheels: wheels(&full, ring),
    }
}

impl Made {
    /// The length of it between two stations, ready to be swept.
    pub fn sweep<'a>(
        &'a self,
        line: &'a Centreline,
        reach: [f64; 2],
        tips: [Tip; 2],
        chord: f64,
    ) -> Sweep<'a> {
        let within = |h: &[f64; 2]| [h[0].max(reach[0]), h[1].min(reach[1])];
        let hollows = self.hollows.iter().map(within).filter(|h| h[1] - h[0] > LEAST_HOLLOW);
        let hollows = hollows.map(|[from, to]| Hollow { bore: &self.bore, from, to }).collect();
        let (wheels, outside) = (self.wheels.clone(), &self.outside);
        Sweep { line, outside, from: reach[0], to: reach[1], tips, hollows, wheels, chord }
    }
}

/// The length of a strand that is full around a joint: behind the socket's floor, and behind the spigot.
pub fn around(joining: &Joining, strand: &Strand) -> [f64; 2] {
    let (socket, spigot) = (behind_floor(joining, strand), FLOOR);
    match joining.spigot {
        End::End => [joining.station - spigot, joining.station + socket],
        End::Start => [joining.station - socket, joining.station + spigot],
    }
}

/// How far along a strand all that lies further is behind a socket and its floor. A socket is straight: in a bend, whose
/// sections lean over it on the inside, that is further than it is deep.
fn behind_floor(joining: &Joining, strand: &Strand) -> f64 {
    let depth = joining.keyed.depth() + FLOOR;
    if !joining.in_bend {
        return depth;
    }
    let way = if joining.spigot == End::End { 1.0 } else { -1.0 };
    let face = strand.line.frame_at(joining.station);
    let behind = |along: &f64| {
        let section = strand.line.frame_at(joining.station + way * along);
        let lean = section.along.dot(face.along).min(1.0);
        let nearest = widest(strand, joining.station) * (1.0 - lean * lean).sqrt();
        way * (section.at - face.at).dot(face.along) - nearest >= depth
    };
    let steps = (0..).map(|step| depth + STEP * f64::from(step));
    let within = steps.take_while(|along| *along < strand.line.length());
    within.into_iter().find(behind).unwrap_or(strand.line.length())
}

/// The bore of a hollow print: the steel's, or within the printer's wall; nowhere nearer to the outside than where the
/// wall is thinnest, also where both step.
fn bore(strand: &Strand, held: &[[f64; 2]], printer: &Printer) -> Result<Profile, Fault> {
    let outside = &strand.outside;
    let wall = printer.wall.unwrap_or(strand.wall);
    let missing = printer.nozzle - wall;
    if missing > ROUNDING {
        return Err(Fault::WallTooThin { what: format!("run {}", strand.name), wall, missing });
    }
    let within = within(outside, printer.wall.unwrap_or_else(|| outside.least_above(&strand.bore)));
    if printer.wall.is_some() {
        // At merges the steel's bore is what keeps walls between tubes.
        let steel = held.iter().map(|[from, to]| strand.bore.slice(*from, *to));
        return Ok(Profile::min(&steel.chain([within]).collect::<Vec<_>>()));
    }
    let (from, to) = outside.reach();
    Ok(Profile::min(&[strand.bore.slice(from, to), within]))
}

/// The profile `wall` mm within another: also along the strand, where that one steps or narrows.
fn within(outside: &Profile, wall: f64) -> Profile {
    let (from, to) = outside.reach();
    let shifted = |by: f64| {
        let points = outside.points.iter().map(|p| (p.0 + by, p.1)).collect();
        Profile { points }.slice(from, to)
    };
    let mut near = vec![outside.clone(), shifted(-wall), shifted(wall)];
    near.extend(
        outside.points.iter().map(|&(s, r)| Profile::constant((s - wall).max(from), (s + wall).min(to), r)),
    );
    let mut bore = Profile::min(&near);
    bore.points.iter_mut().for_each(|p| p.1 -= wall);
    bore
}

/// What is left empty of some lengths of a strand: as far as its bore reaches, outside of what is full around joints,
/// with ends clear of mitres.
fn emptied(strand: &Strand, lengths: &[[f64; 2]], around: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let (from, to) = strand.bore.reach();
    let within = lengths.iter().map(|length| (length[0].max(from), length[1].min(to)));
    let mut hollows: Vec<[f64; 2]> = within.flat_map(|length| between(length, around.to_vec())).collect();
    clear(&mut hollows, &mitres(strand));
    hollows.retain(|h| h[1] - h[0] > LEAST_HOLLOW);
    hollows
}

/// Lengths less a floor at each end that is not the strand's.
fn floored(strand: &Strand, mut lengths: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    let (start, end) = strand.outside.reach();
    for [from, to] in &mut lengths {
        *from = if *from > start + LEAST_HOLLOW { *from + FLOOR } else { *from };
        *to = if *to < end - LEAST_HOLLOW { *to - FLOOR } else { *to };
    }
    lengths
}

/// Mitres, with room for a floor on either side that is clear of them.
fn around_mitres(strand: &Strand) -> Vec<[f64; 2]> {
    let room = 2.0 * FLOOR;
    mitres(strand).into_iter().map(|[from, to]| [from - room, to + room]).collect()
}

/// Ends that are cut slanting: hollow as far as the cut reaches, so that no floor crosses it.
fn slanted(strand: &Strand, ring: f64) -> Vec<[f64; 2]> {
    let slanting = strand.ends.iter().filter(|end| matches!(end.shape, Shape::Plane { .. }));
    slanting.map(|end| around_end(strand, end, ring)).collect()
}

/// What stays full of an end, on which plates and merges may stand hollow: a ring and a floor beyond its cut, both ways.
fn around_end(strand: &Strand, end: &Cut, ring: f64) -> [f64; 2] {
    let lean =
        if let Shape::Plane { tilt } = end.shape { widest(strand, end.station) * tan(tilt) } else { 0.0 };
    [end.station - lean - ring - FLOOR, end.station + lean + ring + FLOOR]
}

/// The lengths that mitres take of a strand: within them nothing can stand square across it.
pub fn mitres(strand: &Strand) -> Vec<[f64; 2]> {
    let mitre = |span: Span| match span.segment {
        Segment::Arc { radius: 0.0, angle, .. } => {
            let reach = widest(strand, span.from) * tan(0.5 * angle) + FLOOR;
            Some([span.from - reach, span.from + reach])
        }
        _ => None,
    };
    strand.line.spans().into_iter().filter_map(mitre).collect()
}

/// A strand's outside radius at a station, the larger where it steps, mm.
fn widest(strand: &Strand, station: f64) -> f64 {
    limits(&strand.outside, station).into_iter().fold(0.0, f64::max)
}

/// Moves the ends of hollows out of `mitres`.
fn clear(hollows: &mut [[f64; 2]], mitres: &[[f64; 2]]) {
    for [from, to] in hollows {
        for [begin, end] in mitres {
            let within = *begin..*end;
            *from = if within.contains(from) { *end } else { *from };
            *to = if within.contains(to) { *begin } else { *to };
        }
    }
}

/// Rings of the length `ring` along the free lengths: as many as straights and bends ask for, each length of `line` having
/// its even share of them.
fn rings(line: &Centreline, free: &[[f64; 2]], ring: f64) -> Vec<[f64; 2]> {
    let spans = line.spans();
    let apart = |span: &Span| if span.is_arc() { RINGS_APART[1] } else { RINGS_APART[0] };
    let mut rings = Vec::new();
    for [from, to] in free {
        let lengths = spans.iter().map(|span| (span.from.max(*from), span.to.min(*to), apart(span)));
        let lengths: Vec<_> = lengths.filter(|(begin, end, _)| end > begin).collect();
        let share = |begin: f64, end: f64, apart: f64| (end - begin) / apart;
        let all: f64 = lengths.iter().map(|l| share(l.0, l.1, l.2)).sum::<f64>() + ring / RINGS_APART[0];
        let parts = all.ceil().max(1.0);
        let (mut next, mut before) = (1.0, 0.0);
        for (begin, end, apart) in lengths {
            let behind = before + share(begin, end, apart);
            while next < parts && next * all / parts <= behind {
                let at = begin + (next * all / parts - before) * apart;
                rings.push([at - ring, at]);
                next += 1.0;
            }
            before = behind;
        }
    }
    rings
}

/// Rings beside every place where an outside steps or bends outward: what stands furthest out there.
fn corners(outside: &Profile, ring: f64) -> Vec<[f64; 2]> {
    let stations = outside.stations();
    let inner =
        (1..stations.len().saturating_sub(1)).map(|k| (stations[k - 1], stations[k], stations[k + 1]));
    let corner = |(before, at, after): (f64, f64, f64)| {
        let [up, down] = limits(outside, at);
        let slopes = [
            (up - limits(outside, before)[1]) / (at - before),
            (limits(outside, after)[0] - down) / (after - at),
        ];
        match up - down {
            step if step > LEAST_STEP => Some([at - ring, at]),
            step if step < -LEAST_STEP => Some([at, at + ring]),
            _ => (slopes[0] > slopes[1] + LEAST_STEP).then_some([at - 0.5 * ring, at + 0.5 * ring]),
        }
    };
    inner.filter_map(corner).collect()
}

/// Those of the full lengths that are a ring alone, as wheels.
fn wheels(full: &[[f64; 2]], ring: f64) -> Vec<Wheel> {
    let rings = full.iter().filter(|[from, to]| to - from < ring + ROUNDING);
    rings.map(|&[from, to]| Wheel { from, to, bar: ring }).collect()
}

/// A rod with the full radius over the lengths `full`.
fn rod(outside: &Profile, full: &[[f64; 2]]) -> Profile {
    let (from, to) = outside.reach();
    let mut stations = outside.stations();
    stations.extend(full.iter().flatten().filter(|s| **s > from && **s < to));
    stations.sort_by(f64::total_cmp);
    stations.dedup();
    let mut points = Vec::new();
    for pair in stations.windows(2) {
        let middle = 0.5 * (pair[0] + pair[1]);
        let is_full = full.iter().any(|[a, b]| (*a..=*b).contains(&middle));
        let slim = |r: f64| if is_full { r } else { (ROD * r).max(LEAST_ROD).min(r) };
        points.push((pair[0], slim(outside.radius_at(pair[0], Side::Downstream))));
        points.push((pair[1], slim(outside.radius_at(pair[1], Side::Upstream))));
    }
    points.dedup();
    Profile { points }
}

/// What of a length is left between those that are full.
fn between((mut from, to): (f64, f64), full: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    let mut free = Vec::new();
    for [begin, end] in joined(full) {
        if begin > from {
            free.push([from, begin.min(to)]);
        }
        from = from.max(end);
    }
    if from < to {
        free.push([from, to]);
    }
    free
}

/// Lengths in order, those that overlap or leave less than [`LEAST_HOLLOW`] between them as one.
fn joined(mut lengths: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    lengths.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let mut joined: Vec<[f64; 2]> = Vec::new();
    for length in lengths {
        match joined.last_mut() {
            Some(last) if length[0] < last[1] + LEAST_HOLLOW => last[1] = last[1].max(length[1]),
            _ => joined.push(length),
        }
    }
    joined
}

/// Plastic behind a socket's floor and behind a spigot, mm (common practice, no source).
pub(crate) const FLOOR: f64 = 2.0;

/// Shorter lengths are not left empty, mm.
const LEAST_HOLLOW: f64 = 2.0;

/// A skeleton's rod by the tube's radius, and at least, mm (common practice, no source). The least bears 1.2 N m of bending
/// at 25 MPa (a quarter of pi r^3; half of what makers state for PLA, from memory): 0.6 kg held out by 200 mm.
const ROD: f64 = 0.18;
/// See [`ROD`].
const LEAST_ROD: f64 = 4.0;

/// Length of a skeleton's rings and width of their bars, mm, and at least so many widths of the nozzle (common practice,
/// no source).
const RING: f64 = 2.0;
/// See [`RING`].
const RING_LINES: f64 = 4.0;

/// How far apart a skeleton's rings begin at most along straights, and along bends, mm (common practice, no source). Rings
/// of 2 mm have 22 mm of a bend between them: on its outside, of a bend of 75 mm, a flat thing that lies on two of them is
/// 1.1 mm within a tube of 45 mm.
const RINGS_APART: [f64; 2] = [36.0, 24.0];

/// Steps of the outside, mm, and changes of its slope, below which it has no ring of its own.
const LEAST_STEP: f64 = 0.01;

/// Steps in which the strand behind a socket in a bend is looked at, mm.
const STEP: f64 = 0.5;

/// What a wall may be short by rounding, mm.
const ROUNDING: f64 = 1e-9;
