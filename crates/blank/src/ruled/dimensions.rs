//! Running dimensions of the flat and check dimensions of the finished piece.

use super::Development;
use super::layout::{RollLineKind, RuledLayout};
use crate::strip::sorted;
use crate::{CheckDimension, RunningDimension};
use glam::DVec2;

/// Places a person marks from the lower left corner: the ends of both edges and of the limits of flat parts.
pub(super) fn running(
    development: &Development<'_>,
    layout: &RuledLayout,
) -> (Vec<RunningDimension>, Vec<RunningDimension>) {
    let mut places: Vec<(String, DVec2)> = Vec::new();
    let rows = &development.flat.rows;
    let [edge_a, edge_b] = &layout.edges;
    for (row, which) in rows.first().into_iter().map(|row| (row, "start")).chain(rows.last().map(|row| (row, "end"))) {
        places.push((format!("{which} of the {}", edge_a.name), row.state.a_mm));
        places.push((format!("{which} of the {}", edge_b.name), row.state.b_mm()));
    }
    for line in layout.lines.iter().filter(|line| line.kind == RollLineKind::Limit) {
        places.push((format!("end of a flat part on the {}", edge_a.name), line.line_mm[0]));
        places.push((format!("end of a flat part on the {}", edge_b.name), line.line_mm[1]));
    }
    (sorted(places.clone(), |p| p.x), sorted(places, |p| p.y))
}

pub(super) fn checks(development: &Development<'_>, layout: &RuledLayout) -> Vec<CheckDimension> {
    let piece = development.piece;
    let class = development.settings.tolerance_class;
    let mut list = Vec::new();
    let mut push = |name: String, nominal: f64, reach: Option<f64>| {
        list.extend(CheckDimension::linear(name, nominal, class, reach));
    };
    for (name, nominal) in &piece.sizes_mm {
        push(name.clone(), *nominal, Some(piece.reach_mm));
    }
    let [start, end] = layout.ends_mm;
    if layout.own_seam {
        push("length of the seam".to_owned(), start, None);
    } else {
        push("length of the first end".to_owned(), start, None);
        push("length of the other end".to_owned(), end, None);
    }
    list
}
