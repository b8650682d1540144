//! The command line of drybench.

use std::process::ExitCode;

fn main() -> ExitCode {
    ExitCode::from(drybench::cli::run())
}
