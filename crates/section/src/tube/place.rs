//! Where a place on the wall of a tube lies in space.

use super::{Cover, Tube, TubeCut, TubeEnd, Wall};
use crate::SectionError;
use crate::error::within;
use glam::{DVec2, DVec3};

/// A place beyond an edge by less than this lies on it, mm.
const ON_THE_EDGE_MM: f64 = 1e-6;

/// A place on the outside of the round wall, vehicle axes, of the finished hand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallPoint {
    /// On the outside, mm.
    pub at_mm: DVec3,
    /// Along the axis, from the start to the far end; unit length.
    pub along: DVec3,
    /// Round the girth, the way in which angles are counted; unit length.
    pub round: DVec3,
    /// Square to the wall, away from the axis; unit length.
    pub outward: DVec3,
}

impl Tube {
    /// The place at a station (mm from the start end's datum) and an angle round the girth from the zero line (rad), on the
    /// outside of the wall. Holes are not looked for.
    ///
    /// # Errors
    /// A fault of the tube; a place beyond an end cut, beside a patch, or where a flattened end is no longer round.
    pub fn wall_point(&self, station_mm: f64, angle_rad: f64) -> Result<WallPoint, SectionError> {
        self.check()?;
        within(format!("the station on the wall of {}", self.name), station_mm, -1e5..=1e5, "mm")?;
        within(format!("the angle round the girth of {}", self.name), angle_rad, -1e3..=1e3, "rad")?;
        let y = self.across_mm(angle_rad);
        let [low, high] = self.round_stations_mm(y.min(self.width_mm()));
        let off = |accepted: String| SectionError::OffTheMetal {
            name: format!("the place on the wall of {}", self.name),
            station_mm,
            distance_mm: angle_rad * self.radius_mm(Wall::Outside),
            accepted,
        };
        if let Cover::Part { from_rad, girth_rad, .. } = self.cover
            && y > self.width_mm() + ON_THE_EDGE_MM
        {
            let (from, to) = (from_rad.to_degrees(), (from_rad + girth_rad).to_degrees());
            return Err(off(format!(
                "the patch goes from {from:.1}° to {to:.1}° round the girth; keep it between them"
            )));
        }
        if !(low - ON_THE_EDGE_MM..=high + ON_THE_EDGE_MM).contains(&station_mm) {
            return Err(off(format!(
                "its wall is round from station {low:.1} to {high:.1} mm there; keep it between them"
            )));
        }
        let out = DVec2::from_angle(angle_rad);
        let place = |own: DVec3| {
            let place = self.to_vehicle * own;
            if self.mirrored { DVec3::new(place.x, -place.y, place.z) } else { place }
        };
        let wall = out * self.radius_mm(Wall::Outside);
        Ok(WallPoint {
            at_mm: place(DVec3::new(station_mm, wall.x, wall.y)),
            along: place(DVec3::X),
            round: place(DVec3::new(0.0, -out.y, out.x)),
            outward: place(DVec3::new(0.0, out.x, out.y)),
        })
    }

    /// Stations between which the wall is round, at a distance across the sheet.
    fn round_stations_mm(&self, y_mm: f64) -> [f64; 2] {
        let bent = |end: &TubeEnd| match end.cut {
            TubeCut::Flattened { flat_mm, transition_mm, .. } => flat_mm + transition_mm,
            _ => f64::NEG_INFINITY,
        };
        let [start, far] = &self.ends;
        let low = self.edge_station_mm(0, y_mm).max(bent(start));
        [low, self.edge_station_mm(1, y_mm).min(self.length_mm - bent(far))]
    }
}

#[cfg(test)]
mod tests {
    use super::super::{LongSeam, TubeEnd};
    use super::*;
    use crate::{Hand, tube};
    use glam::DMat3;

    fn square(name: &str) -> TubeEnd {
        TubeEnd { name: name.into(), cut: TubeCut::Square, wall: Wall::Middle }
    }

    /// Upright, its zero line to the rear.
    fn upright(ends: [TubeEnd; 2], cover: Cover) -> Tube {
        let (axis, zero) = (DVec3::Z, DVec3::NEG_X);
        Tube {
            name: "foot".into(),
            hand: Hand::Left,
            mirrored: false,
            to_vehicle: DMat3::from_cols(axis, zero, axis.cross(zero)),
            outside_diameter_mm: 32.0,
            thickness_mm: 1.2,
            material: "dc04".into(),
            length_mm: 200.0,
            ends,
            cover,
            over: None,
            openings: Vec::new(),
            reach_mm: 0.0,
        }
    }

    fn whole() -> Cover {
        Cover::Whole { seam_at_rad: 2.0, seam: LongSeam::Butt { gap_mm: 0.0 } }
    }

    /// Against the surface that is drawn: the point lies on its outside, and its directions are those of the wall.
    #[test]
    fn a_place_lies_on_the_outside_of_the_wall_that_is_drawn() {
        for mirrored in [false, true] {
            let tube = Tube { mirrored, ..upright([square("foot"), square("cut")], whole()) };
            let drawn = tube::tessellate(&tube, 0.01).unwrap();
            for (station, degrees) in [(10.0, 0.0_f64), (120.0, 73.0), (199.0, -140.0), (60.0, 500.0)] {
                let point = tube.wall_point(station, degrees.to_radians()).unwrap();
                let y = tube.across_mm(degrees.to_radians());
                assert!(point.at_mm.distance(tube.point_mm(DVec2::new(station, y), 0.0)) < 1e-9, "{point:?}");
                assert!((point.along.cross(point.round).dot(point.outward).abs() - 1.0).abs() < 1e-12);
                // nothing of the tube lies beyond the plane that touches it there
                let beyond = drawn.points_mm.iter().map(|p| (*p - point.at_mm).dot(point.outward)).fold(-1e9, f64::max);
                assert!(beyond < 1e-9 && beyond > -0.02, "{beyond}");
            }
            // 90° lies to the driver's right of a tube that runs up with its zero line to the rear; to the left on the other hand
            let side = tube.wall_point(50.0, std::f64::consts::FRAC_PI_2).unwrap();
            let right = if mirrored { 16.0 } else { -16.0 };
            assert!(side.at_mm.distance(DVec3::new(0.0, right, 50.0)) < 1e-9, "{side:?}");
        }
    }

    #[test]
    fn places_off_the_round_wall_are_named() {
        let plain = upright([square("foot"), square("cut")], whole());
        let words = |tube: &Tube, station: f64, degrees: f64| {
            tube.wall_point(station, degrees.to_radians()).unwrap_err().to_string()
        };
        assert!(words(&plain, 200.5, 0.0).contains("from station 0.0 to 200.0 mm"), "{}", words(&plain, 200.5, 0.0));
        assert!(words(&plain, f64::NAN, 0.0).contains("the station"), "{}", words(&plain, f64::NAN, 0.0));
        assert!(words(&plain, 10.0, f64::INFINITY).contains("the angle"));
        let cut = TubeCut::Flattened { flat_mm: 40.0, transition_mm: 48.0, face_at_rad: 0.0, hole: None };
        let pressed = upright([TubeEnd { cut, ..square("foot") }, square("cut")], whole());
        assert!(words(&pressed, 60.0, 0.0).contains("from station 88.0"), "{}", words(&pressed, 60.0, 0.0));
        let part = Cover::Part { from_rad: 0.5, girth_rad: 1.0, corner_radius_mm: 0.0 };
        let patch = upright([square("foot"), square("cut")], part);
        assert!(words(&patch, 60.0, 120.0).contains("28.6° to 85.9°"), "{}", words(&patch, 60.0, 120.0));
        assert!(patch.wall_point(60.0, 1.2).is_ok());
    }
}
