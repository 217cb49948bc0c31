//! Checks on how branches and the runs that begin at them hang together.

use crate::design::{Branch, From, On};
use crate::diagnostic::Fault;
use crate::network::Network;
use crate::reader::Reader;
use crate::value::Read;

impl Network<'_> {
    /// Reports branches at which no run begins, and those that would begin at themselves.
    ///
    /// What is missing is reported only where every run's start is known: else the missing one may be
    /// the one that is misspelt.
    pub fn check_branches(&self, reader: &mut Reader, branches: &[Read<Branch>]) {
        if self.ends.iter().all(|ends| ends.from.is_ok()) {
            for (index, (name, fields)) in self.places.branches.list().iter().enumerate() {
                if self.run_of(index).is_none() {
                    let fault =
                        Fault::new("branch-without-run", format!("no run begins at branch \"{name}\""))
                            .label("a hole without a tube")
                            .help(format!("add a run with from = \"{name}\""));
                    reader.fault(fields.span.clone(), fault);
                }
            }
        }
        self.check_branch_rings(reader, branches);
    }

    /// The first run that begins at a branch.
    fn run_of(&self, branch: usize) -> Option<usize> {
        self.ends.iter().position(|ends| matches!(ends.from, Ok(From::Branch(from)) if from == branch))
    }

    /// The branch at which the host of a branch begins, if it does.
    fn host_branch(&self, branches: &[Read<Branch>], branch: usize) -> Option<usize> {
        let Ok(Branch { on: On::Run(run), .. }) = branches[branch] else { return None };
        match self.ends[run].from {
            Ok(From::Branch(before)) => Some(before),
            _ => None,
        }
    }

    /// Reports each ring of branches once, at the branch that is first in the file.
    fn check_branch_rings(&self, reader: &mut Reader, branches: &[Read<Branch>]) {
        for start in 0..branches.len() {
            let (mut ring, mut here) = (vec![start], start);
            while let Some(before) = self.host_branch(branches, here) {
                if before == start {
                    let (name, fields) = &self.places.branches.list()[start];
                    let message = match ring.len() {
                        1 => format!("branch \"{name}\" leaves the run that begins at it"),
                        more => format!("branch \"{name}\" begins at itself, over {more} branches"),
                    };
                    let fault = Fault::new("branch-cycle", message)
                        .label("leads back")
                        .help("let it leave a run that begins elsewhere");
                    reader.fault(fields.span_of("on"), fault);
                    break;
                }
                if before < start || ring.contains(&before) {
                    break;
                }
                ring.push(before);
                here = before;
            }
        }
    }
}
