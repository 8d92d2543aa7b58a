//! The lines of a skin that remeshing keeps: free edges and folds, between the corners where they end, meet or turn.

use crate::deviation::shape;
use crate::edit::{EditMesh, NONE};
use crate::topology::{join, root};
use glam::DVec3;
use parry3d_f64::math::Vector;
use parry3d_f64::query::PointQuery as _;
use parry3d_f64::shape::Polyline;

/// From this turn on a triangle may lie turned over on its neighbour.
const TURNED_OVER_RAD: f64 = 2.0;
/// Shape (see [`shape`]) of a triangle so thin that its normal says little.
const THIN: f64 = 0.1;
/// So many mean edges of fold go around a few triangles turned over.
const TURNED_OVER_EDGES: f64 = 10.0;

/// Where a point may go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// Anywhere on the skin.
    Free,
    /// Along a line.
    On(u32),
    /// Nowhere.
    Corner,
}

/// The lines as they are in the skin given.
pub(super) struct Lines {
    lines: Vec<Polyline>,
}

impl Lines {
    /// Finds the lines, marks their edges in `mesh`, and says what each point is.
    ///
    /// Folds that hang together over less than `least_mm`, and single triangles turned over, are taken as roughness.
    pub fn find(mesh: &mut EditMesh, fold_rad: f64, corner_rad: f64, least_mm: f64) -> (Self, Vec<Kind>) {
        let edges = (0..3 * mesh.triangles.len() as u32).filter(|&h| mesh.is_edge(h));
        let kept = without_roughness(mesh, edges.filter(|&h| is_line(mesh, h, fold_rad)).collect(), least_mm);
        let mut at_point: Vec<Vec<u32>> = vec![Vec::new(); mesh.points.len()];
        for &h in &kept {
            at_point[mesh.from(h) as usize].push(h);
            at_point[mesh.to(h) as usize].push(h);
        }
        let is_corner = |point: usize| match at_point[point][..] {
            [] => false,
            [one, other] => {
                let away = |h: u32| mesh.at(mesh.from(h) ^ mesh.to(h) ^ point as u32) - mesh.points[point];
                away(one).angle_between(-away(other)) > corner_rad
            }
            _ => true,
        };
        let corner: Vec<bool> = (0..mesh.points.len()).map(is_corner).collect();
        let mut kinds: Vec<Kind> = corner.iter().map(|c| if *c { Kind::Corner } else { Kind::Free }).collect();
        let mut lines = Vec::new();
        // corners first, then what is left are closed lines without one
        let starts = kept.iter().filter(|h| corner[mesh.from(**h) as usize] || corner[mesh.to(**h) as usize]);
        let starts: Vec<u32> = starts.chain(&kept).copied().collect();
        for start in starts {
            if mesh.line(start) != NONE {
                continue;
            }
            let line = lines.len() as u32;
            let chain = follow(mesh, start, &at_point, &corner, line);
            for &h in &chain {
                for point in [mesh.from(h), mesh.to(h)] {
                    if !corner[point as usize] {
                        kinds[point as usize] = Kind::On(line);
                    }
                }
            }
            let point = |p: u32| Vector::from_array(mesh.at(p).to_array());
            let points = chain.iter().flat_map(|&h| [point(mesh.from(h)), point(mesh.to(h))]).collect();
            let ends = (0..chain.len() as u32).map(|i| [2 * i, 2 * i + 1]).collect();
            lines.push(Polyline::new(points, Some(ends)));
        }
        (Self { lines }, kinds)
    }

    /// The place of a line closest to a point.
    pub fn project(&self, line: u32, at: DVec3) -> DVec3 {
        let Some(line) = self.lines.get(line as usize) else { return at };
        let found = line.project_local_point_with_max_dist(Vector::from_array(at.to_array()), false, f64::MAX);
        found.map_or(at, |found| DVec3::from(found.point.to_array()))
    }
}

/// A free edge, or a fold whose faces' normals differ by more than the angle.
fn is_line(mesh: &EditMesh, h: u32, fold_rad: f64) -> bool {
    mesh.twin(h) == NONE || turn_rad(mesh, h) > fold_rad
}

/// Leaves out folds that are roughness: short ones, and those around a few triangles that lie turned over on their neighbours.
fn without_roughness(mesh: &EditMesh, mut edges: Vec<u32>, least_mm: f64) -> Vec<u32> {
    let mut set: Vec<u32> = (0..mesh.points.len() as u32).collect();
    let folds: Vec<u32> = edges.iter().copied().filter(|&h| mesh.twin(h) != NONE).collect();
    folds.iter().for_each(|&h| join(&mut set, mesh.from(h), mesh.to(h)));
    let (mut length, mut back) = (vec![0.0; mesh.points.len()], vec![false; mesh.points.len()]);
    for &h in &folds {
        let whole = root(&mut set, mesh.from(h)) as usize;
        length[whole] += mesh.length(h);
        let thin = |h: u32| {
            let corners = mesh.corners(h as usize / 3);
            shape(corners, (corners[1] - corners[0]).cross(corners[2] - corners[0])) < THIN
        };
        back[whole] |= turn_rad(mesh, h) > TURNED_OVER_RAD || thin(h) || thin(mesh.twin(h));
    }
    let sides = 3 * mesh.triangles.len() as u32;
    let mean = (0..sides).map(|h| mesh.length(h)).sum::<f64>() / f64::from(sides);
    edges.retain(|&h| {
        let whole = root(&mut set, mesh.from(h)) as usize;
        let rough = length[whole] < least_mm || back[whole] && length[whole] < TURNED_OVER_EDGES * mean;
        mesh.twin(h) == NONE || !rough
    });
    edges
}

/// Angle between the normals of the faces at an edge that is not free, rad.
fn turn_rad(mesh: &EditMesh, h: u32) -> f64 {
    let normal = |h: u32| {
        let [a, b, c] = mesh.corners(h as usize / 3);
        (b - a).cross(c - a)
    };
    normal(h).angle_between(normal(mesh.twin(h)))
}

/// The edges of the line that starts with one, in order, marked.
fn follow(mesh: &mut EditMesh, start: u32, at_point: &[Vec<u32>], corner: &[bool], line: u32) -> Vec<u32> {
    let (from, to) = (mesh.from(start), mesh.to(start));
    let mut at = if corner[from as usize] { to } else { from };
    if corner[from as usize] && corner[to as usize] {
        mesh.set_line(start, line);
        return vec![start];
    }
    let (mut chain, mut edge) = (Vec::new(), start);
    loop {
        mesh.set_line(edge, line);
        chain.push(edge);
        if corner[at as usize] {
            return chain;
        }
        let onward = at_point[at as usize].iter().find(|h| mesh.line(**h) == NONE);
        let Some(&onward) = onward else { return chain };
        edge = onward;
        at ^= mesh.from(edge) ^ mesh.to(edge);
    }
}
