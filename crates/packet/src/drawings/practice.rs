//! The practice strip: two offcuts at 1:1 with their sizes, and what a good, a cold and a burnt-through weld look like from behind.

use std::f64::consts::TAU;

use glam::DVec2;
use handbook::joints::JointForm;
use job::plan::PracticeStrip;

use super::draft::Draft;
use super::weld_symbol::dot;
use crate::drawing::{Along, Drawing, Label, Layer, LengthFormat, Polyline, Scale, Shape, TextHeight};
use crate::number::trimmed;

/// Room between the two offcuts.
const APART_MM: f64 = 22.0;

/// The two offcuts at 1:1, set out to be cut, punched and stepped, with their sizes as the fitter reads them.
pub fn practice_strip(strip: &PracticeStrip, lengths: LengthFormat) -> Drawing {
    let description = format!(
        "1:1 practice strip: two offcuts, {} and {} mm, for {}",
        trimmed(strip.thickness_mm[0], 2),
        trimmed(strip.thickness_mm[1], 2),
        strip.form.name()
    );
    let mut draft = Draft::new("practice strip", description, Scale::FULL);
    draft.drawing.lengths = lengths;
    let [long, wide] = strip.size_mm;
    let upper = DVec2::new(0.0, wide + APART_MM);
    draft.drawing.add(Layer::Cut, Polyline::rectangle(upper, upper + DVec2::new(long, wide)));
    draft.drawing.add(Layer::Cut, Polyline::rectangle(DVec2::ZERO, DVec2::new(long, wide)));
    sizes(&mut draft, strip, upper);
    let [step_mm, ramp_mm] = strip.step_mm;
    let from_edge = if strip.form.kind().is_lap() { ramp_mm + 0.5 * strip.overlap_mm } else { 0.0 };
    let places = [-1.0, 0.0, 1.0].map(|i| DVec2::new(0.5 * long + i * strip.pitch_mm, upper.y + from_edge));
    for (index, at) in [1, 0, 2].into_iter().filter_map(|i| places.get(i).copied()).enumerate() {
        weld_place(&mut draft, strip, at);
        let place = at + DVec2::new(0.0, 0.5 * strip.hole_mm.max(4.0) + 4.0);
        draft.centred(place, TextHeight::Mm3_5, (index + 1).to_string());
    }
    let [first, second, _] = places;
    dimension(&mut draft, first, second, -(from_edge + 9.0), Label::Measured);
    if strip.form.is_plugged() {
        let centre = places.last().copied().unwrap_or_default();
        let shape =
            Shape::DiameterDimension { centre, diameter_mm: strip.hole_mm, angle_rad: 0.6, label: Label::Measured };
        draft.drawing.add(Layer::Dimension, shape);
    }
    if from_edge > 0.0 {
        let (from, to) = (upper + DVec2::new(long, 0.0), upper + DVec2::new(long, from_edge));
        upright(&mut draft, from, to, 8.0);
    }
    lap_lines(&mut draft, strip);
    let upper_words = if strip.form.is_plugged() {
        "upper offcut, as the old panel: punch the holes, burr off both faces"
    } else {
        "upper offcut, as the old panel"
    };
    let lower_words = if step_mm > 0.0 {
        format!("lower offcut, as the new piece: step it down {} mm\nbetween the two lines", trimmed(step_mm, 2))
    } else {
        "lower offcut, as the new piece".to_owned()
    };
    draft.words(upper + DVec2::new(4.0, wide - 6.0), TextHeight::Mm2_5, upper_words);
    draft.words(DVec2::new(4.0, 7.0), TextHeight::Mm2_5, lower_words);
    draft.drawing
}

fn weld_place(draft: &mut Draft, strip: &PracticeStrip, at: DVec2) {
    if strip.form.is_plugged() {
        draft.drawing.add(Layer::Hole, Shape::Circle { centre: at, radius_mm: 0.5 * strip.hole_mm });
    } else if strip.form == JointForm::Butt {
        dot(draft, at, 1.2);
    } else {
        draft.drawing.add(Layer::Weld, Shape::Circle { centre: at, radius_mm: 0.5 * strip.hole_mm });
    }
}

fn sizes(draft: &mut Draft, strip: &PracticeStrip, upper: DVec2) {
    let [long, wide] = strip.size_mm;
    dimension(draft, upper + DVec2::new(0.0, wide), upper + DVec2::new(long, wide), 8.0, Label::Measured);
    upright(draft, upper, upper + DVec2::new(0.0, wide), -8.0);
    upright(draft, DVec2::ZERO, DVec2::new(0.0, wide), -8.0);
}

fn lap_lines(draft: &mut Draft, strip: &PracticeStrip) {
    let [long, wide] = strip.size_mm;
    if strip.overlap_mm <= 0.0 {
        return;
    }
    let [_, ramp_mm] = strip.step_mm;
    let mut from_top = vec![strip.overlap_mm];
    from_top.extend((ramp_mm > 0.0).then_some(strip.overlap_mm + ramp_mm));
    for depth in &from_top {
        let y = wide - depth;
        draft.line(Layer::Lap, DVec2::new(0.0, y), DVec2::new(long, y));
    }
    upright(draft, DVec2::new(long, wide - strip.overlap_mm), DVec2::new(long, wide), 8.0);
    if ramp_mm > 0.0 {
        let low = wide - strip.overlap_mm - ramp_mm;
        upright(draft, DVec2::new(long, low), DVec2::new(long, wide), 17.0);
    }
}

fn dimension(draft: &mut Draft, from: DVec2, to: DVec2, offset_paper_mm: f64, label: Label) {
    let shape = Shape::LinearDimension { from, to, along: Along::Horizontal, offset_paper_mm, label };
    draft.drawing.add(Layer::Dimension, shape);
}

fn upright(draft: &mut Draft, from: DVec2, to: DVec2, offset_paper_mm: f64) {
    let shape = Shape::LinearDimension { from, to, along: Along::Vertical, offset_paper_mm, label: Label::Measured };
    draft.drawing.add(Layer::Dimension, shape);
}

/// What came of a weld.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Outcome {
    Good,
    Cold,
    Burnt,
}

/// Width of one picture.
const CELL_MM: f64 = 56.0;
/// Height of the view from behind.
const BEHIND_MM: f64 = 36.0;
/// Sheet in the cut pictures, drawn thicker than it is.
const SHEET_MM: f64 = 3.0;

/// A good, a cold and a burnt-through weld: from behind, and cut through. Not to scale.
pub fn practice_outcomes(form: JointForm) -> Drawing {
    let description = "A good, a cold and a burnt-through weld, each seen from behind and cut through; not to scale";
    let mut draft = Draft::new("practice outcomes", description, Scale::FULL);
    for (index, outcome) in [Outcome::Good, Outcome::Cold, Outcome::Burnt].into_iter().enumerate() {
        let origin = DVec2::new(CELL_MM * index as f64, 0.0);
        behind(&mut draft, form, outcome, origin);
        cut_through(&mut draft, form, outcome, origin - DVec2::Y * 20.0);
        let (title, words) = told(form, outcome);
        draft.bold(origin + DVec2::new(1.0, -31.0), TextHeight::Mm2_5, title);
        for (line, words) in words.into_iter().enumerate() {
            draft.words(origin + DVec2::new(1.0, -35.6 - 4.2 * line as f64), TextHeight::Mm1_8, words);
        }
    }
    draft.words(DVec2::new(1.0, BEHIND_MM + 4.0), TextHeight::Mm2_5, "seen from behind");
    draft.words(DVec2::new(1.0, -6.5), TextHeight::Mm2_5, "cut through, the torch came from above");
    draft.drawing
}

fn told(form: JointForm, outcome: Outcome) -> (&'static str, [&'static str; 2]) {
    let spot = form.is_spotted();
    match (outcome, form) {
        (Outcome::Good, JointForm::Butt) => {
            ("good", ["an even bead behind, flat or just proud,", "blue beside it, the same width all along"])
        }
        (Outcome::Cold, JointForm::Butt) => {
            ("cold", ["the joint still shows as a line:", "it opens when the strip is bent"])
        }
        (Outcome::Burnt, JointForm::Butt) => {
            ("burnt through", ["holes, or drops that hang:", "less heat, a closer fit, copper behind"])
        }
        (Outcome::Good, _) if spot => {
            ("good", ["a dark ring the size of the tip;", "torn apart, a full button pulls out"])
        }
        (Outcome::Cold, _) if spot => ("cold", ["hardly a mark; torn apart, the sheets", "come off whole: more time"]),
        (Outcome::Burnt, _) if spot => {
            ("burnt through", ["a pit or a hole, and spatter between", "the sheets: less time, more force"])
        }
        (Outcome::Good, _) => {
            ("good", ["a round spot, flat or just proud,", "in an even blue ring; it cannot be twisted off"])
        }
        (Outcome::Cold, _) => ("cold", ["no spot, only a faint tint: a cap that", "sits on the hole and twists off"]),
        (Outcome::Burnt, _) => {
            ("burnt through", ["a hole, or a drop that hangs:", "shorter dots, let it cool, try again"])
        }
    }
}

fn behind(draft: &mut Draft, form: JointForm, outcome: Outcome, origin: DVec2) {
    let size = DVec2::new(CELL_MM - 6.0, BEHIND_MM);
    draft.drawing.add(Layer::Outline, Polyline::rectangle(origin, origin + size));
    let centre = origin + 0.5 * size;
    if form == JointForm::Butt {
        return bead_behind(draft, outcome, origin, size);
    }
    match outcome {
        Outcome::Good => {
            ring(draft, Layer::Dimension, centre, 12.0, 0.0);
            ring(draft, Layer::Dimension, centre, 10.5, 0.0);
            ring(draft, Layer::Weld, centre, 4.6, 0.03);
            ring(draft, Layer::Dimension, centre, 3.2, 0.05);
            ring(draft, Layer::Dimension, centre, 1.8, 0.05);
        }
        Outcome::Cold => ring(draft, Layer::Hidden, centre, 6.5, 0.0),
        Outcome::Burnt => {
            ring(draft, Layer::Dimension, centre, 15.0, 0.04);
            ring(draft, Layer::Dimension, centre, 13.0, 0.05);
            let hole = ragged(centre, 5.2, 0.28);
            let outline = Polyline::closed(hole.iter().copied());
            draft
                .drawing
                .add(Layer::Hatch, Shape::Hatch { outline, holes: Vec::new(), angle_rad: 0.8, spacing_paper_mm: 1.2 });
            draft.ring(Layer::Weld, &hole);
            // a drop at the lower rim
            let drop = ragged(centre - DVec2::Y * 6.4, 1.9, 0.12);
            draft.solid(Layer::Weld, &drop);
        }
    }
}

fn bead_behind(draft: &mut Draft, outcome: Outcome, origin: DVec2, size: DVec2) {
    let y = origin.y + 0.5 * size.y;
    let line = |offset: f64, wave: f64| -> Vec<DVec2> {
        (0..=40)
            .map(|i| {
                let share = f64::from(i) / 40.0;
                DVec2::new(origin.x + share * size.x, y + offset + wave * (share * 14.0 * TAU / 2.0).sin())
            })
            .collect()
    };
    match outcome {
        Outcome::Good => {
            for side in [-1.0, 1.0] {
                draft.path(Layer::Weld, &line(side * 1.8, 0.15));
                draft.path(Layer::Dimension, &line(side * 6.5, 0.0));
            }
        }
        Outcome::Cold => {
            draft.path(Layer::Outline, &line(0.0, 0.0));
            for side in [-1.0, 1.0] {
                draft.path(Layer::Hidden, &line(side * 4.0, 0.0));
            }
        }
        Outcome::Burnt => {
            draft.path(Layer::Outline, &line(0.0, 0.0));
            for share in [0.22, 0.55, 0.82] {
                let at = DVec2::new(origin.x + share * size.x, y);
                let hole = ragged(at, 3.4, 0.3);
                let outline = Polyline::closed(hole.iter().copied());
                draft.drawing.add(
                    Layer::Hatch,
                    Shape::Hatch { outline, holes: Vec::new(), angle_rad: 0.8, spacing_paper_mm: 1.2 },
                );
                draft.ring(Layer::Weld, &hole);
            }
            for side in [-1.0, 1.0] {
                draft.path(Layer::Dimension, &line(side * 9.0, 0.2));
            }
        }
    }
}

/// Both sheets and what the weld made of them; the torch came from above.
fn cut_through(draft: &mut Draft, form: JointForm, outcome: Outcome, origin: DVec2) {
    let wide = CELL_MM - 6.0;
    let middle = 0.5 * wide;
    let at = |x: f64, y: f64| origin + DVec2::new(x, y);
    let sheet = |draft: &mut Draft, from: f64, to: f64, low: f64| {
        draft.drawing.add(Layer::Outline, Polyline::rectangle(at(from, low), at(to, low + SHEET_MM)));
    };
    if form == JointForm::Butt {
        let gap = if outcome == Outcome::Burnt { 4.0 } else { 0.4 };
        sheet(draft, 0.0, middle - gap, SHEET_MM);
        sheet(draft, middle + gap, wide, SHEET_MM);
        let low = match outcome {
            Outcome::Good => SHEET_MM - 0.7,
            Outcome::Cold => SHEET_MM + 1.9,
            Outcome::Burnt => return,
        };
        let weld = [(-2.6, 2.0 * SHEET_MM + 0.6), (2.6, 2.0 * SHEET_MM + 0.6), (1.4, low), (-1.4, low)];
        draft.solid(Layer::Weld, &weld.map(|(x, y)| at(middle + x, y)));
        return;
    }
    let half = 5.0;
    let plugged = form.is_plugged();
    if plugged {
        sheet(draft, 0.0, middle - half, SHEET_MM);
        sheet(draft, middle + half, wide, SHEET_MM);
    } else {
        sheet(draft, 0.0, wide, SHEET_MM);
    }
    let top = if plugged { 2.0 * SHEET_MM + 0.8 } else { SHEET_MM + 1.6 };
    match outcome {
        Outcome::Good => {
            sheet(draft, 0.0, wide, 0.0);
            let weld = [(-half, top), (half, top), (3.4, 1.0), (2.6, -0.5), (-2.6, -0.5), (-3.4, 1.0)];
            draft.solid(Layer::Weld, &weld.map(|(x, y)| at(middle + x, y)));
        }
        Outcome::Cold => {
            sheet(draft, 0.0, wide, 0.0);
            let low = if plugged { SHEET_MM + 1.0 } else { SHEET_MM };
            let high = if plugged { top + 1.2 } else { SHEET_MM + 0.4 };
            let weld = [
                (-half - 1.2, high - 1.0),
                (-half, high),
                (half, high),
                (half + 1.2, high - 1.0),
                (half, low),
                (-half, low),
            ];
            draft.solid(Layer::Weld, &weld.map(|(x, y)| at(middle + x, y)));
        }
        Outcome::Burnt => {
            sheet(draft, 0.0, middle - 4.2, 0.0);
            sheet(draft, middle + 3.8, wide, 0.0);
            let drop = [(-half, top - 1.6), (-3.8, 1.0), (-3.4, -2.6), (-4.4, -2.9), (-5.2, -1.0), (-6.0, 0.6)];
            draft.solid(Layer::Weld, &drop.map(|(x, y)| at(middle + x, y)));
        }
    }
}

fn ring(draft: &mut Draft, layer: Layer, centre: DVec2, radius: f64, rough: f64) {
    draft.ring(layer, &ragged(centre, radius, rough));
}

/// A ring as a hand would see it: `rough` is the share by which the radius wanders.
fn ragged(centre: DVec2, radius: f64, rough: f64) -> Vec<DVec2> {
    const POINTS: u32 = 48;
    (0..POINTS)
        .map(|i| {
            let turn = TAU * f64::from(i) / f64::from(POINTS);
            let wander = 0.6 * (3.0 * turn).sin() + 0.4 * (7.0 * turn + 1.0).sin();
            centre + DVec2::from_angle(turn) * radius * (1.0 + rough * wander)
        })
        .collect()
}
