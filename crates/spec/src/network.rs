//! Checks on how a spec's runs, merges and groups hang together.

use std::collections::BTreeMap;

use crate::design::{From, To};
use crate::diagnostic::Fault;
use crate::ends_file::{Ends, Places};
use crate::names::Names;
use crate::reader::Reader;
use crate::value::{Fields, Read};

/// The runs of a spec with their resolved ends.
pub(crate) struct Network<'a> {
    pub runs: &'a [(String, Fields)],
    pub ends: &'a [Ends],
    pub places: &'a Places<'a>,
}

impl Network<'_> {
    /// Reports starts and legs that are taken twice or not at all, and merges that feed themselves.
    /// Returns the run that leaves each merge.
    ///
    /// What is missing is reported only where every run's end is known: else the missing one may be
    /// the one that is misspelt.
    pub fn check(&self, reader: &mut Reader) -> Vec<Read<usize>> {
        self.check_taken_twice(reader);
        if self.ends.iter().all(|ends| ends.to.is_ok()) {
            self.check_legs(reader);
        }
        self.check_cycles(reader);
        self.outlets(reader)
    }

    /// The name of a run.
    fn name(&self, run: usize) -> &str {
        &self.runs[run].0
    }

    fn check_taken_twice(&self, reader: &mut Reader) {
        let (mut ports, mut outlets) = (BTreeMap::new(), BTreeMap::new());
        let (mut branches, mut legs) = (BTreeMap::new(), BTreeMap::new());
        for (run, (ends, (_, fields))) in self.ends.iter().zip(self.runs).enumerate() {
            let (start, code, what) = match ends.from {
                Ok(From::Port(port)) => (ports.insert(port, run), "two-runs-from-port", "port"),
                Ok(From::Merge(merge)) => (outlets.insert(merge, run), "two-runs-from-merge", "merge"),
                Ok(From::Branch(branch)) => (branches.insert(branch, run), "two-runs-from-branch", "branch"),
                Err(_) => (None, "", ""),
            };
            if let Some(first) = start {
                let message =
                    format!("two runs begin at one {what}: {} and {}", self.name(first), self.name(run));
                let fault = Fault::new(code, message).label("taken");
                reader.fault(
                    fields.span_of("from"),
                    fault.help(format!("let one of them begin at another {what}")),
                );
            }
            let Ok(To::Leg { merge, leg }) = ends.to else { continue };
            if let Some(first) = legs.insert((merge, leg), run) {
                let message = format!("two runs end on one leg: {} and {}", self.name(first), self.name(run));
                let fault = Fault::new("two-runs-on-leg", message).label("taken");
                reader.fault(fields.span_of("to"), fault.help("let one of them end on another leg"));
            }
        }
    }

    fn check_legs(&self, reader: &mut Reader) {
        for (merge, (name, fields)) in self.places.merges.list().iter().enumerate() {
            let Ok(Some(legs)) = fields.get::<f64>("legs") else { continue };
            for leg in 0..legs as usize {
                if self.ends.iter().any(|ends| matches!(ends.to, Ok(to) if to == To::Leg { merge, leg })) {
                    continue;
                }
                let leg = leg + 1;
                let fault =
                    Fault::new("leg-without-run", format!("no run ends on leg {leg} of merge \"{name}\""))
                        .label("a leg without a run")
                        .help(format!("give a run to = \"{name}.{leg}\", or lower `legs`"));
                reader.fault(fields.span.clone(), fault);
            }
        }
    }

    fn outlets(&self, reader: &mut Reader) -> Vec<Read<usize>> {
        let misspelt = self.ends.iter().find_map(|ends| ends.from.err());
        let merges = self.places.merges.list().iter().enumerate();
        merges
            .map(|(merge, (name, fields))| match (self.outlet(merge), misspelt) {
                (Some(run), _) => Ok(run),
                (None, Some(reported)) => Err(reported),
                (None, None) => {
                    let fault = Fault::new("merge-without-outlet", format!("no run leaves merge \"{name}\""))
                        .label("a merge without an outlet")
                        .help(format!("add a run with from = \"{name}\""));
                    Err(reader.fault(fields.span.clone(), fault))
                }
            })
            .collect()
    }

    /// The first run that leaves a merge.
    fn outlet(&self, merge: usize) -> Option<usize> {
        self.ends.iter().position(|ends| matches!(ends.from, Ok(From::Merge(from)) if from == merge))
    }

    /// The run that leaves a merge and the merge on which it ends.
    fn next(&self, merge: usize) -> Option<(usize, usize)> {
        let run = self.outlet(merge)?;
        match self.ends[run].to {
            Ok(To::Leg { merge, .. }) => Some((run, merge)),
            _ => None,
        }
    }

    /// Reports each ring of merges once, at the run that closes it onto its first merge.
    fn check_cycles(&self, reader: &mut Reader) {
        let merges = self.places.merges.list();
        for start in 0..merges.len() {
            let (mut ring, mut here) = (vec![start], start);
            while let Some((run, next)) = self.next(here) {
                if next == start {
                    let names: Vec<&str> = ring.iter().map(|merge| merges[*merge].0.as_str()).collect();
                    let message = format!("gas would go round: {} -> {}", names.join(" -> "), names[0]);
                    let fault = Fault::new("merge-cycle", message)
                        .label("leads back")
                        .help("let this run end on a flange, on a host or \"open\"");
                    reader.fault(self.runs[run].1.span_of("to"), fault);
                    break;
                }
                if next < start || ring.contains(&next) {
                    break;
                }
                ring.push(next);
                here = next;
            }
        }
    }
}

/// Reports groups of fewer than two runs, unless a run names a group that there is not: it may be meant.
pub(crate) fn check_groups(reader: &mut Reader, groups: Names, runs: Names) {
    let named: Vec<Read<Option<&str>>> = runs.list().iter().map(|(_, fields)| fields.get("group")).collect();
    let Ok(named) = named.into_iter().collect::<Read<Vec<_>>>() else { return };
    let known = groups.all();
    if named.iter().flatten().any(|name| !known.contains(name)) {
        return;
    }
    for (name, fields) in groups.list() {
        let fault = match named.iter().filter(|group| **group == Some(name)).count() {
            0 => Fault::new("unused-group", format!("no run belongs to group \"{name}\"")),
            1 => Fault::new("lonely-group", format!("only one run belongs to group \"{name}\"")),
            _ => continue,
        };
        let fault =
            fault.label("nothing to compare").help(format!("give two runs or more group = \"{name}\""));
        reader.fault(fields.span.clone(), fault);
    }
}
