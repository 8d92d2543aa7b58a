//! Constants of the shrinkage rules. The rules themselves stand in `weld::shrinkage`.

/// Spraragen and Ettinger, transverse shrinkage of a butt: share of weld area over thickness (W20; seen as 5.08 in mixed units, X7).
pub const SPRARAGEN_AREA: f64 = 0.2;
/// The same: share of the root gap (W20).
pub const SPRARAGEN_GAP: f64 = 0.05;
/// Blodgett, Design of Welded Structures, as a method statement cites it: share of weld area over thickness (W21).
pub const BLODGETT_AREA: f64 = 0.10;
/// Okerblom; White and Leggatt (from memory): tendon force over E·α·Q/ρc (W24).
pub const TENDON_COEFFICIENT: f64 = 0.335;
/// The rule of thumb for steel from the same authors, N for each J/mm (W24, W28).
pub const TENDON_STEEL_N_PER_J_MM: f64 = 200.0;
/// How far the tendon force may lie from its rule, as a factor both ways: 0.78/0.60. No spread was read; but whether a published
/// coefficient counts the heat of an arc by the convention or as measured (X9) changes it by just this.
pub const TENDON_SPREAD: f64 = 0.78 / 0.60;
/// King, as Masubuchi gives it (from memory): C of ΔL = C·I·L·1e-7/t with lengths in mm (W26).
pub const KING_LENGTH_MM: f64 = 305.0;
/// Share φ of its free contraction α·Q/ρc that a tack or plug keeps, least (as W24) and most (as W22); no source beyond those two (W35).
pub const TACK_FACTOR: [f64; 2] = [TENDON_COEFFICIENT, 1.0];
/// Runs shorter than this many thicknesses lie between a dot and a seam. Policy, no source.
pub const TAPER_LENGTH_T: f64 = 20.0;
/// Yield strain of mild steel that bounds what planishing can be asked for (W30).
pub const YIELD_STRAIN: f64 = 0.001;
