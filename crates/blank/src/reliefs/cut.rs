//! Reliefs cut into the free edge of a flat.

use super::{Relief, ReliefShape};
use glam::DVec2;

/// The free edge between two stations with its reliefs cut in, in rising order.
///
/// `edge`: the edge between two stations, both ends included. `at`: the point so many mm in from the free edge (its trim left out) at a
/// station. `rate`: mm of free edge per mm of station. `trim_mm`: left on beyond the free edge; a relief runs on through it.
pub(crate) fn with_reliefs(
    [from_mm, to_mm]: [f64; 2],
    reliefs: &[Relief],
    trim_mm: f64,
    chord_mm: f64,
    edge: &dyn Fn(f64, f64) -> Vec<DVec2>,
    at: &dyn Fn(f64, f64) -> DVec2,
    rate: &dyn Fn(f64) -> f64,
) -> Vec<DVec2> {
    let mut out: Vec<DVec2> = Vec::new();
    let mut push = |points: Vec<DVec2>| {
        for point in points {
            if out.last().is_none_or(|last: &DVec2| last.distance(point) > 1e-9) {
                out.push(point);
            }
        }
    };
    let mut done_mm = from_mm;
    for points in
        outlines([from_mm, to_mm], reliefs, Trimmed { left_on_mm: trim_mm, drawn_mm: trim_mm }, chord_mm, rate)
    {
        let (Some(first), Some(last)) = (points.first(), points.last()) else { continue };
        push(edge(done_mm, first.x));
        push(points.iter().map(|point| at(point.x, point.y)).collect());
        done_mm = last.x;
    }
    push(edge(done_mm, to_mm));
    out
}

/// What is left on beyond a free edge, mm.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Trimmed {
    /// In the flat: a relief is cut through it, and must have room there.
    pub(crate) left_on_mm: f64,
    /// How far beyond the free edge the relief is drawn: as much in the flat, nothing on the finished piece.
    pub(crate) drawn_mm: f64,
}

/// The reliefs that are cut between two stations, in rising order: each as points of station and distance in from the free edge, from
/// one side to the other. Flat and finished piece have the same ones.
pub(crate) fn outlines(
    [from_mm, to_mm]: [f64; 2],
    reliefs: &[Relief],
    trimmed: Trimmed,
    chord_mm: f64,
    rate: &dyn Fn(f64) -> f64,
) -> Vec<Vec<DVec2>> {
    let mut done_mm = from_mm;
    let mut out = Vec::new();
    for relief in reliefs {
        let outline = outline(relief, trimmed.drawn_mm, chord_mm);
        let speed = rate(relief.station_mm);
        let half_mm = half_width_mm(relief, trimmed.left_on_mm) / speed;
        let [first, last] = [relief.station_mm - half_mm, relief.station_mm + half_mm];
        // a relief that has no room before the end of the edge, or runs into the one before it, is left out
        if first > done_mm && last < to_mm {
            let at = |point: &DVec2| DVec2::new(relief.station_mm + point.x / speed, point.y);
            out.push(outline.iter().map(at).collect());
            done_mm = last;
        }
    }
    out
}

/// Half the width of a relief so far beyond the free edge.
fn half_width_mm(relief: &Relief, trim_mm: f64) -> f64 {
    match relief.shape {
        ReliefShape::Notch => relief.half_width_mm * (relief.depth_mm + trim_mm) / relief.depth_mm,
        ReliefShape::Scallop => relief.half_width_mm.min(relief.depth_mm),
    }
}

/// Points of a relief along the free edge and in from it, from one side to the other.
fn outline(relief: &Relief, trim_mm: f64, chord_mm: f64) -> Vec<DVec2> {
    let (wide, depth) = (half_width_mm(relief, trim_mm), relief.depth_mm);
    match relief.shape {
        ReliefShape::Notch => {
            vec![DVec2::new(-wide, -trim_mm), DVec2::new(0.0, depth), DVec2::new(wide, -trim_mm)]
        }
        ReliefShape::Scallop => {
            let radius = wide;
            let foot = DVec2::new(0.0, depth - radius);
            let steps = section::folded::arc_steps(radius, std::f64::consts::PI, chord_mm);
            let arc = (0..=steps).map(|i| {
                let angle = std::f64::consts::PI * (1.0 - f64::from(i) / f64::from(steps));
                foot + DVec2::from_angle(angle) * radius
            });
            let mut out = vec![DVec2::new(-radius, -trim_mm)];
            out.extend(arc);
            out.push(DVec2::new(radius, -trim_mm));
            out
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A straight free edge 100 mm long: a notch 3 mm wide and 10 mm deep takes 15 mm² out of it, a scallop its slot and half circle.
    #[test]
    fn reliefs_take_out_what_their_shape_says() {
        let edge = |a: f64, b: f64| vec![DVec2::new(a, 0.0), DVec2::new(b, 0.0)];
        let at = |s: f64, y: f64| DVec2::new(s, y);
        for (shape, half_width_mm, taken) in [
            (ReliefShape::Notch, 1.5, 15.0),
            (ReliefShape::Scallop, 1.6, 3.2 * 8.4 + 0.5 * std::f64::consts::PI * 1.6 * 1.6),
        ] {
            let relief = Relief { shape, station_mm: 40.0, half_width_mm, depth_mm: 10.0 };
            let mut points = with_reliefs([0.0, 100.0], &[relief], 0.0, 1e-4, &edge, &at, &|_| 1.0);
            points.extend([DVec2::new(100.0, 30.0), DVec2::new(0.0, 30.0)]);
            assert_eq!(mesh::polygon::check_simple(&points), Ok(()));
            let area = mesh::polygon::signed_area_mm2(&points);
            assert!((3000.0 - area - taken).abs() < 1e-3, "{shape:?}: {area}");
        }
    }

    /// A relief too near to an end, or to its neighbour, is left out rather than cut across.
    #[test]
    fn a_relief_without_room_is_left_out() {
        let edge = |a: f64, b: f64| vec![DVec2::new(a, 0.0), DVec2::new(b, 0.0)];
        let at = |s: f64, y: f64| DVec2::new(s, y);
        let relief = |station_mm| Relief { shape: ReliefShape::Notch, station_mm, half_width_mm: 1.5, depth_mm: 10.0 };
        let reliefs = [relief(1.0), relief(40.0), relief(42.0), relief(99.0)];
        let points = with_reliefs([0.0, 100.0], &reliefs, 0.0, 1e-4, &edge, &at, &|_| 1.0);
        assert_eq!(points.iter().filter(|point| point.y > 9.0).count(), 1);
    }

    /// With 10 mm left on, a notch 3 mm wide and 10 mm deep is 6 mm wide at the cut edge: it needs 3 mm to either side, on the finished
    /// piece too, where it is 3 mm wide again.
    #[test]
    fn flat_and_finished_piece_have_the_same_reliefs() {
        let relief = |station_mm| Relief { shape: ReliefShape::Notch, station_mm, half_width_mm: 1.5, depth_mm: 10.0 };
        let reliefs = [relief(2.0), relief(20.0), relief(24.0), relief(60.0)];
        let cut =
            |drawn_mm: f64| outlines([0.0, 100.0], &reliefs, Trimmed { left_on_mm: 10.0, drawn_mm }, 1e-4, &|_| 1.0);
        let sides = |drawn_mm: f64| cut(drawn_mm).iter().map(|own| [own[0].x, own[2].x]).collect::<Vec<_>>();
        assert_eq!(sides(10.0), [[17.0, 23.0], [57.0, 63.0]]);
        assert_eq!(sides(0.0), [[18.5, 21.5], [58.5, 61.5]]);
    }
}
