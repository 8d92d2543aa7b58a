//! The membrane with drilling rotations against its author: C. A. Felippa, A study of optimal membrane triangles with drilling
//! freedoms, *Comput. Methods Appl. Mech. Engrg.* 192 (2003) 2125–2168 (from memory).

use crate::near::near;
use crate::shells::{Case, Line, about, along, force_at, grid};
use crate::shells::{Cut, Grid};
use glam::DVec3;
use weld::shell::{Hold, Loads, Sheet};

/// Cook's tapered panel, clamped at one end and sheared by 1 at the other: deflection of the middle of the free end for the
/// "OPT" element, 2 × 2 to 16 × 16 mesh units cut along their short diagonals. Converged: 23.96.
#[test]
fn cooks_tapered_panel() {
    for (n, printed) in [(2, 20.56), (4, 22.45), (8, 23.43), (16, 23.80)] {
        // w runs down, so that the diagonals are the short ones
        let grid = grid([n, n], Cut::Regular, |s, w| {
            let (low, high) = (44.0 * s, 44.0 + 16.0 * s);
            DVec3::new(48.0 * s, high + w * (low - high), 0.0)
        });
        let sheet = Sheet { thickness_mm: 1.0, young_n_mm2: 1.0, poisson: 1.0 / 3.0 };
        let case = Case::new(&grid.skin, sheet, wall(&grid), shear(&grid));
        near(case.deflection.displacement_mm(grid.node(n, n / 2) as usize).y, printed, 0.005);
    }
}

/// The wall holds displacements; the drilling rotations there are free, as in the paper.
fn wall(grid: &Grid) -> Vec<Hold> {
    let axes = [DVec3::X, DVec3::Y, DVec3::Z];
    let wall = grid.line(Line::First).into_iter().flat_map(|node| axes.map(|axis| along(node, axis)));
    wall.chain((0..grid.skin.points_mm.len() as u32).flat_map(|node| [about(node, DVec3::X), about(node, DVec3::Y)]))
        .collect()
}

fn shear(grid: &Grid) -> Loads {
    let end = grid.line(Line::Last);
    let share = DVec3::Y / (end.len() as f64 - 1.0);
    let mut loads = Loads::default();
    for side in end.windows(2) {
        side.iter().for_each(|&node| loads.at_nodes.extend(force_at(node, share / 2.0).at_nodes));
    }
    loads
}
