//! Fewer points for a line.

/// Which of `count` points in order stay when all are left out that lie within `tolerance_mm` of the chord between those that stay; the ends stay.
/// `off_mm(a, b, i)` is the distance of point `i` from the chord from `a` to `b`.
///
/// Halving at the farthest point (D. H. Douglas, T. K. Peucker, The Canadian Cartographer 10 (1973) 112–122, from memory).
#[must_use]
pub fn kept_within(count: usize, tolerance_mm: f64, off_mm: impl Fn(usize, usize, usize) -> f64) -> Vec<bool> {
    let mut kept = vec![false; count];
    let Some(last) = count.checked_sub(1) else { return kept };
    kept[0] = true;
    kept[last] = true;
    let mut parts = vec![(0, last)];
    while let Some((a, b)) = parts.pop() {
        let far = (a + 1..b).map(|i| (i, off_mm(a, b, i))).max_by(|x, y| x.1.total_cmp(&y.1));
        if let Some((far, _)) = far.filter(|(_, off)| *off > tolerance_mm) {
            kept[far] = true;
            parts.extend([(a, far), (far, b)]);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::kept_within;

    #[test]
    fn what_lies_near_the_chord_goes() {
        let heights: [f64; 6] = [0.0, 0.1, -0.1, 5.0, 0.0, 0.05];
        let off = |a: usize, b: usize, i: usize| {
            let share = (i - a) as f64 / (b - a) as f64;
            (heights[i] - heights[a] - share * (heights[b] - heights[a])).abs()
        };
        assert_eq!(kept_within(6, 0.2, off), [true, false, true, true, true, true]);
        assert_eq!(kept_within(6, 9.0, off), [true, false, false, false, false, true]);
        assert_eq!(kept_within(1, 0.2, off), [true]);
        assert!(kept_within(0, 0.2, off).is_empty());
    }
}
