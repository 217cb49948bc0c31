//! A header's subjects against the bay's obstacles.

use distance::{Item, Solid};
use spec::design::{Class, Form, Holder, Obstacle};

use crate::clearance::{Placed, Row};
use crate::header::Header;
use crate::meeting::{Meeting, Member};
use crate::obstacle::{Barrier, Found, behind, hidden, on_rim};
use crate::slice::{Slice, slices};
use crate::state::State;
use crate::sweep::{Sweep, Worst};

/// What a subject is held against.
pub(crate) struct Against<'a> {
    /// The obstacle.
    pub obstacle: &'a Obstacle,
    /// Its scan.
    pub scan: Option<&'a Placed>,
    /// Its body.
    pub barrier: Barrier<'a>,
}

/// Some lengths of a subject of which the same share of the distance is wanted.
struct Part {
    share: f64,
    slices: Vec<Slice>,
    solids: [Vec<Solid>; 2],
}

impl<'a> Against<'a> {
    /// An obstacle with its scan; `None` where that was not read.
    pub fn of(obstacle: &'a Obstacle, scan: Option<&'a Placed>) -> Option<Against<'a>> {
        Some(Against { obstacle, scan, barrier: Barrier::of(obstacle, scan)? })
    }

    /// What was left out of its scan as noise; `None` where that is nothing.
    pub fn noise_of(obstacle: &'a Obstacle, scan: Option<&'a Placed>) -> Option<Against<'a>> {
        let noise = &scan?.noise;
        let left_out = noise.counts() != [0, 0];
        left_out.then_some(Against { obstacle, scan: None, barrier: Barrier::Noise(noise) })
    }

    /// How near a subject comes to it: the row of least margin. `None` where all of the subject is meant to
    /// touch it.
    pub fn row(&self, header: &Header, subject: usize) -> Option<Row> {
        let rock = header.design.bay.rock.as_ref().filter(|_| self.obstacle.on == Holder::Car);
        let mut best: Option<(f64, Row)> = None;
        for part in self.parts(header, subject) {
            let required = self.obstacle.required * part.share;
            let bodies = [&part.solids[0][..], &part.solids[1][..]];
            let Some(worst) = (Sweep { bodies, rock, barrier: &self.barrier, required }).worst() else {
                continue;
            };
            let row = self.told(header, subject, &part, (&worst, required));
            let row = self.hidden(header, subject, &part, &row).unwrap_or(row);
            let margin = if row.behind { f64::NEG_INFINITY } else { row.margin() };
            if best.as_ref().is_none_or(|(least, _)| margin < *least) {
                best = Some((margin, row));
            }
        }
        best.map(|(_, row)| row)
    }

    /// Whether it may be what the header is bolted to.
    pub fn bolted(&self) -> bool {
        self.obstacle.on == Holder::Engine && self.obstacle.class == Class::Fixed
    }

    /// The subject's parts by what share of the distance is wanted of them. Metal of the engine that stands still
    /// on it may be what the header is bolted to: there the distance grows from 0 at the ports, flanges and hosts.
    fn parts(&self, header: &Header, subject: usize) -> Vec<Part> {
        let bolted = self.bolted();
        let places: Vec<(&Meeting, &Member)> = header
            .meetings
            .iter()
            .filter(|meeting| bolted && meeting.mates)
            .flat_map(|meeting| meeting.members.iter().map(move |member| (meeting, member)))
            .filter(|(_, member)| member.subject == subject)
            .collect();
        let mut cuts: Vec<f64> =
            places.iter().flat_map(|(meeting, member)| meeting.cuts(member, STEP)).collect();
        cuts.sort_by(f64::total_cmp);
        let bodies = header.subjects[subject].bodies.iter().enumerate();
        let mut parts: Vec<Part> = Vec::new();
        for slice in bodies.flat_map(|(index, body)| slices(body, index, &cuts)) {
            let shares = places.iter().map(|(meeting, member)| meeting.share(member, slice.line));
            let share = shares.fold(1.0, f64::min);
            if share <= 0.0 {
                continue;
            }
            let hot = slice.solid.carried(&header.growth.bodies[subject][slice.body]);
            let solids = [vec![slice.solid.clone()], vec![hot]];
            match parts.iter_mut().find(|part| part.share == share) {
                Some(part) => {
                    part.slices.push(slice);
                    part.solids.iter_mut().zip(solids).for_each(|(all, one)| all.extend(one));
                }
                None => parts.push(Part { share, slices: vec![slice], solids }),
            }
        }
        parts
    }

    /// The lengths of a subject that are not meant to touch it.
    pub fn held(&self, header: &Header, subject: usize) -> Vec<Slice> {
        self.parts(header, subject).into_iter().flat_map(|part| part.slices).collect()
    }

    /// The row of a place that lies behind a scan of which only the front was seen, cold and at rest, where the
    /// nearest place of all does not.
    fn hidden(&self, header: &Header, subject: usize, part: &Part, row: &Row) -> Option<Row> {
        let scan = self.scan.filter(|_| self.one_sided() && !row.behind && row.distance > 0.0)?;
        let mut bodies = part.slices.iter().zip(&part.solids[0]);
        let (slice, near) = bodies.find_map(|(slice, solid)| Some((slice, hidden(scan, solid)?)))?;
        let place = header.place((subject, slice.body), &near, slice.line.map(|l| l.from), &State::COLD);
        Some(Row {
            distance: near.distance,
            at: near.on,
            there: near.there,
            station: place.map(|p| p.0),
            clock: place.map(|p| p.1),
            state: State::COLD,
            cold: near.distance,
            within: 0.0,
            behind: true,
            on_rim: false,
            ..row.clone()
        })
    }

    /// Whether only the front of it was seen.
    fn one_sided(&self) -> bool {
        matches!(&self.obstacle.form, Form::Scan(file) if file.one_sided)
    }

    fn told(&self, header: &Header, subject: usize, part: &Part, (worst, required): (&Worst, f64)) -> Row {
        let Worst { found: Found { near, body, item }, state, cold, within } = *worst;
        let slice = &part.slices[body];
        let state = match self.obstacle.on {
            Holder::Car => state,
            Holder::Engine => State { hot: state.hot, ..State::COLD },
        };
        let place = header.place((subject, slice.body), &near, slice.line.map(|l| l.from), &state);
        let swallowed = self.barrier.swallows(&part.solids[0], near.distance > 0.0);
        let inside = swallowed.is_some_and(|inside| inside.sure);
        let signed = |distance: f64| if inside { -distance.abs() } else { distance };
        let distance = signed(near.distance);
        let seen = |scan: &&Placed| {
            self.one_sided()
                && distance > 0.0
                && item.is_some_and(|i| matches!(i, Item::Triangle(_)))
                && behind(&scan.tree, near.there, near.on)
        };
        Row {
            subject: header.subjects[subject].name.clone(),
            kind: header.subjects[subject].kind,
            against: self.obstacle.name.clone(),
            other: None,
            class: Some(self.obstacle.class),
            distance,
            required,
            at: near.on,
            there: near.there,
            station: place.map(|p| p.0),
            clock: place.map(|p| p.1),
            state,
            cold: signed(cold),
            within,
            inside,
            around: swallowed.is_some() && !inside,
            rays: swallowed.and_then(|inside| inside.rays),
            behind: self.scan.filter(seen).is_some(),
            on_rim: self.scan.is_some_and(|scan| on_rim(&scan.told.rims, near.there)),
        }
    }
}

/// How long the lengths are of which a share of the distance is wanted, mm.
pub(crate) const STEP: f64 = 5.0;
