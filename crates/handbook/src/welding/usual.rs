//! What is usual at a weld in thin sheet where nobody has said it: estimates and habits, for the heat of runs, tacks and plugs.

/// Travel of a flame, mm/s: slower than an arc. An estimate, no source.
pub const FLAME_TRAVEL_MM_S: f64 = 1.5;
/// How long the arc or flame burns for a tack where the process is not one of dots, s. H13, common practice, no source.
pub const TACK_S: f64 = 1.0;
/// Diameter of a tack, mm. Common practice, no source.
pub const TACK_MM: f64 = 4.0;
/// Gap of a butt over the thickness: half of the most that is taken. H13, common practice, no source.
pub const BUTT_GAP_T: f64 = 0.25;
/// Half the width of the pool over the thickness below which the sheet is not molten through. An estimate, no source.
pub const LEAST_HALF_POOL_T: f64 = 0.5;
/// Share of the heat of a plug that is still in the plug when it is molten; the rest has flowed into the sheets. An estimate, no source.
pub const PLUG_KEEPS: f64 = 0.7;
/// Least and most of that share. An estimate, no source.
pub const PLUG_KEEPS_RANGE: [f64; 2] = [0.5, 0.9];
