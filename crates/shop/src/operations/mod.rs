//! Operations of a section in the order of working.
//!
//! Order (common practice, no source): survey and set-out; blank cut, deburred, marked, holes that can be made flat; wheel
//! before the step, because wheeling would roll it out; step before the folds, while the edge still lies flat in the
//! rollers; gather or let out as the folds are made; wire and hem last of the forming, because they lock the edge; weld,
//! dress, check, mark; then several pieces are made into one, sub-assembly by sub-assembly; prime, pack.

mod finishing;
mod flat;
mod forming;
mod seams;
mod tube;

use crate::{Minutes, MinutesModel, Operation, PieceWork, SectionWork, ShopSettings, default_minutes};
use handbook::{Source, Working};

/// Operations of one section, numbered from 1; minutes are for one section of the lot.
#[must_use]
pub fn operations(section: &SectionWork<'_>, settings: &ShopSettings) -> Vec<Operation> {
    let mut list = List { settings, count: section.count(), operations: Vec::new() };
    flat::set_out(&mut list, section);
    for piece in &section.pieces {
        flat::operations(&mut list, piece);
        forming::operations(&mut list, piece);
        tube::operations(&mut list, piece);
        finishing::of_piece(&mut list, piece);
    }
    seams::operations(&mut list, section);
    finishing::of_section(&mut list, section);
    list.operations
}

/// Size of an operation: what its minutes are counted by.
#[derive(Debug, Clone, Copy, Default)]
struct Size {
    each: f64,
    metres: f64,
    square_metres: f64,
}

struct List<'a> {
    settings: &'a ShopSettings,
    count: f64,
    operations: Vec<Operation>,
}

/// What is said about an operation.
#[derive(Default)]
struct Said {
    what: String,
    settings: Vec<String>,
    checks: Vec<String>,
}

impl List<'_> {
    fn push(&mut self, kind: &str, piece: &str, size: Size, said: Said) {
        let model = self.settings.minutes.get(kind).copied().or_else(|| default_minutes(kind)).unwrap_or_default();
        let factor = self.settings.learned.get(kind).copied().unwrap_or(1.0);
        let (minutes, working) = minutes(kind, &model, factor, self.count, size);
        self.operations.push(Operation {
            number: self.operations.len() + 1,
            kind: kind.into(),
            piece: piece.into(),
            what: said.what,
            settings: said.settings,
            checks: said.checks,
            minutes,
            working,
        });
    }
}

fn minutes(kind: &str, model: &MinutesModel, factor: f64, count: f64, size: Size) -> (Minutes, Working) {
    let likely = factor
        * (model.setup / count
            + model.each * size.each
            + model.per_metre * size.metres
            + model.per_square_metre * size.square_metres);
    let minutes = Minutes { low: likely * model.low, likely, high: likely * model.high };
    let mut working = Working::new(
        format!("minutes: {kind}"),
        likely,
        "min",
        "f·(setup/q + each·n + per m·L + per m²·A)",
        Source::shop_setting("the shop's minutes for this kind of operation"),
    )
    .with("f", "factor learned from the shop's own times", factor, "")
    .with("setup", "once for the lot", model.setup, "min")
    .with("q", "quantity", count, "");
    for (symbol, name, rate, amount_symbol, amount_name, amount, unit) in [
        ("each", "for each", model.each, "n", "number", size.each, ""),
        ("per m", "for each metre", model.per_metre, "L", "length", size.metres, "m"),
        ("per m²", "for each square metre", model.per_square_metre, "A", "area", size.square_metres, "m²"),
    ] {
        if rate != 0.0 {
            working = working.with(symbol, name, rate, "min").with(amount_symbol, amount_name, amount, unit);
        }
    }
    working = working.with("low", "low estimate over the likely one", model.low, "").with(
        "high",
        "high estimate over the likely one",
        model.high,
        "",
    );
    (minutes, working.reach(2.0 * minutes.deviation()))
}

fn name<'a>(piece: &'a PieceWork<'_>) -> &'a str {
    &piece.blank.piece
}

/// "1 fold", "3 folds".
fn counted(number: usize, what: &str) -> String {
    if number == 1 { format!("1 {what}") } else { format!("{number} {what}s") }
}

/// A fold line that leaves its chord by more than this is curved.
pub(crate) fn forming_straight_within_mm() -> f64 {
    forming::STRAIGHT_WITHIN_MM
}
