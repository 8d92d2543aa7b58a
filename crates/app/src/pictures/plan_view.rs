//! A plan view with an arrow to the front: which hand is meant.

use glam::DVec2;
use job::file::Hand;
use packet::drawing::{Anchor, Drawing, Horizontal, Layer, Polyline, Shape, Text, TextHeight, Vertical};

/// Draws the vehicle from above, front to the right, with the side of the piece marked; `None` is the middle line.
pub fn drawing(hand: Option<Hand>) -> Drawing {
    let words = match hand {
        Some(Hand::Left) => "left hand, as seen sitting in the driving seat facing forward",
        Some(Hand::Right) => "right hand, as seen sitting in the driving seat facing forward",
        None => "on the middle line",
    };
    let mut drawing = Drawing::new("which hand", format!("plan view of the vehicle, front to the right: {words}"));
    drawing.add(Layer::Outline, Polyline::rectangle(DVec2::ZERO, DVec2::new(44.0, 18.0)));
    drawing.add(Layer::Note, Shape::Arrow { from: DVec2::new(46.0, 9.0), to: DVec2::new(58.0, 9.0) });
    label(&mut drawing, DVec2::new(52.0, 12.5), "front");
    // Facing right on the page, the driver's left is the upper side.
    let (low, high) = match hand {
        Some(Hand::Left) => (16.8, 19.2),
        Some(Hand::Right) => (-1.2, 1.2),
        None => (7.8, 10.2),
    };
    drawing.add(Layer::Mark, Shape::Filled(Polyline::rectangle(DVec2::new(8.0, low), DVec2::new(36.0, high))));
    label(&mut drawing, DVec2::new(22.0, -5.0), "right");
    label(&mut drawing, DVec2::new(22.0, 23.0), "left");
    drawing
}

fn label(drawing: &mut Drawing, at: DVec2, words: &str) {
    let mut text = Text::new(at, TextHeight::Mm2_5, words);
    text.anchor = Anchor { horizontal: Horizontal::Middle, vertical: Vertical::Middle };
    drawing.add(Layer::Note, text);
}
