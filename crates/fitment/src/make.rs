//! A header made into a fitment model, from layout to plates.

use std::sync::atomic::{AtomicUsize, Ordering};

use geom::DVec3;
use geom::threads::in_order;
use layout::Layout;
use solids::Mesh;
use spec::Design;

use crate::collar::collars;
use crate::cube::cube;
use crate::division::{Joining, PartPlan};
use crate::fault::Fault;
use crate::fitment::Fitment;
use crate::fits::Extent;
use crate::header::strands_and_nodes;
use crate::node::Node;
use crate::noticed::noticed;
use crate::openings::grooves;
use crate::part::{PartSolid, Stock};
use crate::plates::{collars_laid, parts_laid};
use crate::pose::{Pose, posed};
use crate::settings::Settings;
use crate::split::divided;
use crate::store::{Progress, Store};
use crate::strand::Strand;
use crate::variant::{self, Made};

/// The fitment model of a header.
///
/// What is kept in `store` is not computed again. The same on any number of threads. Errors: everything that keeps the
/// header from being printed.
pub fn make(
    design: &Design,
    layout: &Layout,
    settings: &Settings,
    store: &dyn Store,
    progress: &dyn Progress,
) -> Result<Fitment, Vec<Fault>> {
    let printer = &settings.printer;
    let (strands, nodes) = strands_and_nodes(design, layout, settings.chord)?;
    let division = divided(&strands, &nodes, printer)?;
    let made = made(&strands, &nodes, &division.joinings, settings)?;
    let grooves = sorted(nodes.iter().map(|node| grooves(design, layout, node, settings)))?;
    let stock = Stock {
        strands: &strands,
        nodes: &nodes,
        division: &division,
        made: &made,
        grooves: &grooves,
        settings,
        store,
    };
    let collars = collars(layout, settings, store);
    let cube = cube(printer, settings.chord, store).map_err(Fault::mesh("the test cube"));
    let solids = solids(&stock, progress);
    let ((whole, stood), collars, cube) = all(solids, collars, cube.map_err(|fault| vec![fault]))?;
    let mut findings = noticed(layout, &division, &whole, &stood, &settings.printer);
    findings.extend(collars.findings);
    let (parts, plates) = parts_laid(stood, &division, printer);
    let (collars, collar_plates) = collars_laid(collars.collars, printer);
    Ok(Fitment { strands, nodes, division, parts, whole, plates, collars, collar_plates, cube, findings })
}

/// Every strand as it is printed.
fn made(
    strands: &[Strand],
    nodes: &[Node],
    joinings: &[Joining],
    settings: &Settings,
) -> Result<Vec<Made>, Vec<Fault>> {
    let one = |(index, strand): (usize, &Strand)| {
        let own = nodes.iter().flat_map(|node| &node.holds).filter(|hold| hold.strand == index);
        let held: Vec<[f64; 2]> = own.map(|hold| [hold.from, hold.to]).collect();
        let across: Vec<&Joining> = joinings.iter().filter(|joining| joining.strand == index).collect();
        variant::made(strand, &held, &across, settings)
    };
    sorted(strands.iter().enumerate().map(one))
}

/// A part and how it stands.
pub(crate) type Stood = (PartSolid, Pose);

/// The whole and the parts, on as many threads as may work: the whole, which takes longest, first.
fn solids(stock: &Stock, progress: &dyn Progress) -> Result<(Mesh, Vec<Stood>), Vec<Fault>> {
    enum Job {
        Whole(Mesh),
        Part(Box<Stood>),
    }
    let plans = &stock.division.parts;
    let count = AtomicUsize::new(0);
    let jobs = in_order(stock.settings.threads, plans.len() + 1, |job| {
        let (what, made) = match job.checked_sub(1) {
            None => (WHOLE.to_owned(), stock.whole().map(Job::Whole).map_err(Fault::mesh(WHOLE))),
            Some(part) => {
                let stood = stood(stock, part).map(|stood| Job::Part(Box::new(stood)));
                (words(&plans[part]), stood)
            }
        };
        progress.done(&what, count.fetch_add(1, Ordering::Relaxed) + 1, plans.len() + 1);
        made
    });
    let mut whole = Mesh::default();
    let mut parts = Vec::new();
    for job in sorted(jobs.into_iter())? {
        match job {
            Job::Whole(mesh) => whole = mesh,
            Job::Part(stood) => parts.push(*stood),
        }
    }
    Ok((whole, parts))
}

/// How a part stands on the bed, and its solid, marked where that can be printed.
fn stood(stock: &Stock, part: usize) -> Result<Stood, Fault> {
    let (plan, printer) = (&stock.division.parts[part], &stock.settings.printer);
    let plain = stock.plain(plan).map_err(Fault::mesh(words(plan)))?;
    let ways: Vec<DVec3> = plan
        .stretches
        .iter()
        .flat_map(|s| [s.from, s.to].map(|at| stock.strands[s.strand].line.frame_at(at).along))
        .collect();
    let pose = posed(&plain, printer, &ways).ok_or_else(|| {
        let missing = Extent::of(plain.points.clone()).lacks(printer, &ways);
        Fault::BedTooSmall { what: words(plan), missing }
    })?;
    let solid = stock.marked(plan, &plain, pose.up()).map_err(Fault::mesh(words(plan)))?;
    let pose = pose.of(&solid.mesh);
    Ok((solid, pose))
}

/// Three that came out, or the faults of all.
fn all<A, B, C>(
    a: Result<A, Vec<Fault>>,
    b: Result<B, Vec<Fault>>,
    c: Result<C, Vec<Fault>>,
) -> Result<(A, B, C), Vec<Fault>> {
    match (a, b, c) {
        (Ok(a), Ok(b), Ok(c)) => Ok((a, b, c)),
        (a, b, c) => Err([a.err(), b.err(), c.err()].into_iter().flatten().flatten().collect()),
    }
}

/// The undivided header, in words.
const WHOLE: &str = "the whole header";

/// A part, in words.
fn words(plan: &PartPlan) -> String {
    format!("part {}", plan.mark)
}

/// All that came out, or all faults.
fn sorted<T>(results: impl Iterator<Item = Result<T, Fault>>) -> Result<Vec<T>, Vec<Fault>> {
    let (mut good, mut faults) = (Vec::new(), Vec::new());
    for result in results {
        match result {
            Ok(one) => good.push(one),
            Err(fault) => faults.push(fault),
        }
    }
    if faults.is_empty() { Ok(good) } else { Err(faults) }
}
