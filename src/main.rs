//! Reads arguments, calls the library, turns the result into an exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    tallyhand::runtime::main()
}
