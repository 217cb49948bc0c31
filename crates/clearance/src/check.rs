//! The whole question: does it fit?

use layout::Layout;
use spec::Design;

use crate::against::Against;
use crate::bolts::bolts;
use crate::clearance::{Clearance, Placed, Row};
use crate::drain::drain;
use crate::findings;
use crate::ground::ground;
use crate::header::Header;
use crate::hole::reached;
use crate::overlap;
use crate::own::Own;
use crate::passage::passage;
use crate::plugs::plugs;
use crate::surroundings::Surroundings;
use crate::torch::torches;
use geom::threads::in_order;

/// Holds a header against its bay and against itself. `scans[i]` belongs to the design's obstacle `i`; plain
/// bodies have none, and a scan's obstacle without one is left out.
pub fn check(design: &Design, layout: &Layout, scans: &[Option<Placed>]) -> Clearance {
    let threads = std::thread::available_parallelism().map_or(1, |count| count.get());
    check_on(threads, design, layout, scans)
}

/// [`check`] on so many threads; the result is the same for any number.
pub fn check_on(threads: usize, design: &Design, layout: &Layout, scans: &[Option<Placed>]) -> Clearance {
    let header = Header::of(design, layout);
    let with_scans = || {
        let scan = |i: usize| scans.get(i).and_then(Option::as_ref);
        design.bay.obstacles.iter().enumerate().map(move |(i, obstacle)| (obstacle, scan(i)))
    };
    let obstacles: Vec<Against> = with_scans().filter_map(|(o, scan)| Against::of(o, scan)).collect();
    let noise: Vec<Against> = with_scans().filter_map(|(o, scan)| Against::noise_of(o, scan)).collect();
    let own = Own::of(&header);
    let pairs = own.pairs();
    let against = header.subjects.len() * obstacles.len();
    let rows = in_order(threads, against + pairs.len(), |task| match task.checked_sub(against) {
        None => obstacles[task % obstacles.len()].row(&header, task / obstacles.len()),
        Some(pair) => own.row(pairs[pair]),
    });
    let (rows, own): (Vec<Row>, Vec<Row>) = rows.into_iter().flatten().partition(|row| row.class.is_some());
    let noise = in_order(threads, header.subjects.len() * noise.len(), |task| {
        noise[task % noise.len()].row(&header, task / noise.len()).filter(|row| row.margin() < 0.0)
    });
    let way_out = in_order(threads, against, |task| {
        passage(&header, task / obstacles.len(), &obstacles[task % obstacles.len()])
    });
    let way_out = way_out.into_iter().flatten().collect();
    let around = Surroundings::of(&header, &obstacles);
    let mut clearance = Clearance {
        rows,
        noise: noise.into_iter().flatten().collect(),
        own,
        bolts: bolts(threads, &around),
        torches: torches(&around),
        way_out,
        plugs: plugs(&header),
        ground: ground(&header),
        overlaps: overlap::among(&header)
            .into_iter()
            .chain(obstacles.iter().flat_map(|against| overlap::into(&header, against)))
            .collect(),
        holes: obstacles.iter().flat_map(|against| reached(&header, against)).collect(),
        drain: drain(&design.bay),
        scans: scans.iter().map(|scan| scan.as_ref().map(|placed| placed.told.clone())).collect(),
        meetings: header.meetings.clone(),
        spread: header.growth.spread,
        findings: Vec::new(),
    };
    clearance.findings = findings::of(&header, &obstacles, &clearance);
    clearance
}
