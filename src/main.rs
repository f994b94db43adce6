//! The program: parse, call, exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    spareseat::cli::main()
}
