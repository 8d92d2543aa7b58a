//! A checked strip that can be asked for its frame and whole cross-section at any station.
//!
//! Everything later (tessellation, development, templates) reads the strip through [`Swept`], so that a fault is named once
//! and the formulas inside need no error path. Units: mm and rad; frames as in the crate's header.

use crate::edge_line::Lean;
use crate::frame::FrameJet;
use crate::jet::{Jet, JetVector};
use crate::profile::{Node, Part, Profile, ProfileLink, Shape};
use crate::{Along, Face, Frame, Link, MakeUp, Makes, SectionError, Strip, StripEdge};

mod check;
mod free_edge;
mod links;
mod names;
mod place;

pub use place::ChainPoint;

/// A strip found sound.
#[derive(Debug, Clone)]
pub struct Swept<'a> {
    strip: &'a Strip,
    breaks_mm: Vec<f64>,
}

impl<'a> Swept<'a> {
    /// Checks a strip.
    ///
    /// # Errors
    /// The first fault found, named with its place: see [`SectionError`].
    pub fn new(strip: &'a Strip) -> Result<Self, SectionError> {
        check::plain_values(strip)?;
        let swept = Self { strip, breaks_mm: breaks(strip) };
        check::along(&swept)?;
        check::openings(&swept)?;
        Ok(swept)
    }

    /// The strip as described.
    #[must_use]
    pub fn strip(&self) -> &'a Strip {
        self.strip
    }

    /// Start of the piece with its spare length, mm along the edge line.
    #[must_use]
    pub fn start_mm(&self) -> f64 {
        self.strip.from_mm - self.strip.spare_from_mm
    }

    /// End of the piece with its spare length, mm along the edge line.
    #[must_use]
    pub fn end_mm(&self) -> f64 {
        self.strip.to_mm + self.strip.spare_to_mm
    }

    /// Start, end, and the stations between them where a derivative may jump, rising.
    #[must_use]
    pub fn breaks_mm(&self) -> &[f64] {
        &self.breaks_mm
    }

    /// Frame at a station with derivatives; at a break those of the side asked for.
    #[must_use]
    pub fn frame_jet(&self, station_mm: f64, lean: Lean) -> FrameJet {
        FrameJet::new(&self.strip.edge_line, &self.strip.outward, self.strip.runs, station_mm, lean)
    }

    /// Frame at a station.
    #[must_use]
    pub fn frame(&self, station_mm: f64) -> Frame {
        self.frame_jet(station_mm, Lean::After).frame()
    }

    /// Whole cross-section at a station; at a break with the derivatives of the side asked for.
    #[must_use]
    pub fn profile(&self, station_mm: f64, lean: Lean) -> Profile {
        let strip = self.strip;
        let at = Place { station_mm, lean };
        let start_angle = links::start_angle(&strip.sections, at);
        let mut forward = links::skin(&strip.sections, at);
        let lost = links::lost_at_finished(strip, at);
        links::shorten(forward.first_mut(), lost, strip.thickness_mm);
        links::shorten(forward.last_mut(), links::lost_at_cut(strip, at), strip.thickness_mm);
        forward.extend(links::make_ups(StripEdge::Cut, strip, at));
        let backward = links::make_ups(StripEdge::Finished, strip, at);
        let above = match strip.face {
            Face::Outside => 0.0,
            Face::Middle => 0.5 * strip.thickness_mm,
            Face::Inside => strip.thickness_mm,
        };
        let depth = above - strip.under_mm;
        let (sin, cos) = (start_angle.sin(), start_angle.cos());
        let start = [lost * sin + cos * depth, lost * cos - sin * depth];
        let whole = Profile::join(start, start_angle, strip.thickness_mm, forward, backward);
        match strip.makes {
            Makes::Body => whole,
            Makes::SplitFlange { edge } => whole.outermost(edge),
        }
    }

    /// A node of the cross-section in space at a depth below the outside face, with derivatives.
    #[must_use]
    pub fn point(&self, frame: &FrameJet, node: &Node, depth_mm: f64) -> JetVector {
        frame.point(node.at_depth(depth_mm))
    }

    /// Parts of the cross-section's links in order; the same at every station.
    #[must_use]
    pub fn parts(&self) -> Vec<Part> {
        self.profile(self.strip.from_mm, Lean::After).links.iter().map(|link| link.part).collect()
    }

    /// Names of the lengthwise lines between the links and at both ends, in order from the finished edge.
    #[must_use]
    pub fn line_names(&self) -> Vec<String> {
        names::lines(self.strip, &self.parts())
    }

    /// The make-up a link belongs to.
    #[must_use]
    pub fn make_up(&self, part: Part) -> Option<&'a MakeUp> {
        match part {
            Part::Skin { .. } => None,
            Part::Bend { edge, index } | Part::Leg { edge, index } | Part::Ramp { edge, index } => {
                self.strip.make_ups(edge).get(index)
            }
        }
    }

    /// What the finished edge stands below the edge line along the skin, mm: over the wire (d/2 + t), over the fold (r + t),
    /// 0 for a flange (its apex is the edge line) and for a plain edge.
    #[must_use]
    pub fn below_edge_line_mm(&self) -> f64 {
        crate::height::below_edge_line_mm(self.strip)
    }

    /// Height of the skin's far end over the lowest outside point of the finished edge, taped along the outside face, mm.
    #[must_use]
    pub fn skin_height_mm(&self, station_mm: f64) -> f64 {
        self.below_edge_line_mm() + links::outside_length(&self.strip.sections, station_mm, self.strip.thickness_mm)
    }
}

impl Strip {
    /// Make-ups of one edge, outward.
    #[must_use]
    pub fn make_ups(&self, edge: StripEdge) -> &[MakeUp] {
        match edge {
            StripEdge::Finished => &self.finished_edge,
            StripEdge::Cut => &self.cut_edge,
        }
    }
}

/// A station and the side its derivatives are taken from.
#[derive(Debug, Clone, Copy)]
struct Place {
    station_mm: f64,
    lean: Lean,
}

impl Along {
    /// The value at a station with its rate of change; at a break that of the side asked for.
    #[must_use]
    pub fn jet(&self, station_mm: f64, lean: Lean) -> Jet {
        let list = match self {
            Self::Constant(value) => return Jet::constant(*value),
            Self::Stations(list) => list,
        };
        let after = match lean {
            Lean::After => list.partition_point(|(station, _)| *station <= station_mm),
            Lean::Before => list.partition_point(|(station, _)| *station < station_mm),
        };
        match (after.checked_sub(1).and_then(|i| list.get(i)), list.get(after)) {
            (Some((s0, v0)), Some((s1, v1))) => {
                let slope = (v1 - v0) / (s1 - s0);
                Jet::linear(v0 + slope * (station_mm - s0), slope)
            }
            _ => Jet::constant(self.at(station_mm)),
        }
    }
}

fn breaks(strip: &Strip) -> Vec<f64> {
    let (start, end) = (strip.from_mm - strip.spare_from_mm, strip.to_mm + strip.spare_to_mm);
    let mut out = strip.edge_line.breaks_mm();
    out.extend(strip.outward.breaks_mm());
    out.extend(strip.sections.iter().map(|section| section.station_mm));
    for make_up in strip.finished_edge.iter().chain(&strip.cut_edge) {
        if let MakeUp::Flange { bend_angle_rad, width_mm, .. } = make_up {
            out.extend(bend_angle_rad.breaks_mm());
            out.extend(width_mm.breaks_mm());
        }
        if let MakeUp::Joggle { runs_out_mm: [first, last], .. } = make_up {
            out.extend([start + first, end - last]);
        }
    }
    out.extend([strip.from_mm, strip.to_mm]);
    out.retain(|station| *station > start + 1e-6 && *station < end - 1e-6);
    out.extend([start, end]);
    out.sort_by(f64::total_cmp);
    out.dedup_by(|later, earlier| (*later - *earlier).abs() < 1e-6);
    out
}

/// Length of a link's outside face and its kind, for messages and checks.
fn same_kind(a: &Link, b: &Link) -> bool {
    matches!((a, b), (Link::Straight { .. }, Link::Straight { .. }) | (Link::Arc { .. }, Link::Arc { .. }))
}

fn skin_link(link: usize, shape: Shape) -> ProfileLink {
    ProfileLink { part: Part::Skin { link }, shape }
}
