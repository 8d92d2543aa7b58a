//! The `soundmetal` program.

fn main() {}
