//! Which hand, in words and as a plan of the vehicle with an arrow to the front.

use glam::DVec2;
use job::file::Hand;
use job::plan::{PiecePlan, Placing};

use super::draft::Draft;
use crate::drawing::{Horizontal, Layer, Polyline, Text, TextHeight, Vertex, Vertical};
use crate::font::{self, Weight};

/// Size of the plan on paper, mm.
pub const PLAN_SIZE: DVec2 = DVec2::new(34.0, 20.0);

/// The sentences beside the plan are broken at this width on paper, mm.
const LINES_WIDE_MM: f64 = 125.0;

/// Draws the plan of a vehicle, front to the right, with the side of the piece solid; `at` is its lower left corner.
///
/// Left is up on paper, because the plan is seen from above with the front to the right.
pub fn plan_sign(draft: &mut Draft, at: DVec2, hand: Option<Hand>) {
    let body = plan_outline(draft, at);
    draft.drawing.add(Layer::Outline, body);
    let arrow_from = draft.moved(at, 5.0, 10.0);
    let arrow_to = draft.moved(at, 31.0, 10.0);
    draft.arrow(Layer::Note, arrow_from, arrow_to);
    draft.words(draft.moved(at, 36.0, 10.0), TextHeight::Mm2_5, "front");
    // the arrow is the vehicle's, not one of the flat beside it
    let above = if hand == Some(Hand::Right) { 15.0 } else { 5.0 };
    draft.words(draft.moved(at, 2.0, above), TextHeight::Mm1_8, "vehicle from above");
    let band = |low: f64| [(4.0, low), (24.0, low), (24.0, low + 2.5), (4.0, low + 2.5)];
    let place = match hand {
        Some(Hand::Left) => Some((band(15.5), 13.0)),
        Some(Hand::Right) => Some((band(2.0), 7.0)),
        None => None,
    };
    if let Some((corners, words_at)) = place {
        let corners: Vec<DVec2> = corners.iter().map(|(x, y)| draft.moved(at, *x, *y)).collect();
        draft.solid(Layer::Note, &corners);
        let words = if hand == Some(Hand::Left) { "LEFT" } else { "RIGHT" };
        let text = Text::new(draft.moved(at, 14.0, words_at), TextHeight::Mm2_5, words);
        draft.drawing.add(Layer::Note, text.anchored(Horizontal::Middle, Vertical::Middle).bold());
    }
}

fn plan_outline(draft: &Draft, at: DVec2) -> Polyline {
    let corner = |x: f64, y: f64, bulge: f64| Vertex { at: draft.moved(at, x, y), bulge };
    // a rounded nose marks the front besides the arrow
    let vertices = vec![
        corner(0.0, 0.0, 0.0),
        corner(24.0, 0.0, (std::f64::consts::FRAC_PI_8).tan()),
        corner(34.0, 10.0, (std::f64::consts::FRAC_PI_8).tan()),
        corner(24.0, 20.0, 0.0),
        corner(0.0, 20.0, 0.0),
    ];
    Polyline { vertices, closed: true }
}

/// The sentences that place a piece: hand, face, edge, end, curl. Empty ones are left out.
pub fn placing_lines(placing: &Placing) -> Vec<String> {
    let labelled = [
        ("Hand", &placing.hand),
        ("Face out", &placing.face_out),
        ("Edge up", &placing.edge_up),
        (placing.front_label(), &placing.front_end),
        ("Curl or hem", &placing.curl),
    ];
    labelled
        .into_iter()
        .filter(|(_, words)| !words.trim().is_empty())
        .map(|(label, words)| format!("{label}: {words}"))
        .collect()
}

/// Where the stations of a skin count from and which way they run; none for another piece.
pub fn datum_lines(piece: &PiecePlan) -> Vec<String> {
    let said = piece.skin.iter().flat_map(|skin| skin.datum_words());
    said.map(|words| format!("Stations: {words}")).collect()
}

/// Draws the plan and the sentences beside it; `at` is the upper left corner. Returns the lower left corner.
pub fn placing_block(draft: &mut Draft, at: DVec2, hand: Option<Hand>, piece: &PiecePlan) -> DVec2 {
    plan_sign(draft, draft.moved(at, 0.0, -PLAN_SIZE.y), hand);
    let mut lines = placing_lines(&piece.placing);
    lines.extend(datum_lines(piece));
    let height = TextHeight::Mm2_5;
    let mut count = 0;
    for (index, line) in lines.iter().enumerate() {
        let weight = if index == 0 { Weight::Bold } else { Weight::Regular };
        for part in font::wrap(line, weight, height.mm(), LINES_WIDE_MM) {
            let place = draft.moved(at, 50.0, -2.0 - 4.6 * f64::from(count));
            match weight {
                Weight::Bold => draft.bold(place, height, part),
                Weight::Regular => draft.words(place, height, part),
            }
            count += 1;
        }
    }
    draft.moved(at, 0.0, -PLAN_SIZE.y.max(4.6 * f64::from(count)) - 4.0)
}
