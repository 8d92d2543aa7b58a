//! Linear, round and angle dimensions (ISO 129-1 arrangement, from memory: solid heads, figures above the line and
//! readable from below or from the right, extension lines past the dimension line, narrow spaces dimensioned from outside).

use std::f64::consts::FRAC_PI_2;

use glam::DVec2;

use super::super::polyline::ArcForm;
use super::super::shape::{Along, Horizontal, Label, Vertical};
use super::super::stroke::Mark;
use super::{HEAD_LENGTH, Pen, TEXT_GAP, anchor, readable};

/// Clear space between the feature and its extension line.
const EXTENSION_GAP: f64 = 1.0;
/// How far an extension line runs past the dimension line.
const EXTENSION_OVERRUN: f64 = 2.0;
/// Length of the dimension line outside heads that point inward.
const OUTSIDE_TAIL: f64 = 7.0;

/// Direction measured in, direction from the points to the dimension line, and the dimension line's own level.
pub struct LineFrame {
    pub direction: DVec2,
    pub normal: DVec2,
    level: f64,
}

impl LineFrame {
    /// `offset_mm` real; see [`Along`] for its sign.
    pub fn new(points: &[DVec2], along: Along, offset_mm: f64) -> Self {
        let (direction, left) = match along {
            Along::Horizontal => (DVec2::X, DVec2::Y),
            Along::Vertical => (DVec2::Y, DVec2::X),
            Along::Aligned => {
                let way = match points {
                    [from, .., to] => (*to - *from).normalize_or(DVec2::X),
                    _ => DVec2::X,
                };
                (way, way.perp())
            }
        };
        let normal = if offset_mm < 0.0 { -left } else { left };
        let outermost = points.iter().map(|point| point.dot(normal)).fold(f64::NEG_INFINITY, f64::max);
        Self { direction, normal, level: outermost + offset_mm.abs() }
    }

    /// The point of the dimension line square to `point`.
    pub fn foot(&self, point: DVec2) -> DVec2 {
        self.direction * point.dot(self.direction) + self.normal * self.level
    }
}

impl Pen<'_, '_> {
    pub(super) fn linear_dimension(&mut self, points: [DVec2; 2], along: Along, offset_paper_mm: f64, label: &Label) {
        let frame = LineFrame::new(&points, along, self.paper(offset_paper_mm));
        let mut feet = points.map(|point| frame.foot(point));
        for (point, foot) in points.into_iter().zip(feet) {
            self.extension(point, foot, frame.normal);
        }
        if (feet[1] - feet[0]).dot(frame.direction) < 0.0 {
            feet.reverse();
        }
        let length_mm = (feet[1] - feet[0]).length();
        let words = self.words(label, length_mm);
        self.dimension_line(feet, frame.direction, length_mm * self.ratio, &words);
    }

    /// Draws from just off the feature to just past the dimension line.
    pub(super) fn extension(&mut self, point: DVec2, foot: DVec2, normal: DVec2) {
        let start = point + normal * self.paper(EXTENSION_GAP);
        let end = foot + normal * self.paper(EXTENSION_OVERRUN);
        if (end - start).dot(normal) > 0.0 {
            self.line(start, end);
        }
    }

    fn dimension_line(&mut self, feet: [DVec2; 2], direction: DVec2, length_paper: f64, words: &str) {
        let [low, high] = feet;
        let width = self.width(words);
        let heads_inside = length_paper >= 3.0 * HEAD_LENGTH;
        let figures_inside = length_paper >= width + 1.0;
        let tail = direction * self.paper(OUTSIDE_TAIL);
        if heads_inside {
            self.line(low, high);
            self.head(low, -direction);
            self.head(high, direction);
        } else {
            self.line(low - tail, high + tail);
            self.head(low, direction);
            self.head(high, -direction);
        }
        let middle = if figures_inside {
            (low + high) * 0.5
        } else {
            let start = if heads_inside { high } else { high + tail };
            let end = start + direction * self.paper(width + 2.0);
            self.line(start, end);
            (start + end) * 0.5
        };
        let angle_rad = readable(direction.to_angle());
        let up = DVec2::from_angle(angle_rad).perp();
        let at = middle + up * self.paper(TEXT_GAP);
        self.figures(words, at, angle_rad, anchor(Horizontal::Middle, Vertical::Baseline));
    }

    /// An arrow from outside to the arc, a level shoulder, and the figures on the shoulder.
    pub(super) fn round_dimension(&mut self, centre: DVec2, radius_mm: f64, angle_rad: f64, words: &str) {
        let direction = DVec2::from_angle(angle_rad);
        let tip = centre + direction * radius_mm;
        let knee = tip + direction * self.paper(8.0);
        let to_right = direction.x >= 0.0;
        let side = if to_right { DVec2::X } else { -DVec2::X };
        let end = knee + side * self.paper(self.width(words) + 2.0);
        self.head(tip, -direction);
        self.line(tip + direction * self.paper(HEAD_LENGTH / 2.0), knee);
        self.line(knee, end);
        let at = (knee + end) * 0.5 + DVec2::Y * self.paper(TEXT_GAP);
        self.figures(words, at, 0.0, anchor(Horizontal::Middle, Vertical::Baseline));
    }

    pub(super) fn angle_dimension(
        &mut self,
        apex: DVec2,
        from_rad: f64,
        sweep_rad: f64,
        radius_paper_mm: f64,
        label: &Label,
    ) {
        let radius_mm = self.paper(radius_paper_mm);
        let arc = ArcForm { centre: apex, radius_mm, start_rad: from_rad, sweep_rad };
        let sense = sweep_rad.signum();
        let roomy = radius_paper_mm * sweep_rad.abs() >= 3.0 * HEAD_LENGTH;
        // a head on an arc is turned by half its own angle so that its sides straddle the arc
        let lean = HEAD_LENGTH / radius_paper_mm / 2.0;
        let drawn = if roomy { arc } else { grown(arc, OUTSIDE_TAIL / radius_paper_mm) };
        self.mark(Mark::Arc(drawn));
        for (angle, outward) in [(from_rad, -sense), (from_rad + sweep_rad, sense)] {
            let tip = apex + DVec2::from_angle(angle) * radius_mm;
            let turn = if roomy { outward } else { -outward };
            self.head(tip, DVec2::from_angle(angle - turn * lean + turn * FRAC_PI_2));
            let end = apex + DVec2::from_angle(angle) * (radius_mm + self.paper(EXTENSION_OVERRUN));
            self.line(apex, end);
        }
        let words = match label {
            Label::Text(words) => words.clone(),
            Label::Measured => degrees(sweep_rad),
            Label::MeasuredWith { prefix, suffix } => format!("{prefix}{}{suffix}", degrees(sweep_rad)),
        };
        let direction = DVec2::from_angle(from_rad + sweep_rad / 2.0);
        let clear = TEXT_GAP + 1.75 + self.width(&words) / 2.0 * direction.x.abs();
        let at = apex + direction * (radius_mm + self.paper(clear));
        self.figures(&words, at, 0.0, anchor(Horizontal::Middle, Vertical::Middle));
    }
}

fn degrees(angle_rad: f64) -> String {
    format!("{}°", crate::number::trimmed(angle_rad.abs().to_degrees(), 1))
}

fn grown(arc: ArcForm, by_rad: f64) -> ArcForm {
    let sense = arc.sweep_rad.signum();
    ArcForm { start_rad: arc.start_rad - sense * by_rad, sweep_rad: arc.sweep_rad + 2.0 * sense * by_rad, ..arc }
}
