//! The spot of heat under an arc, shared out to the nodes of the mesh.

use super::HeatError;
use super::line::samples;
use super::stepping::Heating;
use glam::DVec3;
use mesh::Skin;
use mesh::nearest::Nearest;

/// Beyond this many radii the density counts as nothing: exp(−3·1.8²) = 6e-5.
const CUT_OFF: f64 = 1.8;

/// The triangles that a pass can heat.
pub(super) struct Spot<'a> {
    skin: &'a Skin,
    nearest: &'a Nearest,
    radius_mm: f64,
    triangles: Vec<usize>,
}

impl<'a> Spot<'a> {
    /// For an arc that stays within the box of these places.
    pub(super) fn new(skin: &'a Skin, nearest: &'a Nearest, radius_mm: f64, places: &[DVec3]) -> Self {
        let (low, high) = places.iter().fold((DVec3::MAX, DVec3::MIN), |(l, h), p| (l.min(*p), h.max(*p)));
        let (low, high) = (low - CUT_OFF * radius_mm, high + CUT_OFF * radius_mm);
        let within = |&triangle: &usize| {
            let [a, b, c] = skin.corners(triangle);
            a.min(b).min(c).cmple(high).all() && a.max(b).max(c).cmpge(low).all()
        };
        let triangles = (0..skin.triangles.len()).filter(within).collect();
        Self { skin, nearest, radius_mm, triangles }
    }

    /// Heat into the nodes from an arc of a power at a place. Its sum is the power.
    pub(super) fn heating(&self, at_mm: DVec3, power_w: f64) -> Result<Heating, HeatError> {
        let mut heating = Vec::new();
        let mut sum = 0.0;
        for &triangle in &self.triangles {
            let corners = self.skin.corners(triangle);
            let shares = self.shares(at_mm, corners);
            let area = self.skin.double_area_normal(triangle).length();
            for (node, share) in self.skin.triangles[triangle].into_iter().zip(shares) {
                if share > 0.0 {
                    heating.push((node, share * area));
                    sum += share * area;
                }
            }
        }
        // all of the spot between the places of a coarse mesh: into the triangle under it
        if sum <= 0.0 {
            let under = samples(self.skin, self.nearest, [at_mm].into_iter(), "weld line", f64::INFINITY)?;
            heating = under.into_iter().flatten().collect();
            sum = heating.iter().map(|(_, share)| share).sum();
        }
        heating.iter_mut().for_each(|(_, share)| *share *= power_w / sum);
        Ok(heating)
    }

    /// ∫ of the density times each corner's shape function, over the area, up to a common factor: the rule of corners 1/20, middles of
    /// sides 2/15 and centroid 9/20, which is exact for cubics.
    fn shares(&self, at_mm: DVec3, [a, b, c]: [DVec3; 3]) -> [f64; 3] {
        let density = |p: DVec3| {
            let distance2 = p.distance_squared(at_mm) / (self.radius_mm * self.radius_mm);
            if distance2 > CUT_OFF * CUT_OFF { 0.0 } else { (-3.0 * distance2).exp() }
        };
        let corners = [density(a), density(b), density(c)];
        let middles = [density(b.midpoint(c)), density(c.midpoint(a)), density(a.midpoint(b))];
        let centre = density((a + b + c) / 3.0);
        let all_middles: f64 = middles.iter().sum();
        [0, 1, 2].map(|i| corners[i] / 20.0 + (all_middles - middles[i]) / 15.0 + 0.15 * centre)
    }
}
