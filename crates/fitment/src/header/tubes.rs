//! The pieces along a strand: their radii and joints.

use layout::Layout;
use layout::layout::JointKind;
use spec::design::{From, To};
use tube::{Centreline, End, Piece, Shape};

use super::Whole;
use super::reach::Reach;
use crate::profile::Profile;
use crate::strand::SteelJoint;

/// The pieces along a strand.
pub(super) struct Tubes<'a> {
    pub all: Vec<Tube<'a>>,
}

/// A piece on a strand. Stations are the strand's, mm.
pub(super) struct Tube<'a> {
    /// Index in the layout.
    pub index: usize,
    pub piece: &'a Piece,
    /// Where its own station 0 is.
    pub begin: f64,
    /// Where it begins and ends along the axis; fitted ends reach as far as the strand does.
    pub from: f64,
    pub to: f64,
}

impl<'a> Tubes<'a> {
    /// The run's own pieces, the cone upstream and the leg downstream.
    pub fn of(whole: &Whole<'a>, run: usize, reach: &Reach) -> Tubes<'a> {
        let (layout, wanted) = (whole.layout, &whole.design.runs[run]);
        let laid = &layout.runs[run];
        let length = reach.to - reach.from;
        let tube = |index: usize, begin: f64| {
            let piece = &layout.pieces[index].piece;
            let begin = begin - reach.from;
            let at = |end: End, fitted: f64| match piece.cut(end).shape {
                Shape::Square | Shape::Plane { .. } => (begin + piece.cut(end).station).clamp(0.0, length),
                _ => fitted,
            };
            Tube { index, piece, begin, from: at(End::Start, 0.0), to: at(End::End, length) }
        };
        let own = laid.pieces.iter().map(|&i| tube(i, whole.begin(run, &layout.pieces[i].piece)));
        let mut all: Vec<Tube> = own.collect();
        if let From::Merge(merge) = wanted.from
            && let Some(cone) = layout.merges[merge].cone
        {
            let frame = &layout.merges[merge].frame;
            let into = (layout.pieces[cone].piece.frame_at(0.0).at - frame.at).dot(frame.along);
            all.push(tube(cone, whole.mouth(merge) + into));
        }
        if let To::Leg { merge, .. } = wanted.to
            && let Some(leg) = layout.merges[merge].legs.iter().find(|leg| leg.run == run)
            && whole.is_in_line(run, leg)
        {
            all.push(Tube { to: length, ..tube(leg.piece, laid.length()) });
        }
        // The first and the last go on to the strand's ends.
        if let Some(first) = all.iter_mut().min_by(|a, b| a.from.total_cmp(&b.from)) {
            first.from = 0.0;
        }
        if let Some(last) = all.iter_mut().max_by(|a, b| a.to.total_cmp(&b.to)) {
            last.to = length;
        }
        Tubes { all }
    }

    /// The strand's outside, the largest of its pieces', and its bore, the least of theirs.
    pub fn profiles(&self, reach: &Reach) -> [Profile; 2] {
        let of = |depth: f64| {
            let here = self.all.iter().filter(|tube| tube.to > tube.from);
            here.map(|tube| tube.profile(depth)).collect::<Vec<Profile>>()
        };
        let whole = [Profile::max(&of(1.0)), Profile::min(&of(0.0))];
        whole.map(|profile| profile.slice(0.0, reach.to - reach.from))
    }

    /// The square joints of the steel on `line`, ascending; where several are at one place the first of them.
    pub fn joints(&self, layout: &Layout, line: &Centreline) -> Vec<SteelJoint> {
        let is_here = |index: usize| self.all.iter().any(|tube| tube.index == index);
        let mut joints = Vec::new();
        for joint in &layout.joints {
            let is_square = match joint.kind {
                JointKind::Butt | JointKind::Step | JointKind::Slip => true,
                JointKind::Socket | JointKind::Clamp | JointKind::Bolted => true,
                JointKind::Mitre | JointKind::Seam | JointKind::Mouth | JointKind::Saddle => false,
            };
            if is_square && is_here(joint.a) && is_here(joint.b) {
                let upstream = &layout.pieces[joint.a].piece;
                let frame = upstream.frame_at(upstream.length());
                let station = line.station_of(geom::Frame { at: joint.at, ..frame });
                joints.push(SteelJoint { mark: joint.mark.clone(), station });
            }
        }
        joints.sort_by(|a, b| a.station.total_cmp(&b.station));
        joints.dedup_by(|b, a| b.station - a.station < crate::profile::SAME);
        joints
    }
}

impl Tube<'_> {
    /// Its radius at `depth` in the wall (0 bore, 1 outside) along the strand.
    fn profile(&self, depth: f64) -> Profile {
        let formed = self.piece.form_stations().into_iter().map(|s| self.begin + s);
        let inner = formed.filter(|s| *s > self.from && *s < self.to);
        let stations = std::iter::once(self.from).chain(inner).chain([self.to]);
        Profile { points: stations.map(|s| (s, self.piece.radius(s - self.begin, depth))).collect() }
    }
}
