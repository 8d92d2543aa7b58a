//! Welding thin sheet: arc efficiency, current, usual heat, thermal constants, what heat harms, constants of shrinkage.
//!
//! Tables and constants only, each with its source; the formulas that use them stand in the crate `weld`. The starting values of
//! gas-shielded wire (H13) and the envelope of net heat (H14) are shop rules and are found here under the same names.

mod current;
mod efficiency;
mod envelope;
mod harm;
mod loss;
mod places;
mod shrinkage;
mod thermal;
mod usual;

pub use crate::shop_rules::{HeatProcess, WIRE_WELD_THIN_SHEET, WireWeldSettings};
pub use current::{
    FILLER_1_6_MM_CURRENT_A, STEEL_CURRENT_0_5_TO_1_MM_A, STEEL_CURRENT_1_MM_A, TUNGSTENS, Tungsten, steel_current,
    tungsten_for,
};
pub use efficiency::{ArcProcess, Efficiency, TIG_LITERATURE};
pub use envelope::{ENVELOPE_SHEET_MM, MANUAL_TIG_0_9_MM, ManualTig, heat_outside_envelope, usual_net_heat_j_mm};
pub use harm::{CLEAR_OF_HEAT_MM, CLEAR_OF_TEMPERATURE_C, HARMED, Harmed, INTER_RUN_C, START_TOLD_K, harmed};
pub use loss::{STEFAN_BOLTZMANN_W_MM2_K4, SheetSurface, SurfaceLoss};
pub use places::{DOT_FROM_END_DIAMETERS, TACK_FROM_END_MM};
pub use shrinkage::{
    BLODGETT_AREA, KING_LENGTH_MM, SPRARAGEN_AREA, SPRARAGEN_GAP, TACK_FACTOR, TAPER_LENGTH_T, TENDON_COEFFICIENT,
    TENDON_SPREAD, TENDON_STEEL_N_PER_J_MM, YIELD_STRAIN,
};
pub use thermal::{PEAK_COEFFICIENT, THICK_FROM, THIN_BELOW, Thermal, thermal};
pub use usual::{BUTT_GAP_T, FLAME_TRAVEL_MM_S, LEAST_HALF_POOL_T, PLUG_KEEPS, PLUG_KEEPS_RANGE, TACK_MM, TACK_S};
