//! Lengthwise lines: how much longer or shorter the piece has them than the flat.

use super::flat::Flat;
use crate::LengthwiseLine;

/// Strain below which a line counts as kept (a ten-thousandth of a per cent).
const KEPT: f64 = 1e-6;

/// Every line with its lengths and strains. Lengths are integrated, not taken from chords.
pub(super) fn lines(flat: &Flat<'_>) -> Vec<LengthwiseLine> {
    flat.names
        .iter()
        .enumerate()
        .map(|(line, name)| {
            let held = line == flat.held.node;
            let in_piece_mm = flat.held.integrate(|s| flat.velocity_on_piece(s, line).length());
            let in_flat_mm = flat.held.integrate(|s| flat.velocity(s, line).length());
            let local = flat.held.inner_stations().map(|s| {
                flat.velocity_on_piece(s, line).length() / flat.velocity(s, line).length() - 1.0
            });
            let [least, most] = local.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], e| [low.min(e), high.max(e)]);
            LengthwiseLine {
                name: name.clone(),
                in_piece_mm,
                in_flat_mm,
                strain_percent: [100.0 * least, 100.0 * most],
                mm_per_100_mm: 100.0 * (in_piece_mm - in_flat_mm) / in_flat_mm,
                held,
            }
        })
        .collect()
}

/// Nothing when no line must be gathered or let out, otherwise all of them.
pub(super) fn worth_showing(lines: Vec<LengthwiseLine>) -> Vec<LengthwiseLine> {
    let worked = |line: &LengthwiseLine| line.strain_percent.iter().any(|percent| percent.abs() > 100.0 * KEPT);
    if lines.iter().any(worked) { lines } else { Vec::new() }
}

/// Stretch of a free edge from which reliefs are proposed: as set, or half the uniform strain of the material (Hollomon n is the uniform
/// true strain, handbook S32); 10 % for a material the handbook does not know.
pub(super) fn stretch_limit(flat: &Flat<'_>) -> f64 {
    const UNKNOWN_MATERIAL: f64 = 0.1;
    flat.settings.strip.stretch_limit.unwrap_or_else(|| {
        let material = crate::material_of(&flat.strip().material);
        material.map_or(UNKNOWN_MATERIAL, |m| 0.5 * m.properties().hardening_exponent.exp_m1())
    })
}
