//! Published values against the program, one module per source.
//!
//! Every check names its id in the list of check values and its source. Marks: "seen" was read in a stored document,
//! "from memory" names a source that was not at hand, "derived" was recomputed outside this program. The tolerance is
//! half of the last digit printed, unless a line says why not.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a check that cannot be worked out has failed")]

mod aluminum_design_manual;
mod axisymmetric;
mod axisymmetric_caps;
mod bolts;
mod constant_area_blanks;
mod crown;
mod developables;
mod din_6935;
mod economics;
mod edge_geometry;
mod en_10131;
mod faa;
mod felippa;
mod flattening_holds;
mod folded_trays;
mod forming_limits;
mod gauges;
mod hollomon;
mod iso_2768;
mod kalpakjian;
mod laid_back;
mod large_rotation;
mod layers;
mod machinerys_handbook;
mod macneal_harder;
mod measured_surfaces;
mod near;
mod plane_sections;
mod plate_buckling;
mod resistance_welding;
mod rings;
mod ruled;
mod shells;
mod shop_rules;
mod skin_pieces;
mod skins;
mod smoothing_splines;
mod springback_tables;
mod swept_strips;
mod timoshenko_plates;
mod tubes;
mod weld_conduction;
mod weld_heat;
mod weld_order;
mod weld_shrinkage;
mod wire_edge;
