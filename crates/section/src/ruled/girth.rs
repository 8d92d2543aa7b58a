//! Where the seam lies and which share of the girth a piece is.

use super::{Ruled, Span, fault, gauss};
use crate::SectionError;
use glam::DVec2;
use serde::{Deserialize, Serialize};

/// Where the seam of a closed piece lies; of an open one its ends are where they are.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SeamPlace {
    /// Along the shortest ruling: the least welding.
    #[default]
    Short,
    /// Through the middle of a corner, counted from 1 from the start of edge A (of edge B where A has none).
    Corner(usize),
    /// From the middle of a straight side of edge A, counted from 1.
    MidSide(usize),
    /// At a share of the girth of edge A from its start, 0 to 1.
    Share(f64),
}

/// Seam and share.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Girth {
    /// Where the first seam lies.
    pub seam: SeamPlace,
    /// Made in so many pieces, equal along edge A.
    pub pieces: u32,
    /// This is the one of that number, from 1.
    pub piece: u32,
}

impl Default for Girth {
    fn default() -> Self {
        Self { seam: SeamPlace::Short, pieces: 1, piece: 1 }
    }
}

/// A place in the pairing: span and 0 to 1 on it.
type At = (usize, f64);

impl Ruled {
    /// Starts the pairing at the seam and keeps the share asked for.
    pub(super) fn cut_girth(&mut self, girth: &Girth) -> Result<(), SectionError> {
        let name = self.name.clone();
        if !(1..=24).contains(&girth.pieces) || !(1..=girth.pieces).contains(&girth.piece) {
            return Err(fault(
                format!("{name} is piece {} of {}", girth.piece, girth.pieces),
                "1 to 24 pieces, and a piece from 1 to their number, are accepted",
            ));
        }
        if self.closed {
            let at = self.seam_at(girth.seam)?;
            let (before, after) = self.split(at);
            self.spans = after.into_iter().chain(before).collect();
        } else if girth.seam != SeamPlace::Short {
            return Err(fault(format!("{name} has open edges and no seam"), "leave the seam out"));
        }
        self.own_seam = self.closed && girth.pieces == 1;
        if girth.pieces > 1 {
            let whole: f64 = self.lengths_along(0).iter().sum();
            let share = whole / f64::from(girth.pieces);
            let from = self.at_length(0, &self.lengths_along(0), share * f64::from(girth.piece - 1));
            self.spans = self.split(from).1;
            let to = self.at_length(0, &self.lengths_along(0), share);
            self.spans = self.split(to).0;
        }
        Ok(())
    }

    fn seam_at(&self, seam: SeamPlace) -> Result<At, SectionError> {
        let name = &self.name;
        match seam {
            SeamPlace::Short => Ok(self.shortest()),
            SeamPlace::Share(share) => {
                crate::error::within(format!("the seam's share of the girth of {name}"), share, 0.0..=1.0, "")?;
                let lengths = self.lengths_along(0);
                Ok(self.at_length(0, &lengths, share * lengths.iter().sum::<f64>()))
            }
            SeamPlace::Corner(number) => {
                let [a, b] = &self.edges;
                let on_a = a.curve.corners() > 0;
                let curve = if on_a { &a.curve } else { &b.curve };
                let corner = curve.elements.iter().enumerate().filter(|(_, element)| element.is_corner());
                let nth = number.checked_sub(1).and_then(|k| corner.map(|(i, _)| i).nth(k));
                nth.and_then(|index| self.at_element(on_a, index, 0.5)).ok_or_else(|| {
                    fault(
                        format!("{name} has no corner {number}"),
                        match curve.corners() {
                            0 => "it has none; the short seam or a share of the girth is accepted".to_owned(),
                            count => format!("corners 1 to {count} are there, or take the short seam"),
                        },
                    )
                })
            }
            SeamPlace::MidSide(number) => {
                let sides = self.sides();
                let side = number.checked_sub(1).and_then(|k| sides.get(k)).copied();
                side.and_then(|(index, x)| self.at_element(true, index, x)).ok_or_else(|| {
                    fault(
                        format!("{name} has no straight side {number}"),
                        match sides.len() {
                            0 => "it has none; the short seam or a share of the girth is accepted".to_owned(),
                            count => format!("sides 1 to {count} are there, or take the short seam"),
                        },
                    )
                })
            }
        }
    }

    /// Middles of the straight sides of edge A; a side that runs over the curve's start counts as one.
    fn sides(&self) -> Vec<(usize, f64)> {
        let Some(edge) = self.edges.first() else { return Vec::new() };
        let straight: Vec<usize> = edge
            .curve
            .elements
            .iter()
            .enumerate()
            .filter(|(_, element)| element.is_straight())
            .map(|(i, _)| i)
            .collect();
        let (first, last) = (straight.first().copied(), straight.last().copied());
        let over_start = edge.curve.closed
            && first == Some(0)
            && straight.len() > 1
            && last.is_some_and(|last| last + 1 == edge.curve.count());
        straight
            .into_iter()
            .filter(|i| !(over_start && Some(*i) == last))
            .map(|i| if over_start && i == 0 { self.middle_over_start(last.unwrap_or(0)) } else { (i, 0.5) })
            .collect()
    }

    fn middle_over_start(&self, last: usize) -> (usize, f64) {
        let length =
            |i: usize| self.edges.first().and_then(|edge| edge.curve.element(i)).map_or(0.0, |own| own.length_mm());
        let (end, start) = (length(last), length(0));
        let middle = 0.5 * (end + start);
        if middle <= start { (0, 1.0 - middle / start) } else { (last, middle / end) }
    }

    /// Where the pairing passes `x` on an element of A (or of B).
    fn at_element(&self, on_a: bool, index: usize, x: f64) -> Option<At> {
        let pick = |place: DVec2| if on_a { place.x } else { place.y };
        let own = |span: &Span| if on_a { span.a == index } else { span.b == index };
        let (i, span) = self.spans.iter().enumerate().find(|(_, span)| {
            own(span) && pick(span.from) <= x && x <= pick(span.to) && pick(span.from) < pick(span.to)
        })?;
        let (from, to) = (pick(span.from), pick(span.to));
        if span.linear {
            return Some((i, (x - from) / (to - from)));
        }
        Some((i, super::pairing::root(|u| pick(self.ruling(span, u).place) - x, 0.0, 1.0)))
    }

    /// The shortest ruling, the first of several equal ones.
    fn shortest(&self) -> At {
        let length = |at: At| self.spans.get(at.0).map_or(f64::INFINITY, |span| self.ruling(span, at.1).length_mm());
        let mut best: (f64, At) = (f64::INFINITY, (0, 0.0));
        for i in 0..self.spans.len() {
            let (mut low, mut high) = (0.0, 1.0);
            // the length has one low place at most in a span: parts are short
            for _ in 0..60 {
                let third = (high - low) / 3.0;
                if length((i, low + third)) <= length((i, high - third)) { high -= third } else { low += third }
            }
            for u in [0.0, 0.5 * (low + high), 1.0] {
                let here = length((i, u));
                if here < best.0 - 1e-7 {
                    best = (here, (i, u));
                }
            }
        }
        best.1
    }

    /// Length of each span along edge A (0) or B (1), mm.
    #[must_use]
    pub fn lengths_along(&self, edge: usize) -> Vec<f64> {
        self.spans.iter().map(|span| self.length_on(span, edge, 1.0)).collect()
    }

    fn length_on(&self, span: &Span, edge: usize, to: f64) -> f64 {
        gauss().integrate(0.0, to, |u| {
            let ruling = self.ruling(span, u);
            if edge == 0 { ruling.a_rate_mm.length() } else { ruling.b_rate_mm.length() }
        })
    }

    fn at_length(&self, edge: usize, lengths: &[f64], length_mm: f64) -> At {
        let mut left = length_mm;
        for (i, (span, length)) in self.spans.iter().zip(lengths).enumerate() {
            if left <= *length && *length > 0.0 {
                return (i, super::pairing::root(|u| self.length_on(span, edge, u) - left, 0.0, 1.0));
            }
            left -= length;
        }
        (self.spans.len().saturating_sub(1), 1.0)
    }

    /// The spans before and after a place.
    fn split(&self, (index, u): At) -> (Vec<Span>, Vec<Span>) {
        let mut before: Vec<Span> = self.spans.iter().take(index).copied().collect();
        let mut after: Vec<Span> = Vec::new();
        if let Some(span) = self.spans.get(index) {
            let place = self.ruling(span, u).place;
            if place.distance(span.from) > 1e-12 {
                before.push(Span { to: place, ..*span });
            }
            if place.distance(span.to) > 1e-12 {
                after.push(Span { from: place, ..*span });
            }
        }
        after.extend(self.spans.iter().skip(index + 1));
        (before, after)
    }
}
