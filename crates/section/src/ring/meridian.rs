//! The meridian of a ring in the middle of its sheet: straights and arcs.

use super::{Ring, RingCorner};
use crate::{Face, SectionError};
use glam::DVec2;
use mesh::polygon::check_simple;
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// What part of a ring a link belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum RingPart {
    /// A straight leg, counted from 0 at the innermost edge.
    Leg(usize),
    /// The bend at a corner, counted as corners are: bend 1 lies between legs 0 and 1.
    Bend(usize),
}

/// One straight or arc in the middle of the sheet, from inside outwards along the chain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeridianLink {
    /// Leg or bend.
    pub part: RingPart,
    /// Where it starts: (r, z).
    pub from_mm: DVec2,
    /// Where it ends.
    pub to_mm: DVec2,
    /// Direction at its start, unit.
    pub along: DVec2,
    /// Angle it turns, positive to the left (towards the outside face); 0 for a straight.
    pub turn_rad: f64,
    /// Length.
    pub length_mm: f64,
    /// Length of the chain before it.
    pub start_mm: f64,
}

impl MeridianLink {
    /// Point at a length from the link's start.
    #[must_use]
    pub fn at(&self, along_mm: f64) -> DVec2 {
        if self.turn_rad == 0.0 {
            return self.from_mm + self.along * along_mm;
        }
        let radius = self.length_mm / self.turn_rad;
        let turned = DVec2::from_angle(along_mm / radius);
        // the centre lies to the left for a positive turn
        let centre = self.from_mm + self.along.perp() * radius;
        centre + turned.rotate(self.from_mm - centre)
    }

    /// Unit normal to the left (towards the outside face) at a length from the link's start.
    #[must_use]
    pub fn normal(&self, along_mm: f64) -> DVec2 {
        let turn = if self.length_mm > 0.0 { self.turn_rad * along_mm / self.length_mm } else { 0.0 };
        DVec2::from_angle(turn).rotate(self.along).perp()
    }

    /// ∫ r ds from the link's start, mm²: 1/2π of the area swept (Pappus, S11), in closed form.
    #[must_use]
    pub fn moment_mm2(&self, along_mm: f64) -> f64 {
        if self.turn_rad == 0.0 {
            return along_mm * (self.from_mm.x + 0.5 * along_mm * self.along.x);
        }
        let radius = self.length_mm / self.turn_rad;
        let centre = self.from_mm + self.along.perp() * radius;
        // r(s) = centre.x + the x of the turned arm; its integral is the arm's y moved on
        let arm = self.from_mm - centre;
        let turned = DVec2::from_angle(along_mm / radius).rotate(arm);
        centre.x * along_mm + radius * (turned.y - arm.y)
    }
}

/// The middle of a ring's sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Meridian {
    /// Links in order, lengths above zero.
    pub links: Vec<MeridianLink>,
}

impl Meridian {
    /// The meridian of a ring.
    ///
    /// # Errors
    /// [`SectionError::ShorterThanBend`] for a leg that its bends use up, [`SectionError::OutOfRange`] for legs of no length, a
    /// fold of more than 170° or metal beyond the axis, [`SectionError::CrossesItself`].
    pub fn of(ring: &Ring) -> Result<Self, SectionError> {
        let corners = middle_corners(ring)?;
        let trims = trims(ring, &corners)?;
        let mut links = Vec::new();
        let mut start_mm = 0.0;
        let mut push = |mut link: MeridianLink| {
            if link.length_mm > 1e-12 {
                link.start_mm = start_mm;
                start_mm += link.length_mm;
                links.push(link);
            }
        };
        for (leg, pair) in corners.windows(2).enumerate() {
            let [a, b] = pair else { continue };
            let along = (*b - *a).normalize_or_zero();
            let cut = |i: usize| trims.get(i).map_or(0.0, |trim: &Trim| trim.cut_mm);
            let (from_mm, to_mm) = (*a + along * cut(leg), *b - along * cut(leg + 1));
            let length_mm = (to_mm - from_mm).dot(along).max(0.0);
            push(MeridianLink {
                part: RingPart::Leg(leg),
                from_mm,
                to_mm,
                along,
                turn_rad: 0.0,
                length_mm,
                start_mm: 0.0,
            });
            if let Some(trim) = trims.get(leg + 1).filter(|trim| trim.turn_rad != 0.0) {
                let mut link = MeridianLink {
                    part: RingPart::Bend(leg + 1),
                    from_mm: to_mm,
                    to_mm,
                    along,
                    turn_rad: trim.turn_rad,
                    length_mm: trim.radius_mm * trim.turn_rad.abs(),
                    start_mm: 0.0,
                };
                link.to_mm = link.at(link.length_mm);
                push(link);
            }
        }
        let meridian = Self { links };
        meridian.check_faces(ring)?;
        Ok(meridian)
    }

    /// Whole length, mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        self.links.last().map_or(0.0, |link| link.start_mm + link.length_mm)
    }

    /// Area of the middle of the sheet, mm².
    #[must_use]
    pub fn area_mm2(&self) -> f64 {
        TAU * self.links.iter().map(|link| link.moment_mm2(link.length_mm)).sum::<f64>()
    }

    /// A polyline at a distance to the left of the middle (+ is towards the outside face); arcs keep within the tolerance of their
    /// chords.
    #[must_use]
    pub fn polyline(&self, left_mm: f64, tolerance_mm: f64) -> Vec<DVec2> {
        let mut out = Vec::new();
        for link in &self.links {
            let steps = link_steps(link, left_mm, tolerance_mm);
            let first = u32::from(!out.is_empty());
            for i in first..=steps {
                let s = link.length_mm * f64::from(i) / f64::from(steps);
                out.push(link.at(s) + link.normal(s) * left_mm);
            }
        }
        out
    }

    /// Both faces as one outline: no metal beyond the axis, nothing through itself.
    fn check_faces(&self, ring: &Ring) -> Result<(), SectionError> {
        let half = 0.5 * ring.thickness_mm;
        let [left, right] = [half, -half].map(|side| self.polyline(side, 0.05));
        if let Some(worst) = left.iter().chain(&right).map(|point| point.x).min_by(f64::total_cmp)
            && worst < -1e-9
        {
            return Err(SectionError::OutOfRange {
                name: format!("{}: the distance of its metal from the axis", ring.name),
                got: worst,
                min: 0.0,
                max: super::LARGEST_MM,
                unit: "mm",
            });
        }
        let mut outline = right;
        outline.extend(left.into_iter().rev());
        outline.dedup_by(|a, b| a.distance(*b) < 1e-9);
        let crosses = |at: DVec2| SectionError::RingCrossesItself { place: ring.name.clone(), r_mm: at.x, z_mm: at.y };
        check_simple(&outline).map_err(|clash| crosses(clash.at_mm))
    }
}

fn link_steps(link: &MeridianLink, left_mm: f64, tolerance_mm: f64) -> u32 {
    if link.turn_rad == 0.0 {
        return 1;
    }
    let radius = (link.length_mm / link.turn_rad - left_mm).abs().max(1e-6);
    let step = 2.0 * (1.0 - (tolerance_mm / radius).min(0.5)).acos();
    // a bounded number of chords: at most 256
    (link.turn_rad.abs() / step).ceil().clamp(2.0, 256.0) as u32
}

/// How a corner is rounded.
struct Trim {
    turn_rad: f64,
    radius_mm: f64,
    /// Length taken from both legs.
    cut_mm: f64,
}

/// The sharp corners of a ring moved from the measured face to the middle of its sheet: (r, z) each.
///
/// # Errors
/// [`SectionError::OutOfRange`] for a leg without length.
pub fn middle_corners(ring: &Ring) -> Result<Vec<DVec2>, SectionError> {
    let given: Vec<DVec2> = ring.corners.iter().map(RingCorner::at_mm).collect();
    let left_mm = match ring.face {
        Face::Outside => -0.5 * ring.thickness_mm,
        Face::Middle => 0.0,
        Face::Inside => 0.5 * ring.thickness_mm,
    };
    let mut ways = Vec::with_capacity(given.len());
    for (leg, pair) in given.windows(2).enumerate() {
        let [a, b] = pair else { continue };
        let length = a.distance(*b);
        crate::error::within(format!("{}: the length of {}", ring.name, ring.leg_name(leg)), length, 0.1..=1e4, "mm")?;
        ways.push((*b - *a) / length);
    }
    let moved = given.iter().enumerate().map(|(i, corner)| {
        let before = i.checked_sub(1).and_then(|i| ways.get(i)).or(ways.get(i));
        let after = ways.get(i).or(before);
        let (Some(before), Some(after)) = (before, after) else { return *corner };
        let half_way = (before.perp() + after.perp()).normalize_or_zero();
        let stretch = half_way.dot(before.perp());
        // on the axis the middle must stay on the axis
        let moved = *corner + half_way * (left_mm / stretch.max(0.05));
        if corner.x == 0.0 && (i == 0) { on_axis(moved, *after) } else { moved }
    });
    Ok(moved.collect())
}

/// Slides a point along its leg to the axis.
fn on_axis(point: DVec2, along: DVec2) -> DVec2 {
    if along.x.abs() < 1e-9 { point } else { point - along * (point.x / along.x) }
}

fn trims(ring: &Ring, corners: &[DVec2]) -> Result<Vec<Trim>, SectionError> {
    const LARGEST_TURN_RAD: f64 = 170.0 * std::f64::consts::PI / 180.0;
    let none = || Trim { turn_rad: 0.0, radius_mm: 0.0, cut_mm: 0.0 };
    let mut out: Vec<Trim> = corners.iter().map(|_| none()).collect();
    for (i, three) in corners.windows(3).enumerate() {
        let [a, b, c] = three else { continue };
        let (p, q) = (*b - *a, *c - *b);
        let turn_rad = p.perp_dot(q).atan2(p.dot(q));
        let name = format!("{}: the bend angle at corner {}", ring.name, i + 2);
        crate::error::within(name, turn_rad.abs().to_degrees(), 0.0..=LARGEST_TURN_RAD.to_degrees(), "°")?;
        let inside_mm = ring.corners.get(i + 1).map_or(0.0, |corner| corner.inside_radius_mm);
        let radius_mm = inside_mm + 0.5 * ring.thickness_mm;
        if let (Some(place), true) = (out.get_mut(i + 1), turn_rad.abs() > 1e-9) {
            *place = Trim { turn_rad, radius_mm, cut_mm: radius_mm * (0.5 * turn_rad.abs()).tan() };
        }
    }
    for (leg, pair) in corners.windows(2).enumerate() {
        let [a, b] = pair else { continue };
        let need_mm: f64 = out.get(leg..=leg + 1).unwrap_or_default().iter().map(|trim| trim.cut_mm).sum();
        let got_mm = a.distance(*b);
        if got_mm + 1e-9 < need_mm {
            let place = format!("{}, {}", ring.name, ring.leg_name(leg));
            return Err(SectionError::ShorterThanBend { place, got_mm, need_mm });
        }
    }
    Ok(out)
}
