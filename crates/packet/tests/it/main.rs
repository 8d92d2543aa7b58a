//! Tests of the packet crate that read its files back.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests fail as tests do")]

mod drawings;
mod dxf;
mod golden;
mod packet;
mod pdf;
mod pdf_reader;
mod skins;
mod svg;
mod tiles;
mod welding;
