//! The hotside command: all input and output.
//!
//! [`run`] takes the arguments and a [`Console`] and returns the exit code; nothing here reads or
//! writes the process's own streams.

mod build;
mod cache;
mod cad_files;
mod check;
mod clearance_map;
mod command;
mod console;
mod describe_schema;
mod failure;
mod fitment_faults;
mod fitment_files;
mod fitment_report;
mod make_fitment;
mod new_spec;
mod packet;
mod packet_files;
mod path_fault;
mod reading;
mod rendering;
mod report;
mod scan_cache;
mod scans;
mod solid_cache;
mod summary;
mod writing;

use std::ffi::OsString;
use std::process::ExitCode;

use clap::Parser;

pub use console::Console;

use command::{Action, Arguments};

/// Runs one command line (its first argument is the program's name).
///
/// Returns 0: done, no failures found; 1: done, with failures among the findings; 2: the spec or the
/// command line cannot be used, nothing is written; 3: the machine refused.
pub fn run(arguments: impl IntoIterator<Item = OsString>, console: &mut Console<'_>) -> ExitCode {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) => return usage(&error, console),
    };
    console.format = arguments.format;
    let done = match &arguments.action {
        Action::New { file, layout } => new_spec::new(file, *layout, console),
        Action::Check { spec, write } => check::check(spec, *write, console),
        Action::Build { spec, out } => build::build(spec, out.as_deref(), console),
        Action::Fitment { spec, out, variant } => {
            make_fitment::fitment(spec, out.as_deref(), (*variant).into(), console)
        }
        Action::Schema { of } => describe_schema::schema(*of, console),
    };
    match done {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::from(1),
        Err(failure) => {
            rendering::failure(&failure, console);
            ExitCode::from(failure.exit_code())
        }
    }
}

/// Shows what clap says: help and version are results, all else is an error.
fn usage(error: &clap::Error, console: &mut Console<'_>) -> ExitCode {
    let text = error.render();
    if error.use_stderr() {
        console.tell(&text.to_string());
        return ExitCode::from(2);
    }
    match console.print(&text.to_string()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => ExitCode::from(failure.exit_code()),
    }
}
