//! The kept triangles as a skin of their own.

use crate::Skin;
use crate::edit::{EditMesh, NONE, prev};
use crate::topology::{join, root};

pub(super) struct Part {
    pub skin: Skin,
    pub pieces: usize,
    /// Length of edges that have a neighbour in the mesh and none in the part, mm.
    pub cut_mm: f64,
}

/// The triangles for which `kept` holds. Where they meet at a point in several fans, each fan gets a point of its own.
pub(super) fn of(mesh: &EditMesh, kept: &[bool]) -> Part {
    let is_kept = |h: u32| h != NONE && kept[h as usize / 3];
    let mut skin = Skin::default();
    let mut number = vec![NONE; 3 * mesh.triangles.len()];
    let mut fan = Vec::new();
    for point in 0..mesh.points.len() as u32 {
        mesh.fan(point, &mut fan);
        let closed = fan.last().is_some_and(|h| mesh.twin(prev(*h)) != NONE);
        // start behind a triangle that is not kept, so that no run goes over the end of the list
        let start = if closed { fan.iter().position(|h| !is_kept(*h)).unwrap_or(0) } else { 0 };
        fan.rotate_left(start);
        let mut before = false;
        for &h in &fan {
            if is_kept(h) {
                if !before {
                    skin.points_mm.push(mesh.at(point));
                }
                number[h as usize] = skin.points_mm.len() as u32 - 1;
            }
            before = is_kept(h);
        }
    }
    let mut set: Vec<u32> = (0..skin.points_mm.len() as u32).collect();
    let mut cut_mm = 0.0;
    for triangle in (0..mesh.triangles.len()).filter(|t| kept[*t]) {
        let corners = [0, 1, 2].map(|i| number[3 * triangle + i]);
        skin.triangles.push(corners);
        join(&mut set, corners[0], corners[1]);
        join(&mut set, corners[0], corners[2]);
        for h in 3 * triangle as u32..3 * triangle as u32 + 3 {
            if mesh.twin(h) != NONE && !is_kept(mesh.twin(h)) {
                cut_mm += mesh.length(h);
            }
        }
    }
    let pieces = (0..set.len() as u32).filter(|p| root(&mut set, *p) == *p).count();
    Part { skin, pieces, cut_mm }
}
