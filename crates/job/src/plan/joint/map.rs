//! The map of the welds: places along each joined edge, numbered in the habit of the trade.

use super::form;
use crate::file::{AcceptedOrder, Section};
use crate::plan::make::Made;
use crate::plan::{PieceEdge, PiecePlan, WeldMap, WeldPause, WeldRow};
use glam::DVec3;
use handbook::joints::tack_pitch;
use handbook::welding::{DOT_FROM_END_DIAMETERS, TACK_FROM_END_MM};
use weld::joints::{JointDesign, WeldEvent, WeldEventKind, habit};

/// Most welds of a section that are placed and numbered one by one.
const MOST_WELDS: usize = 2000;

/// Maps of all joined edges; empty for a joint without welds.
pub(super) fn by_habit(section: &Section, made: &Made, design: Option<&JointDesign>) -> Vec<WeldMap> {
    let Some(design) = design else { return Vec::new() };
    let mut maps = own_rows(section, made, design);
    let last = maps.iter().flat_map(|map| &map.events).map(|event| event.number).max().unwrap_or(0);
    maps.extend(long_seams(made, design, last));
    maps
}

/// The long seams of sleeves, numbered after the plugs: tacks, then short runs from one to the next (W31).
pub(super) fn long_seams(made: &Made, design: &JointDesign, after: usize) -> Vec<WeldMap> {
    let seams = made.pieces.iter().filter(|_| design.form == handbook::joints::JointForm::SheetToTube);
    let seams: Vec<(&PiecePlan, &PieceEdge, f64)> = seams
        .filter_map(|piece| {
            let tube = piece.tube.as_ref()?;
            Some((piece, tube.seam_edge.as_ref()?, tube.seam_lap_mm))
        })
        .collect();
    let Ok(([least, most], _)) = tack_pitch(made.resolved.joint.new_thickness_mm) else { return Vec::new() };
    let mut maps: Vec<WeldMap> = seams
        .iter()
        .map(|(piece, edge, lap_mm)| WeldMap {
            piece: piece.name_in_job().to_owned(),
            edge: edge.name.clone(),
            length_mm: edge.length_mm,
            closed: false,
            row: WeldRow::LongSeam,
            into_mm: 0.0,
            lap_mm: *lap_mm,
            hole_mm: None,
            events: places_mm(edge, 0.5 * (least + most), TACK_FROM_END_MM)
                .into_iter()
                .map(|at_mm| WeldEvent { number: 0, from_mm: at_mm, to_mm: at_mm, kind: WeldEventKind::Tack })
                .collect(),
        })
        .collect();
    let edges: Vec<_> = seams.iter().map(|(piece, edge, _)| (*piece, *edge)).collect();
    let tacks = number(&mut maps, &edges, after, |event| event.kind == WeldEventKind::Tack);
    for map in &mut maps {
        let runs = runs(map);
        map.events.extend(runs);
    }
    number(&mut maps, &edges, tacks, |event| event.kind == WeldEventKind::Run);
    for map in &mut maps {
        map.events.sort_by_key(|event| event.number);
    }
    maps
}

fn own_rows(section: &Section, made: &Made, design: &JointDesign) -> Vec<WeldMap> {
    let kind = match design.form {
        form if form.is_plugged() => WeldEventKind::Plug,
        form if form.is_spotted() => WeldEventKind::Spot,
        handbook::joints::JointForm::Butt => WeldEventKind::Tack,
        _ => return Vec::new(),
    };
    let [least, most] = design.figures.pitch_mm;
    let usual_mm = 0.5 * (least + most);
    let edges = form::edges(section, made);
    let all_mm: f64 = edges.iter().map(|(_, edge)| edge.length_mm).sum();
    if usual_mm <= 0.0 || all_mm <= 0.0 || all_mm / usual_mm > MOST_WELDS as f64 {
        return Vec::new();
    }
    let into_mm = design.hole_from_edge_mm.unwrap_or(0.0);
    let dot_mm = design.figures.hole_mm.or(design.figures.nugget_mm.map(|[wanted, _]| wanted));
    let inset_mm = dot_mm.map_or(TACK_FROM_END_MM, |dot_mm| DOT_FROM_END_DIAMETERS * dot_mm);
    let mut maps: Vec<WeldMap> = edges
        .iter()
        .map(|(piece, edge)| WeldMap {
            piece: piece.name_in_job().to_owned(),
            edge: edge.name.clone(),
            length_mm: edge.length_mm,
            closed: edge.closed,
            row: WeldRow::Own,
            into_mm,
            lap_mm: design.lap_mm,
            hole_mm: design.figures.hole_mm,
            events: places_mm(edge, usual_mm, inset_mm)
                .into_iter()
                .map(|at_mm| WeldEvent { number: 0, from_mm: at_mm, to_mm: at_mm, kind })
                .collect(),
        })
        .collect();
    let singles = number(&mut maps, &edges, 0, |event| event.kind == kind);
    if kind == WeldEventKind::Tack {
        for map in &mut maps {
            let runs = runs(map);
            map.events.extend(runs);
        }
        number(&mut maps, &edges, singles, |event| event.kind == WeldEventKind::Run);
    }
    if design.form == handbook::joints::JointForm::DoublerPlug {
        let (rows, row_edges) = tacked(section, &maps, &edges);
        maps.extend(rows);
        let all: Vec<_> = edges.iter().copied().chain(row_edges).collect();
        number(&mut maps, &all, singles, |event| event.kind == WeldEventKind::Tack);
    }
    for map in &mut maps {
        map.events.sort_by_key(|event| event.number);
    }
    maps
}

/// Tacks of a doubler, midway between its plugs: along the old edge, and where the back is reached along its own.
fn tacked<'e>(
    section: &Section,
    maps: &[WeldMap],
    edges: &[(&'e PiecePlan, &'e PieceEdge)],
) -> (Vec<WeldMap>, Vec<(&'e PiecePlan, &'e PieceEdge)>) {
    let behind = section.joint.access_behind.then_some(WeldRow::EdgeBehind);
    let rows = [Some(WeldRow::OldEdge), behind].into_iter().flatten();
    rows.flat_map(|row| maps.iter().zip(edges).map(move |(map, edge)| (row_of(map, row), *edge))).unzip()
}

fn row_of(map: &WeldMap, row: WeldRow) -> WeldMap {
    let mut at_mm: Vec<f64> = map.events.iter().map(|event| event.from_mm).collect();
    at_mm.sort_by(f64::total_cmp);
    if map.closed {
        at_mm.extend(at_mm.first().map(|first| first + map.length_mm));
    }
    let between = at_mm.windows(2).filter_map(|pair| match pair {
        [from, to] => Some(0.5 * (from + to)),
        _ => None,
    });
    let events = between.map(|at| if map.closed { at.rem_euclid(map.length_mm) } else { at });
    WeldMap {
        row,
        into_mm: if row == WeldRow::OldEdge { map.lap_mm } else { 0.0 },
        hole_mm: None,
        events: events
            .map(|at_mm| WeldEvent { number: 0, from_mm: at_mm, to_mm: at_mm, kind: WeldEventKind::Tack })
            .collect(),
        ..map.clone()
    }
}

/// Lengths joined may differ by so much before an accepted order is for another piece, mm.
const SAME_LENGTH_MM: f64 = 1.0;

/// The same maps with the welds of an order that was accepted; `None` when it is for another length or names edges that are not there.
pub(super) fn accepted(order: &AcceptedOrder, habit: &[WeldMap], run_mm: f64) -> Option<Vec<WeldMap>> {
    if habit.is_empty() || order.weld.is_empty() || (order.length_mm - run_mm).abs() > SAME_LENGTH_MM {
        return None;
    }
    let own = habit.iter().filter(|map| map.row.is_own());
    let mut maps: Vec<WeldMap> = own.map(|map| WeldMap { events: Vec::new(), ..map.clone() }).collect();
    for (number, weld) in (1..).zip(&order.weld) {
        let map = maps.iter_mut().find(|map| map.piece == weld.piece && map.edge == weld.edge)?;
        let on_edge = |at_mm: f64| (-SAME_LENGTH_MM..=map.length_mm + SAME_LENGTH_MM).contains(&at_mm);
        if !(on_edge(weld.from_mm) && on_edge(weld.to_mm)) {
            return None;
        }
        map.events.push(WeldEvent { number, from_mm: weld.from_mm, to_mm: weld.to_mm, kind: weld.kind });
    }
    // what the order does not know comes after it, in the habit's own turn
    let plugs = habit.iter().filter(|map| map.row.is_own()).map(|map| map.events.len()).sum::<usize>();
    let after = |event: &WeldEvent| WeldEvent { number: event.number - plugs + order.weld.len(), ..*event };
    let rows = habit.iter().filter(|map| !map.row.is_own());
    maps.extend(rows.map(|map| WeldMap { events: map.events.iter().map(after).collect(), ..map.clone() }));
    Some(maps)
}

/// The pauses of an order that was accepted; none of one that was kept without them.
pub(super) fn accepted_pauses(order: &AcceptedOrder) -> Option<Vec<WeldPause>> {
    (1..).zip(&order.weld).map(|(number, weld)| Some(WeldPause { number, seconds: weld.pause_s? })).collect()
}

/// Places evenly at about the usual pitch; the outermost stand so far in from an open end.
fn places_mm(edge: &PieceEdge, usual_mm: f64, inset_mm: f64) -> Vec<f64> {
    if edge.closed {
        // four at least, and each with one opposite
        let count = 2.0 * (0.5 * edge.length_mm / usual_mm).ceil().max(2.0);
        return (0..count as usize).map(|i| edge.length_mm * i as f64 / count).collect();
    }
    let inset_mm = inset_mm.min(0.25 * edge.length_mm);
    let between_mm = edge.length_mm - 2.0 * inset_mm;
    let gaps = (between_mm / usual_mm).ceil().max(1.0);
    (0..=gaps as usize).map(|i| inset_mm + between_mm * i as f64 / gaps).collect()
}

/// A run between each two neighbouring tacks, welded away from the middle of the edge. The outermost go on to the ends: a seam that stops at the
/// last tack leaves its corner open.
fn runs(map: &WeldMap) -> Vec<WeldEvent> {
    let mut at_mm: Vec<f64> = map.events.iter().map(|event| event.from_mm).collect();
    at_mm.sort_by(f64::total_cmp);
    if map.closed {
        at_mm.push(map.length_mm);
    } else if let [first, .., last] = at_mm.as_mut_slice() {
        (*first, *last) = (0.0, map.length_mm);
    }
    let outwards = |from_mm: f64, to_mm: f64| {
        let towards_start = !map.closed && from_mm + to_mm < map.length_mm;
        if towards_start { [to_mm, from_mm] } else { [from_mm, to_mm] }
    };
    at_mm
        .windows(2)
        .filter_map(|pair| {
            let [from_mm, to_mm] = *pair else { return None };
            let [from_mm, to_mm] = outwards(from_mm, to_mm);
            Some(WeldEvent { number: 0, from_mm, to_mm, kind: WeldEventKind::Run })
        })
        .collect()
}

/// Numbers the chosen events of all edges together, after `before`; returns the last number.
fn number(
    maps: &mut [WeldMap],
    edges: &[(&crate::plan::PiecePlan, &PieceEdge)],
    before: usize,
    chosen: impl Fn(&WeldEvent) -> bool,
) -> usize {
    let middle = |event: &WeldEvent| 0.5 * (event.from_mm + event.to_mm);
    let mut places: Vec<DVec3> = Vec::new();
    let mut owners = Vec::new();
    for (index, (map, (_, edge))) in maps.iter().zip(edges).enumerate() {
        for (own, event) in map.events.iter().enumerate().filter(|(_, event)| chosen(event)) {
            places.push(edge.at(middle(event)).map(|point| point.at_mm).unwrap_or_default());
            owners.push((index, own));
        }
    }
    let longest = maps.iter().enumerate().max_by(|a, b| a.1.length_mm.total_cmp(&b.1.length_mm).then(b.0.cmp(&a.0)));
    let first = longest.and_then(|(index, map)| {
        let half_mm = 0.5 * map.length_mm;
        let own = owners.iter().enumerate().filter(|(_, (owner, _))| *owner == index);
        let off = |(_, (_, event)): &(usize, &(usize, usize))| {
            map.events.get(*event).map_or(f64::INFINITY, |event| (middle(event) - half_mm).abs())
        };
        own.min_by(|a, b| off(a).total_cmp(&off(b))).map(|(place, _)| place)
    });
    let order = habit(&places, first.unwrap_or(0));
    for (number, place) in (before + 1..).zip(&order) {
        let event = owners.get(*place).and_then(|(map, event)| maps.get_mut(*map)?.events.get_mut(*event));
        if let Some(event) = event {
            event.number = number;
        }
    }
    before + order.len()
}
