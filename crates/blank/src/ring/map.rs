//! The map from the meridian to the flat: R^(1+p) = R_h^(1+p) + (1 + p)·∫ r^p ds from the held circle.

use super::ThicknessLaw;
use section::quadrature::GaussLegendre;
use section::ring::{Meridian, MeridianLink};

/// The map of one ring under one law.
#[derive(Debug, Clone)]
pub(super) struct Map<'a> {
    pub(super) meridian: &'a Meridian,
    exponent: f64,
    /// ∫ r^p ds up to the start of every link.
    sums: Vec<f64>,
    /// R^(1+p) at the innermost edge.
    first: f64,
    rule: GaussLegendre<24>,
}

impl<'a> Map<'a> {
    /// The map that keeps the circle at a length along the meridian.
    pub(super) fn new(meridian: &'a Meridian, law: ThicknessLaw, held_mm: f64) -> Self {
        let exponent = law.exponent();
        let mut map = Self { meridian, exponent, sums: Vec::new(), first: 0.0, rule: GaussLegendre::new() };
        let mut sum = 0.0;
        for link in &meridian.links {
            map.sums.push(sum);
            sum += map.integral(link, link.length_mm);
        }
        let at_held = meridian.links.iter().enumerate().rev().find(|(_, link)| link.start_mm <= held_mm + 1e-12);
        if let Some((i, link)) = at_held {
            let along = held_mm - link.start_mm;
            let radius = link.at(along).x.max(0.0);
            map.first = radius.powf(1.0 + exponent) - (1.0 + exponent) * map.up_to(i, link, along);
        }
        map
    }

    fn up_to(&self, i: usize, link: &MeridianLink, along_mm: f64) -> f64 {
        self.sums.get(i).copied().unwrap_or(0.0) + self.integral(link, along_mm)
    }

    /// ∫ r^p ds from the start of a link.
    fn integral(&self, link: &MeridianLink, along_mm: f64) -> f64 {
        let p = self.exponent;
        if p == 0.0 {
            return along_mm;
        }
        if p == 1.0 {
            return link.moment_mm2(along_mm);
        }
        if link.turn_rad == 0.0 {
            let [a, b] = [link.from_mm.x, link.at(along_mm).x].map(|r| r.max(0.0));
            // a wall, or so nearly one that the difference of powers would cancel
            return if link.along.x.abs() < 1e-7 {
                along_mm * (0.5 * (a + b)).powf(p)
            } else {
                (b.powf(1.0 + p) - a.powf(1.0 + p)) / ((1.0 + p) * link.along.x)
            };
        }
        self.rule.integrate(0.0, along_mm, |s| link.at(s).x.max(0.0).powf(p))
    }

    /// Radius in the flat at a length along link `i`; negative where there is no metal left (then how much is missing means nothing).
    pub(super) fn flat_radius_mm(&self, i: usize, link: &MeridianLink, along_mm: f64) -> f64 {
        let power = self.first + (1.0 + self.exponent) * self.up_to(i, link, along_mm);
        // rounding of the sums on the axis itself
        let scale = link.at(along_mm).x.abs().max(1.0).powf(1.0 + self.exponent);
        if power.abs() < 1e-12 * scale {
            return 0.0;
        }
        if power < 0.0 { -(-power).powf(1.0 / (1.0 + self.exponent)) } else { power.powf(1.0 / (1.0 + self.exponent)) }
    }

    /// Radius in the flat at the innermost and outermost edge.
    pub(super) fn edges_mm(&self) -> [f64; 2] {
        let links = &self.meridian.links;
        let first = links.first().map_or(0.0, |link| self.flat_radius_mm(0, link, 0.0));
        let last = links.last().map_or(0.0, |link| self.flat_radius_mm(links.len() - 1, link, link.length_mm));
        [first, last]
    }
}
