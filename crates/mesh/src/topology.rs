//! How the triangles of a [`Skin`] hang together, and everything that keeps it from being one developable sheet.
//!
//! Guarantee of a [`Topology`]: finite points, all used; triangles with three different points and an area; at most two triangles
//! at an edge, facing the same way; one fan of triangles at every point; one piece, with a free edge and no handle.

use crate::Skin;
use crate::skin::MOST_TRIANGLES;
use glam::DVec3;

/// A fault of a skin, with its place.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SkinFault {
    /// No triangle.
    #[error("the mesh has no triangle; give a surface, not points or lines alone")]
    Empty,
    /// Beyond the limit.
    #[error("the mesh has {triangles} triangles; at most {MOST_TRIANGLES} are taken: crop or decimate it")]
    TooManyTriangles {
        /// Number of triangles.
        triangles: usize,
    },
    /// A coordinate is not a finite number.
    #[error("point {point} is not finite")]
    NotFinite {
        /// Counted from 0.
        point: usize,
    },
    /// A triangle names a point that is not there, or one twice.
    #[error("triangle {triangle} names a point twice or one that does not exist")]
    BadTriangle {
        /// Counted from 0.
        triangle: usize,
    },
    /// A point belongs to no triangle.
    #[error("point {point} at {} belongs to no triangle; remove it", place(*.at_mm))]
    LoosePoint {
        /// Counted from 0.
        point: usize,
        /// Where.
        at_mm: DVec3,
    },
    /// A triangle has no area.
    #[error("triangle {triangle} at {} has no area; merge its points", place(*.at_mm))]
    ZeroArea {
        /// Counted from 0.
        triangle: usize,
        /// Its centre.
        at_mm: DVec3,
    },
    /// More than two triangles meet at an edge.
    #[error("{triangles} triangles meet at the edge of points {from} and {to} at {}; a sheet has at most two there", place(*.at_mm))]
    NonManifoldEdge {
        /// Point.
        from: u32,
        /// Point.
        to: u32,
        /// How many triangles meet.
        triangles: usize,
        /// Its middle.
        at_mm: DVec3,
    },
    /// Neighbours face different ways.
    #[error("the triangles beside the edge of points {from} and {to} at {} face different ways; turn one over", place(*.at_mm))]
    FacesDiffer {
        /// Point.
        from: u32,
        /// Point.
        to: u32,
        /// Its middle.
        at_mm: DVec3,
    },
    /// Parts of the sheet touch in one point only.
    #[error("the sheet hangs together at point {point} at {} by the point alone; join or part it there", place(*.at_mm))]
    NonManifoldPoint {
        /// Counted from 0.
        point: u32,
        /// Where.
        at_mm: DVec3,
    },
    /// More than one piece.
    #[error("the mesh has {pieces} separate pieces (one at {}, another at {}); give one, or join them", place(*.at_mm), place(*.other_mm))]
    SeveralPieces {
        /// How many.
        pieces: usize,
        /// A point of the first.
        at_mm: DVec3,
        /// A point of the second.
        other_mm: DVec3,
    },
    /// No free edge.
    #[error("the mesh is closed all round; cut it open along a seam")]
    Closed,
    /// The surface has handles, like a ring cut open by a hole.
    #[error("the mesh has {handles} handles (a tube joined to itself); cut it open along a seam")]
    Handles {
        /// How many.
        handles: usize,
    },
}

fn place(at: DVec3) -> String {
    format!("({:.1}, {:.1}, {:.1})", at.x, at.y, at.z)
}

/// All faults found in a skin; of each kind at most [`SkinFaults::SHOWN`] are kept.
#[derive(Debug, Clone, PartialEq)]
pub struct SkinFaults(pub Vec<SkinFault>);

impl SkinFaults {
    /// Most faults kept of one kind.
    pub const SHOWN: usize = 5;
}

impl std::fmt::Display for SkinFaults {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for (i, fault) in self.0.iter().enumerate() {
            if i > 0 {
                f.write_str("; ")?;
            }
            fault.fmt(f)?;
        }
        Ok(())
    }
}

impl std::error::Error for SkinFaults {}

/// How a sound skin hangs together.
#[derive(Debug, Clone, PartialEq)]
pub struct Topology {
    /// Closed boundaries, the longest first; each runs as its triangles do (the sheet to the left, seen from outside).
    pub boundaries: Vec<Vec<u32>>,
}

/// One side of a triangle: its lower and higher point, the triangle, and whether it runs from low to high.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Side {
    low: u32,
    high: u32,
    triangle: u32,
    rising: bool,
}

impl Skin {
    /// The edges at which the skin ends, each ending where it begins, mm; none of one that does not hang together.
    #[must_use]
    pub fn rims_mm(&self) -> Vec<Vec<DVec3>> {
        let boundaries = self.topology().map(|topology| topology.boundaries).unwrap_or_default();
        let line = |points: &Vec<u32>| {
            let round = points.iter().chain(points.first());
            round.filter_map(|point| self.points_mm.get(*point as usize).copied()).collect()
        };
        boundaries.iter().map(line).collect()
    }

    /// Checks the whole skin and finds its boundaries.
    ///
    /// # Errors
    /// [`SkinFaults`]: every fault, with its place; those of points and triangles first, and only when there are none those of edges.
    pub fn topology(&self) -> Result<Topology, SkinFaults> {
        self.check_parts()?;
        let mut sides = self.sides();
        sides.sort_unstable();
        self.check_edges(&sides)?;
        let free: Vec<Side> =
            sides.chunk_by(|a, b| (a.low, a.high) == (b.low, b.high)).filter(|c| c.len() == 1).map(|c| c[0]).collect();
        self.check_whole(&sides, &free)?;
        Ok(Topology { boundaries: self.boundaries(&free) })
    }

    /// Checks points, triangles and edges only: the skin may be closed and may have several pieces. Enough to cut it with a plane.
    ///
    /// # Errors
    /// [`SkinFaults`], as [`Self::topology`].
    pub fn check_sheet(&self) -> Result<(), SkinFaults> {
        self.check_parts()?;
        let mut sides = self.sides();
        sides.sort_unstable();
        self.check_edges(&sides)
    }

    /// As [`Self::check_sheet`], and the triangles at every point are one fan. Enough to cut it up and put it together anew.
    ///
    /// # Errors
    /// [`SkinFaults`], as [`Self::topology`].
    pub fn check_manifold(&self) -> Result<(), SkinFaults> {
        self.check_sheet()?;
        let mut sides = self.sides();
        sides.sort_unstable();
        let faults = self.touching_points(&sides);
        if faults.is_empty() { Ok(()) } else { Err(SkinFaults(faults)) }
    }

    /// Checks points and triangles one by one: finite, all used, three different points, an area.
    pub(crate) fn check_parts(&self) -> Result<(), SkinFaults> {
        if self.triangles.is_empty() {
            return Err(SkinFaults(vec![SkinFault::Empty]));
        }
        if self.triangles.len() > MOST_TRIANGLES || self.points_mm.len() > 3 * MOST_TRIANGLES {
            return Err(SkinFaults(vec![SkinFault::TooManyTriangles { triangles: self.triangles.len() }]));
        }
        let points = self.points_mm.len();
        let mut faults: Vec<SkinFault> = Vec::new();
        let unfinite = self.points_mm.iter().enumerate().filter(|(_, p)| !p.is_finite());
        faults.extend(unfinite.map(|(point, _)| SkinFault::NotFinite { point }).take(SkinFaults::SHOWN));
        let bad = |[a, b, c]: [u32; 3]| [a, b, c].iter().any(|i| *i as usize >= points) || a == b || b == c || c == a;
        let wrong = self.triangles.iter().enumerate().filter(|(_, t)| bad(**t));
        faults.extend(wrong.map(|(triangle, _)| SkinFault::BadTriangle { triangle }).take(SkinFaults::SHOWN));
        if !faults.is_empty() {
            return Err(SkinFaults(faults));
        }
        let mut used = vec![false; points];
        self.triangles.iter().flatten().for_each(|i| used[*i as usize] = true);
        let loose = used.iter().enumerate().filter(|(_, used)| !**used);
        let loose = loose.map(|(point, _)| SkinFault::LoosePoint { point, at_mm: self.points_mm[point] });
        faults.extend(loose.take(SkinFaults::SHOWN));
        let thin = (0..self.triangles.len()).filter(|&t| self.has_no_area(t));
        let centre = |t: usize| self.corners(t).iter().sum::<DVec3>() / 3.0;
        let thin = thin.map(|triangle| SkinFault::ZeroArea { triangle, at_mm: centre(triangle) });
        faults.extend(thin.take(SkinFaults::SHOWN));
        if faults.is_empty() { Ok(()) } else { Err(SkinFaults(faults)) }
    }

    /// Height below a billionth of the longest side: the rounding of the coordinates, not a shape.
    fn has_no_area(&self, triangle: usize) -> bool {
        let [a, b, c] = self.corners(triangle);
        let longest = (b - a).length_squared().max((c - b).length_squared()).max((a - c).length_squared());
        let double_area = self.double_area_normal(triangle).length();
        double_area.is_nan() || double_area <= 1e-9 * longest
    }

    fn sides(&self) -> Vec<Side> {
        let side = |triangle: usize, from: u32, to: u32| Side {
            low: from.min(to),
            high: from.max(to),
            triangle: triangle as u32,
            rising: from < to,
        };
        let all = self.triangles.iter().enumerate();
        all.flat_map(|(t, &[a, b, c])| [side(t, a, b), side(t, b, c), side(t, c, a)]).collect()
    }

    fn check_edges(&self, sides: &[Side]) -> Result<(), SkinFaults> {
        let (mut meeting, mut facing) = (Vec::new(), Vec::new());
        for edge in sides.chunk_by(|a, b| (a.low, a.high) == (b.low, b.high)) {
            let (from, to) = (edge[0].low, edge[0].high);
            let at_mm = 0.5 * (self.points_mm[from as usize] + self.points_mm[to as usize]);
            if edge.len() > 2 && meeting.len() < SkinFaults::SHOWN {
                meeting.push(SkinFault::NonManifoldEdge { from, to, triangles: edge.len(), at_mm });
            } else if edge.len() == 2 && edge[0].rising == edge[1].rising && facing.len() < SkinFaults::SHOWN {
                facing.push(SkinFault::FacesDiffer { from, to, at_mm });
            }
        }
        meeting.append(&mut facing);
        if meeting.is_empty() { Ok(()) } else { Err(SkinFaults(meeting)) }
    }

    /// Pieces, points that only touch, free edge, handles.
    fn check_whole(&self, sides: &[Side], free: &[Side]) -> Result<(), SkinFaults> {
        let mut faults = self.touching_points(sides);
        let mut piece: Vec<u32> = (0..self.points_mm.len() as u32).collect();
        for side in sides {
            join(&mut piece, side.low, side.high);
        }
        let roots: Vec<usize> = (0..piece.len()).filter(|&i| piece[i] as usize == i).collect();
        if let [first, second, ..] = roots[..] {
            let (at_mm, other_mm) = (self.points_mm[first], self.points_mm[second]);
            faults.push(SkinFault::SeveralPieces { pieces: roots.len(), at_mm, other_mm });
        }
        if free.is_empty() {
            faults.push(SkinFault::Closed);
        }
        if !faults.is_empty() {
            return Err(SkinFaults(faults));
        }
        // Euler: points − edges + triangles = 2 − 2·handles − boundaries for one piece
        let edges = (sides.len() + free.len()) / 2;
        let euler = self.points_mm.len() as i64 - edges as i64 + self.triangles.len() as i64;
        let handles = (2 - euler - self.boundaries(free).len() as i64) / 2;
        if handles > 0 { Err(SkinFaults(vec![SkinFault::Handles { handles: handles as usize }])) } else { Ok(()) }
    }

    /// Points whose triangles are not one fan: joined across shared edges they fall into several groups.
    fn touching_points(&self, sides: &[Side]) -> Vec<SkinFault> {
        // one entry per corner of a triangle: corners at one point are joined when their triangles share an edge there
        let mut group: Vec<u32> = (0..3 * self.triangles.len() as u32).collect();
        let corner = |triangle: u32, point: u32| {
            let at = self.triangles[triangle as usize].iter().position(|p| *p == point).unwrap_or(0);
            3 * triangle + at as u32
        };
        for edge in sides.chunk_by(|a, b| (a.low, a.high) == (b.low, b.high)) {
            if let [one, other] = edge {
                for point in [one.low, one.high] {
                    join(&mut group, corner(one.triangle, point), corner(other.triangle, point));
                }
            }
        }
        let mut fans = vec![0u32; self.points_mm.len()];
        for (at, &root) in group.iter().enumerate() {
            if root as usize == at {
                fans[self.triangles[at / 3][at % 3] as usize] += 1;
            }
        }
        let several = fans.iter().enumerate().filter(|(_, fans)| **fans > 1);
        let fault = |(point, _): (usize, &u32)| SkinFault::NonManifoldPoint {
            point: point as u32,
            at_mm: self.points_mm[point],
        };
        several.map(fault).take(SkinFaults::SHOWN).collect()
    }

    /// Chains the free sides; every point has one leaving side, because its triangles are one fan.
    fn boundaries(&self, free: &[Side]) -> Vec<Vec<u32>> {
        let mut next = vec![u32::MAX; self.points_mm.len()];
        for side in free {
            let (from, to) = if side.rising { (side.low, side.high) } else { (side.high, side.low) };
            next[from as usize] = to;
        }
        let mut loops: Vec<Vec<u32>> = Vec::new();
        for start in 0..next.len() {
            let (mut at, mut chain) = (start, Vec::new());
            while next[at] != u32::MAX {
                chain.push(at as u32);
                at = std::mem::replace(&mut next[at], u32::MAX) as usize;
            }
            if !chain.is_empty() {
                loops.push(chain);
            }
        }
        let length = |chain: &Vec<u32>| self.loop_length_mm(chain);
        loops.sort_by(|a, b| length(b).total_cmp(&length(a)));
        loops
    }

    /// Length of a closed chain of points, mm.
    #[must_use]
    pub fn loop_length_mm(&self, chain: &[u32]) -> f64 {
        let at = |i: usize| self.points_mm[chain[i % chain.len()] as usize];
        (0..chain.len()).map(|i| at(i).distance(at(i + 1))).sum()
    }
}

/// Joins two sets, the lower root staying; afterwards every entry points at its root or at a lower entry of its set.
pub(crate) fn join(parent: &mut [u32], a: u32, b: u32) {
    let (a, b) = (root(parent, a), root(parent, b));
    parent[a.max(b) as usize] = a.min(b);
}

/// The lowest entry of a set.
pub(crate) fn root(parent: &mut [u32], mut at: u32) -> u32 {
    while parent[at as usize] != at {
        parent[at as usize] = parent[parent[at as usize] as usize];
        at = parent[at as usize];
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A grid of n × n squares, each cut in two; squares for which `left_out` holds are left out.
    fn grid(n: u32, left_out: impl Fn(u32, u32) -> bool) -> Skin {
        let points_mm =
            (0..=n).flat_map(|y| (0..=n).map(move |x| DVec3::new(f64::from(x), f64::from(y), 0.0))).collect();
        let squares = (0..n).flat_map(|y| (0..n).map(move |x| (x, y))).filter(|&(x, y)| !left_out(x, y));
        let at = |x: u32, y: u32| y * (n + 1) + x;
        let halves = |(x, y)| [[at(x, y), at(x + 1, y), at(x + 1, y + 1)], [at(x, y), at(x + 1, y + 1), at(x, y + 1)]];
        Skin { points_mm, triangles: squares.flat_map(halves).collect() }
    }

    fn only_fault(skin: &Skin) -> SkinFault {
        let faults = skin.topology().unwrap_err();
        assert_eq!(faults.0.len(), 1, "{faults}");
        faults.0[0].clone()
    }

    #[test]
    fn a_disc_and_a_sheet_with_a_hole() {
        let disc = grid(4, |_, _| false).topology().unwrap();
        assert_eq!(disc.boundaries.len(), 1);
        assert_eq!(disc.boundaries[0].len(), 16);
        assert_eq!(disc.boundaries[0][..3], [0, 1, 2], "anticlockwise, the sheet to the left");
        let holed = grid(5, |x, y| (x, y) == (2, 2)).topology().unwrap();
        assert_eq!(holed.boundaries.iter().map(Vec::len).collect::<Vec<_>>(), [20, 4]);
    }

    #[test]
    fn faults_are_named_with_their_place() {
        let good = grid(3, |_, _| false);
        let mut skin = good.clone();
        skin.points_mm[5].y = f64::NAN;
        assert_eq!(only_fault(&skin), SkinFault::NotFinite { point: 5 });
        let mut skin = good.clone();
        skin.triangles.push([0, 99, 1]);
        assert_eq!(only_fault(&skin), SkinFault::BadTriangle { triangle: 18 });
        let mut skin = good.clone();
        skin.triangles[4].swap(0, 1);
        assert!(matches!(skin.topology().unwrap_err().0[..], [SkinFault::FacesDiffer { .. }, ..]));
        let mut skin = good.clone();
        skin.points_mm.push(DVec3::new(1.5, 0.5, 2.0));
        skin.triangles.push([1, 5, 16]);
        assert!(matches!(only_fault(&skin), SkinFault::NonManifoldEdge { from: 1, to: 5, triangles: 3, .. }));
        let mut skin = good.clone();
        skin.points_mm[0] = skin.points_mm[1];
        assert!(matches!(skin.topology().unwrap_err().0[..], [SkinFault::ZeroArea { triangle: 0, .. }]));
        let mut skin = good.clone();
        skin.points_mm.push(DVec3::splat(9.0));
        assert!(matches!(only_fault(&skin), SkinFault::LoosePoint { point: 16, .. }));
        assert_eq!(only_fault(&Skin::default()), SkinFault::Empty);
        // two triangles with one point in common
        let corners = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [-1.0, 0.0], [-1.0, -1.0]];
        let bow = Skin {
            points_mm: corners.map(|[x, y]| DVec3::new(x, y, 0.0)).to_vec(),
            triangles: vec![[0, 1, 2], [0, 3, 4]],
        };
        assert!(matches!(only_fault(&bow), SkinFault::NonManifoldPoint { point: 0, .. }));
    }

    #[test]
    fn two_pieces_a_closed_body_and_a_handle() {
        let mut two = grid(2, |_, _| false);
        let shift = two.points_mm.len() as u32;
        let other = two.clone();
        two.points_mm.extend(other.points_mm.iter().map(|p| *p + DVec3::X * 10.0));
        two.triangles.extend(other.triangles.iter().map(|t| t.map(|i| i + shift)));
        assert!(matches!(only_fault(&two), SkinFault::SeveralPieces { pieces: 2, .. }));
        let corners = [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
        let body = Skin {
            points_mm: corners.map(DVec3::from).to_vec(),
            triangles: vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]],
        };
        assert_eq!(only_fault(&body), SkinFault::Closed);
        // a torus of 4 × 4 squares with one square left out
        let at = |x: u32, y: u32| (y % 4) * 4 + x % 4;
        let angle = |i: u32| std::f64::consts::FRAC_PI_2 * f64::from(i);
        let points_mm = (0..4)
            .flat_map(|y| {
                (0..4).map(move |x| {
                    let r = 10.0 + 3.0 * angle(y).cos();
                    DVec3::new(r * angle(x).cos(), r * angle(x).sin(), 3.0 * angle(y).sin())
                })
            })
            .collect();
        let triangles = (0..16)
            .skip(1)
            .map(|i| (i % 4, i / 4))
            .flat_map(|(x, y)| [[at(x, y), at(x + 1, y), at(x + 1, y + 1)], [at(x, y), at(x + 1, y + 1), at(x, y + 1)]])
            .collect();
        assert_eq!(only_fault(&Skin { points_mm, triangles }), SkinFault::Handles { handles: 1 });
    }
}
