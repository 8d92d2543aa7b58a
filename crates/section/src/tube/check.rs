//! What a tube must be: every fault named with what would be accepted.

use super::end::least;
use super::{Cover, LongSeam, Saddle, TabHole, Tube, TubeCut, TubeEnd, Wall, flattened_shape};
use crate::error::within;
use crate::{Opening, SectionError};
use std::f64::consts::TAU;

/// Metal that must be left between two end cuts, mm.
const LEAST_LEFT_MM: f64 = 1.0;
/// Shortest axis between the datums of both ends, mm.
const SHORTEST_MM: f64 = 2.0;
/// Metal that must be left round a hole, mm.
const LEAST_ROUND_HOLE_MM: f64 = 0.5;

fn fault(place: impl Into<String>, what: impl Into<String>, accepted: impl Into<String>) -> SectionError {
    SectionError::Tube { place: place.into(), what: what.into(), accepted: accepted.into() }
}

impl Tube {
    /// Checks the tube.
    ///
    /// # Errors
    /// The first fault: a number out of range, a saddle wider than its main tube, end cuts that cross, a hole off the metal.
    pub fn check(&self) -> Result<(), SectionError> {
        self.sizes()?;
        for end in &self.ends {
            self.end(end)?;
        }
        self.long_enough()?;
        self.covered()?;
        self.lies_over()?;
        self.ends_apart()?;
        self.openings.iter().try_for_each(|opening| self.opening(opening))
    }

    fn sizes(&self) -> Result<(), SectionError> {
        let of = |what: &str| format!("{} of {}", what, self.name);
        let diameter = within(of("the outside diameter"), self.outside_diameter_mm, 4.0..=2000.0, "mm")?;
        if self.thickness_mm >= 0.5 * diameter {
            let what = format!("a wall of {:.2} mm leaves no bore in a tube of {diameter:.2} mm", self.thickness_mm);
            let accepted = format!("give a wall below {:.2} mm, or the diameter instead of the radius", 0.5 * diameter);
            return Err(fault(self.name.clone(), what, accepted));
        }
        within(of("the wall"), self.thickness_mm, 0.2..=12.0, "mm")?;
        within(of("the reach"), self.reach_mm, 0.0..=100.0, "mm")?;
        Ok(())
    }

    /// The length is that of the axis between the datums of the cuts; people give it from tip to tip.
    fn long_enough(&self) -> Result<(), SectionError> {
        let tips_mm: f64 = self.ends.iter().map(|end| end.tip_depth_mm(self)).sum();
        let tip_to_tip_mm = self.length_mm - tips_mm;
        if self.length_mm < SHORTEST_MM && tip_to_tip_mm > 0.0 && tips_mm < 0.0 {
            let [start, far] = &self.ends;
            let what = format!(
                "the cuts at the {} and the {} take {:.1} mm of its {tip_to_tip_mm:.1} mm from tip to tip",
                start.name, far.name, -tips_mm
            );
            let accepted = format!("make it {:.1} mm long or more, or cut its ends less", SHORTEST_MM - tips_mm);
            return Err(fault(self.name.clone(), what, accepted));
        }
        let name = format!("the length of {}", self.name);
        within(name, self.length_mm, SHORTEST_MM..=10_000.0, "mm").map(drop)
    }

    fn end(&self, end: &TubeEnd) -> Result<(), SectionError> {
        let of = |what: &str| format!("{what} at the {} of {}", end.name, self.name);
        let angle = |what: &str, got: f64, low: f64, high: f64| {
            within(of(what), got.to_degrees(), low..=high, "°").map(f64::to_radians)
        };
        match &end.cut {
            TubeCut::Square => Ok(()),
            TubeCut::Mitre { angle_rad, longest_at_rad } => {
                angle("the mitre from square", *angle_rad, 0.0, 80.0)?;
                angle("the longest side", *longest_at_rad, -360.0, 360.0).map(drop)
            }
            TubeCut::Saddle(saddle) => {
                angle("the angle between the two tubes", saddle.axis_angle_rad, 10.0, 170.0)?;
                angle("the closed side", saddle.closed_at_rad, -360.0, 360.0)?;
                within(of("the main tube's diameter"), saddle.main_outside_diameter_mm, 4.0..=4000.0, "mm")?;
                within(of("the offset"), saddle.offset_mm, -2000.0..=2000.0, "mm")?;
                self.saddle_fits(end, saddle)
            }
            TubeCut::Flattened { flat_mm, transition_mm, face_at_rad, hole } => {
                if !self.is_whole() {
                    let accepted = "give a whole tube, or cut this end square";
                    return Err(fault(of("the end"), "a patch cannot be flattened", accepted));
                }
                within(of("the flat"), *flat_mm, 3.0..=500.0, "mm")?;
                let least = 0.5 * self.outside_diameter_mm;
                within(
                    of("the way from round to flat"),
                    *transition_mm,
                    least..=10.0 * self.outside_diameter_mm,
                    "mm",
                )?;
                angle("the flat face", *face_at_rad, -360.0, 360.0)?;
                hole.as_ref().map_or(Ok(()), |hole| self.tab_hole(end, *flat_mm, *transition_mm, hole))
            }
        }
    }

    fn saddle_fits(&self, end: &TubeEnd, saddle: &Saddle) -> Result<(), SectionError> {
        let (own, main) = (0.5 * self.outside_diameter_mm, 0.5 * saddle.main_outside_diameter_mm);
        let over = own + saddle.offset_mm.abs() - main;
        if over <= 1e-9 * main {
            return Ok(());
        }
        let offset = saddle.offset_mm.abs();
        let beside = if offset > 0.0 { format!(", {offset:.1} mm beside the middle,") } else { String::new() };
        let what = format!(
            "a tube of {:.1} mm{beside} is wider than the tube of {:.1} mm that it meets, by {over:.1} mm",
            self.outside_diameter_mm, saddle.main_outside_diameter_mm
        );
        let accepted = if own > main {
            format!("the other tube must be {:.1} mm at least", 2.0 * (own + saddle.offset_mm.abs()))
        } else {
            format!(
                "an offset up to {:.1} mm either way, or a main tube of {:.1} mm at least, is accepted",
                main - own,
                2.0 * (own + saddle.offset_mm.abs())
            )
        };
        Err(fault(format!("the saddle at the {} of {}", end.name, self.name), what, accepted))
    }

    fn tab_hole(&self, end: &TubeEnd, flat_mm: f64, transition_mm: f64, hole: &TabHole) -> Result<(), SectionError> {
        let of = |what: &str| format!("{what} at the {} of {}", end.name, self.name);
        let width = flattened_shape(self, transition_mm).width_mm;
        let widest = width - 4.0 * self.thickness_mm;
        within(of("the hole in the flat"), hole.diameter_mm, 1.0..=widest, "mm")?;
        let edge = 0.5 * hole.diameter_mm + self.thickness_mm;
        within(
            of("the hole's middle from the tip"),
            hole.from_tip_mm,
            edge..=(flat_mm - 0.5 * hole.diameter_mm).max(edge),
            "mm",
        )?;
        Ok(())
    }

    fn covered(&self) -> Result<(), SectionError> {
        let of = |what: &str| format!("{} of {}", what, self.name);
        match self.cover {
            Cover::Whole { seam_at_rad, seam } => {
                within(of("the place of the long seam"), seam_at_rad.to_degrees(), -360.0..=360.0, "°")?;
                match seam {
                    LongSeam::Butt { gap_mm } => within(of("the gap of the long seam"), gap_mm, 0.0..=5.0, "mm")?,
                    LongSeam::Lap { lap_mm } => {
                        let half = 0.5 * TAU * self.radius_mm(Wall::Middle);
                        within(of("the lap of the long seam"), lap_mm, 3.0..=half.max(3.0), "mm")?
                    }
                };
            }
            Cover::Part { from_rad, girth_rad, corner_radius_mm } => {
                within(of("where the patch starts"), from_rad.to_degrees(), -360.0..=360.0, "°")?;
                within(of("the girth of the patch"), girth_rad.to_degrees(), 5.0..=355.0, "°")?;
                let square = self.ends.iter().all(|end| end.cut == TubeCut::Square);
                let most = if square { 0.5 * self.width_mm().min(self.length_mm) } else { 0.0 };
                if !square && corner_radius_mm > 0.0 {
                    let what = "corners are rounded between square ends and sides only";
                    return Err(fault(self.name.clone(), what, "give a corner radius of 0, or square ends"));
                }
                within(of("the corner radius"), corner_radius_mm, 0.0..=most, "mm")?;
            }
        }
        Ok(())
    }

    fn lies_over(&self) -> Result<(), SectionError> {
        let Some(old) = &self.over else { return Ok(()) };
        let of = |what: &str| format!("{} of {}", what, self.name);
        within(of("the old tube's diameter"), old.outside_diameter_mm, 4.0..=2000.0, "mm")?;
        let bore = 2.0 * self.radius_mm(Wall::Inside);
        if old.outside_diameter_mm > bore + 1e-9 {
            let what = format!("its inside is {bore:.2} mm, the old tube is {:.2} mm outside", old.outside_diameter_mm);
            let accepted = format!(
                "an outside diameter of {:.2} mm or more goes over it",
                old.outside_diameter_mm + 2.0 * self.thickness_mm
            );
            return Err(fault(self.name.clone(), what, accepted));
        }
        let narrow = if self.is_whole() { self.length_mm } else { self.length_mm.min(self.width_mm()) };
        let most_mm = 0.5 * narrow - 1.0;
        if old.lap_mm > most_mm && most_mm > 2.0 {
            let what = format!(
                "it is {narrow:.1} mm the narrow way, and the old wall laps {:.1} mm under each of its edges (H8)",
                old.lap_mm
            );
            let accepted =
                format!("make it {:.1} mm or more, or give a lap of {most_mm:.1} mm at most", 2.0 * (old.lap_mm + 1.0));
            return Err(fault(self.name.clone(), what, accepted));
        }
        within(of("the lap of the old wall"), old.lap_mm, 2.0..=most_mm.max(2.0), "mm")?;
        Ok(())
    }

    /// Metal left between the two cuts, at its shortest: angle and length.
    fn shortest(&self) -> (f64, f64) {
        let (from, girth) = self.girth();
        let inside = |angle: f64| (angle - from).rem_euclid(TAU) <= girth + 1e-9 || self.is_whole();
        let left = |angle: f64| self.cut_station_mm(1, angle) - self.cut_station_mm(0, angle);
        let sides = [from, from + girth].map(|angle| (angle, left(angle)));
        let inner = least(|angle| if inside(angle) { left(angle) } else { f64::INFINITY });
        sides.into_iter().chain([inner]).fold((from, f64::INFINITY), |a, b| if b.1 < a.1 { b } else { a })
    }

    fn ends_apart(&self) -> Result<(), SectionError> {
        let bent: f64 = self
            .ends
            .iter()
            .map(|end| match end.cut {
                TubeCut::Flattened { flat_mm, transition_mm, .. } => flat_mm + transition_mm,
                _ => end.tip_depth_mm(self).max(0.0),
            })
            .sum();
        if self.ends.iter().any(|end| matches!(end.cut, TubeCut::Flattened { .. }))
            && bent + LEAST_LEFT_MM > self.length_mm
        {
            let what = format!("its flattened ends take {bent:.1} mm, the tube is {:.1} mm long", self.length_mm);
            return Err(fault(
                self.name.clone(),
                what,
                format!("make it {:.1} mm long at least", bent + LEAST_LEFT_MM),
            ));
        }
        let (angle, left) = self.shortest();
        if left >= LEAST_LEFT_MM {
            return Ok(());
        }
        let near = angle.to_degrees().rem_euclid(360.0);
        let need = self.length_mm + LEAST_LEFT_MM - left;
        let [start, far] = &self.ends;
        let mitred = [(0, start, far), (1, far, start)]
            .into_iter()
            .find_map(|(i, end, other)| self.largest_mitre(i).map(|most| (end, other, most)));
        let passed = LEAST_LEFT_MM - left;
        Err(match mitred {
            Some((end, other, most)) => fault(
                format!("the mitre at the {} of {}", end.name, self.name),
                format!(
                    "it runs past the {} near {near:.0}° round the girth: {passed:.1} mm too much is cut away",
                    other.name
                ),
                format!("make the tube {need:.1} mm long or more, or mitre it to {:.1}° at most", most.to_degrees()),
            ),
            None => fault(
                self.name.clone(),
                format!(
                    "the cuts at the {} and the {} cross near {near:.0}° round the girth: {passed:.1} mm too much is cut away",
                    start.name, far.name
                ),
                format!("make the tube {need:.1} mm long or more, or cut its ends less"),
            ),
        })
    }

    /// Largest mitre of an end that still leaves metal, where one does; rad.
    fn largest_mitre(&self, index: usize) -> Option<f64> {
        let mut tube = self.clone();
        let TubeCut::Mitre { angle_rad: asked, .. } = tube.ends.get(index)?.cut else { return None };
        let mut leaves = |angle: f64| {
            if let Some(TubeEnd { cut: TubeCut::Mitre { angle_rad, .. }, .. }) = tube.ends.get_mut(index) {
                *angle_rad = angle;
            }
            tube.shortest().1 >= LEAST_LEFT_MM
        };
        if !leaves(0.0) {
            return None;
        }
        let (mut low, mut high) = (0.0, asked);
        for _ in 0..30 {
            let half = 0.5 * (low + high);
            if leaves(half) { low = half } else { high = half }
        }
        // printed to a tenth of a degree, and never more than fits
        Some((low.to_degrees() * 10.0).floor().to_radians() / 10.0)
    }

    fn opening(&self, opening: &Opening) -> Result<(), SectionError> {
        let of = |what: &str| format!("{what} of {}", opening.name);
        within(of("the station"), opening.along_mm, -1e5..=1e5, "mm")?;
        within(of("the place round the girth"), opening.from_edge_mm, -1e4..=1e4, "mm")?;
        within(of("the reach"), opening.reach_mm, 0.0..=100.0, "mm")?;
        opening.shape.check(&opening.name)?;
        let rim = self.opening_rim_mm(opening, 0.05);
        let width = self.width_mm();
        let round = |end: &TubeEnd| match end.cut {
            TubeCut::Flattened { flat_mm, transition_mm, .. } => flat_mm + transition_mm,
            _ => f64::NEG_INFINITY,
        };
        let [start, far] = &self.ends;
        let (first, last) = (round(start), self.length_mm - round(far));
        let on = rim.iter().all(|p| {
            let low = self.edge_station_mm(0, p.y.clamp(0.0, width)).max(first);
            let high = self.edge_station_mm(1, p.y.clamp(0.0, width)).min(last);
            p.x >= low + LEAST_ROUND_HOLE_MM
                && p.x <= high - LEAST_ROUND_HOLE_MM
                && p.y >= LEAST_ROUND_HOLE_MM
                && p.y <= width - LEAST_ROUND_HOLE_MM
        });
        if on && !rim.is_empty() {
            return Ok(());
        }
        let sides = match self.cover {
            Cover::Whole { seam_at_rad, .. } => format!("the long seam at {:.0}°", seam_at_rad.to_degrees()),
            Cover::Part { .. } => "the sides of the patch".to_owned(),
        };
        let accepted = if rim.is_empty() {
            format!("a hole narrower than the bore of {:.1} mm is accepted", 2.0 * self.radius_mm(Wall::Inside))
        } else {
            format!("keep it {LEAST_ROUND_HOLE_MM} mm clear of both end cuts and of {sides}")
        };
        Err(SectionError::OffTheMetal {
            name: opening.name.clone(),
            station_mm: opening.along_mm,
            distance_mm: opening.from_edge_mm,
            accepted,
        })
    }
}
