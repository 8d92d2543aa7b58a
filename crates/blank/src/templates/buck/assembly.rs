//! Putting a buck together on paper: do the boards go into each other, and how much is left?
//!
//! Measured from the outlines and positions alone, not from the slots that were planned: columns of the two boards where they cross.

use super::Buck;
use super::slice::{Family, Slice};
use crate::templates::card::TEST_DEVIATION_MM;
use glam::DVec2;
use mesh::polygon::sides;

/// Where over the thickness of a board the columns are taken, −½ to ½, a hair inside its faces.
const COLUMNS: [f64; 5] = [-0.499_999, -0.25, 0.0, 0.25, 0.499_999];

/// Two slices that meet.
#[derive(Debug, Clone, PartialEq)]
pub struct Meeting {
    /// Slice A.
    pub a: String,
    /// Slice B.
    pub b: String,
    /// Height from the top of B's slot floor to A's slot end, mm: how far they could still sink; negative when they hold each other up.
    pub seat_gap_mm: f64,
    /// Least room beside A's board in B's slot and beside B's board in A's slot, on the tighter side of each, mm; less half a board
    /// when there is no slot at all.
    pub side_gap_mm: [f64; 2],
    /// Height over the base halfway between the two slot ends, over the lower of the two tops, as a share.
    pub meets_at_share: f64,
}

/// A buck put together.
#[derive(Debug, Clone, PartialEq)]
pub struct Assembly {
    /// Every pair of slots.
    pub meetings: Vec<Meeting>,
    /// Most height over which two boards take the same place, mm; 0 when the buck goes together.
    pub interference_mm: f64,
    /// Most distance of the lowest point of a slice from the base, mm.
    pub base_gap_mm: f64,
}

/// Puts the slices together in their places and measures gaps and clashes.
#[must_use]
pub fn check_assembly(buck: &Buck) -> Assembly {
    let flat: Vec<(&Slice, Vec<DVec2>)> =
        buck.slices.iter().map(|slice| (slice, slice.outline.flattened_mm(TEST_DEVIATION_MM))).collect();
    let lowest = |outline: &[DVec2]| outline.iter().map(|point| point.y).fold(f64::INFINITY, f64::min).abs();
    let base_gap_mm = flat.iter().map(|(_, outline)| lowest(outline)).fold(0.0, f64::max);
    let (mut meetings, mut interference_mm) = (Vec::new(), 0.0f64);
    for (a, outline_a) in flat.iter().filter(|(slice, _)| slice.family == Family::Across) {
        for (b, outline_b) in flat.iter().filter(|(slice, _)| slice.family == Family::Along) {
            let columns = |outline: &[DVec2], at: f64| {
                COLUMNS.map(|share| material(outline, at + share * buck.settings.board_mm, false)).to_vec()
            };
            let (in_a, in_b) = (columns(outline_a, b.at_mm), columns(outline_b, a.at_mm));
            let clash = in_a.iter().flat_map(|one| in_b.iter().map(move |other| common_mm(one, other)));
            interference_mm = clash.fold(interference_mm, f64::max);
            if in_a.iter().all(|column| !column.is_empty()) && in_b.iter().all(|column| !column.is_empty()) {
                meetings.push(meeting((a, outline_a, &in_a), (b, outline_b, &in_b), buck.settings.board_mm));
            }
        }
    }
    Assembly { meetings, interference_mm, base_gap_mm }
}

type Columns = Vec<Vec<[f64; 2]>>;

fn meeting(
    (a, outline_a, in_a): (&Slice, &[DVec2], &Columns),
    (b, outline_b, in_b): (&Slice, &[DVec2], &Columns),
    board_mm: f64,
) -> Meeting {
    let all = |columns: &Columns, from: usize, start: f64, pick: fn(f64, f64) -> f64| {
        columns.iter().flatten().map(|interval| interval[from]).fold(start, pick)
    };
    let (floor_a, top_a) = (all(in_a, 0, f64::INFINITY, f64::min), all(in_a, 1, f64::INFINITY, f64::min));
    let top_of_b = all(in_b, 1, f64::NEG_INFINITY, f64::max);
    let room = |outline: &[DVec2], at: f64, height: f64| {
        let walls = material(outline, height, true);
        if walls.iter().any(|[from, to]| (*from..=*to).contains(&at)) {
            return -0.5 * board_mm;
        }
        let beside = walls.iter().map(|[from, to]| if *to < at { at - to } else { from - at });
        beside.fold(f64::INFINITY, f64::min) - 0.5 * board_mm
    };
    let (middle, shared) = (0.5 * (floor_a + top_of_b), top_a);
    // A's board stands in B's slot from its slot end upward; B's board in A's slot from the base up
    let side_gap_mm = [room(outline_b, a.at_mm, top_of_b + 1e-3), room(outline_a, b.at_mm, 0.5 * top_of_b)];
    let lower_top = shared.min(beside_top(outline_b, a.at_mm, b));
    Meeting {
        a: a.name.clone(),
        b: b.name.clone(),
        seat_gap_mm: floor_a - top_of_b,
        side_gap_mm,
        meets_at_share: middle / lower_top,
    }
}

/// Height of the top of B at the two sides of its slot, the lower one.
fn beside_top(outline: &[DVec2], at: f64, slice: &Slice) -> f64 {
    let half = slice.slots.iter().find(|slot| slot.at_mm == at).map_or(0.0, |slot| 0.5 * slot.width_mm + 1e-6);
    let tops = [at - half, at + half].map(|x| material(outline, x, false));
    tops.iter().flatten().map(|interval| interval[1]).fold(f64::INFINITY, f64::min)
}

/// Stretches inside an outline along the line x = at (heights), or along the line y = at (positions) when `level`.
fn material(outline: &[DVec2], at: f64, level: bool) -> Vec<[f64; 2]> {
    let turned = |point: DVec2| if level { [point.y, point.x] } else { [point.x, point.y] };
    let mut crossings: Vec<f64> = sides(outline)
        .map(|(from, to)| (turned(from), turned(to)))
        .filter(|(from, to)| (from[0] > at) != (to[0] > at))
        .map(|(from, to)| from[1] + (to[1] - from[1]) * (at - from[0]) / (to[0] - from[0]))
        .collect();
    crossings.sort_by(f64::total_cmp);
    crossings.chunks_exact(2).map(|pair| [pair[0], pair[1]]).collect()
}

fn common_mm(one: &[[f64; 2]], other: &[[f64; 2]]) -> f64 {
    let pairs = one.iter().flat_map(|a| other.iter().map(move |b| a[1].min(b[1]) - a[0].max(b[0])));
    pairs.filter(|common| *common > 0.0).sum()
}
