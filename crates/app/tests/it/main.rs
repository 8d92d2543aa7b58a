//! The pages, asked in-process: status, HTML, what is written and what is refused.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a page that cannot be asked has failed its test"
)]

mod api_types;
mod browser;
mod command_line;
mod cone;
mod edits;
mod flatten;
mod joints_card;
mod kinds;
mod pages;
mod photos;
mod stopping;
mod surface;
mod warp;
mod warp_card;
