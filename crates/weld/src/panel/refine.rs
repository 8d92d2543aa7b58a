//! Smaller triangles along the weld lines.
//!
//! Longest-edge bisection: M.-C. Rivara, "Algorithms for refining triangular grids suitable for adaptive and multigrid techniques",
//! Int. J. Numer. Meth. Eng. 20 (1984) 745–756 (from memory): a triangle is cut through its longest side, and its neighbour first
//! through its own when that is longer, so that angles stay at least half of the smallest there was.

use super::PanelError;
use super::line::LaidLine;
use mesh::Skin;
use mesh::nearest::Nearest;
use std::collections::BTreeMap;

/// Triangles with a point within so many edges of a line are made small.
const BAND_EDGES: f64 = 3.0;
/// Edges up to so many times the wanted one stay.
const LONGEST: f64 = 1.4;
/// Halvings of an edge at most: from a metre to a millimetre.
const MOST_PASSES: usize = 24;

/// Cuts triangles near the lines until none of their edges is longer than 1.4 times the wanted one.
pub(super) fn near_lines(skin: Skin, lines: &[LaidLine], edge_mm: f64) -> Result<Skin, PanelError> {
    let mut skin = skin;
    for _ in 0..MOST_PASSES {
        let wanted = wanted(&skin, lines, edge_mm)?;
        if wanted.is_empty() {
            break;
        }
        skin = bisected(&skin, &wanted);
    }
    Ok(skin)
}

/// Triangles under a line or near it that are still too large.
fn wanted(skin: &Skin, lines: &[LaidLine], edge_mm: f64) -> Result<Vec<usize>, PanelError> {
    let nearest = Nearest::new(skin)?;
    let mut near = vec![false; skin.triangles.len()];
    for line in lines {
        let band = BAND_EDGES * edge_mm;
        let close: Vec<bool> = skin.points_mm.iter().map(|p| line.foot(*p, band).is_some()).collect();
        for (triangle, corners) in skin.triangles.iter().enumerate() {
            near[triangle] |= corners.iter().any(|p| close[*p as usize]);
        }
        for at in line.places() {
            near[nearest.closest(at)?.triangle] = true;
        }
    }
    let too_long = |t: &usize| near[*t] && longest(skin, *t).1 > LONGEST * edge_mm;
    Ok((0..skin.triangles.len()).filter(too_long).collect())
}

/// Which side of a triangle is the longest (0: from its first corner), and its length; the same from both its triangles.
fn longest(skin: &Skin, triangle: usize) -> (usize, f64) {
    let corners = skin.triangles[triangle];
    let length = |i: usize| {
        let (p, q) = (corners[i], corners[(i + 1) % 3]);
        // in the order of the numbers, so that both triangles get the same bits
        let (p, q) = (p.min(q), p.max(q));
        (skin.points_mm[p as usize].distance(skin.points_mm[q as usize]), p, q)
    };
    let best = (0..3).max_by(|i, j| {
        let (a, b) = (length(*i), length(*j));
        a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2)))
    });
    let best = best.unwrap_or(0);
    (best, length(best).0)
}

fn bisected(skin: &Skin, wanted: &[usize]) -> Skin {
    let key = |corners: [u32; 3], i: usize| {
        let (p, q) = (corners[i], corners[(i + 1) % 3]);
        (p.min(q), p.max(q))
    };
    let mut middles: BTreeMap<(u32, u32), u32> = BTreeMap::new();
    for &triangle in wanted {
        middles.insert(key(skin.triangles[triangle], longest(skin, triangle).0), 0);
    }
    loop {
        let before = middles.len();
        for (triangle, &corners) in skin.triangles.iter().enumerate() {
            if (0..3).any(|i| middles.contains_key(&key(corners, i))) {
                middles.insert(key(corners, longest(skin, triangle).0), 0);
            }
        }
        if middles.len() == before {
            break;
        }
    }
    let mut points_mm = skin.points_mm.clone();
    for ((p, q), number) in &mut middles {
        *number = points_mm.len() as u32;
        points_mm.push(skin.points_mm[*p as usize].midpoint(skin.points_mm[*q as usize]));
    }
    let mut triangles = Vec::with_capacity(skin.triangles.len() + 2 * middles.len());
    for (triangle, &corners) in skin.triangles.iter().enumerate() {
        let first = longest(skin, triangle).0;
        let turned = [corners[first], corners[(first + 1) % 3], corners[(first + 2) % 3]];
        let Some(&m) = middles.get(&key(turned, 0)) else {
            triangles.push(corners);
            continue;
        };
        let [a, b, c] = turned;
        match middles.get(&key(turned, 1)) {
            Some(&n) => triangles.extend([[m, b, n], [m, n, c]]),
            None => triangles.push([m, b, c]),
        }
        match middles.get(&key(turned, 2)) {
            Some(&n) => triangles.extend([[a, m, n], [n, m, c]]),
            None => triangles.push([a, m, c]),
        }
    }
    Skin { points_mm, triangles }
}
