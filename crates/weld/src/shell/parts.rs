//! Which nodes hang together.

use super::Frame;
use super::Shell;
use crate::error::WeldError;

/// For each node the lowest node of its part; [`LOOSE`] for a node of no triangle.
pub(super) fn parts(shell: &Shell) -> Vec<u32> {
    let mut root: Vec<u32> = (0..shell.skin.points_mm.len() as u32).collect();
    let mut used = vec![false; root.len()];
    for triangle in &shell.skin.triangles {
        let roots = triangle.map(|node| {
            used[node as usize] = true;
            find(&mut root, node)
        });
        let lowest = roots[0].min(roots[1]).min(roots[2]);
        roots.iter().for_each(|&r| root[r as usize] = lowest);
    }
    (0..root.len() as u32).map(|node| if used[node as usize] { find(&mut root, node) } else { LOOSE }).collect()
}

/// Part of a node that no triangle uses.
pub(super) const LOOSE: u32 = u32::MAX;

fn find(root: &mut [u32], node: u32) -> u32 {
    let mut at = node;
    while root[at as usize] != at {
        let up = root[at as usize];
        root[at as usize] = root[up as usize];
        at = up;
    }
    at
}

impl Shell {
    /// Sheet of a triangle.
    #[must_use]
    pub fn sheet(&self, triangle: usize) -> &super::Sheet {
        &self.sheets[self.sheet_of.get(triangle).map_or(0, |&sheet| usize::from(sheet))]
    }

    /// Refuses what is no shell: numbers that are not finite, triangles without area, sheets without thickness.
    ///
    /// # Errors
    /// The first fault found. Edges of more than two triangles are accepted: flanges may meet in a tee.
    pub fn validate(&self) -> Result<Vec<Frame>, WeldError> {
        let points = &self.skin.points_mm;
        if self.skin.triangles.is_empty() {
            return Err(WeldError::Empty);
        }
        if self.sheets.is_empty() {
            return Err(WeldError::NoSuch { what: "sheet", got: 0, count: 0 });
        }
        self.sheets.iter().try_for_each(super::Sheet::validate)?;
        if let Some(index) = points.iter().position(|point| !point.is_finite()) {
            return Err(WeldError::NotFinite { what: "point", index });
        }
        let (got, need) = (self.sheet_of.len(), self.skin.triangles.len());
        if got != 0 && got != need {
            return Err(WeldError::WrongLength { what: "the list of sheets of triangles", got, need });
        }
        if let Some(&got) = self.sheet_of.iter().find(|&&sheet| usize::from(sheet) >= self.sheets.len()) {
            return Err(WeldError::NoSuch { what: "sheet", got: usize::from(got), count: self.sheets.len() });
        }
        let mut frames = Vec::with_capacity(need);
        for (triangle, nodes) in self.skin.triangles.iter().enumerate() {
            if let Some(&got) = nodes.iter().find(|&&node| node as usize >= points.len()) {
                return Err(WeldError::NoSuch { what: "point", got: got as usize, count: points.len() });
            }
            let corners = self.skin.corners(triangle);
            let frame = Frame::of(corners);
            frames.push(
                frame.ok_or(WeldError::Degenerate { triangle, at_mm: (corners[0] + corners[1] + corners[2]) / 3.0 })?,
            );
        }
        Ok(frames)
    }
}
