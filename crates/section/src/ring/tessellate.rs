//! A ring as a closed surface: its two faces turned about the axis, with the walls of its edges.

use super::{Meridian, Ring, RingPart};
use crate::{OpeningShape, SectionError};
use glam::{DVec2, DVec3};
use mesh::{FeatureLine, PointId, SheetFace, Surface, Tag};
use std::f64::consts::{PI, TAU};

/// Fewest and most sectors of a full turn.
const SECTORS: [f64; 2] = [24.0, 720.0];

/// The finished ring in its own axes (z towards the outside of the vehicle); chords stay within the tolerance of the curves.
///
/// Tags: part is the leg's name or "bend"; faces outside, inside, edge. Feature lines: "bend" for the middle of every bend on the
/// outside face, "hole" for both rims of every hole.
///
/// # Errors
/// As [`Ring::check`].
pub fn tessellate(ring: &Ring, tolerance_mm: f64) -> Result<Surface, SectionError> {
    ring.check()?;
    let tolerance = crate::error::within("the tolerance", tolerance_mm, 1e-4..=10.0, "mm")?;
    let meridian = Meridian::of(ring)?;
    let radius = ring.outer_radius_mm().max(1.0);
    let step = 2.0 * (1.0 - (tolerance / radius).min(0.5)).acos();
    let quarter = (TAU / step / 4.0).ceil();
    let sectors = (4.0 * quarter).clamp(SECTORS[0], SECTORS[1]) as usize;
    let mut turned = Turned { surface: Surface::default(), sectors };
    let half = 0.5 * ring.thickness_mm;
    let (profile, parts) = sampled(&meridian, tolerance);
    let [outside, inside] =
        [half, -half].map(|side| profile.iter().map(|(at, normal)| *at + *normal * side).collect::<Vec<DVec2>>());
    let [outer, inner] = [&outside, &inside].map(|face| face.iter().map(|at| turned.circle(*at)).collect::<Vec<_>>());
    for (i, part) in parts.iter().enumerate() {
        let part = match part {
            RingPart::Leg(leg) => ring.leg_name(*leg),
            RingPart::Bend(_) => "bend".to_owned(),
        };
        // seen from outside the chain runs outwards, so a face to its left runs round to the left
        turned.band(&outer, i, &part, SheetFace::Outside);
        turned.band(&inner, i, &part, SheetFace::Inside);
    }
    turned.wall(&outer, &inner, 0);
    turned.wall(&outer, &inner, outer.len().saturating_sub(1));
    turned.lines(ring, &meridian, half);
    Ok(turned.surface)
}

/// Points of the middle with their normals to the outside, and the part of each step between them.
fn sampled(meridian: &Meridian, tolerance_mm: f64) -> (Vec<(DVec2, DVec2)>, Vec<RingPart>) {
    let (mut profile, mut parts) = (Vec::new(), Vec::new());
    for link in &meridian.links {
        let angle = 2.0 * (1.0 - (tolerance_mm * link.turn_rad.abs() / link.length_mm).clamp(1e-9, 0.5)).acos();
        let steps = if link.turn_rad == 0.0 { 1 } else { (link.turn_rad.abs() / angle).ceil().clamp(3.0, 64.0) as u32 };
        for i in u32::from(!profile.is_empty())..=steps {
            let s = link.length_mm * f64::from(i) / f64::from(steps);
            profile.push((link.at(s), link.normal(s)));
        }
        parts.extend((0..steps).map(|_| link.part));
    }
    (profile, parts)
}

struct Turned {
    surface: Surface,
    sectors: usize,
}

impl Turned {
    /// Points of one circle; a single one on the axis.
    fn circle(&mut self, at: DVec2) -> Vec<PointId> {
        if at.x.abs() < 1e-9 {
            return vec![self.surface.push_point(DVec3::new(0.0, 0.0, at.y))];
        }
        let angle = |i: usize| TAU * i as f64 / self.sectors as f64;
        let points: Vec<DVec3> =
            (0..self.sectors).map(|i| DVec3::new(at.x * angle(i).cos(), at.x * angle(i).sin(), at.y)).collect();
        points.into_iter().map(|point| self.surface.push_point(point)).collect()
    }

    fn band(&mut self, circles: &[Vec<PointId>], i: usize, part: &str, face: SheetFace) {
        let (Some(a), Some(b)) = (circles.get(i), circles.get(i + 1)) else { return };
        let tag = self.surface.tag(Tag { part: part.into(), face });
        self.between(a, b, tag, face == SheetFace::Outside);
    }

    fn wall(&mut self, outer: &[Vec<PointId>], inner: &[Vec<PointId>], i: usize) {
        let (Some(a), Some(b)) = (outer.get(i), inner.get(i)) else { return };
        if a.len() == 1 && b.len() == 1 {
            return;
        }
        let tag = self.surface.tag(Tag { part: "edge".into(), face: SheetFace::Edge });
        self.between(a, b, tag, i != 0);
    }

    /// Triangles between two circles; `outward` when their left side, seen along the way from `a` to `b`, is out of the metal.
    fn between(&mut self, a: &[PointId], b: &[PointId], tag: u16, outward: bool) {
        let at = |circle: &[PointId], i: usize| circle.get(i % circle.len().max(1)).copied();
        for i in 0..self.sectors {
            let (Some(p), Some(q), Some(r), Some(s)) = (at(a, i), at(a, i + 1), at(b, i), at(b, i + 1)) else { return };
            for [x, y, z] in [[p, r, s], [p, s, q]] {
                if x != y && y != z && z != x {
                    self.surface.push_triangle(if outward { [x, y, z] } else { [x, z, y] }, tag);
                }
            }
        }
    }

    fn lines(&mut self, ring: &Ring, meridian: &Meridian, half_mm: f64) {
        let turned = |at: DVec2| -> Vec<DVec3> {
            let angle = |i: usize| TAU * i as f64 / self.sectors as f64;
            (0..self.sectors).map(|i| DVec3::new(at.x * angle(i).cos(), at.x * angle(i).sin(), at.y)).collect()
        };
        let mut lines = Vec::new();
        for link in meridian.links.iter().filter(|link| matches!(link.part, RingPart::Bend(_))) {
            let middle = 0.5 * link.length_mm;
            let at = link.at(middle) + link.normal(middle) * half_mm;
            lines.push(FeatureLine { name: "bend".into(), points_mm: turned(at), closed: true });
        }
        for hole in &ring.holes {
            let (OpeningShape::Round { diameter_mm }, Some(leg)) =
                (&hole.shape, ring.flat_leg_at(hole.along_mm.hypot(hole.from_edge_mm)))
            else {
                continue;
            };
            let Some(link) = meridian.links.iter().find(|link| link.part == RingPart::Leg(leg)) else { continue };
            let centre = DVec2::new(hole.along_mm, hole.from_edge_mm);
            for side in [half_mm, -half_mm] {
                let z = link.from_mm.y + link.normal(0.0).y * side;
                let rim = |i: u32| {
                    let at = centre + DVec2::from_angle(2.0 * PI * f64::from(i) / 48.0) * (0.5 * diameter_mm);
                    at.extend(z)
                };
                lines.push(FeatureLine { name: "hole".into(), points_mm: (0..48).map(rim).collect(), closed: true });
            }
        }
        self.surface.lines.extend(lines);
    }
}
