//! Reads arguments, calls the library, turns the result into an exit code.

fn main() {}
