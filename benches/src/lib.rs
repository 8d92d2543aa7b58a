//! Benchmarks of the whole path; see `benches/`.
