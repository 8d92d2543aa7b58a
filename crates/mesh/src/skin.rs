//! A skin: one sheet of triangles as a scan, a surface fit or a file gives it, in mm. This is what is flattened.

use glam::DVec3;

/// Most triangles of a skin.
pub const MOST_TRIANGLES: usize = 2_000_000;

/// Triangles over points. Each triangle is anticlockwise seen from the outside of the vehicle.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Skin {
    /// Points, mm.
    pub points_mm: Vec<DVec3>,
    /// Triangles by point, counted from 0.
    pub triangles: Vec<[u32; 3]>,
}

impl Skin {
    /// Corners of a triangle. Its numbers must name points (see [`Skin::topology`]).
    #[must_use]
    pub fn corners(&self, triangle: usize) -> [DVec3; 3] {
        self.triangles[triangle].map(|i| self.points_mm[i as usize])
    }

    /// Twice the area of a triangle along its normal, mm².
    #[must_use]
    pub fn double_area_normal(&self, triangle: usize) -> DVec3 {
        let [a, b, c] = self.corners(triangle);
        (b - a).cross(c - a)
    }

    /// Area of all triangles, mm².
    #[must_use]
    pub fn area_mm2(&self) -> f64 {
        (0..self.triangles.len()).map(|t| 0.5 * self.double_area_normal(t).length()).sum()
    }

    /// Unit normals at the points: the triangles' normals weighted by their angle there; zero where there is none.
    ///
    /// The weight by angle makes the normal independent of how a flat face is cut into triangles.
    #[must_use]
    pub fn point_normals(&self) -> Vec<DVec3> {
        let mut normals = vec![DVec3::ZERO; self.points_mm.len()];
        for (index, triangle) in self.triangles.iter().enumerate() {
            let normal = self.double_area_normal(index).normalize_or_zero();
            let corners = self.corners(index);
            for i in 0..3 {
                let (u, v) = (corners[(i + 1) % 3] - corners[i], corners[(i + 2) % 3] - corners[i]);
                normals[triangle[i] as usize] += normal * u.cross(v).length().atan2(u.dot(v));
            }
        }
        normals.into_iter().map(DVec3::normalize_or_zero).collect()
    }

    /// The skin moved by `distance_mm` along its normals, positive towards the outside, each face keeping its distance.
    ///
    /// A point moves along its normal by distance/cos of the mean angle between that normal and its faces, so that the faces of a
    /// fold stay at the distance. From the outside face to the middle of a sheet of thickness t: −t/2.
    #[must_use]
    pub fn offset(&self, distance_mm: f64) -> Self {
        let normals = self.point_normals();
        let mut cosine = vec![[0.0f64; 2]; self.points_mm.len()];
        for (index, triangle) in self.triangles.iter().enumerate() {
            let normal = self.double_area_normal(index);
            for &point in triangle {
                let [sum, weight] = &mut cosine[point as usize];
                *sum += normal.dot(normals[point as usize]);
                *weight += normal.length();
            }
        }
        let move_out = |((point, normal), [sum, weight]): ((&DVec3, &DVec3), &[f64; 2])| {
            // a spike sharper than 60° is not a sheet: its point stays within twice the distance
            let cosine = if *weight > 0.0 { (sum / weight).max(0.5) } else { 1.0 };
            *point + *normal * (distance_mm / cosine)
        };
        Self {
            points_mm: self.points_mm.iter().zip(&normals).zip(&cosine).map(move_out).collect(),
            triangles: self.triangles.clone(),
        }
    }

    /// The skin with every length multiplied (25.4 from inches, 1000 from metres).
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        Self { points_mm: self.points_mm.iter().map(|p| *p * factor).collect(), triangles: self.triangles.clone() }
    }

    /// The other hand: y → −y, triangles turned over so that the same face is out.
    #[must_use]
    pub fn reflected_y(&self) -> Self {
        Self {
            points_mm: self.points_mm.iter().map(|p| DVec3::new(p.x, -p.y, p.z)).collect(),
            triangles: self.triangles.iter().map(|&[a, b, c]| [a, c, b]).collect(),
        }
    }

    /// Longest side of the box around the points, mm; 0 without points.
    #[must_use]
    pub fn size_mm(&self) -> f64 {
        let Some(first) = self.points_mm.first() else { return 0.0 };
        let (low, high) = self.points_mm.iter().fold((*first, *first), |(l, h), p| (l.min(*p), h.max(*p)));
        (high - low).max_element()
    }

    /// What to ask when the size is not that of a panel in mm.
    #[must_use]
    pub fn doubtful_unit(&self) -> Option<DoubtfulUnit> {
        let size = self.size_mm();
        let likely = |name, factor| DoubtfulUnit { size_mm: size, likely: name, factor };
        match size {
            s if s.is_nan() || s <= 0.0 => None,
            s if s < 8.0 => Some(likely("metres", 1000.0)),
            s if s < 80.0 => Some(likely("inches", 25.4)),
            s if s > LONGEST_PANEL_MM => Some(likely("hundredths or thousandths of a millimetre", 0.001)),
            _ => None,
        }
    }
}

impl Skin {
    /// Pairs of points of the free edges that lie in one place and are not joined, with the first such place: the mesh is slit there.
    #[must_use]
    pub fn slits(&self, boundaries: &[Vec<u32>]) -> Option<(usize, DVec3)> {
        let mut places: Vec<(u32, DVec3)> =
            boundaries.iter().flatten().filter_map(|i| self.points_mm.get(*i as usize).map(|at| (*i, *at))).collect();
        places.sort_by(|(_, a), (_, b)| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)).then(a.z.total_cmp(&b.z)));
        let near_mm = 1e-6 * self.size_mm();
        let same =
            places.iter().zip(places.iter().skip(1)).filter(|((i, a), (j, b))| i != j && a.distance(*b) <= near_mm);
        let count = same.clone().count();
        same.map(|((_, at), _)| (count, *at)).next()
    }
}

/// Longest panel, mm.
pub const LONGEST_PANEL_MM: f64 = 8000.0;

/// The size of a skin is not that of a panel in mm.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error(
    "the mesh is {size_mm:.3} across if it is in mm, which is no panel; it may be in {likely}: give its unit (then lengths are multiplied by {factor})"
)]
pub struct DoubtfulUnit {
    /// Longest side of its box, in the file's unit.
    pub size_mm: f64,
    /// What it may be in.
    pub likely: &'static str,
    /// Factor to mm if it is.
    pub factor: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Half a cylinder of radius 100 in 60 facets.
    fn half_cylinder() -> Skin {
        let n = 60u32;
        let points_mm = (0..=n)
            .flat_map(|i| {
                let angle = std::f64::consts::PI * f64::from(i) / f64::from(n);
                [0.0, 300.0].map(|x| DVec3::new(x, 100.0 * angle.cos(), 100.0 * angle.sin()))
            })
            .collect();
        let triangles = (0..n).flat_map(|i| [[2 * i, 2 * i + 1, 2 * i + 3], [2 * i, 2 * i + 3, 2 * i + 2]]).collect();
        Skin { points_mm, triangles }
    }

    #[test]
    fn an_offset_cylinder_is_a_smaller_cylinder() {
        let skin = half_cylinder();
        let outward = skin.double_area_normal(60).dot(skin.corners(60)[0].with_x(0.0));
        let inner = skin.offset(if outward > 0.0 { -0.45 } else { 0.45 });
        // inner points of the edge lines: the facets stay at the distance, so the corners keep the facets' ratio
        let ratio = inner.points_mm[30].with_x(0.0).length() / 100.0;
        assert!((ratio - (1.0 - 0.0045)).abs() < 1e-5, "{ratio}");
        assert!((inner.size_mm() - 300.0).abs() < 1e-9, "a cylinder keeps its length");
    }

    #[test]
    fn units_are_doubted_by_size() {
        let skin = half_cylinder();
        assert_eq!(skin.doubtful_unit(), None);
        assert_eq!(skin.scaled(1.0 / 25.4).doubtful_unit().map(|d| d.factor), Some(25.4));
        assert_eq!(skin.scaled(0.001).doubtful_unit().map(|d| d.factor), Some(1000.0));
        assert!(skin.scaled(100.0).doubtful_unit().is_some());
    }

    #[test]
    fn the_other_hand_has_the_same_area_and_the_other_normal() {
        let (skin, other) = (half_cylinder(), half_cylinder().reflected_y());
        assert!((skin.area_mm2() - other.area_mm2()).abs() < 1e-9);
        let (a, b) = (skin.double_area_normal(3), other.double_area_normal(3));
        assert!((DVec3::new(a.x, -a.y, a.z) - b).length() < 1e-9, "{a} {b}: reflected with its face");
    }
}
