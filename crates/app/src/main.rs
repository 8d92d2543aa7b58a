//! The `soundmetal` program.

use std::process::ExitCode;

fn main() -> ExitCode {
    soundmetal::cli::run(std::env::args_os())
}
