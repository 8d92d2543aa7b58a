//! The panel round a repair: the finished piece with a band of the old panel beyond the edges at which it joins.
//!
//! What is not measured is taken as gentle: the band goes on straight along the sheet, square to the joined edge. A crowned panel is
//! stiffer than that, so its warp comes out too large rather than too small. Holds: band and piece share the points of the joined edge.
//! Does not hold for: edges whose bands would run into each other (the inside of a tight curve), which is refused.

use crate::WeldError;
use glam::DVec3;
use mesh::Skin;

/// A place on a joined edge, mm and unit vectors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgePlace {
    /// Where.
    pub at_mm: DVec3,
    /// Along the sheet, square to the edge, away from the piece.
    pub away: DVec3,
}

/// A piece in the panel it goes into.
#[derive(Debug, Clone, PartialEq)]
pub struct Surround {
    /// Piece and band; the triangles of the piece come first.
    pub skin: Skin,
    /// How many triangles are the piece's.
    pub piece_triangles: usize,
    /// The joined edges, each the longest run without a break, in the order of the boundary.
    pub seams: Vec<Vec<DVec3>>,
    /// True where a seam ends where it begins.
    pub closed: Vec<bool>,
    /// Outer rim of the band for each seam, from one end to the other.
    pub far_edges: Vec<Vec<DVec3>>,
}

/// A boundary point belongs to a joined edge when it is so near to it, mm: chords of both are kept well inside this.
const ON_EDGE_MM: f64 = 0.5;

/// Lays a band of so wide, in rows of about so much, round a piece along its joined edges (polylines).
///
/// # Errors
/// [`WeldError::OutOfRange`] for widths that are not above 0; [`WeldError::NoJoinedEdge`] when no edge of the mesh lies on a joined edge;
/// [`WeldError::BandMeetsItself`] where the band would fold over; what [`Skin::topology`] finds.
pub fn surround(piece: &Skin, edges: &[Vec<EdgePlace>], band_mm: f64, row_mm: f64) -> Result<Surround, WeldError> {
    for (name, got) in [("width of the panel round the piece, mm,", band_mm), ("row of that panel, mm,", row_mm)] {
        if !(got.is_finite() && got > 0.0) {
            return Err(WeldError::OutOfRange { name, got, need: "give a length above 0" });
        }
    }
    let topology = piece.topology().map_err(|faults| WeldError::Mesh(faults.into()))?;
    let mut out = Surround {
        skin: piece.clone(),
        piece_triangles: piece.triangles.len(),
        seams: Vec::new(),
        closed: Vec::new(),
        far_edges: Vec::new(),
    };
    for boundary in &topology.boundaries {
        for (chain, closed) in joined_chains(piece, boundary, edges) {
            let away: Vec<DVec3> = chain.iter().map(|p| away_at(piece.points_mm[*p as usize], edges)).collect();
            out.lay(&chain, &away, closed, band_mm, row_mm)?;
        }
    }
    if out.seams.is_empty() { Err(WeldError::NoJoinedEdge) } else { Ok(out) }
}

impl Surround {
    fn lay(&mut self, chain: &[u32], away: &[DVec3], closed: bool, band_mm: f64, row_mm: f64) -> Result<(), WeldError> {
        let rows = (band_mm / row_mm).ceil().max(1.0) as u32;
        let at: Vec<DVec3> = chain.iter().map(|p| self.skin.points_mm[*p as usize]).collect();
        let mut before = chain.to_vec();
        for row in 1..=rows {
            let far_mm = band_mm * f64::from(row) / f64::from(rows);
            let first = self.skin.points_mm.len() as u32;
            self.skin.points_mm.extend(at.iter().zip(away).map(|(p, d)| *p + *d * far_mm));
            let own: Vec<u32> = (first..first + chain.len() as u32).collect();
            let steps = if closed { chain.len() } else { chain.len() - 1 };
            for i in 0..steps {
                let j = (i + 1) % chain.len();
                let (a, b) = (self.skin.points_mm[own[i] as usize], self.skin.points_mm[own[j] as usize]);
                if (b - a).dot(at[j] - at[i]) <= 0.0 {
                    return Err(WeldError::BandMeetsItself { at_mm: at[i], band_mm });
                }
                // the piece lies to the left of its boundary, the band to the right
                self.skin.triangles.push([before[j], before[i], own[i]]);
                self.skin.triangles.push([before[j], own[i], own[j]]);
            }
            before = own;
        }
        let mut seam = at;
        let mut far: Vec<DVec3> = before.iter().map(|p| self.skin.points_mm[*p as usize]).collect();
        if closed {
            seam.extend(seam.first().copied());
            far.extend(far.first().copied());
        }
        self.seams.push(seam);
        self.far_edges.push(far);
        self.closed.push(closed);
        Ok(())
    }
}

/// Longest runs of a boundary whose edges lie on a joined edge; true: all round.
fn joined_chains(piece: &Skin, boundary: &[u32], edges: &[Vec<EdgePlace>]) -> Vec<(Vec<u32>, bool)> {
    let count = boundary.len();
    let place = |i: usize| piece.points_mm[boundary[i % count] as usize];
    let joined: Vec<bool> = (0..count)
        .map(|i| {
            let thirds = [0.25, 0.5, 0.75].map(|share| place(i).lerp(place(i + 1), share));
            edges
                .iter()
                .any(|edge| thirds.iter().all(|p| nearest(*p, edge).is_some_and(|near| near.distance_mm < ON_EDGE_MM)))
        })
        .collect();
    if joined.iter().all(|own| *own) {
        return vec![(boundary.to_vec(), true)];
    }
    let begins = (0..count).filter(|i| joined[*i] && !joined[(i + count - 1) % count]);
    begins
        .map(|begin| {
            let length = (0..count).take_while(|k| joined[(begin + k) % count]).count();
            ((0..=length).map(|k| boundary[(begin + k) % count]).collect(), false)
        })
        .collect()
}

struct Near {
    distance_mm: f64,
    away: DVec3,
}

/// Nearest place of a polyline.
fn nearest(point: DVec3, edge: &[EdgePlace]) -> Option<Near> {
    let of_segment = |pair: &[EdgePlace]| {
        let [a, b] = pair else { return None };
        let along = b.at_mm - a.at_mm;
        let share = if along.length_squared() > 0.0 {
            ((point - a.at_mm).dot(along) / along.length_squared()).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let distance_mm = point.distance(a.at_mm.lerp(b.at_mm, share));
        Some(Near { distance_mm, away: a.away.lerp(b.away, share).normalize_or(a.away) })
    };
    edge.windows(2).filter_map(of_segment).min_by(|a, b| a.distance_mm.total_cmp(&b.distance_mm))
}

/// Direction of the band at a point: of its edge, or at a corner of two edges the mitre between them.
fn away_at(point: DVec3, edges: &[Vec<EdgePlace>]) -> DVec3 {
    let near: Vec<Near> =
        edges.iter().filter_map(|edge| nearest(point, edge)).filter(|near| near.distance_mm < ON_EDGE_MM).collect();
    match near.as_slice() {
        [first, second, ..] => {
            let (a, b) = (first.away, second.away);
            (a + b) / (1.0 + a.dot(b)).max(0.3)
        }
        [only] => only.away,
        [] => DVec3::ZERO,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A square plate of 100 mm in 10 × 10 squares.
    fn plate() -> Skin {
        let at = |i: u32, j: u32| i * 11 + j;
        let points_mm = (0..11)
            .flat_map(|i| (0..11).map(move |j| DVec3::new(10.0 * f64::from(i), 10.0 * f64::from(j), 0.0)))
            .collect();
        let triangles = (0..10)
            .flat_map(|i| (0..10).map(move |j| (i, j)))
            .flat_map(|(i, j)| [[at(i, j), at(i + 1, j), at(i + 1, j + 1)], [at(i, j), at(i + 1, j + 1), at(i, j + 1)]])
            .collect();
        Skin { points_mm, triangles }
    }

    fn edge(from: [f64; 2], to: [f64; 2], away: [f64; 2]) -> Vec<EdgePlace> {
        [from, to]
            .map(|p| EdgePlace { at_mm: DVec3::new(p[0], p[1], 0.0), away: DVec3::new(away[0], away[1], 0.0) })
            .to_vec()
    }

    #[test]
    fn two_edges_at_a_corner_get_one_mitred_band() {
        let edges = [edge([0.0, 100.0], [0.0, 0.0], [-1.0, 0.0]), edge([0.0, 0.0], [100.0, 0.0], [0.0, -1.0])];
        let around = surround(&plate(), &edges, 50.0, 10.0).unwrap();
        assert_eq!(around.seams.len(), 1);
        assert!(!around.closed[0]);
        assert_eq!(around.seams[0].len(), 21);
        around.skin.topology().unwrap();
        let area = around.skin.area_mm2();
        assert!((area - 150.0 * 150.0).abs() < 1e-6, "{area}");
        let normals: f64 = (0..around.skin.triangles.len()).map(|t| around.skin.double_area_normal(t).z).sum();
        assert!((0.5 * normals - area).abs() < 1e-6, "every triangle shows the same face");
    }

    #[test]
    fn a_band_all_round_is_closed() {
        let corners = [[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]];
        let away = [[0.0, -1.0], [1.0, 0.0], [0.0, 1.0], [-1.0, 0.0]];
        let edges: Vec<_> = (0..4).map(|i| edge(corners[i], corners[(i + 1) % 4], away[i])).collect();
        let around = surround(&plate(), &edges, 30.0, 10.0).unwrap();
        assert!(around.closed[0]);
        assert!((around.skin.area_mm2() - 160.0 * 160.0).abs() < 1e-6);
    }

    #[test]
    fn a_piece_that_joins_nowhere_is_named() {
        let far = [edge([0.0, 500.0], [100.0, 500.0], [0.0, 1.0])];
        assert!(matches!(surround(&plate(), &far, 30.0, 10.0), Err(WeldError::NoJoinedEdge)));
        assert!(matches!(surround(&plate(), &far, f64::NAN, 10.0), Err(WeldError::OutOfRange { .. })));
    }
}
