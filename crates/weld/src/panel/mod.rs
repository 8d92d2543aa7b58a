//! The panel with its section not yet in: one mesh cut open along the weld lines, and the pairs of points that a weld joins.
//!
//! Cut: the lines are put into the triangles and the points on them doubled, one for each side. Both sides keep the same stations,
//! so that pairs lie opposite each other. The mesh is drawn to the line: the gap of the fit-up is a number beside it, at most half a
//! thickness, and too small to change the stiffness. Holds: `closed` and `open` have the same triangles in the same order. Does not hold
//! for: lines that cross or touch each other, and corners of a line sharper than a triangle (they are cut off within one).

mod contour;
mod error;
mod line;
mod pairs;
mod refine;

pub use error::PanelError;
pub use line::{OFF_MESH_MM, SeamLine};
pub(crate) use line::{foot_on, free_edges};
pub use pairs::{Pair, SeamPairs};

use line::LaidLine;
use mesh::Skin;
use mesh::remesh::RemeshSettings;
use numerics::{Cancel, Progress};

/// How fine the panel is meshed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PanelSettings {
    /// Wanted edge along the weld lines, mm.
    pub edge_mm: f64,
    /// Wanted edge elsewhere, mm; `None` keeps the triangles given.
    pub far_edge_mm: Option<f64>,
}

/// A panel cut open along its weld lines.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// All joined.
    pub closed: Skin,
    /// Nothing joined: the same triangles, with the points of the lines doubled.
    pub open: Skin,
    /// Point of `open` → point of `closed`.
    pub closed_of: Vec<u32>,
    /// The weld lines with their pairs.
    pub seams: Vec<SeamPairs>,
    /// Point of `open` → piece, counted from 0.
    pub piece_of: Vec<u32>,
    /// Pieces of `open`.
    pub pieces: usize,
    /// Pieces of `closed`; more than 1: the panel is torn.
    pub closed_pieces: usize,
}

impl Panel {
    /// Cuts a skin along weld lines.
    ///
    /// # Errors
    /// [`PanelError`]: the mesh is unsound, a line lies off it or cannot be followed, lines meet.
    pub fn cut(
        skin: &Skin,
        lines: &[SeamLine],
        settings: &PanelSettings,
        progress: &Progress,
        cancel: &Cancel,
    ) -> Result<Self, PanelError> {
        let edge_mm = settings.edge_mm;
        if !(edge_mm.is_finite() && edge_mm > 0.0) {
            return Err(PanelError::Setting {
                name: "edge along the weld",
                got: edge_mm,
                need: "give a length above 0",
            });
        }
        if lines.is_empty() {
            return Err(PanelError::NoSeam);
        }
        skin.check_manifold().map_err(mesh::MeshError::from)?;
        let mut closed = match settings.far_edge_mm {
            Some(far) => skin.remeshed(&RemeshSettings::to_edge_mm(far), &progress.part(0.0, 0.8), cancel)?.skin,
            None => skin.clone(),
        };
        progress.report(0.8, "cutting the panel along the weld");
        let laid = lines.iter().enumerate().map(|(i, line)| LaidLine::new(line, i + 1, &closed, edge_mm));
        let laid = laid.collect::<Result<Vec<_>, _>>()?;
        closed = refine::near_lines(closed, &laid, edge_mm)?;
        let mut fixed: Vec<u32> = Vec::new();
        for (i, line) in laid.iter().enumerate() {
            contour::insert(&mut closed, line, i + 1, edge_mm, &fixed)?;
            let sides = contour::sides(&closed, line, edge_mm);
            fixed.extend(contour::chain(&closed, line, i + 1, edge_mm, &sides)?.points);
        }
        let panel = pairs::parted(closed, &laid, edge_mm)?;
        panel.open.check_manifold().map_err(mesh::MeshError::from)?;
        progress.report(1.0, "cutting the panel along the weld");
        Ok(panel)
    }

    /// All pairs, seam after seam.
    pub fn pairs(&self) -> impl Iterator<Item = &Pair> {
        self.seams.iter().flat_map(|seam| &seam.pairs)
    }

    /// The skin with some of the pairs joined (numbers as in [`Panel::pairs`]), and point of `open` → its point.
    #[must_use]
    pub fn joined(&self, is_joined: &[bool]) -> (Skin, Vec<u32>) {
        let mut target: Vec<u32> = (0..self.open.points_mm.len() as u32).collect();
        for (pair, _) in self.pairs().zip(is_joined).filter(|(_, joined)| **joined) {
            target[pair.right as usize] = pair.left;
        }
        let mut number = vec![u32::MAX; target.len()];
        let mut points_mm = Vec::new();
        for (point, at) in self.open.points_mm.iter().enumerate() {
            if target[point] == point as u32 {
                number[point] = points_mm.len() as u32;
                points_mm.push(*at);
            }
        }
        let of: Vec<u32> = target.iter().map(|t| number[*t as usize]).collect();
        let triangles = self.open.triangles.iter().map(|t| t.map(|p| of[p as usize])).collect();
        (Skin { points_mm, triangles }, of)
    }
}

#[cfg(test)]
mod tests;
