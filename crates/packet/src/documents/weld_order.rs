//! The order of the welds on paper: how long to wait before each, and what an order that was accepted does to the panel.

use job::file::{OrderEffect, PlanishedEdge};
use job::plan::{JointPlan, PiecePlan, SectionPlan};
use weld::joints::WeldEventKind;
use weld::warp::Heights;

use super::block::{Block, strong, table, words};
use super::desk::{PaperDraft, Reader};
use crate::drawings;
use crate::error::PacketError;
use crate::number::trimmed;

/// With more pauses than these that differ, they are told in bands.
const MOST_ROWS: usize = 7;
/// Upper ends of the bands, s, and what they are called; beyond the last one the longest is told.
const BANDS: [(f64, &str); 6] = [
    (0.5, "none"),
    (15.0, "up to 15 s"),
    (30.0, "15 to 30 s"),
    (60.0, "30 to 60 s"),
    (120.0, "1 to 2 min"),
    (300.0, "2 to 5 min"),
];

/// How long to wait before each weld: a row for each pause, shortest first, with the numbers of its welds, and the rule that goes first.
pub fn pauses(joint: &JointPlan, paper: &mut PaperDraft) {
    if joint.maps.is_empty() {
        return;
    }
    if joint.pauses.is_empty() {
        paper.put(words("Before each weld wait until a hand can lie on its place; no times are worked out here."));
        return;
    }
    let rows = rows(joint);
    if let [(pause, _)] = rows.as_slice() {
        paper.put(words(format!("Pause before every weld: {pause}.")));
    } else {
        let rows = rows.into_iter().map(|(pause, numbers)| vec![pause, spans(&numbers)]).collect();
        paper.put(table(&[("pause", 1.0, false), ("before the weld of this number", 4.5, false)], rows));
    }
    paper.put(Block::Small { text: joint.pause_rule() });
}

/// Pauses as they are printed, shortest first, each with its welds.
fn rows(joint: &JointPlan) -> Vec<(String, Vec<usize>)> {
    // there is nothing to wait for before the first
    let seconds = |number: usize, seconds: f64| if number == 1 { 0.0 } else { seconds };
    let mut all: Vec<(usize, f64)> =
        joint.pauses.iter().map(|own| (own.number, seconds(own.number, own.seconds))).collect();
    all.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    let exact = grouped(&all, |number, _| joint.pause_words(number));
    if exact.len() <= MOST_ROWS {
        return exact;
    }
    let longest = all.last().map(|(number, _)| joint.pause_words(*number)).unwrap_or_default();
    grouped(&all, |_, seconds| {
        let band = BANDS.iter().find(|(most, _)| seconds < most + 1e-9);
        band.map_or_else(|| format!("more than 5 min, up to {longest}"), |(_, name)| (*name).to_owned())
    })
}

/// Welds with the same words together; `all` is sorted by pause.
fn grouped(all: &[(usize, f64)], words: impl Fn(usize, f64) -> String) -> Vec<(String, Vec<usize>)> {
    let mut groups: Vec<(String, Vec<usize>)> = Vec::new();
    for (number, seconds) in all {
        let own = words(*number, *seconds);
        match groups.last_mut().filter(|(words, _)| *words == own) {
            Some((_, numbers)) => numbers.push(*number),
            None => groups.push((own, vec![*number])),
        }
    }
    groups
}

/// Numbers in words, neighbours drawn together: "1, 4 to 9, 12".
fn spans(numbers: &[usize]) -> String {
    let mut sorted = numbers.to_vec();
    sorted.sort_unstable();
    let chunks = sorted.chunk_by(|a, b| a + 1 == *b);
    let one = |chunk: &[usize]| match chunk {
        [first, .., last] if last - first > 1 => format!("{first} to {last}"),
        several => several.iter().map(usize::to_string).collect::<Vec<_>>().join(", "),
    };
    chunks.map(one).collect::<Vec<_>>().join(", ")
}

/// What the order that was accepted was computed to do to the panel; nothing where the order is the habit of the trade.
pub fn effect(joint: &JointPlan, paper: &mut PaperDraft) {
    let Some(effect) = &joint.effect else { return };
    paper.put(strong("Computed for this order of the welds"));
    let mut rows = vec![
        row("panel out of its shape, least to most of the shrinkage", height(effect)),
        row("buckling margin at the end, buckles below 1", margin(effect)),
        row(if effect.oil_cans { "oil-cans" } else { "does not oil-can" }, effect.oil_canning.clone()),
    ];
    if effect.planish.is_empty() {
        let why = if joint.maps.iter().flat_map(|map| &map.events).any(|event| event.kind == WeldEventKind::Run) {
            "nothing: the back cannot be reached"
        } else {
            "nothing: dots shrink too little to planish a strip"
        };
        rows.push(row("planish", why.to_owned()));
    }
    rows.extend(effect.planish.iter().map(|strip| row("planish", planish(strip))));
    paper.put(table(&[("what", 1.6, false), ("computed", 3.4, false)], rows));
}

/// The shape in which the panel comes to rest after the order that was accepted, with the places to planish; nothing where none is kept.
///
/// # Errors
/// As [`crate::drawing::Drawing::bounds`].
pub fn shape(reader: Reader, section: &SectionPlan, paper: &mut PaperDraft) -> Result<(), PacketError> {
    let Some(map) = section.joint.effect.as_ref().and_then(|effect| effect.shape.as_ref()) else { return Ok(()) };
    let own = section.joint.maps.first().map(|map| map.piece.as_str());
    let named = |piece: &&PiecePlan| Some(piece.name.as_str()) == own || Some(piece.name_in_job()) == own;
    let Some(piece) = section.pieces.iter().find(named) else { return Ok(()) };
    paper.put(strong("The panel once it is welded in this order, as computed"));
    let view = drawings::warp_shape_view(piece, map, section.hand, reader.lengths(), [170.0, 115.0]);
    paper.picture(&view, "", 115.0)?;
    Ok(())
}

fn row(name: &str, value: String) -> Vec<String> {
    vec![name.to_owned(), value]
}

fn height(effect: &OrderEffect) -> String {
    let own = effect.height;
    Heights { low: own.low_mm, middle: own.middle_mm, high: own.high_mm }.words(1)
}

fn margin(effect: &OrderEffect) -> String {
    effect.margin.map_or_else(
        || "nothing pushes".to_owned(),
        |[low, middle, high]| format!("{} ({} to {})", trimmed(middle, 2), trimmed(low, 2), trimmed(high, 2)),
    )
}

fn planish(strip: &PlanishedEdge) -> String {
    format!(
        "{}, {}, from {} to {} mm: a strip {} mm wide, {} % along it and no more (W30)",
        strip.piece,
        strip.edge,
        trimmed(strip.from_mm, 0),
        trimmed(strip.to_mm, 0),
        trimmed(strip.width_mm, 0),
        trimmed(strip.stretch_percent, 2)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use job::plan::WeldPause;

    fn with(seconds: &[f64]) -> JointPlan {
        let pauses = (1..).zip(seconds).map(|(number, seconds)| WeldPause { number, seconds: *seconds }).collect();
        JointPlan { pauses, ..JointPlan::default() }
    }

    #[test]
    fn numbers_that_follow_one_another_are_drawn_together() {
        assert_eq!(spans(&[9, 1, 4, 3, 2, 7, 8, 12]), "1 to 4, 7 to 9, 12");
        assert_eq!(spans(&[1, 2, 5]), "1, 2, 5");
    }

    /// Rounded up as the card does: to 5 s, from a minute and a half to minutes. The first needs none, whatever was worked out.
    #[test]
    fn equal_pauses_stand_in_one_row_shortest_first() {
        let rows = rows(&with(&[80.0, 0.0, 36.0, 0.2, 100.0, 40.0]));
        let told: Vec<(&str, &[usize])> = rows.iter().map(|(words, numbers)| (words.as_str(), &numbers[..])).collect();
        assert_eq!(told, [("none", &[1, 2, 4][..]), ("40 s", &[3, 6]), ("2 min", &[5])]);
    }

    /// 200 pauses that all differ stand in a few bands; every weld is in one, and none in a band below its own.
    #[test]
    fn many_pauses_stand_in_bands() {
        let seconds: Vec<f64> = (0..200).map(|i| 2.5 * f64::from(i)).collect();
        let joint = with(&seconds);
        let rows = rows(&joint);
        assert_eq!(rows.len(), BANDS.len() + 1);
        assert_eq!(rows.iter().map(|(_, numbers)| numbers.len()).sum::<usize>(), 200);
        assert_eq!(rows[2].0, "15 to 30 s");
        assert!(rows[2].1.iter().all(|number| (15.0..=30.0).contains(&seconds[number - 1])), "{:?}", rows[2]);
        assert_eq!(rows[6].0, "more than 5 min, up to 9 min");
    }
}
