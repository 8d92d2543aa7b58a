//! Plane polygons: area, simplicity, point in polygon. Loops in mm, first point not repeated.

use glam::DVec2;

/// Signed area of a loop, mm²; positive when anticlockwise.
#[must_use]
pub fn signed_area_mm2(corners: &[DVec2]) -> f64 {
    closed(corners).map(|(a, b)| a.perp_dot(b)).sum::<f64>() / 2.0
}

/// The sides of a loop, last one closing it.
pub(crate) fn closed(corners: &[DVec2]) -> impl Iterator<Item = (DVec2, DVec2)> + '_ {
    corners.iter().copied().zip(corners.iter().copied().cycle().skip(1))
}

/// True when the point lies inside the loop (either turn).
#[must_use]
pub fn contains(corners: &[DVec2], point: DVec2) -> bool {
    let crossings = closed(corners)
        .filter(|(a, b)| (a.y > point.y) != (b.y > point.y))
        .filter(|(a, b)| point.x < a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x))
        .count();
    crossings % 2 == 1
}

/// Distance from a point to the nearest side of a loop, mm; infinite for an empty loop.
#[must_use]
pub fn distance_to_sides_mm(corners: &[DVec2], point: DVec2) -> f64 {
    closed(corners).map(|(a, b)| distance_to_segment(point, a, b)).fold(f64::INFINITY, f64::min)
}

fn distance_to_segment(point: DVec2, a: DVec2, b: DVec2) -> f64 {
    let side = b - a;
    let length2 = side.length_squared();
    let along = if length2 > 0.0 { ((point - a).dot(side) / length2).clamp(0.0, 1.0) } else { 0.0 };
    point.distance(a + side * along)
}

/// The first two sides (counted from 0) of a loop that cross or touch without being neighbours, with the place; `None` when simple.
///
/// Neighbouring sides that fold back on each other count as crossing.
#[must_use]
pub fn first_crossing(corners: &[DVec2]) -> Option<(usize, usize, DVec2)> {
    let sides: Vec<_> = closed(corners).collect();
    let count = sides.len();
    for (i, &(a, b)) in sides.iter().enumerate() {
        for (j, &(c, d)) in sides.iter().enumerate().skip(i + 1) {
            let neighbours = j == i + 1 || (i == 0 && j + 1 == count);
            let place = if neighbours { doubles_back((a, b), (c, d)) } else { meets((a, b), (c, d)) };
            if let Some(place) = place {
                return Some((i, j, place));
            }
        }
    }
    None
}

fn doubles_back((a, b): (DVec2, DVec2), (c, d): (DVec2, DVec2)) -> Option<DVec2> {
    let (u, v, corner) = if b == c { (b - a, d - c, b) } else { (d - c, b - a, a) };
    (u.dot(v) < 0.0 && u.perp_dot(v).abs() <= 1e-12 * u.length() * v.length()).then_some(corner)
}

fn meets((a, b): (DVec2, DVec2), (c, d): (DVec2, DVec2)) -> Option<DVec2> {
    if a.x.max(b.x) < c.x.min(d.x) || c.x.max(d.x) < a.x.min(b.x) {
        return None;
    }
    if a.y.max(b.y) < c.y.min(d.y) || c.y.max(d.y) < a.y.min(b.y) {
        return None;
    }
    let (c_side, d_side) = ((b - a).perp_dot(c - a), (b - a).perp_dot(d - a));
    let (a_side, b_side) = ((d - c).perp_dot(a - c), (d - c).perp_dot(b - c));
    if c_side * d_side > 0.0 || a_side * b_side > 0.0 {
        return None;
    }
    let whole = a_side - b_side;
    Some(if whole == 0.0 { c } else { a + (b - a) * (a_side / whole) })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(list: &[(f64, f64)]) -> Vec<DVec2> {
        list.iter().map(|&(x, y)| DVec2::new(x, y)).collect()
    }

    #[test]
    fn a_square_is_simple_and_a_bow_tie_names_its_crossing() {
        assert_eq!(first_crossing(&points(&[(0., 0.), (10., 0.), (10., 10.), (0., 10.)])), None);
        let (i, j, at) = first_crossing(&points(&[(0., 0.), (10., 10.), (10., 0.), (0., 10.)])).unwrap();
        assert_eq!((i, j, at), (0, 2, DVec2::new(5.0, 5.0)));
    }

    #[test]
    fn a_spike_is_not_simple() {
        assert!(first_crossing(&points(&[(0., 0.), (10., 0.), (4., 0.), (4., 8.)])).is_some());
    }

    #[test]
    fn area_sign_follows_the_turn() {
        let square = points(&[(0., 0.), (3., 0.), (3., 2.), (0., 2.)]);
        assert_eq!(signed_area_mm2(&square), 6.0);
        let turned: Vec<_> = square.into_iter().rev().collect();
        assert_eq!(signed_area_mm2(&turned), -6.0);
    }
}
