//! The habit of the trade: middle first, then the ends, then halfway between, never two neighbours in turn.
//!
//! Common practice, no source. It knows places only: no heat, no stiffness. What a computed order is compared with.

use glam::DVec3;
use serde::{Deserialize, Serialize};

/// What is welded in one go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum WeldEventKind {
    /// A tack.
    Tack,
    /// A plug in its hole.
    Plug,
    /// A resistance spot.
    Spot,
    /// A short run.
    Run,
}

impl WeldEventKind {
    /// Word as printed.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Tack => "tack",
            Self::Plug => "plug",
            Self::Spot => "spot",
            Self::Run => "run",
        }
    }
}

/// One weld in its place along an edge.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct WeldEvent {
    /// When, from 1.
    pub number: usize,
    /// Where it begins, along the edge from its start.
    pub from_mm: f64,
    /// Where it ends; the same for a tack, plug or spot. A run may go either way.
    pub to_mm: f64,
    /// What.
    pub kind: WeldEventKind,
}

/// Share of the widest gap that is wide enough: among such places the one farthest from the last weld is next.
const WIDE_ENOUGH: f64 = 0.8;

/// Order in which the trade would weld at `places`, as indices into them, beginning with `first`.
///
/// Each next place lies in one of the widest gaps that are left, and of those as far as can be from the last one. Empty for no
/// places; a `first` beyond the last is taken as the last.
pub fn habit(places: &[DVec3], first: usize) -> Vec<usize> {
    let mut order = Vec::with_capacity(places.len());
    let mut gap_mm = vec![f64::INFINITY; places.len()];
    let mut done = vec![false; places.len()];
    let mut next = (!places.is_empty()).then(|| first.min(places.len() - 1));
    while let Some(index) = next {
        order.push(index);
        let last = places.get(index).copied().unwrap_or_default();
        if let Some(done) = done.get_mut(index) {
            *done = true;
        }
        for (gap, place) in gap_mm.iter_mut().zip(places) {
            *gap = gap.min(place.distance(last));
        }
        let open =
            || gap_mm.iter().zip(&done).enumerate().filter(|(_, (_, done))| !**done).map(|(i, (gap, _))| (i, *gap));
        let widest = open().map(|(_, gap)| gap).fold(0.0, f64::max);
        let far = |i: usize| places.get(i).map_or(0.0, |place| place.distance(last));
        next = open()
            .filter(|(_, gap)| *gap >= WIDE_ENOUGH * widest)
            .map(|(i, _)| (i, far(i)))
            // a later place must be farther by more than rounding to be taken before an earlier one
            .reduce(|best, own| if own.1 > best.1 + 1e-6 { own } else { best })
            .map(|(i, _)| i);
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(count: usize) -> Vec<DVec3> {
        (0..count).map(|i| DVec3::X * 30.0 * i as f64).collect()
    }

    #[test]
    fn middle_then_both_ends_then_halfway() {
        let order = habit(&line(9), 4);
        assert_eq!(order.get(..3), Some(&[4, 0, 8][..]));
        let mut fourth_and_fifth = order.get(3..5).unwrap().to_vec();
        fourth_and_fifth.sort_unstable();
        assert_eq!(fourth_and_fifth, [2, 6]);
    }

    #[test]
    fn every_place_once_and_no_neighbours_in_turn_while_there_is_a_choice() {
        for count in [1, 2, 3, 5, 16, 17, 40] {
            let order = habit(&line(count), count / 2);
            let mut sorted = order.clone();
            sorted.sort_unstable();
            assert!(sorted.iter().copied().eq(0..count), "{count}");
            let neighbours = order.windows(2).filter(|pair| pair[0].abs_diff(pair[1]) == 1).count();
            assert!(count < 6 || neighbours == 0, "{count}: {order:?}");
        }
        assert_eq!(habit(&[], 3), Vec::<usize>::new());
    }

    #[test]
    fn round_a_ring_the_second_lies_opposite_the_first() {
        let ring: Vec<DVec3> = (0..12)
            .map(|i| {
                DVec3::new((f64::from(i) * 30.0).to_radians().cos(), (f64::from(i) * 30.0).to_radians().sin(), 0.0)
            })
            .collect();
        assert_eq!(habit(&ring, 0).get(1), Some(&6));
    }
}
