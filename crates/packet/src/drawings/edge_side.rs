//! Where a straight that leaves a point of a flat crosses the flat's edge for the last time: dimension lines are drawn from there on, so
//! that none runs over the metal like a line to scribe.

use crate::drawing::Along;
use glam::DVec2;

/// The last place of the outline on the way from a point to the dimension line below it (horizontal dimensions) or left of it
/// (vertical ones); the point itself where there is none.
pub fn towards_dimension(outline: &[DVec2], point: DVec2, along: Along) -> DVec2 {
    // (position along the dimension, height over its line)
    let turned = |p: DVec2| if along == Along::Vertical { DVec2::new(p.y, p.x) } else { p };
    let own = turned(point);
    let sides = outline.iter().zip(outline.iter().cycle().skip(1));
    let lowest = sides
        .filter_map(|(a, b)| {
            let (a, b) = (turned(*a), turned(*b));
            let within = own.x >= a.x.min(b.x) && own.x <= a.x.max(b.x);
            let share = if (b.x - a.x).abs() > 1e-9 { (own.x - a.x) / (b.x - a.x) } else { 0.0 };
            within.then(|| if (b.x - a.x).abs() > 1e-9 { a.y + share * (b.y - a.y) } else { a.y.min(b.y) })
        })
        .fold(own.y, f64::min);
    turned(DVec2::new(own.x, lowest))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A square of 100 with its upper right corner at (100, 100): the lines to that corner begin at its lower and its left side.
    #[test]
    fn a_line_begins_at_the_side_it_leaves_by() {
        let square = [[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]].map(DVec2::from);
        let inside = DVec2::new(40.0, 70.0);
        assert_eq!(towards_dimension(&square, inside, Along::Horizontal), DVec2::new(40.0, 0.0));
        assert_eq!(towards_dimension(&square, inside, Along::Vertical), DVec2::new(0.0, 70.0));
        assert_eq!(towards_dimension(&square, square[2], Along::Horizontal), DVec2::new(100.0, 0.0));
        let outside = DVec2::new(140.0, 10.0);
        assert_eq!(towards_dimension(&square, outside, Along::Horizontal), outside);
    }
}
