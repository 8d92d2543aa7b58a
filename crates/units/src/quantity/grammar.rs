//! What is written, taken apart by winnow without judging it.

use winnow::ascii::{digit1, space0, space1};
use winnow::combinator::{alt, opt, preceded, terminated};
use winnow::token::{literal, take_while};
use winnow::{ModalResult, Parser};

/// A number as written: a decimal, or a fraction with or without whole part.
#[derive(Debug, Clone, Copy)]
pub(super) enum Amount<'i> {
    Decimal(&'i str),
    Fraction { whole: Option<&'i str>, top: &'i str, bottom: &'i str },
}

/// A quantity as written, not yet evaluated.
#[derive(Debug)]
pub(super) struct Written<'i> {
    pub(super) negative: bool,
    pub(super) amount: Amount<'i>,
    pub(super) unit: &'i str,
    /// Inches after feet, or minutes after degrees, with the unit written after them.
    pub(super) tail: Option<(Amount<'i>, &'i str)>,
}

/// One quantity; what follows it is left in `input`.
pub(super) fn written<'i>(input: &mut &'i str) -> ModalResult<Written<'i>> {
    let sign = terminated(opt(alt((literal("-"), literal("+")))), space0).parse_next(input)?;
    let gauge_first =
        opt(terminated(alt((literal("swg"), literal("s.w.g."), literal("ga"))), space0)).parse_next(input)?;
    let amount = amount(input)?;
    let unit = match gauge_first {
        Some(unit) => unit,
        None => preceded(space0, unit_sign).parse_next(input)?,
    };
    let tail = if is_foot(unit) || is_degree(unit) { opt(tail).parse_next(input)? } else { None };
    Ok(Written { negative: sign == Some("-"), amount, unit, tail })
}

fn tail<'i>(input: &mut &'i str) -> ModalResult<(Amount<'i>, &'i str)> {
    (preceded((space0, opt(terminated("-", space0))), amount), preceded(space0, unit_sign)).parse_next(input)
}

fn amount<'i>(input: &mut &'i str) -> ModalResult<Amount<'i>> {
    let separator = alt((space1, "-"));
    let mixed = (terminated(digit1, separator), digit1, preceded(slash, digit1))
        .map(|(whole, top, bottom)| Amount::Fraction { whole: Some(whole), top, bottom });
    let fraction = (digit1, preceded(slash, digit1)).map(|(top, bottom)| Amount::Fraction { whole: None, top, bottom });
    let decimal = take_while(1.., |c: char| c.is_ascii_digit() || c == '.' || c == ',').map(Amount::Decimal);
    alt((mixed, fraction, decimal)).parse_next(input)
}

fn slash<'i>(input: &mut &'i str) -> ModalResult<&'i str> {
    (space0, "/", space0).take().parse_next(input)
}

/// A unit word or sign, possibly none.
fn unit_sign<'i>(input: &mut &'i str) -> ModalResult<&'i str> {
    let word = (take_while(1, char::is_alphabetic), take_while(0.., |c: char| c.is_alphanumeric() || c == '.')).take();
    alt((word, literal("''"), literal("\""), literal("'"), literal("°"), literal("%"), literal(""))).parse_next(input)
}

pub(super) fn is_foot(unit: &str) -> bool {
    matches!(unit, "'" | "ft" | "ft." | "foot" | "feet")
}

pub(super) fn is_degree(unit: &str) -> bool {
    matches!(unit, "°" | "deg" | "deg." | "degree" | "degrees")
}

pub(super) fn is_inch(unit: &str) -> bool {
    matches!(unit, "\"" | "''" | "in" | "in." | "inch" | "inches")
}
