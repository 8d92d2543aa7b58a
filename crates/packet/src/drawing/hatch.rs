//! Hatching: parallel lines clipped to an area by the even-odd rule.

use glam::DVec2;

use super::polyline::Polyline;

/// Chords leave the arcs of the outline by at most this much.
const ARC_DEVIATION_MM: f64 = 0.01;

/// Returns the hatch lines as pairs of end points.
///
/// The lines belong to one grid through the origin, so that neighbouring areas hatched alike line up.
pub fn hatch_lines(outline: &Polyline, holes: &[Polyline], angle_rad: f64, spacing_mm: f64) -> Vec<[DVec2; 2]> {
    let direction = DVec2::from_angle(angle_rad);
    let edges: Vec<[DVec2; 2]> = std::iter::once(outline)
        .chain(holes)
        .flat_map(|ring| {
            let mut points = ring.flattened(ARC_DEVIATION_MM);
            if !ring.closed {
                points.extend(points.first().copied());
            }
            points
                .windows(2)
                .map(|pair| [into_frame(pair[0], direction), into_frame(pair[1], direction)])
                .collect::<Vec<_>>()
        })
        .collect();
    let low = edges.iter().flatten().map(|point| point.y).fold(f64::INFINITY, f64::min);
    let high = edges.iter().flatten().map(|point| point.y).fold(f64::NEG_INFINITY, f64::max);
    if !(low.is_finite() && high.is_finite()) {
        return Vec::new();
    }
    let (first, last) = ((low / spacing_mm).ceil() as i64, (high / spacing_mm).floor() as i64);
    (first..=last).flat_map(|row| row_lines(&edges, row as f64 * spacing_mm, direction)).collect()
}

fn row_lines(edges: &[[DVec2; 2]], y: f64, direction: DVec2) -> Vec<[DVec2; 2]> {
    let mut crossings: Vec<f64> = edges
        .iter()
        .filter(|[a, b]| (a.y <= y) != (b.y <= y))
        .map(|[a, b]| a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y))
        .collect();
    crossings.sort_by(f64::total_cmp);
    crossings
        .chunks_exact(2)
        .map(|pair| [out_of_frame(pair[0], y, direction), out_of_frame(pair[1], y, direction)])
        .collect()
}

fn into_frame(point: DVec2, direction: DVec2) -> DVec2 {
    DVec2::new(point.dot(direction), direction.perp_dot(point))
}

fn out_of_frame(x: f64, y: f64, direction: DVec2) -> DVec2 {
    direction * x + direction.perp() * y
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Total length of fine hatching times its spacing is the area (Cavalieri), holes taken off.
    #[test]
    fn hatch_length_times_spacing_is_the_area() {
        let outline = Polyline::rectangle(DVec2::ZERO, DVec2::new(60.0, 40.0));
        let hole = Polyline::slot(DVec2::new(20.0, 20.0), DVec2::new(40.0, 20.0), 10.0);
        let lines = hatch_lines(&outline, std::slice::from_ref(&hole), 0.7, 0.05);
        let length: f64 = lines.iter().map(|[a, b]| (*b - *a).length()).sum();
        let area = 2400.0 - hole.signed_area_mm2();
        assert!((length * 0.05 - area).abs() < area * 2e-3, "{} against {area}", length * 0.05);
    }

    #[test]
    fn an_outline_without_vertices_gives_no_lines() {
        assert!(hatch_lines(&Polyline::default(), &[], 0.0, 1.0).is_empty());
    }
}
