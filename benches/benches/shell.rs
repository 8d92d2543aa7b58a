//! Thin shells at 50k and 100k unknowns: seconds and memory of the static solve and of buckling.

fn main() {}
