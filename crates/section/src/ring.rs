//! Rings: flanged and stepped bodies of revolution, open in the middle or closed (pan, cup, seat).
//!
//! A ring stands in axes of its own: z is its axis and points to the outside of the vehicle, x and y lie in its plane. Its meridian
//! is a chain in the (r, z) half plane, r the distance from the axis, from the innermost edge (or from the axis itself) outwards
//! along the sheet. The chain is given by its sharp corners on the face that was measured, as a tape or calliper finds them; every
//! corner between two legs has an inside radius. The outside face lies to the left of the chain: above a flat leg that runs outwards.
//!
//! Holds: the middle of the sheet is straights and arcs with common tangents; both faces are its offsets by half the thickness.
//! Does not hold for: rings that are not round, and sheet that has changed its thickness (see `blank::ring` for that).
//! Units: mm, rad.

mod meridian;
mod tessellate;

pub use meridian::{Meridian, MeridianLink, RingPart, middle_corners};
pub use tessellate::tessellate;

use crate::error::within;
use crate::{Face, Opening, OpeningShape, SectionError};
use glam::DVec2;
use serde::{Deserialize, Serialize};

/// Largest radius of a ring, mm.
const LARGEST_MM: f64 = 5000.0;

/// A ring.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Ring {
    /// "ventilator seat".
    pub name: String,
    /// Sheet, mm.
    pub thickness_mm: f64,
    /// Material key of the handbook.
    pub material: String,
    /// Face on which the corners were measured.
    pub face: Face,
    /// Sharp corners of the meridian from the innermost edge outwards; the first lies on the axis when the ring is closed in the middle.
    pub corners: Vec<RingCorner>,
    /// Names of the legs, one fewer than corners; an empty name takes what the leg is ("flat 1", "wall 2").
    pub leg_names: Vec<String>,
    /// Round holes in flat legs: `along_mm` is x, `from_edge_mm` is y from the axis.
    pub holes: Vec<Opening>,
    /// Reach (±) of its sizes, mm.
    pub reach_mm: f64,
}

/// A sharp corner of the meridian on the face that was measured.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RingCorner {
    /// Distance from the axis, mm.
    pub radius_mm: f64,
    /// Height along the axis, towards the outside of the vehicle, mm.
    pub height_mm: f64,
    /// Inside radius of the bend there, mm; no meaning at the two ends.
    pub inside_radius_mm: f64,
}

impl RingCorner {
    /// The corner in the (r, z) half plane.
    #[must_use]
    pub fn at_mm(&self) -> DVec2 {
        DVec2::new(self.radius_mm, self.height_mm)
    }
}

/// What a leg of a ring is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LegKind {
    /// Square to the axis.
    Flat,
    /// Parallel to the axis.
    Wall,
    /// Between the two.
    Cone,
}

impl LegKind {
    const fn word(self) -> &'static str {
        match self {
            Self::Flat => "flat",
            Self::Wall => "wall",
            Self::Cone => "cone",
        }
    }
}

impl Ring {
    /// Number of legs.
    #[must_use]
    pub fn legs(&self) -> usize {
        self.corners.len().saturating_sub(1)
    }

    /// What a leg is; `None` beyond the last.
    #[must_use]
    pub fn leg_kind(&self, leg: usize) -> Option<LegKind> {
        let way = self.corners.get(leg + 1)?.at_mm() - self.corners.get(leg)?.at_mm();
        Some(match (way.x.abs() < 1e-9, way.y.abs() < 1e-9) {
            (_, true) => LegKind::Flat,
            (true, false) => LegKind::Wall,
            (false, false) => LegKind::Cone,
        })
    }

    /// Name of a leg.
    #[must_use]
    pub fn leg_name(&self, leg: usize) -> String {
        match self.leg_names.get(leg).filter(|name| !name.trim().is_empty()) {
            Some(name) => name.clone(),
            None => format!("{} {}", self.leg_kind(leg).map_or("leg", LegKind::word), leg + 1),
        }
    }

    /// True when the ring has no opening in the middle.
    #[must_use]
    pub fn is_closed(&self) -> bool {
        self.corners.first().is_some_and(|corner| corner.radius_mm == 0.0)
    }

    /// Largest radius of the measured face, mm.
    #[must_use]
    pub fn outer_radius_mm(&self) -> f64 {
        self.corners.iter().map(|corner| corner.radius_mm).fold(0.0, f64::max)
    }

    /// Height from the lowest to the highest corner, mm.
    #[must_use]
    pub fn height_mm(&self) -> f64 {
        let heights = || self.corners.iter().map(|corner| corner.height_mm);
        heights().fold(f64::NEG_INFINITY, f64::max) - heights().fold(f64::INFINITY, f64::min)
    }

    /// The leg that a point at a distance from the axis lies on: the flat leg there, with the room it has to the leg's ends.
    #[must_use]
    pub fn flat_leg_at(&self, radius_mm: f64) -> Option<usize> {
        (0..self.legs()).find(|leg| {
            let ends = self.corners.get(*leg).zip(self.corners.get(leg + 1));
            self.leg_kind(*leg) == Some(LegKind::Flat)
                && ends.is_some_and(|(a, b)| {
                    (a.radius_mm.min(b.radius_mm)..=a.radius_mm.max(b.radius_mm)).contains(&radius_mm)
                })
        })
    }

    /// Checks numbers and shape.
    ///
    /// # Errors
    /// [`SectionError`]: a number out of its range or not finite, a leg shorter than its bends take, a wall nearer to the axis than
    /// half the sheet, corners from outside inwards, a meridian that crosses itself, a hole that is not round or lies on no flat leg.
    pub fn check(&self) -> Result<(), SectionError> {
        within(format!("{}: the thickness", self.name), self.thickness_mm, 0.2..=6.0, "mm")?;
        within(format!("{}: the reach", self.name), self.reach_mm, 0.0..=100.0, "mm")?;
        let name = format!("{}: the number of corners of the meridian", self.name);
        within(name, self.corners.len() as f64, 2.0..=20.0, "")?;
        for (i, corner) in self.corners.iter().enumerate() {
            let of = |what: &str| format!("{}: the {what} of corner {}", self.name, i + 1);
            within(of("diameter"), 2.0 * corner.radius_mm, 0.0..=2.0 * LARGEST_MM, "mm")?;
            within(of("height"), corner.height_mm, -LARGEST_MM..=LARGEST_MM, "mm")?;
            within(of("inside radius"), corner.inside_radius_mm, 0.0..=LARGEST_MM, "mm")?;
        }
        if let (Some(first), Some(last)) = (self.corners.first(), self.corners.last())
            && first.radius_mm > last.radius_mm
        {
            return Err(SectionError::Rule {
                place: self.name.clone(),
                what: format!(
                    "its corners run from outside (⌀{:.1} mm) inwards (⌀{:.1} mm), which puts the outside face on the wrong side; write them from \
                     the innermost edge outwards",
                    2.0 * first.radius_mm,
                    2.0 * last.radius_mm
                ),
            });
        }
        for leg in (0..self.legs()).filter(|leg| self.leg_kind(*leg) == Some(LegKind::Wall)) {
            let name = format!("{}: the opening inside {}", self.name, self.leg_name(leg));
            let inside = 2.0 * (self.wall_radius_mm(leg) - 0.5 * self.thickness_mm);
            within(name, inside, self.thickness_mm..=2.0 * LARGEST_MM, "mm")?;
        }
        Meridian::of(self).map(drop)?;
        self.holes.iter().try_for_each(|hole| self.check_hole(hole))
    }

    fn check_hole(&self, hole: &Opening) -> Result<(), SectionError> {
        let distance_mm = hole.along_mm.hypot(hole.from_edge_mm);
        let off = |accepted: String| SectionError::OffTheMetal {
            name: hole.name.clone(),
            station_mm: hole.along_mm,
            distance_mm: hole.from_edge_mm,
            accepted,
        };
        let OpeningShape::Round { diameter_mm } = hole.shape else {
            return Err(off("a ring takes round holes: give a diameter or a bolt".to_owned()));
        };
        within(format!("the diameter of {}", hole.name), diameter_mm, 0.1..=2.0 * LARGEST_MM, "mm")?;
        let Some(leg) = self.flat_leg_at(distance_mm).filter(|_| distance_mm.is_finite()) else {
            return Err(off(format!("a hole lies on a flat leg: {}", self.flat_ranges())));
        };
        let [low, high] = self.flat_between(leg)?;
        let half = 0.5 * diameter_mm;
        if distance_mm - half < low || distance_mm + half > high {
            return Err(off(format!(
                "its whole circle lies between {:.1} and {:.1} mm from the axis, where {} is flat",
                low,
                high,
                self.leg_name(leg)
            )));
        }
        Ok(())
    }

    /// Least and largest distance from the axis at which a flat leg is flat: between its bends' tangents.
    ///
    /// # Errors
    /// As [`Meridian::of`].
    pub fn flat_between(&self, leg: usize) -> Result<[f64; 2], SectionError> {
        let meridian = Meridian::of(self)?;
        let link = meridian.links.iter().find(|link| link.part == RingPart::Leg(leg));
        Ok(link.map_or([0.0; 2], |link| {
            let (a, b) = (link.from_mm.x, link.to_mm.x);
            [a.min(b), a.max(b)]
        }))
    }

    /// Radius of a wall in the middle of its sheet.
    fn wall_radius_mm(&self, leg: usize) -> f64 {
        let Some((a, b)) = self.corners.get(leg).zip(self.corners.get(leg + 1)) else { return 0.0 };
        // the outside face of a wall that runs up looks to the axis
        let half = 0.5 * self.thickness_mm * (b.height_mm - a.height_mm).signum();
        a.radius_mm
            + match self.face {
                Face::Outside => half,
                Face::Middle => 0.0,
                Face::Inside => -half,
            }
    }

    fn flat_ranges(&self) -> String {
        let ranges: Vec<String> = (0..self.legs())
            .filter(|leg| self.leg_kind(*leg) == Some(LegKind::Flat))
            .filter_map(|leg| {
                let [low, high] = self.flat_between(leg).ok()?;
                Some(format!("{} from {low:.1} to {high:.1} mm from the axis", self.leg_name(leg)))
            })
            .collect();
        if ranges.is_empty() { "this ring has none".to_owned() } else { ranges.join(", ") }
    }
}

/// `count` holes on a circle about the axis, the first at an angle from x, anticlockwise seen from outside.
#[must_use]
pub fn bolt_circle(circle: &BoltCircle) -> Vec<Opening> {
    let step = std::f64::consts::TAU / f64::from(circle.count.max(1));
    let hole = |i: u32| {
        let at = DVec2::from_angle(circle.first_rad + step * f64::from(i)) * (0.5 * circle.circle_mm);
        Opening {
            name: if circle.count == 1 { circle.name.clone() } else { format!("{} {}", circle.name, i + 1) },
            on: crate::On::Skin,
            along_mm: at.x,
            from_edge_mm: at.y,
            shape: OpeningShape::Round { diameter_mm: circle.hole_mm },
            reach_mm: circle.reach_mm,
            half_clearance_mm: circle.half_clearance_mm,
        }
    };
    (0..circle.count).map(hole).collect()
}

/// Holes on a circle about the axis.
#[derive(Debug, Clone, PartialEq)]
pub struct BoltCircle {
    /// "bolt hole".
    pub name: String,
    /// How many.
    pub count: u32,
    /// Diameter of the circle through their middles, mm.
    pub circle_mm: f64,
    /// Diameter of a hole, mm.
    pub hole_mm: f64,
    /// Angle of the first from x.
    pub first_rad: f64,
    /// Reach of their places.
    pub reach_mm: f64,
    /// Half the play of the bolt.
    pub half_clearance_mm: Option<f64>,
}

#[cfg(test)]
mod tests;
