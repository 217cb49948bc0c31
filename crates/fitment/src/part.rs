//! The solids of parts, and of the whole header, from lengths of strands and blocks.

use geom::{DVec3, Frame};
use solids::{Mesh, MeshFault};
use tube::End;

use crate::datum;
use crate::division::{Division, Joining, PartPlan, Stretch};
use crate::marking::{Marks, Tube, marks};
use crate::node::{Block, Node};
use crate::settings::{Settings, Variant};
use crate::store::Store;
use crate::strand::Strand;
use crate::sweep::{Sweep, Tip, cavity, swept};
use crate::unite::combined;
use crate::variant::Made;

/// What parts are made of.
#[derive(Clone, Copy)]
pub struct Stock<'a> {
    /// The lines of tubes.
    pub strands: &'a [Strand],
    /// What holds them together.
    pub nodes: &'a [Node],
    /// How they are divided.
    pub division: &'a Division,
    /// What each strand is like as it is printed, in the strands' order.
    pub made: &'a [Made],
    /// What is sunk into each node's plates, in the nodes' order.
    pub grooves: &'a [Vec<Mesh>],
    /// The printer and the accuracy.
    pub settings: &'a Settings,
    /// Where solids are kept.
    pub store: &'a dyn Store,
}

/// A part's solid.
#[derive(Clone, Debug)]
pub struct PartSolid {
    /// With its figures, its datum and the outlines of openings; points in single precision.
    pub mesh: Mesh,
    /// Its volume without them, and without a boss behind the datum, mm3.
    pub plain_volume: f64,
    /// What a boss behind the datum adds to that, mm3; 0 without one.
    pub boss_volume: f64,
    /// The middle of its datum's mouth, `along` out of the part; none where it has no room for one.
    pub datum: Option<Frame>,
    /// The middle of its figures on the surface, `along` out of the part, `inside` along the text; none where it has no
    /// room for them.
    pub figures: Option<Frame>,
    /// Whether figures or datum look down onto support.
    pub under: bool,
    /// Whether it was united, or swept alone.
    pub united: bool,
}

impl Stock<'_> {
    /// A part's solid before anything is sunk into it.
    ///
    /// Errors as those of [`swept`] and [`combined`].
    pub fn plain(&self, plan: &PartPlan) -> Result<Mesh, MeshFault> {
        match plan.stretches[..] {
            [alone] if !self.is_united(plan) => swept(&self.sweep(&alone)),
            _ => self.united(&plan.stretches, &self.blocks(plan)),
        }
    }

    /// A part with what is sunk into its plain solid: figures and datum where they print well with `up` away from the bed,
    /// and grooves.
    ///
    /// Errors as those of [`combined`].
    pub fn marked(&self, plan: &PartPlan, plain: &Mesh, up: DVec3) -> Result<PartSolid, MeshFault> {
        let tubes: Vec<Tube> = plan.stretches.iter().map(|s| self.tube(s)).collect();
        let Marks { figures, datum, boss, under } =
            marks(&plan.mark, &tubes, plain, up, &self.settings.printer);
        let mut sunk = Vec::new();
        if let Some((figures, surface)) = &figures {
            sunk.push(figures.sunk(surface)?);
        }
        sunk.extend(datum.map(|frame| datum::sunk(&frame)));
        sunk.extend(plan.nodes.iter().flat_map(|node| &self.grooves[*node]).cloned());
        let boss = datum.filter(|_| boss).map(|frame| datum::boss(&frame));
        let backed = boss.map(|boss| combined(&[plain, &boss], &[], self.store)).transpose()?;
        let full = backed.as_ref().unwrap_or(plain);
        let (plain_volume, boss_volume) = (plain.volume(), full.volume() - plain.volume());
        let mesh = combined(&[full], &sunk.iter().collect::<Vec<_>>(), self.store)?;
        let figures = figures.and_then(|(_, surface)| surface.frame());
        let united = self.is_united(plan);
        Ok(PartSolid { mesh, plain_volume, boss_volume, datum, figures, under, united })
    }

    /// Whether a part is more than a length swept alone.
    fn is_united(&self, plan: &PartPlan) -> bool {
        plan.stretches.len() != 1 || !self.blocks(plan).is_empty()
    }

    fn blocks(&self, plan: &PartPlan) -> Vec<&Block> {
        plan.nodes.iter().flat_map(|node| &self.nodes[*node].blocks).collect()
    }

    /// The whole header in one solid, as if it were not divided.
    ///
    /// Errors as those of [`swept`] and [`combined`].
    pub fn whole(&self) -> Result<Mesh, MeshFault> {
        let stretch = |strand: usize| {
            let (from, to) = self.strands[strand].outside.reach();
            Stretch { strand, from, to, start: None, end: None }
        };
        let stretches: Vec<Stretch> = (0..self.strands.len()).map(stretch).collect();
        self.united(&stretches, &self.nodes.iter().flat_map(|node| &node.blocks).collect::<Vec<_>>())
    }

    /// Lengths of strands and blocks as one solid, then their bores taken out of it.
    fn united(&self, stretches: &[Stretch], blocks: &[&Block]) -> Result<Mesh, MeshFault> {
        let (mut outsides, mut bores) = (Vec::new(), Vec::new());
        for stretch in stretches {
            let mut sweep = self.sweep(stretch);
            let hollows = std::mem::take(&mut sweep.hollows);
            outsides.push(swept(&sweep)?);
            for hollow in hollows {
                bores.push(cavity(&sweep, &hollow)?);
            }
        }
        let adds: Vec<&Mesh> = outsides.iter().chain(blocks.iter().map(|b| &b.outside)).collect();
        let takes: Vec<&Mesh> = bores.iter().chain(blocks.iter().flat_map(|b| self.bores(b))).collect();
        combined(&adds, &takes, self.store)
    }

    /// What is left empty in a block: nothing where the print is not hollow.
    fn bores<'a>(&self, block: &'a Block) -> &'a [Mesh] {
        match self.settings.variant {
            Variant::Shell | Variant::Skeleton => &block.bores,
            Variant::Solid => &[],
        }
    }

    fn sweep(&self, stretch: &Stretch) -> Sweep<'_> {
        let line = &self.strands[stretch.strand].line;
        let made = &self.made[stretch.strand];
        let [start, end] = self.tips(stretch);
        made.sweep(line, [start.0, end.0], [start.1, end.1], self.settings.chord)
    }

    /// Where a length ends and what it is like there: spigot or socket at a joint, else as the strand is cut, where the
    /// cut goes through its axis.
    fn tips(&self, stretch: &Stretch) -> [(f64, Tip); 2] {
        let cuts = &self.strands[stretch.strand].ends;
        let joint = |joining: usize, own: End| {
            let Joining { spigot, keyed, .. } = self.division.joinings[joining];
            if spigot == own { Tip::Spigot(keyed) } else { Tip::Socket(keyed) }
        };
        let end = |i: usize| Tip::of(&cuts[i]).unwrap_or(([stretch.from, stretch.to][i], Tip::Square));
        [
            stretch.start.map_or_else(|| end(0), |j| (stretch.from, joint(j, End::Start))),
            stretch.end.map_or_else(|| end(1), |j| (stretch.to, joint(j, End::End))),
        ]
    }

    fn tube(&self, stretch: &Stretch) -> Tube<'_> {
        let (line, outside) = (&self.strands[stretch.strand].line, &self.made[stretch.strand].outside);
        Tube { line, outside, from: stretch.from, to: stretch.to }
    }
}
