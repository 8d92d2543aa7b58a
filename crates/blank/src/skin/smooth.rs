//! Smoothing of a measured or meshed line so that a person can cut it.
//!
//! Least squares with a penalty on third differences: Σ|z − p|² + λ Σ|Δ³z|², Δ³ the divided difference by arc length scaled to the
//! local spacing. Straights and parabolas cost nothing, an arc of radius R moves by about (h/R)³·h; waves shorter than
//! about six spacings h go. Points move square to the line. λ starts at 1 and falls until none moves by more than the tolerance. Ends stay.

use glam::DVec2;

const BAND: usize = 3;
/// Weight of an end against a point between.
const END: f64 = 1e9;

/// Points moved by at most `tolerance_mm`; `along_mm` rises strictly. Fewer than five points, or no tolerance, come back as they are.
pub(super) fn smooth(points: &[DVec2], along_mm: &[f64], tolerance_mm: f64) -> Vec<DVec2> {
    if points.len() < 5 || points.len() != along_mm.len() || tolerance_mm <= 0.0 {
        return points.to_vec();
    }
    let mut strength = 1.0;
    for _ in 0..40 {
        let moved = with_strength(points, along_mm, strength);
        let most = moved.iter().zip(points).map(|(a, b)| a.distance(*b)).fold(0.0, f64::max);
        if most <= tolerance_mm {
            return moved;
        }
        strength *= 0.25;
    }
    points.to_vec()
}

/// The same for a closed line: `along_mm` has one more entry than points, the last where the first comes again.
pub(super) fn smooth_closed(points: &[DVec2], along_mm: &[f64], tolerance_mm: f64) -> Vec<DVec2> {
    let n = points.len();
    if n < 5 || along_mm.len() != n + 1 {
        return points.to_vec();
    }
    // run on past the seam on both sides so far that its ends no longer matter
    let over = n.min(24);
    let whole = along_mm[n] - along_mm[0];
    let place = |i: usize| {
        let at = i as isize - over as isize;
        (at.rem_euclid(n as isize) as usize, at.div_euclid(n as isize) as f64)
    };
    let (run, along): (Vec<DVec2>, Vec<f64>) =
        (0..n + 2 * over).map(place).map(|(i, laps)| (points[i], along_mm[i] + whole * laps)).unzip();
    smooth(&run, &along, tolerance_mm).get(over..over + n).map_or_else(|| points.to_vec(), <[DVec2]>::to_vec)
}

fn with_strength(points: &[DVec2], along_mm: &[f64], strength: f64) -> Vec<DVec2> {
    let n = points.len();
    // row i holds columns i..=i+3
    let mut matrix = vec![[0.0; BAND + 1]; n];
    let mut right: Vec<DVec2> = points.to_vec();
    for (i, row) in matrix.iter_mut().enumerate() {
        let weight = if i == 0 || i + 1 == n { END } else { 1.0 };
        row[0] = weight;
        right[i] *= weight;
    }
    for start in 0..n - BAND {
        let weights = third_difference(&along_mm[start..=start + BAND]);
        for a in 0..=BAND {
            for b in a..=BAND {
                matrix[start + a][b - a] += strength * weights[a] * weights[b];
            }
        }
    }
    solve(&mut matrix, &mut right);
    right[0] = points[0];
    right[n - 1] = points[n - 1];
    // points move square to the line only: moving along it would change lengths and not the shape
    for i in 1..n - 1 {
        let along = (points[i + 1] - points[i - 1]).normalize_or_zero();
        let moved = right[i] - points[i];
        right[i] = points[i] + moved - along * moved.dot(along);
    }
    right
}

/// Weights of the third divided difference of four values, scaled so that equal spacing gives −1, 3, −3, 1.
fn third_difference(at: &[f64]) -> [f64; BAND + 1] {
    let spacing = (at[BAND] - at[0]) / BAND as f64;
    std::array::from_fn(|j| {
        let product: f64 = (0..=BAND).filter(|k| *k != j).map(|k| (at[j] - at[k]) / spacing).product();
        6.0 / product
    })
}

/// L·D·Lᵀ of a positive definite band matrix and both substitutions, in place.
fn solve(matrix: &mut [[f64; BAND + 1]], right: &mut [DVec2]) {
    let n = matrix.len();
    for i in 0..n {
        let pivot = matrix[i][0];
        for k in 1..=BAND.min(n - 1 - i) {
            let factor = matrix[i][k] / pivot;
            for j in k..=BAND.min(n - 1 - i) {
                matrix[i + k][j - k] -= factor * matrix[i][j];
            }
            let own = right[i];
            right[i + k] -= own * factor;
        }
    }
    for i in (0..n).rev() {
        let mut value = right[i];
        for k in 1..=BAND.min(n - 1 - i) {
            value -= right[i + k] * matrix[i][k];
        }
        right[i] = value / matrix[i][0];
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn along(points: &[DVec2]) -> Vec<f64> {
        let mut sum = 0.0;
        std::iter::once(0.0)
            .chain(points.windows(2).map(|p| p[0].distance(p[1])))
            .map(|d| {
                sum += d;
                sum
            })
            .collect()
    }

    #[test]
    fn a_straight_stays_and_an_arc_hardly_moves() {
        let straight: Vec<DVec2> = [0.0, 7.0, 9.0, 30.0, 41.0, 55.0].map(|x| DVec2::new(x, 0.5 * x)).to_vec();
        for (a, b) in smooth(&straight, &along(&straight), 0.1).iter().zip(&straight) {
            assert!(a.distance(*b) < 1e-9, "{a} {b}");
        }
        let arc: Vec<DVec2> = (0..=30).map(|i| 200.0 * DVec2::from_angle(0.05 * f64::from(i))).collect();
        for (a, b) in smooth(&arc, &along(&arc), 0.1).iter().zip(&arc) {
            assert!(a.distance(*b) < 0.001, "{a} {b}");
        }
    }

    #[test]
    fn a_zigzag_goes_as_far_as_the_tolerance_allows() {
        let zigzag: Vec<DVec2> =
            (0..40).map(|i| DVec2::new(5.0 * f64::from(i), if i % 2 == 0 { 0.04 } else { -0.04 })).collect();
        let rough = |line: &[DVec2]| line[4..36].iter().map(|p| p.y.abs()).fold(0.0, f64::max);
        let free = smooth(&zigzag, &along(&zigzag), 0.1);
        assert!(rough(&free) < 0.01, "{}", rough(&free));
        let bound = smooth(&zigzag, &along(&zigzag), 0.02);
        assert!(bound.iter().zip(&zigzag).all(|(a, b)| a.distance(*b) <= 0.02) && rough(&bound) < 0.04);
    }

    #[test]
    fn a_closed_line_has_no_seam() {
        let n = 60;
        let circle: Vec<DVec2> =
            (0..n).map(|i| 100.0 * DVec2::from_angle(std::f64::consts::TAU * f64::from(i) / f64::from(n))).collect();
        let along: Vec<f64> =
            (0..=n).map(|i| 200.0 * (std::f64::consts::PI / f64::from(n)).sin() * f64::from(i)).collect();
        let moved = smooth_closed(&circle, &along, 0.1);
        let radii: Vec<f64> = moved.iter().map(|p| p.length()).collect();
        let spread = radii.iter().copied().fold(0.0, f64::max) - radii.iter().copied().fold(f64::INFINITY, f64::min);
        assert!(spread < 1e-6 && (radii[0] - 100.0).abs() < 0.01, "{spread} {}", radii[0]);
    }
}
