//! Lines of one peak temperature on the panel.

use glam::DVec3;
use mesh::Skin;
use std::collections::BTreeMap;

/// A line, or several, of one peak temperature.
#[derive(Debug, Clone, PartialEq)]
pub struct Isotherm {
    /// Temperature.
    pub at_c: f64,
    /// Lines on the panel, mm; a closed one ends where it begins.
    pub lines_mm: Vec<Vec<DVec3>>,
    /// Distance of every place at which it crosses an edge of the mesh from the weld lines, along the sheet, least first.
    pub away_mm: Vec<f64>,
}

/// Where the isotherm crosses one edge of the mesh.
#[derive(Clone, Copy)]
struct Crossing {
    at: DVec3,
    away_mm: f64,
}

/// The isotherm of a temperature. Between two points 1/(T − air) is taken as straight: beside a seam it is (W8).
pub(super) fn of(skin: &Skin, peak_c: &[f64], away_mm: &[f64], at_c: f64, air_c: f64) -> Isotherm {
    let mut crossings: BTreeMap<(u32, u32), Crossing> = BTreeMap::new();
    let mut sides: Vec<[(u32, u32); 2]> = Vec::new();
    let hot = |p: u32| peak_c[p as usize] >= at_c;
    for corners in &skin.triangles {
        let mut cut = Vec::with_capacity(2);
        for i in 0..3 {
            let (p, q) = (corners[i], corners[(i + 1) % 3]);
            if hot(p) == hot(q) {
                continue;
            }
            let (p, q) = (p.min(q), p.max(q));
            crossings.entry((p, q)).or_insert_with(|| {
                let cold = |p: u32| 1.0 / (peak_c[p as usize] - air_c).max(0.1);
                let share = ((1.0 / (at_c - air_c) - cold(p)) / (cold(q) - cold(p))).clamp(0.0, 1.0);
                let away = |p: u32| away_mm[p as usize];
                Crossing {
                    at: skin.points_mm[p as usize].lerp(skin.points_mm[q as usize], share),
                    away_mm: away(p) + share * (away(q) - away(p)),
                }
            });
            cut.push((p, q));
        }
        if let [a, b] = cut[..] {
            sides.push([a, b]);
        }
    }
    let mut far: Vec<f64> = crossings.values().map(|own| own.away_mm).filter(|own| own.is_finite()).collect();
    far.sort_by(f64::total_cmp);
    Isotherm { at_c, lines_mm: chained(&sides, &crossings), away_mm: far }
}

/// Joins the pieces in the triangles to lines.
fn chained(sides: &[[(u32, u32); 2]], crossings: &BTreeMap<(u32, u32), Crossing>) -> Vec<Vec<DVec3>> {
    let mut at: BTreeMap<(u32, u32), Vec<usize>> = BTreeMap::new();
    for (number, ends) in sides.iter().enumerate() {
        ends.iter().for_each(|end| at.entry(*end).or_default().push(number));
    }
    let mut used = vec![false; sides.len()];
    let mut lines = Vec::new();
    // open lines from their ends first, then the closed ones
    let ends = at.iter().filter(|(_, own)| own.len() == 1).map(|(end, _)| *end);
    let starts: Vec<(u32, u32)> = ends.chain(sides.iter().map(|[a, _]| *a)).collect();
    for start in starts {
        let mut chain = vec![start];
        while let Some(last) = chain.last().copied() {
            let next = at.get(&last).into_iter().flatten().copied().find(|number| !used[*number]);
            let Some(number) = next else { break };
            used[number] = true;
            let [a, b] = sides[number];
            chain.push(if a == last { b } else { a });
        }
        if chain.len() > 1 {
            lines.push(chain.iter().filter_map(|end| crossings.get(end)).map(|own| own.at).collect());
        }
    }
    lines
}
