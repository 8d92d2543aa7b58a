//! Leaders and the face-up sign.

use glam::DVec2;

use super::super::polyline::Polyline;
use super::super::shape::{Horizontal, Text, TextHeight, Vertical};
use super::super::stroke::Mark;
use super::{HEAD_LENGTH, Pen};

impl Pen<'_, '_> {
    pub(super) fn leader(&mut self, points: &[DVec2], note: &str, height: TextHeight) {
        let [tip, next, ..] = points else { return };
        let direction = (*tip - *next).normalize_or_zero();
        self.head(*tip, direction);
        let mut way = points.to_vec();
        if let Some(first) = way.first_mut() {
            *first -= direction * self.paper(HEAD_LENGTH / 2.0);
        }
        let last = points.last().copied().unwrap_or(*next);
        let to_right = last.x >= tip.x;
        let side = if to_right { DVec2::X } else { -DVec2::X };
        let shoulder = last + side * self.paper(3.0);
        way.push(shoulder);
        self.mark(Mark::Path(Polyline::open(way)));
        let horizontal = if to_right { Horizontal::Left } else { Horizontal::Right };
        let at = shoulder + side * self.paper(1.0);
        self.text(&Text::new(at, height, note).anchored(horizontal, Vertical::Middle));
    }

    /// The edge of the sheet as a solid bar, an arrow rising from it, the words beside it.
    pub(super) fn face_up(&mut self, at: DVec2, words: &str) {
        let mm = self.paper(1.0);
        let bar = [DVec2::ZERO, DVec2::new(10.0, 0.0), DVec2::new(10.0, 1.0), DVec2::new(0.0, 1.0)];
        self.mark(Mark::Filled(bar.iter().map(|corner| at + *corner * mm).collect()));
        self.arrow(at + DVec2::new(5.0, 1.0) * mm, at + DVec2::new(5.0, 8.0) * mm);
        let beside = at + DVec2::new(12.5, 4.0) * mm;
        self.text(&Text::new(beside, TextHeight::Mm3_5, words).anchored(Horizontal::Left, Vertical::Middle).bold());
    }
}
