//! A double-curved skin in space, with the make-ups of its edges, as triangles for pictures and views.
//!
//! The sheet is the skin's middle moved by half a thickness to either side. Make-ups stand on a straight strip as long as the
//! finished edge; its cross-section is set up square to the edge at every point of the boundary: out of the sheet along the
//! surface, and towards the outside. Sheet and made-up edges are closed shells that touch at the tangent line of the fold.
//! Where two made-up edges meet, the ends of both are cut as on the flat: flanges that fold the same way along the line in which their faces
//! meet ([`crate::folded::mitre`]), anything else on its own side of the plane that halves the corner. A wire goes round a corner in one
//! ([`wire`]). Relief holes, notches and scallops are no part of the
//! shells; [`on_edge`] finds where their lines lie.

use crate::profile::{Node, Profile, Shape, steps_for};
use crate::{
    CrossSection, EdgeLine, Face, Hand, Lean, Link, MakeUp, Outward, Runs, SectionError, Segment, Strip, StripEdge,
    Swept,
};
use glam::DVec3;
use mesh::{FeatureLine, PointId, SheetFace, Skin, Surface, Tag};

mod ends;
pub mod wire;

use ends::Ends;

/// Skin of the strip that carries an edge's make-ups, mm: longer than any setback.
pub const CARRIER_MM: f64 = 5000.0;

/// One edge of the skin: points of its boundary in order, the sheet to the left seen from outside.
#[derive(Debug, Clone, Copy)]
pub struct SkinEdge<'a> {
    /// Name.
    pub name: &'a str,
    /// Points of the skin.
    pub chain: &'a [u32],
    /// Make-ups, outward.
    pub make_ups: &'a [MakeUp],
}

/// The straight strip that carries the make-ups of an edge `length_mm` long: its edge line along x, outside towards y.
///
/// # Errors
/// [`SectionError`] when the edge has no length.
pub fn carrier(edge: &str, make_ups: &[MakeUp], sheet: (f64, &str), length_mm: f64) -> Result<Strip, SectionError> {
    let edge_line = EdgeLine::new(DVec3::ZERO, &[Segment::Straight { to_mm: DVec3::X * length_mm }])?;
    let to_mm = edge_line.length_mm();
    Ok(Strip {
        name: edge.to_owned(),
        hand: Hand::Left,
        mirrored: false,
        edge_line,
        outward: Outward::One(DVec3::Y),
        face: Face::Outside,
        // the sheet lies to the left of the edge seen from outside, which is against t × o
        runs: Runs::Down,
        sections: vec![CrossSection {
            station_mm: 0.0,
            start_angle_rad: 0.0,
            links: vec![Link::Straight { length_mm: CARRIER_MM }],
        }],
        from_mm: 0.0,
        to_mm,
        spare_from_mm: 0.0,
        spare_to_mm: 0.0,
        thickness_mm: sheet.0,
        material: sheet.1.to_owned(),
        finished_edge: make_ups.to_vec(),
        cut_edge: Vec::new(),
        openings: Vec::new(),
        reach_mm: 0.0,
        makes: crate::Makes::Body,
        under_mm: 0.0,
    })
}

/// Turns a skin, the middle of a sheet, into the surface of the finished piece.
///
/// Tags: part "skin", the make-up's kind, or "wire"; face outside, inside or edge. Feature lines: "outline" for every free edge.
///
/// # Errors
/// [`SectionError`] of the make-ups; an edge that names a point the skin lacks has no make-ups drawn.
pub fn tessellate(middle: &Skin, thickness_mm: f64, edges: &[SkinEdge<'_>]) -> Result<Surface, SectionError> {
    let mut surface = Surface::default();
    let mut sheet = middle.clone();
    let normals = middle.point_normals();
    let mut made: Vec<(Vec<EdgeFrame>, Vec<Profile>, &SkinEdge<'_>)> = Vec::new();
    let corners = ends::corners(middle, &normals, edges);
    for edge in edges.iter().filter(|edge| edge.make_ups.iter().any(|own| !matches!(own, MakeUp::Raw { .. }))) {
        let frames = edge_frames(middle, &normals, edge.chain);
        let length_mm = frames.last().map_or(0.0, |frame| frame.station_mm);
        let strip = carrier(edge.name, edge.make_ups, (thickness_mm, ""), length_mm)?;
        let swept = Swept::new(&strip)?;
        let profiles: Vec<Profile> = frames.iter().map(|frame| swept.profile(frame.station_mm, Lean::After)).collect();
        for ((frame, profile), point) in frames.iter().zip(&profiles).zip(edge.chain) {
            let tangent = profile.nodes.get(profile.anchor).map_or(0.0, |node| node.point(0.0).y);
            if let Some(place) = sheet.points_mm.get_mut(*point as usize) {
                *place -= frame.outward * tangent;
            }
        }
        made.push((frames, profiles, edge));
    }
    shell(&sheet, thickness_mm, &mut surface);
    for (frames, profiles, edge) in &made {
        let nodes = profiles.first().map(outward).unwrap_or_default();
        let ends = ends::of(edge, &corners, &nodes, thickness_mm);
        strip(frames, profiles, thickness_mm, (edge, &ends), &mut surface);
    }
    wire::add(&wire::wires(middle, thickness_mm, edges)?, &mut surface);
    let folded: Vec<&[u32]> = made.iter().map(|(_, _, edge)| edge.chain).collect();
    let outside = sheet.offset(0.5 * thickness_mm);
    let free = edges.iter().filter(|edge| !folded.contains(&edge.chain));
    surface.lines.extend(free.map(|edge| FeatureLine {
        name: "outline".into(),
        points_mm: edge.chain.iter().filter_map(|i| outside.points_mm.get(*i as usize).copied()).collect(),
        closed: false,
    }));
    Ok(surface)
}

/// A point of a finished edge on the outside face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FreeEdgePoint {
    /// Place, mm.
    pub at_mm: DVec3,
    /// Square to the edge, along the sheet, into the metal.
    pub into_sheet: DVec3,
    /// Square to the sheet, away from it on its outside face.
    pub outward: DVec3,
}

/// The free edge of a skin with its make-ups, where another piece can be joined: the rim of its last leg, or the tangent
/// where a curl or hem starts. `middle` as for [`tessellate`].
///
/// # Errors
/// [`SectionError`] of the make-ups.
pub fn free_edge(middle: &Skin, thickness_mm: f64, edge: &SkinEdge<'_>) -> Result<Vec<FreeEdgePoint>, SectionError> {
    let frames = edge_frames(middle, &middle.point_normals(), edge.chain);
    if edge.make_ups.iter().all(|own| matches!(own, MakeUp::Raw { .. })) {
        let plain = |frame: &EdgeFrame| FreeEdgePoint {
            at_mm: frame.at_mm + frame.normal * (0.5 * thickness_mm),
            into_sheet: -frame.outward,
            outward: frame.normal,
        };
        return Ok(frames.iter().map(plain).collect());
    }
    let length_mm = frames.last().map_or(0.0, |frame| frame.station_mm);
    let strip = carrier(edge.name, edge.make_ups, (thickness_mm, ""), length_mm)?;
    let swept = Swept::new(&strip)?;
    let made_up = |frame: &EdgeFrame| {
        let node = swept.free_node(&swept.profile(frame.station_mm, Lean::After), StripEdge::Finished)?;
        let direction = |[o, v]: [crate::jet::Jet; 2]| frame.normal * o.value - frame.outward * v.value;
        Some(FreeEdgePoint {
            at_mm: frame.place(&node, 0.0, thickness_mm),
            into_sheet: direction(node.direction()),
            outward: direction(node.normal).normalize_or_zero(),
        })
    };
    Ok(frames.iter().filter_map(made_up).collect())
}

/// A place beyond an edge of a skin, on its make-ups.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgePlace {
    /// Along the edge.
    pub station_mm: f64,
    /// Link of the make-ups, counted outward from 0.
    pub link: usize,
    /// Share of that link, from the skin outward.
    pub fraction: f64,
    /// So far back into the sheet from where the make-ups begin; 0 on them.
    pub in_mm: f64,
}

/// Where places beyond an edge lie in space, on the outside face, mm. `middle` as for [`tessellate`], `normals` those of its points.
///
/// # Errors
/// [`SectionError`] of the make-ups.
pub fn on_edge(
    middle: &Skin,
    normals: &[DVec3],
    thickness_mm: f64,
    edge: &SkinEdge<'_>,
    places: &[EdgePlace],
) -> Result<Vec<DVec3>, SectionError> {
    let frames = edge_frames(middle, normals, edge.chain);
    let length_mm = frames.last().map_or(0.0, |frame| frame.station_mm);
    let strip = carrier(edge.name, edge.make_ups, (thickness_mm, ""), length_mm)?;
    let swept = Swept::new(&strip)?;
    let point = |place: &EdgePlace| {
        let frame = ends::frame_at(&frames, place.station_mm)?;
        let profile = swept.profile(place.station_mm.clamp(0.0, length_mm), Lean::After);
        let node = match profile.anchor.checked_sub(place.link + 1) {
            Some(link) => profile.inside_link(link, 1.0 - place.fraction)?,
            None => *profile.nodes.get(profile.anchor)?,
        };
        Some(frame.place(&node, 0.0, thickness_mm) - frame.outward * place.in_mm)
    };
    Ok(places.iter().filter_map(point).collect())
}

/// Frame at a point of the boundary, middle of the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgeFrame {
    /// Along the edge from its first point.
    pub station_mm: f64,
    /// Where.
    pub at_mm: DVec3,
    /// Unit: out of the sheet, along the surface.
    pub outward: DVec3,
    /// Unit: towards the outside of the vehicle.
    pub normal: DVec3,
}

impl EdgeFrame {
    /// Place of a point of the cross-section; `depth_mm` below the outside face.
    fn place(&self, node: &Node, depth_mm: f64, thickness_mm: f64) -> DVec3 {
        let point = node.point(depth_mm);
        self.at_mm + self.normal * (0.5 * thickness_mm + point.x) - self.outward * point.y
    }
}

/// Frames at every point of an edge, square to the line between its neighbours; none when the chain names a point that the
/// skin or `normals`, one per point of it, lacks. A closed chain ends in the point in which it begins.
#[must_use]
pub fn edge_frames(skin: &Skin, normals: &[DVec3], chain: &[u32]) -> Vec<EdgeFrame> {
    let closed = chain.len() > 2 && chain.first() == chain.last();
    let at = |i: usize| chain.get(i).and_then(|point| skin.points_mm.get(*point as usize)).copied();
    let mut station_mm = 0.0;
    let mut out: Vec<EdgeFrame> = Vec::with_capacity(chain.len());
    for (i, point) in chain.iter().enumerate() {
        let (Some(here), Some(own)) = (at(i), normals.get(*point as usize)) else { return Vec::new() };
        let [before, after] = match (closed, i) {
            (true, 0) => [at(chain.len() - 2), at(1)],
            (true, i) if i + 1 == chain.len() => [at(i - 1), at(1)],
            _ => [at(i.wrapping_sub(1)), at(i + 1)],
        };
        station_mm += out.last().map_or(0.0, |last| here.distance(last.at_mm));
        let along = (after.unwrap_or(here) - before.unwrap_or(here)).normalize_or_zero();
        let normal = (*own - along * own.dot(along)).normalize_or_zero();
        out.push(EdgeFrame { station_mm, at_mm: here, outward: along.cross(normal), normal });
    }
    out
}

/// The sheet of a skin: outside face, inside face, rims.
fn shell(middle: &Skin, thickness_mm: f64, surface: &mut Surface) {
    let [outside, inside, edge] = faces("skin", surface);
    let half = 0.5 * thickness_mm;
    let [top, bottom] = [middle.offset(half), middle.offset(-half)]
        .map(|skin| skin.points_mm.iter().map(|point| surface.push_point(*point)).collect::<Vec<PointId>>());
    let id = |list: &[PointId], i: u32| list.get(i as usize).copied();
    for [a, b, c] in &middle.triangles {
        if let (Some(a), Some(b), Some(c)) = (id(&top, *a), id(&top, *b), id(&top, *c)) {
            surface.push_triangle([a, b, c], outside);
        }
        if let (Some(a), Some(b), Some(c)) = (id(&bottom, *a), id(&bottom, *b), id(&bottom, *c)) {
            surface.push_triangle([a, c, b], inside);
        }
    }
    let Ok(topology) = middle.topology() else { return };
    for ring in &topology.boundaries {
        for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            let corners = [id(&top, *a), id(&top, *b), id(&bottom, *b), id(&bottom, *a)];
            if let [Some(a), Some(b), Some(under_b), Some(under_a)] = corners {
                surface.push_triangle([a, under_a, under_b], edge);
                surface.push_triangle([a, under_b, b], edge);
            }
        }
    }
}

fn faces(part: &str, surface: &mut Surface) -> [u16; 3] {
    [SheetFace::Outside, SheetFace::Inside, SheetFace::Edge].map(|face| surface.tag(Tag { part: part.into(), face }))
}

/// Nodes from the edge outward.
fn outward(profile: &Profile) -> Vec<Node> {
    let mut out: Vec<Node> = profile.nodes.get(profile.anchor).copied().into_iter().collect();
    for link in (0..profile.anchor).rev() {
        let steps = match profile.links.get(link).map(|link| link.shape) {
            Some(Shape::Arc { bend_rad, .. }) => steps_for(bend_rad.value),
            _ => 1,
        };
        out.extend((1..=steps).filter_map(|k| profile.inside_link(link, 1.0 - k as f64 / steps as f64)));
    }
    out
}

/// A made-up edge as a closed shell.
fn strip(
    frames: &[EdgeFrame],
    profiles: &[Profile],
    thickness_mm: f64,
    (own, ends): (&SkinEdge<'_>, &Ends),
    surface: &mut Surface,
) {
    let part = own.make_ups.first().map_or("edge", |make_up| make_up.kind_name());
    let [outside, inside, edge] = faces(part, surface);
    let mut rows: Vec<[Vec<PointId>; 2]> = Vec::with_capacity(frames.len());
    for (frame, profile) in frames.iter().zip(profiles) {
        let nodes = outward(profile);
        rows.push([0.0, thickness_mm].map(|depth| {
            let places = nodes.iter().enumerate().map(|(k, node)| {
                let at = ends::frame_at(frames, ends.station_mm(frames, k, frame.station_mm)).unwrap_or(*frame);
                at.place(node, depth, thickness_mm)
            });
            places.map(|place| surface.push_point(place)).collect()
        }));
    }
    let mut quad = |[a, b, c, d]: [PointId; 4], tag: u16| {
        surface.push_triangle([a, b, c], tag);
        surface.push_triangle([a, c, d], tag);
    };
    let square = |here: &[PointId], next: &[PointId], k: usize| {
        Some([*here.get(k)?, *here.get(k + 1)?, *next.get(k + 1)?, *next.get(k)?])
    };
    for pair in rows.windows(2) {
        let [[top, bottom], [next_top, next_bottom]] = [&pair[0], &pair[1]];
        for k in 0..top.len().saturating_sub(1) {
            if let Some(corners) = square(top, next_top, k) {
                quad(corners, outside);
            }
            if let Some([a, b, c, d]) = square(bottom, next_bottom, k) {
                quad([a, d, c, b], inside);
            }
        }
        for (k, free) in [(0, false), (top.len().saturating_sub(1), true)] {
            if let (Some(a), Some(b), Some(c), Some(d)) =
                (top.get(k), bottom.get(k), next_bottom.get(k), next_top.get(k))
            {
                quad(if free { [*a, *b, *c, *d] } else { [*a, *d, *c, *b] }, edge);
            }
        }
    }
    for (row, last) in [(rows.first(), false), (rows.last(), true)] {
        let Some([top, bottom]) = row else { continue };
        for k in 0..top.len().saturating_sub(1) {
            if let Some([a, b, c, d]) = square(top, bottom, k) {
                quad(if last { [a, b, c, d] } else { [a, d, c, b] }, edge);
            }
        }
    }
    lines(&rows, surface);
}

/// The fold's tangent line and the free edge, on the outside face.
fn lines(rows: &[[Vec<PointId>; 2]], surface: &mut Surface) {
    let line = |pick: fn(&Vec<PointId>) -> Option<&PointId>, surface: &Surface| -> Vec<DVec3> {
        let ids = rows.iter().filter_map(|[top, _]| pick(top));
        ids.filter_map(|id| surface.points_mm.get(id.0 as usize).copied()).collect()
    };
    let free = line(|top| top.last(), surface);
    let tangent = line(|top| top.first(), surface);
    let named = |name: &str, points_mm| FeatureLine { name: name.into(), points_mm, closed: false };
    surface.lines.push(named("outline", free));
    surface.lines.push(named("fold tangent", tangent));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Along, Side};

    /// A flat square of 100 mm in two triangles, outside up.
    fn square() -> Skin {
        let points_mm = [[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]].map(|[x, y]| DVec3::new(x, y, 0.0));
        Skin { points_mm: points_mm.to_vec(), triangles: vec![[0, 1, 2], [0, 2, 3]] }
    }

    /// The free edge of that leg: 20 mm under the outside face, and its outer face looks away from the skin.
    #[test]
    fn the_free_edge_of_a_flange_is_its_rim() {
        let flange = MakeUp::Flange {
            bend_angle_rad: Along::Constant(std::f64::consts::FRAC_PI_2),
            inside_radius_mm: 1.5,
            width_mm: Along::Constant(20.0),
            turns: Side::Inside,
            stand_off_mm: 0.0,
            relief: crate::FlangeRelief::None,
        };
        let edge = SkinEdge { name: "front", chain: &[0, 1], make_ups: std::slice::from_ref(&flange) };
        let points = free_edge(&square(), 1.0, &edge).unwrap();
        for (point, x) in points.iter().zip([0.0, 100.0]) {
            assert!(point.at_mm.distance(DVec3::new(x, 0.0, 0.5 - 20.0)) < 1e-9, "{point:?}");
            assert!(point.into_sheet.distance(DVec3::Z) < 1e-9 && point.outward.distance(DVec3::NEG_Y) < 1e-9);
        }
        let raw = SkinEdge { name: "front", chain: &[0, 1], make_ups: &[] };
        let points = free_edge(&square(), 1.0, &raw).unwrap();
        assert!(points[1].at_mm.distance(DVec3::new(100.0, 0.0, 0.5)) < 1e-9);
        assert!(points[1].into_sheet.distance(DVec3::Y) < 1e-9 && points[1].outward.distance(DVec3::Z) < 1e-9);
    }

    /// Along an open edge the ends look along their own side; where it is closed every point looks along both neighbours.
    #[test]
    fn frames_stand_square_to_an_edge() {
        let (skin, normals) = (square(), [DVec3::Z; 4]);
        let open = edge_frames(&skin, &normals, &[0, 1, 2]);
        let stations: Vec<f64> = open.iter().map(|frame| frame.station_mm).collect();
        assert_eq!(stations, [0.0, 100.0, 200.0]);
        assert!((open[0].outward - DVec3::NEG_Y).length() < 1e-12 && (open[2].outward - DVec3::X).length() < 1e-12);
        let closed = edge_frames(&skin, &normals, &[0, 1, 2, 3, 0]);
        let corner = DVec3::new(-1.0, -1.0, 0.0).normalize();
        assert!((closed[0].outward - corner).length() < 1e-12 && (closed[4].outward - corner).length() < 1e-12);
        assert!(edge_frames(&skin, &normals, &[0, 9]).is_empty());
    }

    /// A leg of 20 mm folded square to the inside hangs 20 mm below the outside face and stands flush with the edge.
    #[test]
    fn a_flange_hangs_where_its_width_says() {
        let flange = MakeUp::Flange {
            bend_angle_rad: Along::Constant(std::f64::consts::FRAC_PI_2),
            inside_radius_mm: 1.5,
            width_mm: Along::Constant(20.0),
            turns: Side::Inside,
            stand_off_mm: 0.0,
            relief: crate::FlangeRelief::None,
        };
        let chains: [&[u32]; 2] = [&[0, 1], &[1, 2, 3, 0]];
        let edges = [
            SkinEdge { name: "front", chain: chains[0], make_ups: std::slice::from_ref(&flange) },
            SkinEdge { name: "rest", chain: chains[1], make_ups: &[] },
        ];
        let surface = tessellate(&square(), 1.0, &edges).unwrap();
        surface.validate().unwrap();
        assert!(surface.is_closed());
        let [low, high] = surface.bounds_mm().unwrap();
        assert!((high.z - 0.5).abs() < 1e-9 && (low.z - (0.5 - 20.0)).abs() < 1e-9, "{low} {high}");
        assert!(low.y.abs() < 1e-9, "the outer face of the leg stands at the edge: {low}");
        // the volume of the metal: sheet up to the tangent (2.5 mm in), the bend, the leg
        let bend = std::f64::consts::FRAC_PI_4 * (2.5f64.powi(2) - 1.5f64.powi(2)) * 100.0;
        let metal = 97.5 * 100.0 + bend + 17.5 * 100.0;
        assert!((surface.volume_mm3() / metal - 1.0).abs() < 2e-3, "{} {metal}", surface.volume_mm3());
    }
}
