//! The wires of wired edges: flush with the sheet at their ends, and carried round a welded corner in one where both its edges are wired alike.
//!
//! At such a corner the wire is bent to an inside radius of one wire (common practice, no source); the wrap of the sheet stops short of it on
//! both sides, notched with the relief hole of the corner.

use super::Development;
use super::folds::FlatEdge;
use crate::WirePart;
use glam::DVec2;
use handbook::edges::wire::{CORNER_RADIUS_WIRES, WireCorner};
use handbook::{Source, Working};
use section::CornerKind;
use section::folded::{Bend, BendKind, Part};
use std::f64::consts::PI;

/// Two wires whose centres pass nearer than this at a corner are one, mm.
const SAME_HEIGHT_MM: f64 = 0.05;

/// A wired edge.
struct Wired<'a> {
    edge: &'a FlatEdge<'a>,
    part: &'a Part,
    wire_mm: f64,
    up: bool,
    /// Centre of the wire, away from the edge and up.
    centre_mm: DVec2,
    /// x of the curl's ends.
    ends_mm: [f64; 2],
}

impl Wired<'_> {
    fn of<'a>(edge: &'a FlatEdge<'a>, thickness_mm: f64) -> Option<Wired<'a>> {
        edge.layout.parts.iter().find_map(|part| {
            let Some(Bend { kind: BendKind::Curl { wire_mm, .. }, pose, turned_rad, start_x_mm, end_x_mm, .. }) =
                &part.bend
            else {
                return None;
            };
            let up = *turned_rad > 0.0;
            let height = if up { thickness_mm + 0.5 * wire_mm } else { -0.5 * wire_mm };
            let ([start, _], [end, _]) = (start_x_mm, end_x_mm);
            let centre_mm = pose.at_height(height);
            Some(Wired { edge, part, wire_mm: *wire_mm, up, centre_mm, ends_mm: [*start, *end] })
        })
    }

    /// x at which its centre line crosses another's, seen in plan; `None` where they run side by side.
    fn crosses(&self, other: &Self) -> Option<f64> {
        let (a, b) = (self.edge.layout, other.edge.layout);
        let p = a.corner_mm + a.outward * self.centre_mm.x;
        let q = b.corner_mm + b.outward * other.centre_mm.x;
        let det = a.along.perp_dot(b.along);
        (det.abs() > 1e-6).then(|| (q - p).perp_dot(b.along) / det)
    }
}

/// Every wire.
pub(super) fn all(development: &Development<'_>) -> Vec<WirePart> {
    let t = development.folded.thickness_mm;
    let wired: Vec<Option<Wired<'_>>> = development.edges.iter().map(|edge| Wired::of(edge, t)).collect();
    let count = wired.len();
    // corner i lies between edge i − 1 and edge i
    let carried: Vec<bool> = (0..count)
        .map(|i| {
            let pair =
                wired.get((i + count - 1) % count).and_then(Option::as_ref).zip(wired.get(i).and_then(Option::as_ref));
            let welded = matches!(development.folded.corners.get(i), Some(CornerKind::Welded { .. }));
            count > 1 && welded && pair.is_some_and(|(a, b)| is_one(a, b))
        })
        .collect();
    let is_carried = |corner: usize| carried.get(corner % count.max(1)).copied().unwrap_or(false);
    let all_round = count > 0 && carried.iter().all(|own| *own);
    let mut out = Vec::new();
    for (start, first) in wired.iter().enumerate() {
        if first.is_none() || (is_carried(start) && !(all_round && start == 0)) {
            continue;
        }
        let mut run: Vec<&Wired<'_>> = Vec::new();
        for step in 0..count {
            let edge = (start + step) % count;
            if step > 0 && !is_carried(edge) {
                break;
            }
            run.extend(wired.get(edge).and_then(Option::as_ref));
        }
        out.push(one(&run, all_round));
    }
    out
}

fn is_one(a: &Wired<'_>, b: &Wired<'_>) -> bool {
    (a.wire_mm - b.wire_mm).abs() < 1e-9
        && a.up == b.up
        && (a.centre_mm.y - b.centre_mm.y).abs() < SAME_HEIGHT_MM
        && a.crosses(b).is_some()
}

fn one(run: &[&Wired<'_>], closed: bool) -> WirePart {
    let diameter_mm = run.first().map_or(0.0, |own| own.wire_mm);
    let radius_mm = CORNER_RADIUS_WIRES * diameter_mm;
    let (mut straight_mm, mut saved_mm, mut turns) = (0.0, 0.0, Vec::new());
    for (i, own) in run.iter().enumerate() {
        let before = if i > 0 { run.get(i - 1) } else { run.last().filter(|_| closed) };
        let after = run.get(i + 1).or_else(|| run.first().filter(|_| closed));
        let from = before.and_then(|other| own.crosses(other)).unwrap_or(own.ends_mm[0]);
        let to = after.and_then(|other| own.crosses(other)).unwrap_or(own.ends_mm[1]);
        straight_mm += to - from;
        if let Some(next) = after {
            let (a, b) = (own.edge.layout.along, next.edge.layout.along);
            let turn = a.perp_dot(b).atan2(a.dot(b)).abs().min(PI - 1e-3);
            saved_mm += WireCorner::new(diameter_mm, turn).saves_mm();
            turns.push(turn);
        }
    }
    let length = straight_mm - saved_mm;
    let first = run.first().map_or_else(String::new, |own| own.edge.place(own.part));
    let name = match (run.last(), turns.is_empty()) {
        (Some(last), false) => {
            let bends: Vec<String> = turns.iter().map(|turn| format!("{:.0}°", turn.to_degrees())).collect();
            let way = if closed { "all round".to_owned() } else { format!("to edge {}", last.edge.index + 1) };
            format!(
                "wire of {first}, carried round {way} in one: bent to R{radius_mm:.1} at its centre line at the corner{} ({})",
                if turns.len() == 1 { "" } else { "s" },
                bends.join(", ")
            )
        }
        _ => format!("wire of {first}"),
    };
    let formula = if turns.is_empty() {
        "length of the curl, ends flush"
    } else {
        "Σ lengths − Σ R·(2·tan(φ/2) − φ), ends flush"
    };
    let working = Working::new(format!("{first}: wire length"), length, "mm", formula, Source::geometry("H10"))
        .with("l", "lengths of its centre lines from corner to corner", straight_mm, "mm")
        .with("R", "radius of its centre line at a corner", radius_mm, "mm");
    WirePart {
        name,
        diameter_mm,
        cut_length_mm: length,
        stands_out_mm: [0.0, 0.0],
        bend_radius_mm: vec![(0.0, None), (length / 2.0, None), (length, None)],
        workings: vec![working],
    }
}
