//! The developed make-ups of one edge, apart from the skin they hang on, so that other pieces lay them off by the same rules.
//!
//! The edge is the finished edge of a straight strip whose skin is one straight link. Offsets are counted outward from the edge line
//! (the sharp outer corner of a flange, the tangent where a wrap starts), in the flat.

use super::widths::Widths;
use crate::{BlankError, DevelopSettings};
use section::{Lean, Node, Profile, Swept};

/// Sub-divisions of a bend where its flat and folded places are listed.
const BEND_STEPS: usize = 6;

/// A place on the chain of make-ups at a station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rung {
    /// Outward from the edge line, in the flat, mm.
    pub(crate) flat_mm: f64,
    /// Outward along the skin's direction when folded, on the outside and on the inside face, mm.
    pub(crate) out_mm: [f64; 2],
}

/// The make-ups of the finished edge of a strip.
pub(crate) struct EdgeWidths<'a> {
    swept: &'a Swept<'a>,
    widths: Widths<'a>,
    skin_mm: f64,
}

impl<'a> EdgeWidths<'a> {
    /// `skin_mm`: length of the strip's one skin link.
    pub(crate) fn new(swept: &'a Swept<'a>, settings: &'a DevelopSettings, skin_mm: f64) -> Result<Self, BlankError> {
        let breaks = swept.breaks_mm();
        let probes = breaks.windows(2).flat_map(|p| [p[0], 0.5 * (p[0] + p[1])]).chain(breaks.last().copied());
        let profiles: Vec<Profile> = probes.map(|s| swept.profile(s, Lean::After)).collect();
        Ok(Self { swept, widths: Widths::new(swept.strip(), settings, &profiles)?, skin_mm })
    }

    /// Offsets of the lines between the links, from the skin outward, mm; the first is where the skin ends (negative by a setback).
    pub(crate) fn offsets_mm(&self, station_mm: f64) -> Vec<f64> {
        self.at(station_mm).1
    }

    /// The lines between the links in space at a station: outward along the skin, and towards the outside of the vehicle, both from
    /// the edge line on the middle of the sheet, mm; in the order of the offsets.
    pub(crate) fn in_space_mm(&self, station_mm: f64) -> Vec<[f64; 2]> {
        let (profile, _) = self.at(station_mm);
        let half = 0.5 * profile.thickness_mm;
        let place = |node: &Node| {
            let at = node.point(half);
            [-at.y, at.x + half]
        };
        profile.nodes.iter().take(profile.anchor + 1).rev().map(place).collect()
    }

    /// Places from the skin's end outward, bends divided: where they lie in the flat and when folded.
    pub(crate) fn rungs(&self, station_mm: f64) -> Vec<Rung> {
        let (profile, offsets) = self.at(station_mm);
        let rung = |node: &Node, flat_mm: f64| {
            let out = |depth: f64| -node.point(depth).y;
            Rung { flat_mm, out_mm: [out(0.0), out(profile.thickness_mm)] }
        };
        let anchor = profile.anchor;
        let mut out = Vec::new();
        out.extend(profile.nodes.get(anchor).zip(offsets.first()).map(|(node, flat)| rung(node, *flat)));
        for (k, pair) in offsets.windows(2).enumerate() {
            // links outward from the anchor are numbered downward
            let Some(link) = anchor.checked_sub(k + 1) else { break };
            for step in 1..=BEND_STEPS {
                let share = step as f64 / BEND_STEPS as f64;
                let node = profile.inside_link(link, 1.0 - share);
                out.extend(node.map(|node| rung(&node, pair[0] + (pair[1] - pair[0]) * share)));
            }
        }
        out
    }

    /// Names of the lines, in the order of the offsets.
    pub(crate) fn names(&self) -> Vec<String> {
        let anchor = self.swept.profile(self.swept.start_mm(), Lean::After).anchor;
        let mut names: Vec<String> = self.swept.line_names().into_iter().take(anchor + 1).collect();
        names.reverse();
        names
    }

    fn at(&self, station_mm: f64) -> (Profile, Vec<f64>) {
        let lean = if station_mm < self.swept.end_mm() { Lean::After } else { Lean::Before };
        let profile = self.swept.profile(station_mm, lean);
        let lines = self.widths.lines(&profile);
        let edge = lines.last().map_or(f64::NAN, |line| line.mm) - self.skin_mm;
        let offsets = lines.iter().take(profile.anchor + 1).rev().map(|line| edge - line.mm).collect();
        (profile, offsets)
    }
}
