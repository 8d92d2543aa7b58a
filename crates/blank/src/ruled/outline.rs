//! The outline of the flat, its lap, and the lines of the seam.

use super::Development;
use super::lines::FoldFigures;
use super::unroll::State;
use crate::{BlankError, FlatMark, Loop, MarkKind};
use glam::DVec2;
use mesh::polygon::{Clash, check_simple, signed_area_mm2};

/// The outline and what is marked at its ends.
pub(super) struct Outline {
    pub points_mm: Loop,
    pub marks: Vec<FlatMark>,
    pub area_mm2: f64,
}

/// Points of an edge in order. At a sharp fold each flat ends at its tangent line and the bend's band joins the two.
fn edge_points(development: &Development<'_>, folds: &[FoldFigures], pick: fn(&State) -> DVec2) -> Vec<DVec2> {
    let rows = &development.flat.rows;
    let mut points: Vec<DVec2> = rows.iter().map(|row| pick(&row.state)).collect();
    let apart = |a: &DVec2, b: &DVec2| a.distance(*b) > 1e-6;
    for fold in folds {
        let Some(after) = rows.iter().position(|row| row.span == fold.span).filter(|at| *at > 0) else { continue };
        let (Some(row), Some(p), Some(q)) = (rows.get(after), points.get(after - 1), points.get(after)) else {
            continue;
        };
        let (p, q, m) = (*p, *q, row.state.m());
        let back = points.iter().take(after).rev().find(|point| apart(point, &p));
        let on = points.iter().skip(after).find(|point| apart(point, &q));
        let moved = |from: DVec2, to: DVec2, by: f64| {
            let along = (to - from).normalize_or(m);
            let share = along.dot(m);
            // an edge nearly along the fold has no room for the bend
            if share > 0.2 { from + along * (by / share) } else { from + m * by }
        };
        let near = back.map_or(p, |back| moved(p, p * 2.0 - *back, -fold.to_middle_mm));
        let far = on.map_or(q, |on| moved(q, *on, fold.to_middle_mm));
        if let [.., before, here] = &mut points[..=after] {
            (*before, *here) = (near, far);
        }
    }
    points
}

pub(super) fn outline(development: &Development<'_>, folds: &[FoldFigures]) -> Result<Outline, BlankError> {
    let rows = &development.flat.rows;
    let lap_mm = development.piece.lap_mm;
    let lap = rows.last().filter(|_| lap_mm > 0.0).map(|row| (row.state, lap(development, lap_mm)));
    let mut points: Vec<DVec2> = Vec::new();
    let mut push = |point: DVec2| {
        if points.last().is_none_or(|last| last.distance(point) > 1e-9) {
            points.push(point);
        }
    };
    // anticlockwise: edge B forward runs from right to left above, edge A back below
    edge_points(development, folds, State::b_mm).into_iter().for_each(&mut push);
    if let Some((_, [a, b])) = lap {
        push(b);
        push(a);
    }
    edge_points(development, folds, |state| state.a_mm).into_iter().rev().for_each(&mut push);
    while points.len() > 1 && points.first().zip(points.last()).is_some_and(|(a, b)| a.distance(*b) <= 1e-9) {
        points.pop();
    }
    check(development, &points)?;
    let marks = lap
        .map(|(state, _)| FlatMark {
            kind: MarkKind::LapLine,
            line_mm: vec![state.a_mm, state.b_mm()],
            label: format!("seam: the other end comes to this line ({lap_mm:.1} mm lap)"),
        })
        .into_iter()
        .collect();
    let area_mm2 = signed_area_mm2(&points).abs();
    Ok(Outline { points_mm: points, marks, area_mm2 })
}

/// Corners of the lap beyond the far end: along the edges' own directions, so that both edges run on.
fn lap(development: &Development<'_>, lap_mm: f64) -> [DVec2; 2] {
    let rows = &development.flat.rows;
    let Some(last) = rows.last().map(|row| row.state) else { return [DVec2::ZERO; 2] };
    let m = last.m();
    let on = |pick: fn(&State) -> DVec2| {
        let end = pick(&last);
        let before = rows.iter().rev().map(|row| pick(&row.state)).find(|point| point.distance(end) > 1e-6);
        let along = before.map_or(m, |before| (end - before).normalize_or(m));
        // an edge that runs nearly along the seam would carry the lap off: square to the seam there
        let along = if along.dot(m) > 0.5 { along } else { m };
        end + along * (lap_mm / along.dot(m))
    };
    [on(|state| state.a_mm), on(State::b_mm)]
}

fn check(development: &Development<'_>, points: &[DVec2]) -> Result<(), BlankError> {
    let Err(Clash { sides: _, at_mm: at }) = check_simple(points) else { return Ok(()) };
    Err(BlankError::Overlaps {
        piece: development.piece.name.clone(),
        x_mm: at.x,
        y_mm: at.y,
        between: "one end of the sheet and the other".into(),
        accepted: "make it in two or more pieces round the girth, or take the lap off".into(),
    })
}
