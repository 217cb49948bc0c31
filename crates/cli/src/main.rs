//! The `hotside` command: a thin main over the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    let (mut out, mut err) = (std::io::stdout().lock(), std::io::stderr());
    cli::run(std::env::args_os(), &mut cli::Console::of_process(&mut out, &mut err))
}
