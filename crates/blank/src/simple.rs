//! Is an outline a simple polygon? And its area.
//!
//! A sweep along x over the edges; neighbours may share their corner and nothing else. Edges that touch count as a clash: a
//! cutter cannot follow them.

use glam::DVec2;

/// Two edges of an outline that meet where they must not.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clash {
    /// The edges; edge i runs from point i to the next.
    pub edges: [usize; 2],
    /// A point where they meet, mm.
    pub at_mm: DVec2,
}

/// Checks that a closed outline (first point not repeated) has at least three corners and does not meet itself.
///
/// # Errors
/// The first [`Clash`] along x.
pub fn check(outline_mm: &[DVec2]) -> Result<(), Clash> {
    let n = outline_mm.len();
    if n < 3 {
        return Err(Clash { edges: [0, 0], at_mm: outline_mm.first().copied().unwrap_or(DVec2::NAN) });
    }
    if let Some(i) = outline_mm.iter().position(|point| !point.is_finite()) {
        return Err(Clash { edges: [i, i], at_mm: outline_mm[i] });
    }
    let ends = |i: usize| (outline_mm[i], outline_mm[(i + 1) % n]);
    let mut order: Vec<usize> = (0..n).collect();
    let left = |i: usize| ends(i).0.x.min(ends(i).1.x);
    let right = |i: usize| ends(i).0.x.max(ends(i).1.x);
    order.sort_by(|a, b| left(*a).total_cmp(&left(*b)).then(a.cmp(b)));
    let mut open: Vec<usize> = Vec::new();
    for &i in &order {
        let from = left(i);
        open.retain(|&j| right(j) >= from);
        for &j in &open {
            let neighbours = (i + 1) % n == j || (j + 1) % n == i;
            if let Some(at_mm) = meet(ends(i), ends(j), neighbours) {
                return Err(Clash { edges: [i.min(j), i.max(j)], at_mm });
            }
        }
        open.push(i);
    }
    Ok(())
}

/// Where two edges meet. Neighbours meet wrongly only when one folds back over the other.
fn meet((a, b): (DVec2, DVec2), (c, d): (DVec2, DVec2), neighbours: bool) -> Option<DVec2> {
    if neighbours {
        let (shared, p, q) = if b == c { (b, a, d) } else { (a, b, c) };
        let (u, v) = (p - shared, q - shared);
        let back = u.perp_dot(v).abs() <= 1e-12 * u.length() * v.length() && u.dot(v) > 0.0;
        return back.then_some(shared);
    }
    let side = |p: DVec2, q: DVec2, r: DVec2| (q - p).perp_dot(r - p);
    let (s1, s2, s3, s4) = (side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b));
    let within = |p: DVec2, q: DVec2, r: DVec2| {
        r.x >= p.x.min(q.x) && r.x <= p.x.max(q.x) && r.y >= p.y.min(q.y) && r.y <= p.y.max(q.y)
    };
    for (s, p, q, r) in [(s1, a, b, c), (s2, a, b, d), (s3, c, d, a), (s4, c, d, b)] {
        if s == 0.0 && within(p, q, r) {
            return Some(r);
        }
    }
    ((s1 > 0.0) != (s2 > 0.0) && (s3 > 0.0) != (s4 > 0.0)).then(|| a.lerp(b, s3 / (s3 - s4)))
}

/// Area of a closed outline, mm²; positive when it runs anticlockwise.
#[must_use]
pub fn area_mm2(outline_mm: &[DVec2]) -> f64 {
    let Some(&origin) = outline_mm.first() else { return 0.0 };
    outline_mm.windows(2).map(|pair| 0.5 * (pair[0] - origin).perp_dot(pair[1] - origin)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outline(points: &[(f64, f64)]) -> Vec<DVec2> {
        points.iter().map(|&(x, y)| DVec2::new(x, y)).collect()
    }

    #[test]
    fn rectangle_is_simple_and_a_bow_tie_is_not() {
        let rectangle = outline(&[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0)]);
        assert_eq!(check(&rectangle), Ok(()));
        assert_eq!(area_mm2(&rectangle), 12.0);
        let tie = outline(&[(0.0, 0.0), (4.0, 4.0), (4.0, 0.0), (0.0, 4.0)]);
        assert_eq!(check(&tie), Err(Clash { edges: [0, 2], at_mm: DVec2::new(2.0, 2.0) }));
    }

    #[test]
    fn touching_doubled_back_and_empty_outlines_are_clashes() {
        let touching = outline(&[(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (2.0, 0.0), (0.0, 4.0)]);
        assert!(check(&touching).is_err());
        let back = outline(&[(0.0, 0.0), (4.0, 0.0), (2.0, 0.0), (2.0, 3.0)]);
        assert!(check(&back).is_err());
        assert!(check(&outline(&[(0.0, 0.0), (1.0, 0.0)])).is_err());
        assert!(check(&outline(&[(0.0, 0.0), (f64::NAN, 0.0), (1.0, 1.0)])).is_err());
    }
}
