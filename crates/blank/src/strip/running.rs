//! Running dimensions from one datum: the lower left corner of the upright box round the flat.

use super::flat::Flat;
use crate::{FlatOpening, RunningDimension};
use glam::DVec2;

/// Along x and along y.
pub(super) fn dimensions(
    flat: &Flat<'_>,
    outline: &[DVec2],
    openings: &[FlatOpening],
) -> (Vec<RunningDimension>, Vec<RunningDimension>) {
    let strip = flat.strip();
    let held = flat.held.node;
    let last = flat.names.len().saturating_sub(1);
    let mut places: Vec<(String, DVec2)> = Vec::new();
    if strip.spare_from_mm > 0.0 {
        places.push(("end line, start".into(), flat.on_line(strip.from_mm, held)));
    }
    if strip.spare_to_mm > 0.0 {
        places.push(("end line, end".into(), flat.on_line(strip.to_mm, held)));
    }
    places.extend(openings.iter().map(|opening| (opening.name.clone(), opening.centre_mm)));
    let extreme = |name: &str, better: fn(DVec2, DVec2) -> bool| {
        let best = outline.iter().copied().reduce(|best, p| if better(p, best) { p } else { best });
        best.map(|p| (name.to_owned(), p))
    };
    let mut along_x = places.clone();
    along_x.extend(extreme("end of the flat", |p, q| p.x > q.x));
    let mut along_y = places;
    let middle = 0.5 * (strip.from_mm + strip.to_mm);
    let at_middle = |line: usize| flat.on_line(middle, line);
    along_y.extend((1..last).map(|line| (format!("{} (middle)", flat.names[line]), at_middle(line))));
    along_y.extend(extreme("top of the flat", |p, q| p.y > q.y));
    (sorted(along_x, |p| p.x), sorted(along_y, |p| p.y))
}

/// Places as running dimensions from the datum, nearest first.
pub(crate) fn sorted(places: Vec<(String, DVec2)>, from_datum: impl Fn(DVec2) -> f64) -> Vec<RunningDimension> {
    let mut out: Vec<RunningDimension> = places
        .into_iter()
        .map(|(name, at_mm)| RunningDimension { name, from_datum_mm: from_datum(at_mm), at_mm })
        .collect();
    out.sort_by(|a, b| a.from_datum_mm.total_cmp(&b.from_datum_mm));
    out
}
