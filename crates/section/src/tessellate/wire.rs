//! The wire of a wired edge: its centre line, and its tube in the tessellation.

use crate::edge_line::Lean;
use crate::jet::JetVector;
use crate::profile::Part;
use crate::{MakeUp, Side, StripEdge, Swept};
use glam::DVec3;
use mesh::{PointId, SheetFace, Surface, Tag};

impl Swept<'_> {
    /// Centre of the wire of a wired make-up at a station, with derivatives; `None` when that make-up is no wired edge.
    ///
    /// The centre lies square to the sheet at the tangent where the wrap starts: half a wire from the face it turns to.
    #[must_use]
    pub fn wire_centre(&self, edge: StripEdge, index: usize, station_mm: f64, lean: Lean) -> Option<JetVector> {
        let Some(MakeUp::Wired { wire_mm, turns, .. }) = self.strip().make_ups(edge).get(index) else { return None };
        let profile = self.profile(station_mm, lean);
        let link = profile.links.iter().position(|link| link.part == Part::Bend { edge, index })?;
        let node = profile.nodes.get(if edge == StripEdge::Finished { link + 1 } else { link })?;
        let depth = match turns {
            Side::Inside => profile.thickness_mm + 0.5 * wire_mm,
            Side::Outside => -0.5 * wire_mm,
        };
        Some(self.frame_jet(station_mm, lean).point(node.at_depth(depth)))
    }

    /// Edges and places in their chains of the wired make-ups.
    pub fn wired(&self) -> impl Iterator<Item = (StripEdge, usize)> + '_ {
        [StripEdge::Finished, StripEdge::Cut].into_iter().flat_map(|edge| {
            let chain = self.strip().make_ups(edge).iter().enumerate();
            chain.filter(|(_, make_up)| matches!(make_up, MakeUp::Wired { .. })).map(move |(index, _)| (edge, index))
        })
    }
}

/// Adds each wire as a closed round bar from end to end of the sheet.
pub(super) fn add(swept: &Swept<'_>, stations: &[f64], tolerance_mm: f64, surface: &mut Surface) {
    let wired: Vec<_> = swept.wired().collect();
    for (edge, index) in wired {
        let Some(MakeUp::Wired { wire_mm, .. }) = swept.strip().make_ups(edge).get(index) else { continue };
        let radius = 0.5 * wire_mm;
        let step = 2.0 * (1.0 - (tolerance_mm / radius).min(0.1)).acos();
        let sides = ((std::f64::consts::TAU / step).ceil() as usize).clamp(8, 48);
        let rings: Vec<(DVec3, Vec<DVec3>)> = stations
            .iter()
            .filter_map(|&station| {
                let centre = swept.wire_centre(edge, index, station, Lean::After)?;
                let frame = swept.frame_jet(station, Lean::After);
                Some((centre.value, ring(centre, frame.o, radius, sides)))
            })
            .collect();
        tube(&rings, surface);
    }
}

fn ring(centre: JetVector, o: JetVector, radius: f64, sides: usize) -> Vec<DVec3> {
    let along = centre.first.normalize();
    let first = (o.value - along * along.dot(o.value)).normalize();
    let second = along.cross(first);
    let angle = |i: usize| std::f64::consts::TAU * i as f64 / sides as f64;
    (0..sides).map(|i| centre.value + (first * angle(i).cos() + second * angle(i).sin()) * radius).collect()
}

fn tube(rings: &[(DVec3, Vec<DVec3>)], surface: &mut Surface) {
    let side = surface.tag(Tag { part: "wire".into(), face: SheetFace::Outside });
    let end = surface.tag(Tag { part: "wire".into(), face: SheetFace::Edge });
    let ids: Vec<Vec<PointId>> =
        rings.iter().map(|(_, points)| points.iter().map(|p| surface.push_point(*p)).collect()).collect();
    for pair in ids.windows(2) {
        let n = pair[0].len();
        for i in 0..n {
            let k = (i + 1) % n;
            surface.push_triangle([pair[0][i], pair[0][k], pair[1][k]], side);
            surface.push_triangle([pair[0][i], pair[1][k], pair[1][i]], side);
        }
    }
    for (ring, facing_back) in [(0, true), (rings.len().saturating_sub(1), false)] {
        let (Some((centre, _)), Some(points)) = (rings.get(ring), ids.get(ring)) else { continue };
        let middle = surface.push_point(*centre);
        for i in 0..points.len() {
            let k = (i + 1) % points.len();
            let corners = if facing_back { [middle, points[k], points[i]] } else { [middle, points[i], points[k]] };
            surface.push_triangle(corners, end);
        }
    }
}
