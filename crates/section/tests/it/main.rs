//! Checks of designed pieces.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a check that cannot be worked out has failed"
)]

mod cross_sections;
mod edge_lines;
mod refusals;
mod strip_fixtures;
mod surfaces;
