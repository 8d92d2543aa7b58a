//! Lengthwise lines: how much longer or shorter the piece has them than the flat.

use super::flat::Flat;
use crate::LengthwiseLine;

/// Strain below which a line counts as kept (a ten-thousandth of a per cent).
const KEPT: f64 = 1e-6;

/// Every line with its lengths and strains. Lengths are integrated, not taken from chords.
pub(super) fn lines(flat: &Flat<'_>) -> Vec<LengthwiseLine> {
    let mut sums: Vec<Sum> = flat.names.iter().map(|_| Sum::default()).collect();
    for (station, weight_mm) in flat.held.weighted_stations() {
        let cut = flat.cut(station);
        let on_piece = cut.velocities_on_piece(flat.swept);
        for (line, (sum, on_piece)) in sums.iter_mut().zip(on_piece).enumerate() {
            sum.add(on_piece.length(), cut.velocity(line).length(), weight_mm);
        }
    }
    let line = |(line, (name, sum)): (usize, (&String, Sum))| LengthwiseLine {
        name: name.clone(),
        in_piece_mm: sum.in_piece_mm,
        in_flat_mm: sum.in_flat_mm,
        strain_percent: sum.local.map(|strain| 100.0 * strain),
        mm_per_100_mm: 100.0 * (sum.in_piece_mm - sum.in_flat_mm) / sum.in_flat_mm,
        held: line == flat.held.node,
    };
    flat.names.iter().zip(sums).enumerate().map(line).collect()
}

/// Lengths and extremes of one line.
struct Sum {
    in_piece_mm: f64,
    in_flat_mm: f64,
    local: [f64; 2],
}

impl Default for Sum {
    fn default() -> Self {
        Self { in_piece_mm: 0.0, in_flat_mm: 0.0, local: [f64::INFINITY, f64::NEG_INFINITY] }
    }
}

impl Sum {
    fn add(&mut self, on_piece: f64, in_flat: f64, weight_mm: f64) {
        self.in_piece_mm += weight_mm * on_piece;
        self.in_flat_mm += weight_mm * in_flat;
        let strain = on_piece / in_flat - 1.0;
        self.local = [self.local[0].min(strain), self.local[1].max(strain)];
    }
}

/// Nothing when no line must be gathered or let out, otherwise all of them.
pub(super) fn worth_showing(lines: Vec<LengthwiseLine>) -> Vec<LengthwiseLine> {
    let worked = |line: &LengthwiseLine| line.strain_percent.iter().any(|percent| percent.abs() > 100.0 * KEPT);
    if lines.iter().any(worked) { lines } else { Vec::new() }
}
