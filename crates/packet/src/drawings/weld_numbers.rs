//! Numbers of welds on a small drawing: as many as have room, the first and the last always, none on another.

use glam::DVec2;

use super::draft::Draft;
use crate::drawing::{Bounds, Horizontal, Layer, Text, TextHeight, Vertical};
use crate::font::{self, Weight};

/// White between two numbers, mm on paper.
const WHITE_PAPER_MM: f64 = 0.5;
/// At most every so many-th is written when they still stand on one another.
const MOST_LEFT_OUT: usize = 40;

/// Beyond every so many-th weld the words of a rule would promise more order than the eye finds.
const FEW: usize = 5;

/// A number that is wanted beside a weld.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct WantedNumber {
    pub number: usize,
    /// Which weld of its kind along its edge, from 0.
    pub place_along: usize,
    /// Its middle in the row near the edge and in the one beyond, real mm.
    pub rows: [DVec2; 2],
}

/// Writes the numbers: every one when there is room, else every second, third … along each edge, with the first and the last weld of all.
/// Returns n of "every n-th".
pub(super) fn put(draft: &mut Draft, wanted: Vec<WantedNumber>) -> usize {
    let last = wanted.iter().map(|own| own.number).max().unwrap_or(0);
    let is_end = |own: &WantedNumber| own.number == 1 || own.number == last;
    for every in 1..=MOST_LEFT_OUT {
        let chosen = |own: &&WantedNumber| is_end(own) || own.place_along.is_multiple_of(every);
        let mut boxes: Vec<(WantedNumber, DVec2, Bounds)> = Vec::new();
        let mut clear = true;
        // the ends first: another one gives way to them
        let ends = wanted.iter().filter(|own| is_end(own));
        for own in ends.chain(wanted.iter().filter(|own| !is_end(own)).filter(chosen)) {
            // two rows only while every weld has its number
            let row = if every == 1 { own.place_along % 2 } else { 0 };
            let at = own.rows[row];
            let bounds = box_of(draft, own.number, at);
            let meets = boxes.iter().find(|(_, _, other)| other.meets(bounds));
            match meets {
                None => boxes.push((*own, at, bounds)),
                // while every weld is to have its number none may be left out
                Some((other, ..)) if every > 1 && is_end(other) => {}
                Some(_) => clear = false,
            }
        }
        if clear || every == MOST_LEFT_OUT {
            for (own, at, _) in boxes {
                let text = Text::new(at, TextHeight::Mm1_8, own.number.to_string());
                draft.drawing.add(Layer::Note, text.anchored(Horizontal::Middle, Vertical::Middle));
            }
            return every;
        }
    }
    MOST_LEFT_OUT
}

/// What is said below when numbers are left out.
pub(super) fn thinned_words(every: usize) -> String {
    if every > FEW {
        return "only some welds have room for their number here; all stand in the list and on the 1:1 map".to_owned();
    }
    let ordinal = crate::number::ordinal(every);
    format!(
        "every {ordinal} weld, the first and the last have their number here; all stand in the list and on the 1:1 map"
    )
}

fn box_of(draft: &Draft, number: usize, at: DVec2) -> Bounds {
    let height = TextHeight::Mm1_8.mm();
    let width = font::text_width_mm(&number.to_string(), Weight::Regular, height);
    let half = DVec2::new(draft.real(0.5 * (width + WHITE_PAPER_MM)), draft.real(0.5 * (height + WHITE_PAPER_MM)));
    Bounds { low: at - half, high: at + half }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Scale, Shape};

    fn numbers(step_mm: f64) -> (usize, Vec<(usize, DVec2)>) {
        let mut draft = Draft::new("numbers", "", Scale::FULL);
        let wanted = (0..64)
            .map(|i| {
                let at = DVec2::new(step_mm * f64::from(i), 0.0);
                WantedNumber {
                    number: (i as usize * 37) % 64 + 1,
                    place_along: i as usize,
                    rows: [at, at + DVec2::Y * 2.6],
                }
            })
            .collect();
        let every = put(&mut draft, wanted);
        let texts = draft.drawing.items.iter().filter_map(|item| match &item.shape {
            Shape::Text(text) => Some((text.content.parse().unwrap_or(0), text.at)),
            _ => None,
        });
        (every, texts.collect())
    }

    #[test]
    fn with_room_every_weld_has_its_number() {
        let (every, written) = numbers(4.0);
        assert_eq!((every, written.len()), (1, 64));
    }

    #[test]
    fn without_room_some_are_left_out_and_none_stands_on_another() {
        let (every, written) = numbers(0.9);
        assert!(every > 1, "{every}");
        let draft = Draft::new("numbers", "", Scale::FULL);
        for (i, (number, at)) in written.iter().enumerate() {
            for (other, place) in written.iter().skip(i + 1) {
                assert!(!box_of(&draft, *number, *at).meets(box_of(&draft, *other, *place)), "{number} and {other}");
            }
        }
        for end in [1, 64] {
            assert!(written.iter().any(|(number, _)| *number == end), "{end} is missing");
        }
        assert!(written.len() >= 64 / every - 3, "{} of every {every}", written.len());
    }
}
