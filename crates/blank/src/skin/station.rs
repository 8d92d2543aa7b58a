//! Where a station of the finished skin lies in its flat: the line that a plane cuts, carried over by the triangles it runs through.

use crate::flatten::FlatSkin;
use glam::DVec2;
use mesh::Skin;
use mesh::sections::{Place, SectionCutter, SectionError, SectionPlane};

/// Why a station has no line in the flat.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StationError {
    /// The plane cannot be cut.
    #[error(transparent)]
    Section(#[from] SectionError),
    /// The flat is that of another skin.
    #[error("the flat has {flat} points and the skin {skin}; give the flat of this skin")]
    OtherSkin {
        /// Points of the flat.
        flat: usize,
        /// Points of the skin.
        skin: usize,
    },
}

/// The lines of the flat, mm, along which a plane cuts `skin`: each from one free edge to another, or closed and ending where it begins.
/// None where the plane passes the skin by.
///
/// `skin` has the points and triangles of the flat in the same order (any face of the sheet).
///
/// # Errors
/// [`StationError`].
pub fn station_lines(skin: &Skin, flat: &FlatSkin, plane: &SectionPlane) -> Result<Vec<Vec<DVec2>>, StationError> {
    if flat.points_mm.len() != skin.points_mm.len() {
        return Err(StationError::OtherSkin { flat: flat.points_mm.len(), skin: skin.points_mm.len() });
    }
    let lines = match SectionCutter::new(skin)?.cut(plane) {
        Err(SectionError::Misses { .. }) => return Ok(Vec::new()),
        other => other?,
    };
    let point = |i: u32| flat.points_mm.get(i as usize).copied();
    let in_flat = |place: Place| match place {
        Place::Point(i) => point(i),
        Place::Edge { low, high, share } => Some(point(low)?.lerp(point(high)?, share)),
    };
    let carried = lines.iter().map(|line| {
        let round = line.points.first().filter(|_| line.closed);
        line.points.iter().chain(round).filter_map(|point| in_flat(point.place)).collect()
    });
    Ok(carried.collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flatten::{FlattenSettings, flatten};
    use glam::DVec3;
    use numerics::{Cancel, Progress};

    /// A quarter of a cylinder of radius 200 about x, 300 long: its flat is a rectangle, and a station across it is the line at that x,
    /// as long as the quarter is round; a station of height lies where the arc length says (closed form).
    #[test]
    fn stations_of_a_cylinder_lie_where_its_arc_says() {
        let (rows, columns, radius) = (24u32, 20u32, 200.0);
        let mut skin = Skin::default();
        for i in 0..=rows {
            for j in 0..=columns {
                let (angle, x) = (f64::from(i) / f64::from(rows) * 0.5 * std::f64::consts::PI, 15.0 * f64::from(j));
                skin.points_mm.push(DVec3::new(x, radius * angle.sin(), radius * angle.cos()));
            }
        }
        for i in 0..rows {
            for j in 0..columns {
                let a = i * (columns + 1) + j;
                let b = a + columns + 1;
                skin.triangles.extend([[a, a + 1, b + 1], [a, b + 1, b]]);
            }
        }
        let flat =
            flatten(&skin, &FlattenSettings::symmetric_dirichlet(), &Progress::silent(), &Cancel::new()).unwrap();
        let length = |line: &[DVec2]| line.windows(2).map(|pair| pair[0].distance(pair[1])).sum::<f64>();
        let round_mm = f64::from(rows) * 2.0 * radius * (0.25 * std::f64::consts::PI / f64::from(rows)).sin();
        let lines = |plane: SectionPlane| station_lines(&skin, &flat, &plane).unwrap();
        let at = |origin, along, up| SectionPlane::new(origin, along, up).unwrap();
        let [across] = lines(at(DVec3::X * 112.0, DVec3::Y, DVec3::Z)).try_into().unwrap();
        assert!((length(&across) - round_mm).abs() < 1e-6, "{} {round_mm}", length(&across));
        let [along] = lines(at(DVec3::Y * 100.0, DVec3::Z, DVec3::X)).try_into().unwrap();
        assert!((length(&along) - 300.0).abs() < 1e-6, "{}", length(&along));
        // y = 100 is an arc of 30° from the free edge y = 0
        let edge = [flat.points_mm[0], flat.points_mm[columns as usize]];
        let off = (along[0] - edge[0]).perp_dot((edge[1] - edge[0]).normalize()).abs();
        assert!((off - radius * 30f64.to_radians()).abs() < 0.1, "{off}");
        assert!(lines(at(DVec3::X * 900.0, DVec3::Y, DVec3::Z)).is_empty());
        let other = FlatSkin { points_mm: Vec::new(), ..flat.clone() };
        let plane = at(DVec3::ZERO, DVec3::Y, DVec3::Z);
        assert!(matches!(station_lines(&skin, &other, &plane), Err(StationError::OtherSkin { flat: 0, .. })));
    }

    /// A cap of a sphere of radius 300 about z: the level line 30 mm below its summit is a circle in space, and by symmetry one in the flat.
    #[test]
    fn a_level_line_of_a_cap_closes() {
        let (rings, sides, radius) = (6_u32, 24_u32, 300.0_f64);
        let mut skin = Skin { points_mm: vec![DVec3::Z * radius], triangles: Vec::new() };
        for ring in 1..=rings {
            let (sin, cos) = (0.1 * f64::from(ring)).sin_cos();
            let round = (0..sides).map(|i| DVec2::from_angle(std::f64::consts::TAU * f64::from(i) / f64::from(sides)));
            skin.points_mm.extend(round.map(|way| (way * (radius * sin)).extend(radius * cos)));
        }
        let at = |ring: u32, i: u32| 1 + (ring - 1) * sides + i % sides;
        for i in 0..sides {
            skin.triangles.push([0, at(1, i), at(1, i + 1)]);
            for ring in 1..rings {
                let [a, b, c, d] = [at(ring, i), at(ring + 1, i), at(ring + 1, i + 1), at(ring, i + 1)];
                skin.triangles.extend([[a, b, c], [a, c, d]]);
            }
        }
        let flat =
            flatten(&skin, &FlattenSettings::symmetric_dirichlet(), &Progress::silent(), &Cancel::new()).unwrap();
        let plane = SectionPlane::new(DVec3::Z * (radius - 30.0), DVec3::X, DVec3::Y).unwrap();
        let [line] = station_lines(&skin, &flat, &plane).unwrap().try_into().unwrap();
        assert!(line.len() > 24 && line.first() == line.last(), "{} points", line.len());
        let summit = flat.points_mm[0];
        let away: Vec<f64> = line.iter().map(|point| point.distance(summit)).collect();
        let (least, most) = away.iter().fold((f64::INFINITY, 0.0_f64), |(a, b), own| (a.min(*own), b.max(*own)));
        // along the sphere it is 300·acos(0.9) = 135.3 mm from the summit; flattening moves it, chords take up to 1 − cos(7.5°) of it
        assert!(most / least < 1.02, "{least} to {most}");
        assert!((0.5 * (least + most) / 135.3 - 1.0).abs() < 0.06, "{least} to {most}");
    }
}
