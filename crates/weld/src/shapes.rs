//! Panels for tests.

use glam::DVec3;
use mesh::Skin;

/// A rectangle in squares of about 20 mm cut in two, bulged to a height in its middle.
pub(crate) fn sheet(length: f64, width: f64, crown: f64) -> Skin {
    let (m, n) = ((length / 20.0) as u32, (width / 20.0) as u32);
    let at = |i: u32, j: u32| {
        let (x, y) = (f64::from(i) / f64::from(m), f64::from(j) / f64::from(n));
        DVec3::new(length * x, width * y, 16.0 * crown * x * (1.0 - x) * y * (1.0 - y))
    };
    let points_mm = (0..=n).flat_map(|j| (0..=m).map(move |i| at(i, j))).collect();
    let number = |i: u32, j: u32| j * (m + 1) + i;
    let square = |(i, j): (u32, u32)| {
        let (a, b, c, d) = (number(i, j), number(i + 1, j), number(i + 1, j + 1), number(i, j + 1));
        if (i + j) % 2 == 0 { [[a, b, c], [a, c, d]] } else { [[a, b, d], [b, c, d]] }
    };
    let triangles = (0..n).flat_map(|j| (0..m).map(move |i| (i, j))).flat_map(square).collect();
    Skin { points_mm, triangles }
}
