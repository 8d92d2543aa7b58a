//! Which lines of a section a card follows: the nearest, and those that carry it on beyond holes of the skin.

use super::TemplateError;
use glam::DVec2;
use mesh::sections::SectionLine;

/// The lines a card follows, in order, the outside of the sheet to the left.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Span {
    pub pieces_mm: Vec<Vec<DVec2>>,
    /// Other lines in the same plane, which the card does not follow.
    pub others: usize,
}

/// Least cosine between the way a line ends, the way over a hole and the way the next begins.
const GOES_ON: f64 = 0.5;

/// The line nearest to a point of the plane, carried on over holes.
pub(super) fn nearest_span(lines: &[SectionLine], near_mm: DVec2, place: &str) -> Result<Span, TemplateError> {
    let points: Vec<Vec<DVec2>> = lines.iter().map(SectionLine::plane_points_mm).collect();
    let distance = |i: usize| {
        let chords = points[i].windows(2).map(|pair| distance_to(near_mm, pair[0], pair[1]));
        chords.fold(f64::INFINITY, f64::min)
    };
    let nearest = (0..lines.len()).min_by(|a, b| distance(*a).total_cmp(&distance(*b)));
    let Some(first) = nearest.filter(|&i| !lines[i].closed) else {
        return Err(TemplateError::Closes { place: place.to_owned() });
    };
    let mut left: Vec<usize> = (0..lines.len()).filter(|&i| i != first && !lines[i].closed).collect();
    let mut order = vec![first];
    while let Some(next) = follower(&points, &points[order[order.len() - 1]], &left) {
        order.push(left.remove(next));
    }
    while let Some(next) = leader(&points, &points[order[0]], &left) {
        order.insert(0, left.remove(next));
    }
    let others = lines.len() - order.len();
    Ok(Span { pieces_mm: order.into_iter().map(|i| points[i].clone()).collect(), others })
}

fn follower(points: &[Vec<DVec2>], from: &[DVec2], left: &[usize]) -> Option<usize> {
    let gap = |i: usize| gap_mm(from, &points[left[i]]);
    (0..left.len())
        .filter(|&i| gap(i).is_some())
        .min_by(|a, b| gap(*a).unwrap_or(0.0).total_cmp(&gap(*b).unwrap_or(0.0)))
}

fn leader(points: &[Vec<DVec2>], to: &[DVec2], left: &[usize]) -> Option<usize> {
    let gap = |i: usize| gap_mm(&points[left[i]], to);
    (0..left.len())
        .filter(|&i| gap(i).is_some())
        .min_by(|a, b| gap(*a).unwrap_or(0.0).total_cmp(&gap(*b).unwrap_or(0.0)))
}

/// Length of the gap between two lines where the one goes on as the other.
fn gap_mm(before: &[DVec2], after: &[DVec2]) -> Option<f64> {
    let (&[.., a, b], &[c, d, ..]) = (before, after) else { return None };
    let over = c - b;
    let way = over.try_normalize()?;
    let goes_on = (b - a).normalize_or_zero().dot(way) > GOES_ON && (d - c).normalize_or_zero().dot(way) > GOES_ON;
    goes_on.then(|| over.length())
}

fn distance_to(point: DVec2, a: DVec2, b: DVec2) -> f64 {
    let side = b - a;
    let length2 = side.length_squared();
    let share = if length2 > 0.0 { ((point - a).dot(side) / length2).clamp(0.0, 1.0) } else { 0.0 };
    point.distance(a + side * share)
}
