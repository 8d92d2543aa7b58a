//! The outer boundary of a skin split into its named edges.

use super::error::SkinError;
use super::piece::SkinPiece;
use glam::DVec3;
use mesh::Skin;

/// How far a corner may be given from the boundary, as a share of the skin's size.
const OFF_BOUNDARY_SHARE: f64 = 0.02;
/// Turn at the start of a single edge round the whole skin from which there is a corner.
const CORNER_RAD: f64 = 0.35;
/// Shortest edge, mm.
const SHORTEST_MM: f64 = 2.0;

/// One edge: the boundary's points from corner to corner, both included.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Edge {
    pub(super) chain: Vec<u32>,
    /// A single edge round the whole skin without a corner.
    pub(super) closed: bool,
}

/// Splits the longest boundary of the skin (that of the surface as given: corners are given on it too).
pub(super) fn split(piece: &SkinPiece, boundary: &[u32]) -> Result<Vec<Edge>, SkinError> {
    let skin = &piece.skin;
    let allowed_mm = OFF_BOUNDARY_SHARE * skin.size_mm() + piece.reach_mm;
    let mut starts = Vec::with_capacity(piece.edges.len());
    for edge in &piece.edges {
        let (at, distance_mm) = nearest(skin, boundary, edge.from_mm);
        if distance_mm.is_nan() || distance_mm > allowed_mm {
            return Err(SkinError::OffBoundary { edge: edge.name.clone(), distance_mm, allowed_mm });
        }
        starts.push(at);
    }
    let n = boundary.len();
    let first = starts.first().copied().unwrap_or(0);
    let after_first = |at: usize| (at + n - first) % n;
    let mut out = Vec::with_capacity(starts.len());
    for (i, &from) in starts.iter().enumerate() {
        let to = starts.get(i + 1).map_or(n, |next| after_first(*next));
        let from = after_first(from);
        let chain: Vec<u32> = (from..=to).map(|k| boundary[(first + k) % n]).collect();
        let length: f64 = chain.windows(2).map(|p| length(skin, p)).sum();
        if to <= from || length < SHORTEST_MM {
            let next = piece.edges.get(i + 1).or(piece.edges.first());
            let edge = next.map_or_else(String::new, |edge| edge.name.clone());
            return Err(SkinError::CornerOrder { edge, before: piece.edges[i].name.clone() });
        }
        out.push(Edge { chain, closed: false });
    }
    if let [only] = out.as_mut_slice() {
        only.closed = turn_at(skin, boundary, first) < CORNER_RAD;
    }
    Ok(out)
}

fn length(skin: &Skin, pair: &[u32]) -> f64 {
    skin.points_mm[pair[0] as usize].distance(skin.points_mm[pair[1] as usize])
}

fn nearest(skin: &Skin, boundary: &[u32], to: DVec3) -> (usize, f64) {
    let distance = |i: &u32| skin.points_mm[*i as usize].distance(to);
    boundary
        .iter()
        .map(distance)
        .enumerate()
        .fold((0, f64::INFINITY), |best, next| if next.1 < best.1 { next } else { best })
}

fn turn_at(skin: &Skin, boundary: &[u32], at: usize) -> f64 {
    let n = boundary.len();
    let p = |i: usize| skin.points_mm[boundary[(at + n + i - 1) % n] as usize];
    (p(1) - p(0)).angle_between(p(2) - p(1))
}
