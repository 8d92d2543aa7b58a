//! A paper that is wrapped round a tube to mark a cut, at 1:1.

use blank::tube::wrap::{WrapLine, WrapLineKind, WrapTemplate};
use glam::DVec2;

use super::draft::Draft;
use crate::drawing::{Drawing, Horizontal, Layer, Scale, Text, TextHeight, Vertical};

/// Draws the paper: its edge, the lines to scribe and to cut along, the quarters of the girth, and how it is put on.
pub fn wrap_drawing(piece: &str, wrap: &WrapTemplate, placing: &[String]) -> Drawing {
    let description = format!("1:1 paper to wrap round a tube of {:.1} mm: {piece}, {}", wrap.diameter_mm, wrap.name);
    let mut draft = Draft::new(format!("wrap: {}", wrap.name), description, Scale::FULL);
    let size = wrap.size_mm;
    draft.ring(Layer::Template, &[DVec2::ZERO, DVec2::X * size.x, size, DVec2::Y * size.y]);
    for line in &wrap.lines {
        draw(&mut draft, line);
    }
    let tongue = DVec2::new(0.5 * size.x, 0.5 * (wrap.girth_mm + size.y));
    draft.centred(tongue, TextHeight::Mm2_5, "tongue: goes under");
    // beside the line, at both edges of the paper, between two quarters
    for (words, x) in wrap.sides.iter().zip([9.0, size.x - 6.0]) {
        let at = DVec2::new(x, 0.5 * wrap.girth_mm);
        let text = Text::new(at, TextHeight::Mm2_5, words.to_uppercase())
            .turned(std::f64::consts::FRAC_PI_2)
            .anchored(Horizontal::Middle, Vertical::Baseline)
            .bold();
        draft.drawing.add(Layer::Note, text);
    }
    draft.arrow(Layer::Note, DVec2::new(0.0, -6.0), DVec2::new(20.0, -6.0));
    draft.words(DVec2::new(23.0, -7.0), TextHeight::Mm2_5, format!("along the tube, {}", wrap.runs));
    let mut at = DVec2::new(0.0, -15.0);
    draft.bold(at, TextHeight::Mm3_5, format!("{piece}: {}", wrap.name));
    for words in placing.iter().chain(&wrap.notes) {
        at.y -= 5.0;
        draft.words(at, TextHeight::Mm2_5, words.clone());
    }
    draft.drawing
}

fn draw(draft: &mut Draft, line: &WrapLine) {
    let layer = match line.kind {
        WrapLineKind::Cut => Layer::VehicleCut,
        WrapLineKind::PieceEdge => Layer::Scribe,
        WrapLineKind::Quarter => Layer::Centre,
        WrapLineKind::Meets => Layer::Lap,
    };
    if line.closed {
        draft.ring(layer, &line.points_mm);
        along(draft, line);
    } else {
        draft.path(layer, &line.points_mm);
    }
    if line.kind == WrapLineKind::Quarter {
        let y = line.points_mm.first().map_or(0.0, |point| point.y);
        draft.words(DVec2::new(1.5, y + 2.4), TextHeight::Mm2_5, line.label.clone());
    }
    if line.kind == WrapLineKind::PieceEdge && !line.closed {
        along(draft, line);
    }
}

/// Words beside a line where it runs round the tube, turned to read along it.
fn along(draft: &mut Draft, line: &WrapLine) {
    let share = if line.kind == WrapLineKind::Cut { 0.58 } else { 0.42 };
    let at = |share: f64| super::draft::point_at(&line.points_mm, share * super::draft::length_of(&line.points_mm));
    let (Some(a), Some(b)) = (at(share), at(share + 0.02)) else { return };
    let mut angle = (b - a).to_angle();
    let half = std::f64::consts::FRAC_PI_2;
    if angle > half + 1e-6 || angle <= -half + 1e-6 {
        angle += std::f64::consts::PI;
    }
    let place = a + DVec2::from_angle(angle).perp() * 1.0;
    let text =
        Text::new(place, TextHeight::Mm2_5, &line.label).turned(angle).anchored(Horizontal::Middle, Vertical::Baseline);
    draft.drawing.add(Layer::Note, text);
}
