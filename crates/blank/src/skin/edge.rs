//! One edge of the skin with its make-ups, laid off square to the flat edge.
//!
//! The make-ups stand on a straight strip as long as the finished edge, developed by the rules of [`crate::strip`]; what that strip's flat
//! has at a station and an offset is laid off at that station of the curved edge.

use super::curve::FlatCurve;
use super::error::SkinError;
use super::piece::{SkinEdge, SkinPiece};
use super::relief::WorkedEdge;
use crate::strip::{EdgeWidths, Held, Trim};
use crate::{Blank, BlankError, DevelopSettings};
use glam::{DVec2, DVec3};
use section::skin::{CARRIER_MM, EdgeFrame, carrier};
use section::{FlangeRelief, MakeUp, Strip, Swept};

/// What an edge is at a corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum EdgeKind {
    /// Nothing but perhaps trim.
    Plain,
    /// A leg in the surface of the skin: a lap beyond a joggle, a seam.
    Leg,
    /// Folded over: flange, hem, wired edge.
    Folded,
}

/// An edge in the flat.
pub(super) struct FlatEdge<'a> {
    pub(super) given: &'a SkinEdge,
    pub(super) kind: EdgeKind,
    pub(super) curve: FlatCurve,
    pub(super) widths: EdgeWidths<'a>,
    pub(super) swept: &'a Swept<'a>,
    /// Flat of the straight strip.
    pub(super) straight: Blank,
    /// Left on beyond the last make-up.
    pub(super) trim_mm: f64,
    /// The finished edge's points with conormal (outward in the surface) and normal (outside), one per station of the curve.
    pub(super) frames: Vec<EdgeFrame>,
    /// How its free edge is worked, where it ends in a flange or a seam.
    pub(super) worked: Option<WorkedEdge>,
}

/// Settings by which the straight strips are developed.
pub(super) fn strip_settings(settings: &DevelopSettings) -> DevelopSettings {
    let mut own = settings.clone();
    own.strip.held = Held::Line("cut edge".into());
    own
}

/// The straight strip that carries the make-ups of an edge.
pub(super) fn straight_strip(piece: &SkinPiece, edge: &SkinEdge, length_mm: f64) -> Result<Strip, SkinError> {
    let sheet = (piece.thickness_mm, piece.material.as_str());
    carrier(&edge.name, &edge.make_ups, sheet, length_mm)
        .map_err(|fault| SkinError::Edge { edge: edge.name.clone(), fault: BlankError::Section(fault) })
}

impl<'a> FlatEdge<'a> {
    pub(super) fn new(
        piece: &'a SkinPiece,
        given: &'a SkinEdge,
        swept: &'a Swept<'a>,
        settings: &'a DevelopSettings,
        curve: FlatCurve,
        frames: Vec<EdgeFrame>,
    ) -> Result<Self, SkinError> {
        let fault = |fault: BlankError| SkinError::Edge { edge: given.name.clone(), fault };
        if given.make_ups.iter().any(|one| matches!(one, MakeUp::Flange { relief: FlangeRelief::Split { .. }, .. })) {
            let what = "a split flange is made on a strip; on a skin choose notches or scallops, or make the flange a piece of its own";
            return Err(fault(BlankError::Bend { place: "flange".into(), what: what.into() }));
        }
        let kind = match given.make_ups.first() {
            None | Some(MakeUp::Raw { .. }) => EdgeKind::Plain,
            Some(MakeUp::Joggle { .. } | MakeUp::Seam { .. }) => EdgeKind::Leg,
            Some(MakeUp::Flange { .. } | MakeUp::Wired { .. } | MakeUp::Hem { .. }) => EdgeKind::Folded,
        };
        let own = match given.make_ups.last() {
            Some(MakeUp::Raw { trim_mm }) => *trim_mm,
            _ => 0.0,
        };
        let from_reach = kind == EdgeKind::Plain && settings.strip.trim == Trim::FromReach;
        let trim_mm = if from_reach { own.max((2.0 * piece.reach_mm).ceil() / 2.0) } else { own };
        Ok(Self {
            given,
            kind,
            curve,
            widths: EdgeWidths::new(swept, settings, CARRIER_MM).map_err(fault)?,
            swept,
            straight: crate::strip::develop(swept.strip(), settings).map_err(fault)?,
            trim_mm,
            frames,
            worked: None,
        })
    }

    /// Offset of the free edge with its trim at a station, mm outward in the flat.
    pub(super) fn free_mm(&self, station_mm: f64) -> f64 {
        let inside = station_mm.clamp(0.0, self.curve.length_mm());
        self.widths.offsets_mm(inside).last().copied().unwrap_or(0.0) + self.trim_mm
    }

    /// Inside radius of the bend next to the skin, 0 without one: its tangent line ends in the corner's relief hole. Bends farther out, a curl
    /// round a wire or a hem on a flange, end in air.
    pub(super) fn first_radius_mm(&self) -> f64 {
        let top = self.straight.outline_mm.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
        let out_mm = |fold: &&crate::FlatFold| {
            let line = fold.centre_mm.iter().map(|p| top - CARRIER_MM - p.y);
            line.fold(f64::INFINITY, f64::min)
        };
        let first = self.straight.folds.iter().min_by(|a, b| out_mm(a).total_cmp(&out_mm(b)));
        first.map_or(0.0, |fold| fold.inside_radius_mm)
    }

    /// A line of the straight strip's flat laid off along the edge.
    pub(super) fn lay_off(&self, line: &[DVec2], tolerance_mm: f64) -> Vec<DVec2> {
        let top = self.straight.outline_mm.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
        let outward = |y: f64| top - CARRIER_MM - y;
        match line {
            [a, b] if (a.x - b.x).abs() > 1e-9 => {
                let (from, to) = (a.x.min(b.x), a.x.max(b.x));
                let offset = |s: f64| outward(a.y + (b.y - a.y) * (s - a.x) / (b.x - a.x));
                self.curve.polyline(from, to, &offset, tolerance_mm)
            }
            [a, b] => [a, b].map(|p| self.curve.at(p.x).outward(outward(p.y))).to_vec(),
            line => {
                let mut out: Vec<DVec2> = Vec::new();
                for pair in line.windows(2) {
                    let laid = self.lay_off(pair, tolerance_mm);
                    out.extend(laid.into_iter().skip(usize::from(!out.is_empty())));
                }
                out
            }
        }
    }

    /// Place in space of a point beyond the edge: outward along the surface and towards the outside, mm, at boundary point `i`.
    pub(super) fn in_space(&self, i: usize, [out_mm, outside_mm]: [f64; 2]) -> Option<DVec3> {
        let frame = self.frames.get(i)?;
        Some(frame.at_mm + frame.outward * out_mm + frame.normal * outside_mm)
    }
}
