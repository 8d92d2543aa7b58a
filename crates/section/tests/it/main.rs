//! Checks of designed pieces.

mod cross_sections;
mod edge_lines;
mod refusals;
mod strip_fixtures;
mod surfaces;
