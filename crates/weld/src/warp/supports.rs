//! Supports of the plan as holds on the nodes of a shell.
//!
//! A flange or a wire keeps an edge on the surface and lets it move along it; a neighbour keeps it in place; a clamp keeps a patch on the
//! surface. The wire's or flange's own bending stiffness is left out: it holds fully. A piece that nothing holds, and every piece while there are several, hangs besides on light
//! springs, as a section hangs in its clamps. A panel in one piece that is held on its surface has them in the surface alone, where they keep it from sliding
//! without end: square to it they would be a foundation that stiffens a large thin sheet.

use super::WarpError;
use super::plan::{EdgeKind, PanelSupport, WarpPlan};
use crate::panel::{Panel, foot_on, free_edges};
use crate::shell::{Hold, Supports};
use glam::DVec3;
use mesh::Skin;

/// An edge farther from the points of its support is not meant, mm.
pub const EDGE_WITHIN_MM: f64 = 15.0;
/// Springs that keep a piece from floating, and a panel that is held on its surface from sliding along it: of the whole piece, N/mm.
const LIGHT_N_MM: f64 = 2.0;

/// Holds on the nodes of the closed mesh.
pub(super) fn on_closed(plan: &WarpPlan, panel: &Panel) -> Result<Supports, WarpError> {
    let skin = &panel.closed;
    let normals = skin.point_normals();
    let outer = outer_nodes(skin);
    let mut holds = Vec::new();
    for (i, support) in plan.supports.iter().enumerate() {
        match support {
            PanelSupport::Edge { kind, points_mm } => {
                let near = |node: &&u32| points_mm.is_empty() || along(points_mm, skin.points_mm[**node as usize]);
                let nodes: Vec<u32> = outer.iter().filter(near).copied().collect();
                if nodes.is_empty() {
                    let (number, name) = (i + 1, kind.name());
                    return Err(WarpError::SupportOffEdge { number, name, within_mm: EDGE_WITHIN_MM });
                }
                for node in nodes {
                    held(*kind, node, normals[node as usize], &mut holds);
                }
            }
            PanelSupport::Clamp { at_mm, radius_mm } => {
                let away = |node: u32| skin.points_mm[node as usize].distance(*at_mm);
                let mut nodes: Vec<u32> =
                    (0..skin.points_mm.len() as u32).filter(|node| away(*node) <= *radius_mm).collect();
                if nodes.is_empty() {
                    let nearest = (0..skin.points_mm.len() as u32).min_by(|a, b| away(*a).total_cmp(&away(*b)));
                    nodes.extend(nearest.filter(|node| away(*node) <= EDGE_WITHIN_MM + plan.settings.far_edge_mm));
                }
                if nodes.is_empty() {
                    let within_mm = EDGE_WITHIN_MM + plan.settings.far_edge_mm;
                    return Err(WarpError::SupportOffEdge { number: i + 1, name: "clamp", within_mm });
                }
                for node in nodes {
                    held(EdgeKind::Flange, node, normals[node as usize], &mut holds);
                }
            }
        }
    }
    Ok(Supports { holds })
}

fn held(kind: EdgeKind, node: u32, normal: DVec3, holds: &mut Vec<Hold>) {
    let hold = |axis| Hold { node, axis, rotation: false, spring: None };
    match kind {
        EdgeKind::Free => {}
        EdgeKind::Flange | EdgeKind::Wired => holds.push(hold(if normal == DVec3::ZERO { DVec3::Z } else { normal })),
        EdgeKind::Neighbour => holds.extend(DVec3::AXES.map(hold)),
    }
}

/// Whether there is metal beyond a place on an edge, into which heat flows on: a flange or a neighbour.
pub(super) fn metal_goes_on(plan: &WarpPlan, at: DVec3) -> bool {
    plan.supports.iter().any(|support| match support {
        PanelSupport::Edge { kind: EdgeKind::Flange | EdgeKind::Neighbour, points_mm } => {
            points_mm.is_empty() || along(points_mm, at)
        }
        PanelSupport::Edge { kind: EdgeKind::Wired | EdgeKind::Free, .. } | PanelSupport::Clamp { .. } => false,
    })
}

/// Nodes of the free edges of the closed mesh.
fn outer_nodes(skin: &Skin) -> Vec<u32> {
    let mut nodes: Vec<u32> = free_edges(skin).into_iter().flatten().collect();
    nodes.sort_unstable();
    nodes.dedup();
    nodes
}

/// Whether a place lies near a line of points.
fn along(points: &[DVec3], at: DVec3) -> bool {
    let near = |p: DVec3, q: DVec3| foot_on(at, p, q).0.distance(at) <= EDGE_WITHIN_MM;
    match points {
        [only] => near(*only, *only),
        _ => points.windows(2).any(|ends| near(ends[0], ends[1])),
    }
}

/// Light springs of a mesh.
pub(super) enum Hung<'a> {
    /// None.
    Not,
    /// Each piece by all its points, in every direction; the piece of each point.
    Floating(&'a [u32]),
    /// In the surface alone; the normal of each point.
    InTheSurface(&'a [DVec3]),
}

/// The holds of the closed mesh on another numbering of its nodes, with light springs.
pub(super) fn carried(closed: &Supports, closed_of: &[u32], hung: &Hung<'_>) -> Supports {
    let mut of_closed: Vec<(u32, u32)> = closed_of.iter().enumerate().map(|(node, c)| (*c, node as u32)).collect();
    of_closed.sort_unstable();
    let mut holds = Vec::new();
    for hold in &closed.holds {
        let first = of_closed.partition_point(|(c, _)| *c < hold.node);
        let copies = of_closed.iter().skip(first).take_while(|(c, _)| *c == hold.node);
        holds.extend(copies.map(|(_, node)| Hold { node: *node, ..*hold }));
    }
    let mut spring = |node: usize, axis: DVec3, n_mm: f64| {
        holds.push(Hold { node: node as u32, axis, rotation: false, spring: Some(n_mm) });
    };
    match hung {
        Hung::Not => {}
        Hung::Floating(piece_of) => {
            let pieces = piece_of.iter().max().map_or(0, |most| *most as usize + 1);
            let mut count = vec![0usize; pieces];
            piece_of.iter().for_each(|piece| count[*piece as usize] += 1);
            for (node, piece) in piece_of.iter().enumerate() {
                DVec3::AXES.into_iter().for_each(|axis| spring(node, axis, LIGHT_N_MM / count[*piece as usize] as f64));
            }
        }
        Hung::InTheSurface(normals) => {
            for (node, normal) in normals.iter().enumerate().filter(|(_, normal)| **normal != DVec3::ZERO) {
                let along = normal.any_orthonormal_vector();
                let n_mm = LIGHT_N_MM / normals.len() as f64;
                [along, normal.cross(along)].into_iter().for_each(|axis| spring(node, axis, n_mm));
            }
        }
    }
    Supports { holds }
}
