//! Where a station of the finished skin lies in its flat: the line that a plane cuts, carried from triangle to triangle.

use crate::flatten::FlatSkin;
use glam::{DVec2, DVec3};
use mesh::Skin;
use std::collections::BTreeMap;

/// An edge of the mesh, its lower point first.
type Edge = (u32, u32);

/// The lines of the flat, mm, whose points of `skin` have height 0; each from one free edge to another, or closed.
///
/// `skin` has the points of the flat in the same order (any face of the sheet). A point of height 0 counts as above.
#[must_use]
pub fn station_lines(skin: &Skin, flat: &FlatSkin, height_mm: impl Fn(DVec3) -> f64) -> Vec<Vec<DVec2>> {
    let heights: Vec<f64> = skin.points_mm.iter().map(|point| height_mm(*point)).collect();
    let at = |i: u32| heights.get(i as usize).copied().unwrap_or(f64::NAN);
    let crosses = |a: u32, b: u32| (at(a) >= 0.0) != (at(b) >= 0.0) && at(a).is_finite() && at(b).is_finite();
    // every crossed edge with the crossed edges that share a triangle with it
    let mut beside: BTreeMap<Edge, Vec<Edge>> = BTreeMap::new();
    for [a, b, c] in &flat.triangles {
        let sides = [(*a, *b), (*b, *c), (*c, *a)];
        let crossed: Vec<Edge> =
            sides.into_iter().filter(|(a, b)| crosses(*a, *b)).map(|(a, b)| (a.min(b), a.max(b))).collect();
        if let [one, other] = crossed.as_slice() {
            beside.entry(*one).or_default().push(*other);
            beside.entry(*other).or_default().push(*one);
        }
    }
    let place = |(a, b): &Edge| -> Option<DVec2> {
        let (from, to) = (flat.points_mm.get(*a as usize)?, flat.points_mm.get(*b as usize)?);
        Some(from.lerp(*to, at(*a) / (at(*a) - at(*b))))
    };
    let mut lines = Vec::new();
    // those that end first: what is left after them is closed
    while let Some(start) =
        beside.iter().find(|(_, next)| next.len() == 1).or_else(|| beside.iter().next()).map(|(edge, _)| *edge)
    {
        let mut chain = vec![start];
        let mut here = start;
        while let Some(next) =
            beside.remove(&here).and_then(|next| next.into_iter().find(|own| beside.contains_key(own)))
        {
            chain.push(next);
            here = next;
        }
        let line: Vec<DVec2> = chain.iter().filter_map(place).collect();
        if line.len() > 1 {
            lines.push(line);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flatten::{FlattenSettings, flatten};
    use numerics::{Cancel, Progress};

    /// A quarter of a cylinder of radius 200 about x, 300 long: its flat is a rectangle, and a station across it is the line at that x,
    /// as long as the quarter is round; a station of height lies where the arc length says (closed form).
    #[test]
    fn stations_of_a_cylinder_lie_where_its_arc_says() {
        let (rows, columns, radius) = (24u32, 20u32, 200.0);
        let mut skin = Skin::default();
        for i in 0..=rows {
            for j in 0..=columns {
                let (angle, x) = (f64::from(i) / f64::from(rows) * 0.5 * std::f64::consts::PI, 15.0 * f64::from(j));
                skin.points_mm.push(DVec3::new(x, radius * angle.sin(), radius * angle.cos()));
            }
        }
        for i in 0..rows {
            for j in 0..columns {
                let a = i * (columns + 1) + j;
                let b = a + columns + 1;
                skin.triangles.extend([[a, a + 1, b + 1], [a, b + 1, b]]);
            }
        }
        let flat =
            flatten(&skin, &FlattenSettings::symmetric_dirichlet(), &Progress::silent(), &Cancel::new()).unwrap();
        let length = |line: &[DVec2]| line.windows(2).map(|pair| pair[0].distance(pair[1])).sum::<f64>();
        let round_mm = f64::from(rows) * 2.0 * radius * (0.25 * std::f64::consts::PI / f64::from(rows)).sin();
        let [across] = station_lines(&skin, &flat, |point| point.x - 112.0).try_into().unwrap();
        assert!((length(&across) - round_mm).abs() < 1e-6, "{} {round_mm}", length(&across));
        let [along] = station_lines(&skin, &flat, |point| point.y - 100.0).try_into().unwrap();
        assert!((length(&along) - 300.0).abs() < 1e-6, "{}", length(&along));
        // y = 100 is an arc of 30° from the free edge y = 0
        let edge = [flat.points_mm[0], flat.points_mm[columns as usize]];
        let off = (along[0] - edge[0]).perp_dot((edge[1] - edge[0]).normalize()).abs();
        assert!((off - radius * 30f64.to_radians()).abs() < 0.1, "{off}");
        assert!(station_lines(&skin, &flat, |point| point.x - 900.0).is_empty());
    }
}
