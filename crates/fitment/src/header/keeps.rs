//! Where strands are not to be cut.

use spec::design::{CouplingKind, FittingPart, From, To};
use tube::{Cut, End, Hole, Shape};

use super::Whole;
use super::reach::Reach;
use super::tubes::{Tube, Tubes};
use crate::strand::Keep;

impl Whole<'_> {
    /// The keeps of a run's strand, ascending.
    pub(super) fn keeps(&self, run: usize, tubes: &Tubes, reach: &Reach) -> Vec<Keep> {
        let mut keeps = self.end_keeps(run, reach);
        keeps.extend(self.fitting_keeps(run, tubes));
        keeps.extend(steps(tubes));
        keeps.extend(self.places_on(tubes));
        keeps.sort_by(|a, b| a.from.total_cmp(&b.from).then(a.to.total_cmp(&b.to)));
        keeps
    }

    /// What stands at the strand's two ends.
    fn end_keeps(&self, run: usize, reach: &Reach) -> Vec<Keep> {
        let (laid, wanted) = (&self.layout.runs[run], &self.design.runs[run]);
        let length = reach.to - reach.from;
        let mut keeps = Vec::new();
        let mut keep = |from: f64, to: f64, what: String| keeps.push(Keep { from, to, what });
        if let Some((plate, _)) = self.plate_at(run, End::Start) {
            let back = (plate.reach[1] - reach.from).max(STUB);
            keep(0.0, back.min(length), format!("flange {}", plate.name));
        }
        if let Some((plate, _)) = self.plate_at(run, End::End) {
            let back = (laid.length() + plate.reach[0] - reach.from).min(length - STUB);
            keep(back.max(0.0), length, format!("flange {}", plate.name));
        }
        match wanted.from {
            From::Merge(merge) => {
                let name = &self.layout.merges[merge].name;
                keep(0.0, self.outlet_until(merge) - reach.from, format!("merge {name}"));
            }
            From::Branch(branch) => {
                let branch = &self.layout.branches[branch];
                let foot = self.foot(&branch.place, laid.sections[0].section.outer());
                keep(0.0, foot.to + STUB - reach.from, format!("branch {}", branch.name));
            }
            From::Port(_) => {}
        }
        if let To::Leg { merge, .. } = wanted.to {
            let name = &self.layout.merges[merge].name;
            keep(self.leg_from(merge, run) - reach.from, length, format!("merge {name}"));
        }
        if let To::Host(host) = wanted.to {
            keep(length - STUB, length, format!("end on {}", self.design.hosts[host].name));
        }
        let cuts = reach.cuts(&reach.line(laid));
        for (end, cut) in cuts.iter().enumerate() {
            let Shape::Plane { tilt } = cut.shape else { continue };
            let reach = self.widest(run) * geom::math::tan(tilt);
            let Cut { station, .. } = *cut;
            let (from, to) = if end == 0 { (0.0, station + reach) } else { (station - reach, length) };
            keeps.push(Keep { from, to, what: format!("cut end of {}", laid.name) });
        }
        keeps
    }

    /// The largest outside radius of a run's tubes, mm.
    fn widest(&self, run: usize) -> f64 {
        self.layout.runs[run].sections.iter().map(|s| s.section.outer()).fold(0.0, f64::max)
    }

    /// Slip joints and bellows whole, of couplings each half.
    fn fitting_keeps(&self, run: usize, tubes: &Tubes) -> Vec<Keep> {
        let mut keeps = Vec::new();
        for fitting in self.layout.fittings.iter().filter(|fitting| fitting.run == run) {
            let what = match fitting.part {
                FittingPart::Slip(_) => format!("slip joint {}", fitting.name),
                FittingPart::Bellows(_) => format!("bellows {}", fitting.name),
                FittingPart::Coupling(coupling) => match self.design.couplings[coupling].kind {
                    CouplingKind::VBand => format!("V-band {}", fitting.name),
                    CouplingKind::Flanged { .. } => format!("flanged joint {}", fitting.name),
                },
            };
            let own = tubes.all.iter().filter(|tube| fitting.pieces.contains(&tube.index));
            keeps.extend(own.map(|tube| Keep { from: tube.from, to: tube.to, what: what.clone() }));
        }
        keeps
    }

    /// What stands on the strand's wall.
    fn places_on(&self, tubes: &Tubes) -> Vec<Keep> {
        let mut keeps = Vec::new();
        for branch in &self.layout.branches {
            let radius = self.layout.runs[branch.run].sections[0].section.outer();
            let what = format!("branch {}", branch.name);
            keeps.extend(self.footprint(&branch.place, radius, tubes, what));
        }
        for bung in &self.layout.bungs {
            let part = &self.layout.pieces[bung.piece];
            let what = format!("bung {}", part.mark);
            keeps.extend(self.footprint(&bung.place, 0.5 * part.piece.od(), tubes, what));
        }
        keeps
    }

    /// The stretch of a strand on which something of `radius` mm stands, if it does.
    fn footprint(
        &self,
        place: &layout::layout::Place,
        radius: f64,
        tubes: &Tubes,
        what: String,
    ) -> Option<Keep> {
        let Tube { piece, begin, .. } = tubes.all.iter().find(|tube| tube.index == place.host)?;
        let outline = Hole { radius, ..piece.holes[place.hole] };
        let (from, to) = outline.stations(piece, 1.0);
        Some(Keep { from: begin + from, to: begin + to, what })
    }
}

/// Steps that are formed or inserted: formed ends, and lengths where two tubes of the run stand one in the other.
fn steps(tubes: &Tubes) -> Vec<Keep> {
    let mut keeps = Vec::new();
    let what = || "step".to_owned();
    for tube in &tubes.all {
        let [start, end] = tube.piece.forms.map(|form| form.map(|form| form.length()));
        keeps.extend(start.map(|length| Keep { from: tube.from, to: tube.from + length, what: what() }));
        keeps.extend(end.map(|length| Keep { from: tube.to - length, to: tube.to, what: what() }));
    }
    for pair in tubes.all.windows(2) {
        let (from, to) = (pair[1].from, pair[0].to);
        if to - from > crate::profile::SAME && to < pair[1].to && from > pair[0].from {
            keeps.push(Keep { from, to, what: what() });
        }
    }
    keeps
}

/// The least stub of a strand that stays with what it stands on, mm.
pub(super) const STUB: f64 = 1.0;
