//! Running dimensions: all lengths from one datum on one line. A small circle marks the zero, each station has its
//! head, its figures stand square to the line and move apart where stations crowd.

use glam::DVec2;

use super::super::dodge;
use super::super::shape::{Along, Horizontal, RunningStation, Vertical};
use super::dimension::LineFrame;
use super::{DIMENSION_TEXT, Pen, anchor, readable};

/// Radius of the circle at the zero.
const ORIGIN_RADIUS: f64 = 1.25;
/// Straight part of an extension line past the dimension line, before it may lean to its figures.
const STRAIGHT: f64 = 2.0;
/// Part that may lean.
const LEANING: f64 = 4.0;
/// From the end of the extension line to the figures.
const FIGURE_GAP: f64 = 0.8;
/// Least distance between the middles of two figures.
const FIGURE_PITCH: f64 = 5.0;

impl Pen<'_, '_> {
    pub(super) fn running_dimensions(
        &mut self,
        datum: DVec2,
        along: Along,
        stations: &[RunningStation],
        offset_paper_mm: f64,
    ) {
        let along = if along == Along::Vertical { Along::Vertical } else { Along::Horizontal };
        let points: Vec<DVec2> = std::iter::once(datum).chain(stations.iter().map(|station| station.at)).collect();
        let frame = LineFrame::new(&points, along, self.paper(offset_paper_mm));
        let zero = frame.foot(datum);
        let mut marked: Vec<(DVec2, String)> = vec![(datum, "0".to_owned())];
        for station in stations {
            let distance_mm = (frame.foot(station.at) - zero).dot(frame.direction);
            marked.push((station.at, self.words(&station.label, distance_mm.abs())));
        }
        marked.sort_by(|(a, _), (b, _)| a.dot(frame.direction).total_cmp(&b.dot(frame.direction)));

        self.circle(zero, self.paper(ORIGIN_RADIUS));
        self.dimension_run(&frame, zero, &marked);
        let wanted: Vec<f64> = marked.iter().map(|(point, _)| point.dot(frame.direction)).collect();
        let places = dodge::spread(&wanted, self.paper(FIGURE_PITCH));
        for ((point, words), place) in marked.iter().zip(places) {
            self.station(&frame, *point, words, place);
        }
    }

    fn dimension_run(&mut self, frame: &LineFrame, zero: DVec2, marked: &[(DVec2, String)]) {
        let feet: Vec<DVec2> = marked.iter().map(|(point, _)| frame.foot(*point)).collect();
        for end in [feet.first(), feet.last()].into_iter().flatten().copied() {
            let way = (end - zero).normalize_or_zero();
            if way != DVec2::ZERO {
                self.line(zero + way * self.paper(ORIGIN_RADIUS), end);
            }
        }
        for foot in feet {
            let way = (foot - zero).normalize_or_zero();
            if way != DVec2::ZERO {
                self.head(foot, way);
            }
        }
    }

    fn station(&mut self, frame: &LineFrame, point: DVec2, words: &str, place: f64) {
        let foot = frame.foot(point);
        let straight = foot + frame.normal * self.paper(STRAIGHT);
        self.extension(point, straight - frame.normal * self.paper(2.0), frame.normal);
        let aside = frame.direction * (place - point.dot(frame.direction));
        let end = straight + frame.normal * self.paper(LEANING) + aside;
        self.line(straight, end);
        let angle_rad = readable(frame.normal.to_angle());
        let reads_outward = DVec2::from_angle(angle_rad).dot(frame.normal) > 0.0;
        let horizontal = if reads_outward { Horizontal::Left } else { Horizontal::Right };
        let at = end + frame.normal * self.paper(FIGURE_GAP);
        debug_assert!(FIGURE_PITCH > DIMENSION_TEXT.mm());
        self.figures(words, at, angle_rad, anchor(horizontal, Vertical::Middle));
    }
}
