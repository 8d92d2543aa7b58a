//! Tests of the packet crate that read its files back.

mod drawings;
mod dxf;
mod golden;
mod pdf;
mod pdf_reader;
mod svg;
mod tiles;
