//! Closed outlines in a plane: area, simplicity, point in outline. Corners in mm, the first not repeated.

use glam::DVec2;

/// Two sides of an outline that meet where they must not.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clash {
    /// The sides, the lower number first; side i runs from corner i to the next.
    pub sides: [usize; 2],
    /// A point where they meet, mm.
    pub at_mm: DVec2,
}

/// The sides of an outline, the last one closing it.
pub fn sides(outline_mm: &[DVec2]) -> impl Iterator<Item = (DVec2, DVec2)> + '_ {
    outline_mm.iter().copied().zip(outline_mm.iter().copied().cycle().skip(1))
}

/// Area, mm²; positive when the outline runs anticlockwise.
#[must_use]
pub fn signed_area_mm2(outline_mm: &[DVec2]) -> f64 {
    // about the first corner: far from the origin the products would lose digits
    let Some(&origin) = outline_mm.first() else { return 0.0 };
    outline_mm.windows(2).map(|pair| 0.5 * (pair[0] - origin).perp_dot(pair[1] - origin)).sum()
}

/// Largest distance of a line from its chord, mm; 0 for a straight one, and for one that ends where it begins.
#[must_use]
pub fn sagitta_mm(line_mm: &[DVec2]) -> f64 {
    let (Some(&first), Some(&last)) = (line_mm.first(), line_mm.last()) else { return 0.0 };
    let Some(along) = (last - first).try_normalize() else { return 0.0 };
    line_mm.iter().map(|point| along.perp_dot(*point - first).abs()).fold(0.0, f64::max)
}

/// True when a point lies inside the outline (even–odd rule).
#[must_use]
pub fn contains(outline_mm: &[DVec2], point: DVec2) -> bool {
    let crossings = sides(outline_mm)
        .filter(|(a, b)| (a.y > point.y) != (b.y > point.y))
        .filter(|(a, b)| point.x < a.x + (b.x - a.x) * (point.y - a.y) / (b.y - a.y));
    crossings.count() % 2 == 1
}

/// Distance from a point to the nearest side, mm; infinite for an outline without corners.
#[must_use]
pub fn distance_to_sides_mm(outline_mm: &[DVec2], point: DVec2) -> f64 {
    sides(outline_mm).map(|(a, b)| distance_to_side(point, a, b)).fold(f64::INFINITY, f64::min)
}

fn distance_to_side(point: DVec2, a: DVec2, b: DVec2) -> f64 {
    let side = b - a;
    let length2 = side.length_squared();
    let along = if length2 > 0.0 { ((point - a).dot(side) / length2).clamp(0.0, 1.0) } else { 0.0 };
    point.distance(a + side * along)
}

/// Checks that an outline is a simple polygon: three corners or more, all finite, and no two sides that meet but at the
/// corner they share. Sides that only touch clash as well: a cutter cannot follow them.
///
/// A sweep along x over the sides.
///
/// # Errors
/// The first [`Clash`] along x.
pub fn check_simple(outline_mm: &[DVec2]) -> Result<(), Clash> {
    let n = outline_mm.len();
    if n < 3 {
        return Err(Clash { sides: [0, 0], at_mm: outline_mm.first().copied().unwrap_or(DVec2::NAN) });
    }
    if let Some((i, &at_mm)) = outline_mm.iter().enumerate().find(|(_, corner)| !corner.is_finite()) {
        return Err(Clash { sides: [i, i], at_mm });
    }
    let ends = |i: usize| (outline_mm[i], outline_mm[(i + 1) % n]);
    let left = |i: usize| ends(i).0.x.min(ends(i).1.x);
    let right = |i: usize| ends(i).0.x.max(ends(i).1.x);
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|a, b| left(*a).total_cmp(&left(*b)).then(a.cmp(b)));
    let mut open: Vec<usize> = Vec::new();
    for &i in &order {
        let from = left(i);
        open.retain(|&j| right(j) >= from);
        for &j in &open {
            let neighbours = (i + 1) % n == j || (j + 1) % n == i;
            if let Some(at_mm) = meet(ends(i), ends(j), neighbours) {
                return Err(Clash { sides: [i.min(j), i.max(j)], at_mm });
            }
        }
        open.push(i);
    }
    Ok(())
}

/// Where two sides meet. Neighbours meet wrongly only when one folds back over the other.
fn meet((a, b): (DVec2, DVec2), (c, d): (DVec2, DVec2), neighbours: bool) -> Option<DVec2> {
    if neighbours {
        let (shared, p, q) = if b == c { (b, a, d) } else { (a, b, c) };
        let (u, v) = (p - shared, q - shared);
        let back = u.perp_dot(v).abs() <= 1e-12 * u.length() * v.length() && u.dot(v) > 0.0;
        return back.then_some(shared);
    }
    let turn = |p: DVec2, q: DVec2, r: DVec2| (q - p).perp_dot(r - p);
    let (s1, s2, s3, s4) = (turn(a, b, c), turn(a, b, d), turn(c, d, a), turn(c, d, b));
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

#[cfg(test)]
mod tests {
    use super::*;

    fn outline(points: &[(f64, f64)]) -> Vec<DVec2> {
        points.iter().map(|&(x, y)| DVec2::new(x, y)).collect()
    }

    #[test]
    fn a_rectangle_is_simple_and_a_bow_tie_names_its_crossing() {
        assert_eq!(check_simple(&outline(&[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0)])), Ok(()));
        let tie = outline(&[(0.0, 0.0), (4.0, 4.0), (4.0, 0.0), (0.0, 4.0)]);
        assert_eq!(check_simple(&tie), Err(Clash { sides: [0, 2], at_mm: DVec2::new(2.0, 2.0) }));
    }

    #[test]
    fn touching_doubled_back_and_empty_outlines_are_clashes() {
        let touching = outline(&[(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (2.0, 0.0), (0.0, 4.0)]);
        assert!(check_simple(&touching).is_err());
        let back = outline(&[(0.0, 0.0), (4.0, 0.0), (2.0, 0.0), (2.0, 3.0)]);
        assert!(check_simple(&back).is_err());
        assert!(check_simple(&outline(&[(0.0, 0.0), (1.0, 0.0)])).is_err());
        assert!(check_simple(&outline(&[(0.0, 0.0), (f64::NAN, 0.0), (1.0, 1.0)])).is_err());
    }

    #[test]
    fn area_sign_follows_the_turn_wherever_the_outline_lies() {
        let square = outline(&[(1e6, 1e6), (1e6 + 3.0, 1e6), (1e6 + 3.0, 1e6 + 2.0), (1e6, 1e6 + 2.0)]);
        assert_eq!(signed_area_mm2(&square), 6.0);
        let turned: Vec<_> = square.into_iter().rev().collect();
        assert_eq!(signed_area_mm2(&turned), -6.0);
        assert_eq!(signed_area_mm2(&[]), 0.0);
    }

    #[test]
    fn inside_outside_and_how_far() {
        let corner = outline(&[(0.0, 0.0), (4.0, 0.0), (4.0, 1.0), (1.0, 1.0), (1.0, 4.0), (0.0, 4.0)]);
        assert!(contains(&corner, DVec2::new(0.5, 3.0)) && !contains(&corner, DVec2::new(2.0, 2.0)));
        assert_eq!(distance_to_sides_mm(&corner, DVec2::new(2.0, 3.0)), 1.0);
        assert_eq!(distance_to_sides_mm(&[], DVec2::ZERO), f64::INFINITY);
    }
}
