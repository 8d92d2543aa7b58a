//! Running dimensions from one datum corner of the flat, and check dimensions of the finished piece.

use super::Development;
use super::folds::FlatEdge;
use crate::{CheckDimension, FlatOpening, Loop, RunningDimension};
use glam::DVec2;
use handbook::tolerances;
use section::folded::BendKind;
use section::{On, Opening};

/// Along x and along y from the datum: the lower left corner of the rectangle round the flat.
pub(super) fn running(
    development: &Development<'_>,
    outline: &Loop,
    openings: &[FlatOpening],
) -> (Vec<RunningDimension>, Vec<RunningDimension>) {
    let low = outline.iter().copied().fold(DVec2::INFINITY, DVec2::min);
    let high = outline.iter().copied().fold(DVec2::NEG_INFINITY, DVec2::max);
    let mut points: Vec<(String, DVec2)> = Vec::new();
    for edge in &development.edges {
        tangent_points(edge, &mut points);
    }
    for (index, corner) in development.layout.corners.iter().enumerate() {
        if corner.relief_mm.is_some() {
            points.push((format!("relief hole at corner {}", index + 1), corner.tangents_cross_mm));
        }
    }
    points.extend(openings.iter().map(|opening| (opening.name.clone(), opening.centre_mm)));
    let axis = |pick: fn(DVec2) -> f64| {
        let mut list: Vec<RunningDimension> = Vec::new();
        let ends = [("datum".to_owned(), low), ("far edge".to_owned(), high)];
        for (name, at) in ends.iter().chain(&points) {
            let from_datum_mm = pick(*at) - pick(low);
            let known =
                list.iter().any(|known| known.name == *name && (known.from_datum_mm - from_datum_mm).abs() < 1e-6);
            if !known {
                list.push(RunningDimension { name: name.clone(), from_datum_mm, at_mm: *at });
            }
        }
        list.sort_by(|a, b| a.from_datum_mm.total_cmp(&b.from_datum_mm));
        list
    };
    (axis(|p| p.x), axis(|p| p.y))
}

/// Both ends of every tangent line; a line along an axis gives one figure on that axis.
fn tangent_points(edge: &FlatEdge<'_>, points: &mut Vec<(String, DVec2)>) {
    for (index, part) in edge.layout.parts.iter().enumerate() {
        let Some(bend) = &part.bend else { continue };
        let far = edge.leg_y_mm(index);
        let near = far - edge.lengths_mm.get(index).copied().unwrap_or(0.0);
        for (y, end, word) in [(near, 0, "near"), (far, 1, "far")] {
            for x in [bend.start_x_mm, bend.end_x_mm].iter().filter_map(|ends| ends.get(end)) {
                points.push((format!("{word} tangent of {}", edge.place(part)), edge.flat_mm(*x, y)));
            }
        }
    }
}

/// Base over the outside, its diagonals, flange widths, bend angles and hole places.
pub(super) fn checks(development: &Development<'_>) -> Vec<CheckDimension> {
    let mut list = Vec::new();
    let reach = development.folded.reach_mm;
    let corners = &development.folded.base.corners_mm;
    for edge in &development.edges {
        let name = format!("base along edge {}, over the outside", edge.index + 1);
        length(development, &mut list, name, edge.layout.length_mm, reach);
    }
    if let [a, b, c, d] = corners.as_slice() {
        length(development, &mut list, "diagonal of the base from corner 1 to 3".to_owned(), a.distance(*c), reach);
        length(development, &mut list, "diagonal of the base from corner 2 to 4".to_owned(), b.distance(*d), reach);
    }
    for edge in &development.edges {
        legs(development, edge, &mut list);
    }
    for opening in &development.folded.openings {
        hole(development, opening, &mut list);
    }
    list
}

fn legs(development: &Development<'_>, edge: &FlatEdge<'_>, list: &mut Vec<CheckDimension>) {
    let reach = development.folded.reach_mm;
    let parts = &edge.layout.parts;
    for (index, part) in parts.iter().enumerate() {
        let Some(leg) = &part.leg else { continue };
        let next = parts.get(index + 1).and_then(|part| part.bend.as_ref());
        let to_next = next.map_or(0.0, |bend| bend.setback_mm);
        let over = |s: f64| leg.from_apex_mm + s + to_next;
        let place = edge.place(part);
        let ends = leg.far_side.first().zip(leg.far_side.last());
        match ends {
            Some((a, b)) if (a.y - b.y).abs() > 1e-9 => {
                length(development, list, format!("{place}: width at its start, over the outside"), over(a.y), reach);
                length(development, list, format!("{place}: width at its end, over the outside"), over(b.y), reach);
            }
            Some((a, _)) => length(development, list, format!("{place}: width over the outside"), over(a.y), reach),
            None => {}
        }
        if let Some(bend) = part.bend.as_ref().filter(|bend| bend.kind == BendKind::Fold)
            && let Ok(tolerance) = tolerances::bend_angle_rad(over(leg.length_mm))
        {
            list.push(CheckDimension {
                name: format!("{place}: bend angle, turned from flat"),
                nominal: bend.turned_rad.abs().to_degrees(),
                unit: "°".to_owned(),
                tolerance: tolerance.value.to_degrees(),
                rule: tolerance.source.text.to_string(),
                reach: None,
            });
        }
    }
}

fn hole(development: &Development<'_>, opening: &Opening, list: &mut Vec<CheckDimension>) {
    let (along, from) = match opening.on {
        On::Skin => ("along x from the base's origin", "along y from the base's origin"),
        On::Fold { .. } | On::StripMakeUp { .. } => {
            ("from the edge's first corner", "from the outer corner of the fold")
        }
    };
    let reach = opening.reach_mm;
    length(development, list, format!("{}: {along}", opening.name), opening.along_mm, reach);
    length(development, list, format!("{}: {from}", opening.name), opening.from_edge_mm, reach);
}

fn length(development: &Development<'_>, list: &mut Vec<CheckDimension>, name: String, nominal: f64, reach: f64) {
    list.extend(CheckDimension::linear(name, nominal, development.settings.tolerance_class, Some(reach)));
}
