//! Checks of developed pieces.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a check that cannot be worked out has failed"
)]

mod fold_back;
mod properties;
mod reliefs;
mod skin_seams;
mod skins;
mod strips;
