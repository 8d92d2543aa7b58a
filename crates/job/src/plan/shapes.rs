//! Cross-sections and edge template of a finished strip, for checking and for the try-on.

use super::SectionShape;
use crate::resolve::{ResolvedPiece, ResolvedShape};
use glam::{DVec2, DVec3};
use section::{Lean, MakeUp, Makes, Part, Profile, Runs, Side, Strip, StripEdge, Swept};

/// Shapes of one piece.
pub(super) struct Shapes {
    pub(super) cross_sections: Vec<SectionShape>,
    pub(super) edge_template_mm: Vec<DVec2>,
    /// How the strip lies: start, end, and the way from edge line to cut edge at the middle; `None` for a folded piece.
    pub(super) lie: Option<Lie>,
}

/// How a strip lies in space, of the finished hand.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lie {
    pub(super) start_mm: DVec3,
    pub(super) end_mm: DVec3,
    /// From the finished edge to the cut edge, at the middle.
    pub(super) across: DVec3,
}

/// Points of an edge template.
const TEMPLATE_POINTS: u32 = 96;

pub(super) fn of(piece: &ResolvedPiece) -> Result<Shapes, String> {
    let ResolvedShape::Strip(strip) = &piece.shape else {
        return Ok(Shapes { cross_sections: Vec::new(), edge_template_mm: Vec::new(), lie: None });
    };
    let swept = Swept::new(strip).map_err(|error| error.to_string())?;
    let middle = 0.5 * (strip.from_mm + strip.to_mm);
    let cross_sections =
        [strip.from_mm, middle, strip.to_mm].into_iter().map(|station| cross_section(&swept, station)).collect();
    Ok(Shapes { cross_sections, edge_template_mm: edge_template(&swept), lie: lie(&swept, middle) })
}

fn cross_section(swept: &Swept<'_>, station_mm: f64) -> SectionShape {
    let profile = swept.profile(station_mm, Lean::After);
    let upright = |point: DVec2| match swept.strip().runs {
        Runs::Up => point,
        Runs::Down => DVec2::new(point.x, -point.y),
    };
    let face = |depth_mm: f64| profile.polyline(depth_mm).into_iter().map(upright).collect();
    SectionShape {
        name: format!("cross-section at {station_mm:.0} mm"),
        station_mm,
        outside_mm: face(0.0),
        inside_mm: face(profile.thickness_mm),
        wire: wire(swept, &profile).map(|(centre, diameter_mm)| (upright(centre), diameter_mm)),
    }
}

fn wire(swept: &Swept<'_>, profile: &Profile) -> Option<(DVec2, f64)> {
    let (edge, index) = swept.wired().next()?;
    let Some(MakeUp::Wired { wire_mm, turns, .. }) = swept.strip().make_ups(edge).get(index) else { return None };
    let link = profile.links.iter().position(|link| link.part == Part::Bend { edge, index })?;
    let node = profile.nodes.get(if edge == StripEdge::Finished { link + 1 } else { link })?;
    let depth_mm = match turns {
        Side::Inside => profile.thickness_mm + 0.5 * wire_mm,
        Side::Outside => -0.5 * wire_mm,
    };
    Some((node.point(depth_mm), *wire_mm))
}

fn of_hand(strip: &Strip, point: DVec3) -> DVec3 {
    if strip.mirrored { DVec3::new(point.x, -point.y, point.z) } else { point }
}

fn lie(swept: &Swept<'_>, middle: f64) -> Option<Lie> {
    let strip = swept.strip();
    let frame = swept.frame_jet(middle, Lean::After);
    let profile = swept.profile(middle, Lean::After);
    let last = profile.nodes.last()?;
    let anchor = profile.nodes.get(profile.anchor)?;
    let at = |node| of_hand(strip, swept.point(&frame, node, 0.0).value);
    Some(Lie {
        start_mm: of_hand(strip, strip.edge_line.at(strip.from_mm).position_mm),
        end_mm: of_hand(strip, strip.edge_line.at(strip.to_mm).position_mm),
        across: match strip.makes {
            Makes::SplitFlange { edge: StripEdge::Finished } => at(last) - at(profile.nodes.first()?),
            _ => at(last) - at(anchor),
        },
    })
}

/// The edge line (the seam, of a split flange) from end to end, laid in the plane in which it encloses most area with its chord: x along
/// the chord.
fn edge_template(swept: &Swept<'_>) -> Vec<DVec2> {
    let strip = swept.strip();
    let at = |i: u32| {
        let station = strip.from_mm + (strip.to_mm - strip.from_mm) * f64::from(i) / f64::from(TEMPLATE_POINTS);
        let on_line = strip.edge_line.at(station).position_mm;
        let place = match strip.makes {
            Makes::Body => on_line,
            Makes::SplitFlange { .. } => {
                let profile = swept.profile(station, Lean::After);
                let seam = profile.nodes.get(profile.anchor);
                seam.map_or(on_line, |node| swept.point(&swept.frame_jet(station, Lean::After), node, 0.0).value)
            }
        };
        of_hand(strip, place)
    };
    let points: Vec<DVec3> = (0..=TEMPLATE_POINTS).map(at).collect();
    let (Some(first), Some(last)) = (points.first().copied(), points.last().copied()) else { return Vec::new() };
    let along = (last - first).normalize_or(DVec3::X);
    let area: DVec3 = points
        .windows(2)
        .map(|pair| pair.first().zip(pair.last()).map_or(DVec3::ZERO, |(a, b)| (*a - first).cross(*b - first)))
        .sum();
    let normal = (area - along * area.dot(along)).try_normalize().unwrap_or_else(|| along.any_orthonormal_vector());
    let up = normal.cross(along);
    points.iter().map(|point| DVec2::new((*point - first).dot(along), (*point - first).dot(up))).collect()
}
