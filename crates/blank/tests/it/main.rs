//! Checks of developed pieces.

mod strips;
