//! Where a point of a leg lies in space, and whether openings lie on the metal.

use super::layout::{Layout, Leg, layout};
use super::pose::Pose;
use super::{Folded, relief};
use crate::{On, Opening, OpeningShape, SectionError};
use glam::{DVec2, DVec3};
use mesh::polygon::{check_simple, contains, distance_to_sides_mm};

/// A place on a leg in the base's frame, mm; reflected where the piece is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LegPoint {
    /// On the face that is down in the flat (the underside of the base).
    pub underside_mm: DVec3,
    /// On the face that is up in the flat.
    pub face_up_mm: DVec3,
    /// Direction along the edge (x of the base).
    pub along: DVec3,
    /// Direction away from the edge in the leg (y of the base).
    pub away: DVec3,
    /// Square to the leg, from underside to face up.
    pub axis: DVec3,
}

impl Folded {
    /// Where a point of the base or of a leg lies in space.
    ///
    /// `along_mm`, `from_edge_mm`: as for an [`Opening`]: x and y on the base; on a leg from the edge's first corner and
    /// from the fold's apex along the leg's outer face (from the tangent for a hem). The point need not be on the metal.
    ///
    /// # Errors
    /// A fault of the piece, or a leg that does not exist.
    pub fn point_on(&self, on: On, along_mm: f64, from_edge_mm: f64) -> Result<LegPoint, SectionError> {
        let layout = layout(self)?;
        layout
            .point_on(on, along_mm, from_edge_mm, self.mirrored)
            .ok_or_else(|| no_such_leg("the point", along_mm, from_edge_mm))
    }
}

impl Layout {
    /// [`Folded::point_on`] for a piece already taken apart; `None` when the leg does not exist.
    #[must_use]
    pub fn point_on(&self, on: On, along_mm: f64, from_edge_mm: f64, mirrored: bool) -> Option<LegPoint> {
        let t = self.thickness_mm;
        let point = match on {
            On::Skin => LegPoint {
                underside_mm: DVec3::new(along_mm, from_edge_mm, 0.0),
                face_up_mm: DVec3::new(along_mm, from_edge_mm, t),
                along: DVec3::X,
                away: DVec3::Y,
                axis: DVec3::Z,
            },
            On::Fold { edge, index } => {
                let (edge, leg) = self.leg(edge, index)?;
                let pose: Pose = leg.pose.straight(from_edge_mm - leg.from_apex_mm);
                let direction = |v: DVec2| (edge.outward * v.x).extend(v.y);
                LegPoint {
                    underside_mm: edge.in_space(along_mm, pose.underside_mm),
                    face_up_mm: edge.in_space(along_mm, pose.at_height(t)),
                    along: edge.along.extend(0.0),
                    away: direction(pose.direction()),
                    axis: direction(pose.normal()),
                }
            }
            On::StripMakeUp { .. } => return None,
        };
        Some(if mirrored { point.reflected() } else { point })
    }

    /// The leg of fold `index` (counted over the edge's folds) on an edge.
    #[must_use]
    pub fn leg(&self, edge: usize, index: usize) -> Option<(&super::layout::EdgeLayout, &Leg)> {
        let edge = self.edges.get(edge)?;
        let leg = edge.parts.get(index)?.leg.as_ref()?;
        Some((edge, leg))
    }

    /// The base between its near tangent lines, anticlockwise, relief holes cut in with chords within `chord_mm`.
    #[must_use]
    pub fn base_outline_mm(&self, chord_mm: f64) -> Vec<DVec2> {
        self.relief_arcs_mm(chord_mm).concat()
    }

    /// What each corner of the base is cut to: the arc of its relief hole, or the crossing of the tangent lines alone.
    #[must_use]
    pub fn relief_arcs_mm(&self, chord_mm: f64) -> Vec<Vec<DVec2>> {
        let before = self.edges.iter().cycle().skip(self.edges.len().saturating_sub(1));
        let corners = before.zip(&self.edges).zip(&self.corners);
        corners
            .map(|((before, edge), corner)| {
                corner_arc(corner.tangents_cross_mm, corner.relief_mm, -before.along, edge.along, chord_mm)
            })
            .collect()
    }

    /// Radii of the relief holes at the start and the end of an edge, 0 for none.
    #[must_use]
    pub fn relief_radii_mm(&self, edge: usize) -> [f64; 2] {
        let count = self.corners.len().max(1);
        [edge, edge + 1].map(|corner| {
            let corner = self.corners.get(corner % count);
            corner.and_then(|corner| corner.relief_mm).map_or(0.0, |diameter| diameter / 2.0)
        })
    }
}

/// The relief arc at a corner of the base, from the end of the edge before to the start of the edge after.
fn corner_arc(centre: DVec2, relief_mm: Option<f64>, from: DVec2, to: DVec2, chord_mm: f64) -> Vec<DVec2> {
    let radius = relief_mm.map_or(0.0, |diameter| diameter / 2.0);
    if radius == 0.0 {
        return vec![centre];
    }
    let mut turn = from.angle_to(to);
    // The arc runs through the metal of the base: clockwise from the edge before to the edge after.
    if turn > 0.0 {
        turn -= std::f64::consts::TAU;
    }
    let count = relief::arc_steps(radius, turn, chord_mm);
    (0..=count)
        .map(|i| match i {
            0 => centre + from * radius,
            i if i == count => centre + to * radius,
            i => centre + DVec2::from_angle(turn * f64::from(i) / f64::from(count)).rotate(from) * radius,
        })
        .collect()
}

impl LegPoint {
    fn reflected(self) -> Self {
        let flip = |v: DVec3| DVec3::new(-v.x, v.y, v.z);
        Self {
            underside_mm: flip(self.underside_mm),
            face_up_mm: flip(self.face_up_mm),
            along: flip(self.along),
            away: flip(self.away),
            axis: flip(self.axis),
        }
    }
}

/// Outline of an opening about its centre, x along the edge and y away from it, arcs within `chord_mm`.
#[must_use]
pub fn opening_outline_mm(shape: &OpeningShape, chord_mm: f64) -> Vec<DVec2> {
    let round = |centre: DVec2, radius: f64, from: f64, turn: f64, closed: bool| {
        let count = relief::arc_steps(radius, turn, chord_mm).max(8);
        let last = if closed { count } else { count + 1 };
        (0..last).map(move |i| centre + DVec2::from_angle(from + turn * f64::from(i) / f64::from(count)) * radius)
    };
    use std::f64::consts::{FRAC_PI_2, PI, TAU};
    match shape {
        OpeningShape::Round { diameter_mm } => round(DVec2::ZERO, diameter_mm / 2.0, 0.0, TAU, true).collect(),
        OpeningShape::Slot { length_mm, width_mm, angle_rad } => {
            let (radius, half) = (width_mm / 2.0, (length_mm - width_mm) / 2.0);
            let turn = DVec2::from_angle(*angle_rad);
            let right = round(DVec2::new(half, 0.0), radius, -FRAC_PI_2, PI, false);
            let left = round(DVec2::new(-half, 0.0), radius, FRAC_PI_2, PI, false);
            right.chain(left).map(|p| turn.rotate(p)).collect()
        }
        OpeningShape::CutOut { corners_mm } => corners_mm.clone(),
    }
}

/// Refuses openings with bad sizes, on a leg that does not exist, or reaching off the flat metal of their leg.
pub(super) fn check_openings(folded: &Folded, layout: &Layout) -> Result<(), SectionError> {
    let base = layout.base_outline_mm(0.01);
    for opening in &folded.openings {
        sizes(opening)?;
        let place = DVec2::new(opening.along_mm, opening.from_edge_mm);
        let (region, centre, accepted) = match opening.on {
            On::Skin => (base.clone(), place, "keep it on the base, inside the bend tangent lines".to_owned()),
            On::Fold { edge, index } => {
                let (_, leg) = layout.leg(edge, index).ok_or_else(|| off_leg(opening, folded))?;
                let range = range_of(leg);
                (leg.outline_mm(), place - DVec2::new(0.0, leg.from_apex_mm), range)
            }
            On::StripMakeUp { .. } => return Err(off_leg(opening, folded)),
        };
        let outline = opening_outline_mm(&opening.shape, 0.05);
        let inside = outline.iter().all(|p| contains(&region, centre + *p))
            && region.iter().all(|p| !contains(&outline, *p - centre))
            && distance_to_sides_mm(&region, centre).is_finite();
        if !inside {
            return Err(off_the_metal(opening, accepted));
        }
    }
    Ok(())
}

fn range_of(leg: &Leg) -> String {
    let top = leg.far_side.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    let from_apex = leg.from_apex_mm;
    format!(
        "its whole outline must lie on the flat of the leg: about {:.1} to {:.1} mm along and {:.1} to {:.1} mm from the apex",
        leg.start.at_mm,
        leg.end.at_mm,
        from_apex,
        from_apex + top
    )
}

fn off_the_metal(opening: &Opening, accepted: String) -> SectionError {
    SectionError::OffTheMetal {
        name: opening.name.clone(),
        station_mm: opening.along_mm,
        distance_mm: opening.from_edge_mm,
        accepted,
    }
}

fn off_leg(opening: &Opening, folded: &Folded) -> SectionError {
    let accepted = format!("name the base or a fold of one of the {} edges that has a leg", folded.edges.len());
    off_the_metal(opening, accepted)
}

fn no_such_leg(name: &str, along_mm: f64, from_edge_mm: f64) -> SectionError {
    let accepted = "name the base or a fold that has a leg".to_owned();
    SectionError::OffTheMetal { name: name.to_owned(), station_mm: along_mm, distance_mm: from_edge_mm, accepted }
}

fn sizes(opening: &Opening) -> Result<(), SectionError> {
    use crate::error::within;
    let name = &opening.name;
    within(format!("{name}: place along"), opening.along_mm, -10_000.0..=10_000.0, "mm")?;
    within(format!("{name}: place from the edge"), opening.from_edge_mm, -10_000.0..=10_000.0, "mm")?;
    within(format!("{name}: reach"), opening.reach_mm, 0.0..=50.0, "mm")?;
    if let Some(half) = opening.half_clearance_mm {
        within(format!("{name}: half clearance"), half, 0.0..=50.0, "mm")?;
    }
    match &opening.shape {
        OpeningShape::Round { diameter_mm } => {
            within(format!("{name}: diameter"), *diameter_mm, 0.5..=2_000.0, "mm")?;
        }
        OpeningShape::Slot { length_mm, width_mm, angle_rad } => {
            within(format!("{name}: slot width"), *width_mm, 0.5..=2_000.0, "mm")?;
            within(format!("{name}: slot length over the ends"), *length_mm, *width_mm..=5_000.0, "mm")?;
            within(format!("{name}: slot angle"), *angle_rad, -6.3..=6.3, "rad")?;
        }
        OpeningShape::CutOut { corners_mm } => cut_out(name, corners_mm)?,
    }
    Ok(())
}

fn cut_out(name: &str, corners_mm: &[DVec2]) -> Result<(), SectionError> {
    use crate::error::within;
    within(format!("{name}: corners of the cut-out"), corners_mm.len() as f64, 3.0..=10_000.0, "corners")?;
    for corner in corners_mm {
        within(format!("{name}: x of a corner"), corner.x, -10_000.0..=10_000.0, "mm")?;
        within(format!("{name}: y of a corner"), corner.y, -10_000.0..=10_000.0, "mm")?;
    }
    check_simple(corners_mm).map_err(|_| SectionError::OpeningCrossesItself { name: name.to_owned() })
}
