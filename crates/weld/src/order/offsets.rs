//! Offsets locked in at the pairs, as triangles of the joined mesh that are at rest elsewhere.

use super::{ROWS, Row};
use crate::panel::Panel;
use crate::shell::RestShift;
use faer::{Mat, Side};
use glam::DVec3;

/// Where the triangles of the joined mesh are at rest when offsets are locked in at the pairs, half on either side.
///
/// `relative`: motions of the pairs when they were joined (see [`super::Walk::relative`]). What is a rigid motion of a whole piece
/// stresses nothing and is taken out first: the section then merely sits elsewhere. Steps out of the sheet and kinks are left
/// out: they bend the strip beside the line and push nothing together.
#[must_use]
pub fn offset_shifts(panel: &Panel, relative: &[f64], is_joined: &[bool]) -> Vec<RestShift> {
    let offsets = without_rigid(panel, offsets(panel, relative, is_joined));
    shifts_of(panel, &offsets)
}

/// Where the triangles beside the lines are at rest when their points on them stand apart by so much, left minus right.
pub(crate) fn shifts_of(panel: &Panel, offsets: &[Option<DVec3>]) -> Vec<RestShift> {
    let mut back: Vec<DVec3> = vec![DVec3::ZERO; panel.open.points_mm.len()];
    for (pair, offset) in panel.pairs().zip(offsets) {
        let Some(offset) = offset else { continue };
        let by = 0.5 * offset.reject_from_normalized(pair.normal);
        back[pair.left as usize] -= by;
        back[pair.right as usize] += by;
    }
    let shift = |(triangle, corners): (usize, &[u32; 3])| {
        let corners_mm = corners.map(|node| back[node as usize]);
        let moves = corners_mm.iter().any(|by| *by != DVec3::ZERO);
        moves.then_some(RestShift { triangle: triangle as u32, corners_mm })
    };
    panel.open.triangles.iter().enumerate().filter_map(shift).collect()
}

/// Left minus right of each joined pair, in the axes of the mesh.
fn offsets(panel: &Panel, relative: &[f64], is_joined: &[bool]) -> Vec<Option<DVec3>> {
    let of = |(number, pair): (usize, &crate::panel::Pair)| {
        let first = ROWS * number;
        let by = |row: Row| relative.get(first + row as usize).copied().unwrap_or(0.0);
        let whole = pair.across * by(Row::Across) + pair.along * by(Row::Along) + pair.normal * by(Row::Normal);
        is_joined.get(first).copied().unwrap_or(false).then_some(whole)
    };
    panel.pairs().enumerate().map(of).collect()
}

/// Takes out, by least squares, what small rigid motions of the pieces explain; the first piece stays.
fn without_rigid(panel: &Panel, mut offsets: Vec<Option<DVec3>>) -> Vec<Option<DVec3>> {
    let unknowns = 6 * panel.pieces.saturating_sub(1);
    if unknowns == 0 || offsets.iter().all(Option::is_none) {
        return offsets;
    }
    let middle = panel.open.points_mm.iter().sum::<DVec3>() / panel.open.points_mm.len() as f64;
    let size = panel.open.size_mm().max(f64::MIN_POSITIVE);
    // motion of a piece at a point by each of its six unknowns: three shifts, three turns over the size
    let motions = |at: DVec3| {
        let arm = (at - middle) / size;
        let [x, y, z] = DVec3::AXES;
        [x, y, z, x.cross(arm), y.cross(arm), z.cross(arm)]
    };
    let row = |pair: &crate::panel::Pair| {
        let mut row = vec![DVec3::ZERO; unknowns];
        for (node, sign) in [(pair.left, 1.0), (pair.right, -1.0)] {
            let piece = panel.piece_of[node as usize] as usize;
            if piece > 0 {
                for (i, motion) in motions(panel.open.points_mm[node as usize]).into_iter().enumerate() {
                    row[6 * (piece - 1) + i] += sign * motion;
                }
            }
        }
        row
    };
    let (mut normal, mut side) = (Mat::<f64>::zeros(unknowns, unknowns), vec![0.0; unknowns]);
    for (pair, offset) in panel.pairs().zip(&offsets) {
        let Some(offset) = offset else { continue };
        let row = row(pair);
        for i in 0..unknowns {
            side[i] += row[i].dot(*offset);
            for j in 0..unknowns {
                normal[(i, j)] += row[i].dot(row[j]);
            }
        }
    }
    let Ok(eigen) = normal.self_adjoint_eigen(Side::Lower) else { return offsets };
    let values: Vec<f64> = eigen.S().column_vector().iter().copied().collect();
    let largest = values.last().copied().unwrap_or(0.0);
    let mut motion = vec![0.0; unknowns];
    for (k, value) in values.iter().enumerate().filter(|(_, value)| **value > 1e-9 * largest) {
        let along: f64 = (0..unknowns).map(|i| eigen.U()[(i, k)] * side[i]).sum::<f64>() / value;
        (0..unknowns).for_each(|i| motion[i] += along * eigen.U()[(i, k)]);
    }
    for (pair, offset) in panel.pairs().zip(&mut offsets) {
        if let Some(offset) = offset {
            *offset -= row(pair).iter().zip(&motion).map(|(row, by)| *row * *by).sum::<DVec3>();
        }
    }
    offsets
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::panel::{PanelSettings, SeamLine};
    use mesh::Skin;
    use numerics::{Cancel, Progress};

    fn panel() -> Panel {
        let at = |i: u32| DVec3::new(f64::from(i % 13) * 10.0, f64::from(i / 13) * 10.0, 0.0);
        let square = |(i, j): (u32, u32)| {
            let a = 13 * j + i;
            [[a, a + 1, a + 14], [a, a + 14, a + 13]]
        };
        let triangles = (0..8).flat_map(|j| (0..12).map(move |i| (i, j))).flat_map(square).collect();
        let skin = Skin { points_mm: (0..13 * 9).map(at).collect(), triangles };
        let line =
            SeamLine { points_mm: vec![DVec3::new(0.0, 40.0, 0.0), DVec3::new(120.0, 40.0, 0.0)], closed: false };
        let settings = PanelSettings { edge_mm: 10.0, far_edge_mm: None };
        Panel::cut(&skin, &[line], &settings, &Progress::silent(), &Cancel::new()).unwrap()
    }

    #[test]
    fn a_section_that_sits_elsewhere_is_not_strained() {
        let panel = panel();
        let pairs = panel.pairs().count();
        // the left side moved by 2 mm and turned by 0.01 about a point of the line
        let mut relative = vec![0.0; ROWS * pairs];
        for (number, pair) in panel.pairs().enumerate() {
            let by =
                DVec3::new(0.7, 2.0, 0.3) + DVec3::new(0.0, 0.0, 0.01).cross(panel.open.points_mm[pair.left as usize]);
            let rows = &mut relative[ROWS * number..];
            (rows[0], rows[1], rows[2]) = (by.dot(pair.across), by.dot(pair.along), by.dot(pair.normal));
        }
        let shifts = offset_shifts(&panel, &relative, &vec![true; ROWS * pairs]);
        assert!(shifts.iter().flat_map(|shift| shift.corners_mm).all(|by| by.length() < 1e-9));
        // what is no rigid motion moves the triangles beside its place: a gap that closed by 0.1 mm is made up by sheet that is wider there
        let mut relative = vec![0.0; ROWS * pairs];
        relative[ROWS * 6] = -0.1;
        let shifts = offset_shifts(&panel, &relative, &vec![true; ROWS * pairs]);
        let pair = panel.pairs().nth(6).unwrap();
        let by = |node: u32| {
            let of = |shift: &RestShift| {
                let corner = panel.open.triangles[shift.triangle as usize].iter().position(|other| *other == node)?;
                Some(shift.corners_mm[corner])
            };
            shifts.iter().find_map(of).unwrap()
        };
        let closed = (by(pair.left) - by(pair.right)).dot(pair.across);
        assert!(closed > 0.05 && closed < 0.1, "{closed}: less what a rigid motion explains");
        assert!(offset_shifts(&panel, &relative, &vec![false; ROWS * pairs]).is_empty());
    }
}
