//! What a person needs to set the flat out by hand and to roll it.

use super::Development;
use glam::DVec2;
use handbook::{Source, Working};
use section::ruled::Twist;
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// Lines, edges, radii.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RuledLayout {
    /// Area of the middle of the sheet without lap, exact, mm²; the outline's own stands on the blank.
    pub sheet_area_mm2: f64,
    /// Lines from the start end of the flat (its right-hand end with edge A below).
    pub lines: Vec<RollLine>,
    /// Edge A and edge B.
    pub edges: [RuledEdgeLayout; 2],
    /// Lengths of the two ends of the flat, mm: the seam where the piece closes on itself.
    pub ends_mm: [f64; 2],
    /// Diagonals of the flat: start of A to end of B, and end of A to start of B, mm.
    pub diagonals_mm: [f64; 2],
    /// Radii and angle where the flat is a sector of a ring.
    pub sector: Option<Sector>,
    /// Bend of the whole piece, rad.
    pub bend_rad: f64,
    /// Residual twist, rad; rounding only where the piece can be had by bending.
    pub twist_rad: f64,
    /// How the sizes were brought to the middle of the sheet.
    pub offset_words: String,
    /// The piece closes on itself.
    pub own_seam: bool,
    /// It is the whole girth of a closed piece or a share of it.
    pub closed: bool,
    /// Lap left on at the seam, mm.
    pub lap_mm: f64,
}

/// A ruling marked on the flat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RollLine {
    /// Number from the start end; 0 for a limit.
    pub number: usize,
    /// What it is.
    pub kind: RollLineKind,
    /// From edge A to edge B, mm.
    pub line_mm: [DVec2; 2],
    /// Its length, mm.
    pub length_mm: f64,
    /// Distance along edge A and along edge B from the start end, mm.
    pub along_mm: [f64; 2],
    /// Bend at this line, rad.
    pub bend_rad: f64,
    /// Towards the face that is up in the flat.
    pub up: bool,
    /// Radius of the middle of the sheet at edge A and at edge B, mm; `None` where it is flat.
    pub radii_mm: [Option<f64>; 2],
}

/// What a marked ruling is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RollLineKind {
    /// Bend a little here.
    Roll,
    /// A flat part begins or ends here.
    Limit,
    /// A sharp fold.
    Fold,
}

/// An edge of the flat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RuledEdgeLayout {
    /// Name.
    pub name: String,
    /// Length at the middle of the sheet, mm: the same in piece and flat.
    pub length_mm: f64,
    /// Straight from end to end in the flat, mm.
    pub chord_mm: f64,
    /// Offsets from the chord at equal steps along it; empty where the edge turns back over its chord.
    pub offsets: Vec<ChordOffset>,
}

/// One offset from a chord.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ChordOffset {
    /// Along the chord from its start, mm.
    pub along_mm: f64,
    /// Square to it, mm, positive away from the sheet's other edge.
    pub offset_mm: f64,
}

/// The flat of an upright cone cut off square.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Sector {
    /// Radius of the longer edge, mm.
    pub outer_mm: f64,
    /// Radius of the shorter edge, mm; 0 for a cone to a point.
    pub inner_mm: f64,
    /// Angle of this piece, rad.
    pub angle_rad: f64,
    /// Length of every ruling, mm.
    pub slant_mm: f64,
    /// Their working.
    pub workings: Vec<Working>,
}

/// Steps along a chord.
const STEPS: u32 = 12;

pub(super) fn layout(development: &Development<'_>, lines: Vec<RollLine>, twist: &Twist) -> RuledLayout {
    let rows = &development.flat.rows;
    let piece = development.piece;
    let ends = rows.first().zip(rows.last());
    let edge = |index: usize| {
        let points: Vec<DVec2> =
            rows.iter().map(|row| if index == 0 { row.state.a_mm } else { row.state.b_mm() }).collect();
        let name = piece.edges.get(index).map_or(String::new(), |edge| edge.name.clone());
        let length_mm = rows.last().map_or(0.0, |row| row.state.along_mm[index]);
        let chord_mm = points.first().zip(points.last()).map_or(0.0, |(a, b)| a.distance(*b));
        RuledEdgeLayout { name, length_mm, chord_mm, offsets: offsets(&points, index == 0) }
    };
    RuledLayout {
        sheet_area_mm2: development.flat.area_mm2,
        edges: [edge(0), edge(1)],
        ends_mm: ends.map_or([0.0; 2], |(first, last)| [first.state.length_mm, last.state.length_mm]),
        diagonals_mm: ends.map_or([0.0; 2], |(first, last)| {
            [first.state.a_mm.distance(last.state.b_mm()), last.state.a_mm.distance(first.state.b_mm())]
        }),
        sector: sector(development),
        bend_rad: lines.iter().map(|line| line.bend_rad.abs()).sum(),
        twist_rad: twist.twist_rad,
        offset_words: piece.offset_words.clone(),
        own_seam: piece.own_seam,
        closed: piece.closed,
        lap_mm: piece.lap_mm,
        lines,
    }
}

/// Offsets from the chord where the edge is a line over it.
fn offsets(points: &[DVec2], below: bool) -> Vec<ChordOffset> {
    let (Some(first), Some(last)) = (points.first(), points.last()) else { return Vec::new() };
    let Some(along) = (*last - *first).try_normalize() else { return Vec::new() };
    let chord = first.distance(*last);
    let out = if below { along.perp() } else { -along.perp() };
    let laid: Vec<DVec2> =
        points.iter().map(|p| DVec2::new((*p - *first).dot(along), (*p - *first).dot(out))).collect();
    if chord < 1.0 || laid.windows(2).any(|pair| pair[1].x < pair[0].x - 1e-9) {
        return Vec::new();
    }
    (0..=STEPS)
        .filter_map(|i| {
            let x = chord * f64::from(i) / f64::from(STEPS);
            let after = laid.partition_point(|p| p.x < x).clamp(1, laid.len() - 1);
            let (a, b) = (laid.get(after - 1)?, laid.get(after)?);
            let share = if b.x > a.x { (x - a.x) / (b.x - a.x) } else { 0.0 };
            Some(ChordOffset { along_mm: x, offset_mm: a.y + share * (b.y - a.y) })
        })
        .collect()
}

/// Radii and angle of the middle of the sheet (handbook D2 to D5).
fn sector(development: &Development<'_>) -> Option<Sector> {
    let piece = development.piece;
    let cone = piece.right_cone?;
    let (big, small) = (cone.bottom_radius_mm.max(cone.top_radius_mm), cone.bottom_radius_mm.min(cone.top_radius_mm));
    let slant_mm = (big - small).hypot(cone.height_mm);
    // e × m points to the axis: a step along it takes its level part off the radius
    let off_mm = -piece.to_middle_mm() * cone.height_mm / slant_mm;
    let per = slant_mm / (big - small);
    let (outer_mm, inner_mm) = ((big + off_mm) * per, (small + off_mm) * per);
    let whole = TAU / per;
    let along: f64 = development.flat.rows.last().map_or(0.0, |row| row.state.along_mm[0].max(row.state.along_mm[1]));
    let angle_rad = along / outer_mm;
    let given = |working: Working| {
        working
            .with("R", "larger radius on the measured face", big, "mm")
            .with("r", "smaller radius on the measured face", small, "mm")
            .with("h", "height", cone.height_mm, "mm")
            .with("o", "middle of the sheet from that face, level part", off_mm, "mm")
    };
    let text = Source::text("mathematics reference (T = 2π·r/s) and trade texts, radial-line method", "D2-D5");
    let workings = vec![
        given(Working::new("slant height", slant_mm, "mm", "s = √((R − r)² + h²)", text.clone())),
        given(Working::new("outer radius of the flat", outer_mm, "mm", "(R + o)·s/(R − r)", text.clone())),
        given(Working::new("inner radius of the flat", inner_mm, "mm", "(r + o)·s/(R − r)", text.clone())),
        given(Working::new("angle of the whole flat", whole.to_degrees(), "°", "360°·(R − r)/s", text)),
    ];
    Some(Sector { outer_mm, inner_mm, angle_rad, slant_mm, workings })
}
