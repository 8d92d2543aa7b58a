//! The parts of a folded piece with their bends, lengths between tangent lines and end cuts.
//!
//! Everything that development and the shape in space have in common: which bends follow one another on an edge, how long
//! the metal between their tangent lines is, and where the ends are cut. Lengths in mm, angles in rad turned from flat.
//!
//! x runs along an edge from its first corner; s runs away from a leg's near tangent line.

use super::corner::{self, CornerSide};
use super::pose::Pose;
use super::{CornerKind, EndCut, Folded, validate};
use crate::{Along, Curl, MakeUp, SectionError, Side};
use glam::{DVec2, DVec3};
use std::f64::consts::PI;

/// A folded piece taken apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Sheet.
    pub thickness_mm: f64,
    /// One per base edge.
    pub edges: Vec<EdgeLayout>,
    /// One per corner; corner i is between edge i − 1 and edge i.
    pub corners: Vec<CornerLayout>,
}

/// What is left of the base at a corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CornerLayout {
    /// Where the two near tangent lines cross (the raw edge's own line where an edge is not folded).
    pub tangents_cross_mm: DVec2,
    /// Diameter of the relief hole centred there; `None` where fewer than two edges fold.
    pub relief_mm: Option<f64>,
}

/// One edge of the base with everything folded from it.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeLayout {
    /// First corner: the apex, in plan.
    pub corner_mm: DVec2,
    /// Along the edge.
    pub along: DVec2,
    /// Away from the base, square to the edge.
    pub outward: DVec2,
    /// Apex to apex.
    pub length_mm: f64,
    /// From the apex line in to the first bend's near tangent line (0 for a raw edge, a hem or a curl).
    pub setback_mm: f64,
    /// x of the corners' tangent crossings at start and end.
    pub crossing_x_mm: [f64; 2],
    /// Bends and legs, outward.
    pub parts: Vec<Part>,
    /// Extra left on to trim beyond the last part; not in the finished shape.
    pub trim_mm: f64,
}

/// One bend with the leg beyond it.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// "fold 3"; "leg 2" when there is no bend before it.
    pub name: String,
    /// Number of the bend in the order of working, from 1; 0 for a leg without bend.
    pub number: usize,
    /// Index of its make-up in the chain.
    pub make_up: usize,
    /// The bend; `None` for a plain leg in the plane of what is before it.
    pub bend: Option<Bend>,
    /// The leg; `None` after a curl.
    pub leg: Option<Leg>,
}

/// Which make-up a bend belongs to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BendKind {
    /// A flange's fold.
    Fold,
    /// A hem, turned by half a turn.
    Hem,
    /// The curl round a wire; the developed width of a trial strip where the shop has one.
    Curl {
        /// Wire.
        wire_mm: f64,
        /// From the shop's own trial strip.
        allowance_mm: Option<f64>,
    },
}

/// One bend.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bend {
    /// Which make-up.
    pub kind: BendKind,
    /// Turned from flat, positive up (towards the face up in the flat).
    pub turned_rad: f64,
    /// Inside radius.
    pub inside_radius_mm: f64,
    /// From the sharp outer corner to the tangent lines; 0 for hem and curl, which are laid off from their tangent.
    pub setback_mm: f64,
    /// Pose at the near tangent line.
    pub pose: Pose,
    /// x of the start cut at the near and at the far tangent line, straight between them in the flat.
    pub start_x_mm: [f64; 2],
    /// The same for the end cut.
    pub end_x_mm: [f64; 2],
}

/// One leg.
#[derive(Debug, Clone, PartialEq)]
pub struct Leg {
    /// Distance from the apex (or from the tangent of a hem) to the near tangent line: where s = 0 in the customer's measure.
    pub from_apex_mm: f64,
    /// Length between tangent lines, or to the free edge; at x = 0 where it varies.
    pub length_mm: f64,
    /// Pose at s = 0.
    pub pose: Pose,
    /// Start cut.
    pub start: EndLine,
    /// End cut.
    pub end: EndLine,
    /// (x, s) of the far side, from start cut to end cut: free edge or next tangent line.
    pub far_side: Vec<DVec2>,
}

/// A straight end cut: x = `at_mm` + `slope` · s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EndLine {
    /// x at s = 0.
    pub at_mm: f64,
    /// Change of x per s.
    pub slope: f64,
}

impl EndLine {
    /// x at a distance from the near tangent line.
    #[must_use]
    pub fn x_mm(self, s_mm: f64) -> f64 {
        self.at_mm + self.slope * s_mm
    }
}

impl Leg {
    /// The leg's outline in (x, s): along the near tangent line, up the end cut, back along the far side.
    #[must_use]
    pub fn outline_mm(&self) -> Vec<DVec2> {
        let mut corners = vec![DVec2::new(self.start.at_mm, 0.0), DVec2::new(self.end.at_mm, 0.0)];
        corners.extend(self.far_side.iter().rev());
        corners
    }
}

impl EdgeLayout {
    /// A point of plan and height in the base's frame: x along the edge and (n, z) of the plane square to it.
    #[must_use]
    pub fn in_space(&self, x_mm: f64, section_mm: DVec2) -> DVec3 {
        (self.corner_mm + self.along * x_mm + self.outward * section_mm.x).extend(section_mm.y)
    }
}

/// Takes a folded piece apart, after checking that it can exist.
///
/// # Errors
/// The first fault found, by name; see [`SectionError`].
pub fn layout(folded: &Folded) -> Result<Layout, SectionError> {
    validate::numbers(folded)?;
    let base = validate::base_outline(&folded.base.corners_mm)?;
    let mut edges = Vec::with_capacity(base.len());
    for (index, (&corner, chain)) in base.iter().zip(&folded.edges).enumerate() {
        let next = base.get((index + 1) % base.len()).copied().unwrap_or(corner);
        edges.push(edge_layout(folded, index, corner, next, &chain.make_ups)?);
    }
    number_folds(&mut edges);
    let corners = corner_layouts(folded, &edges)?;
    place_crossings(&mut edges, &corners)?;
    cut_ends(folded, &mut edges, &corners)?;
    let layout = Layout { thickness_mm: folded.thickness_mm, edges, corners };
    super::collide::check(&layout)?;
    super::place::check_openings(folded, &layout)?;
    Ok(layout)
}

/// Bends and legs of one edge, their ends still uncut.
fn edge_layout(
    folded: &Folded,
    index: usize,
    corner_mm: DVec2,
    next: DVec2,
    make_ups: &[MakeUp],
) -> Result<EdgeLayout, SectionError> {
    let along = (next - corner_mm).normalize();
    let mut edge = EdgeLayout {
        corner_mm,
        along,
        outward: -along.perp(),
        length_mm: corner_mm.distance(next),
        setback_mm: 0.0,
        crossing_x_mm: [0.0, 0.0],
        parts: Vec::new(),
        trim_mm: 0.0,
    };
    for (at, make_up) in make_ups.iter().enumerate() {
        let place = format!("edge {} make-up {}", index + 1, at + 1);
        add_make_up(folded, &mut edge, at, make_up, make_ups.get(at + 1), &place)?;
    }
    set_poses(&mut edge, folded.thickness_mm);
    Ok(edge)
}

fn add_make_up(
    folded: &Folded,
    edge: &mut EdgeLayout,
    at: usize,
    make_up: &MakeUp,
    next: Option<&MakeUp>,
    place: &str,
) -> Result<(), SectionError> {
    let last_takes_no_more = matches!(edge.parts.last(), Some(part) if part.leg.is_none());
    if last_takes_no_more || edge.trim_mm > 0.0 {
        return Err(SectionError::AfterTheEnd { place: place.to_owned() });
    }
    match make_up {
        MakeUp::Raw { trim_mm } => edge.trim_mm = validate::trim(place, *trim_mm)?,
        MakeUp::Seam { width_mm } => add_plain_leg(edge, at, validate::width(place, *width_mm)?),
        MakeUp::Joggle { .. } => {
            return Err(SectionError::NotOnFolded { place: place.to_owned(), what: "a joggle" });
        }
        MakeUp::Flange { .. } | MakeUp::Hem { .. } | MakeUp::Wired { .. } => {
            let (bend, width) = bend_and_width(folded, edge, make_up, next, place)?;
            if edge.parts.is_empty() {
                edge.setback_mm = bend.setback_mm;
            }
            let leg = match width {
                Some(width) => {
                    Some(plain_leg(edge.length_mm, bend.setback_mm, next_setback(folded, next), width, place)?)
                }
                None => None,
            };
            edge.parts.push(Part { name: String::new(), number: 0, make_up: at, bend: Some(bend), leg });
        }
    }
    Ok(())
}

/// Numbers the bends in the order of working: outermost first, since nothing folded later may stand in their way; of the
/// bends equally far out those on the longest base edges first, so that the last ones need the narrowest set of fingers.
fn number_folds(edges: &mut [EdgeLayout]) {
    let mut order: Vec<(usize, usize, f64)> = Vec::new();
    for (index, edge) in edges.iter().enumerate() {
        let bends = edge.parts.iter().enumerate().filter(|(_, part)| part.bend.is_some());
        order.extend(bends.map(|(part, _)| (index, part, edge.length_mm)));
    }
    order.sort_by(|a, b| b.1.cmp(&a.1).then(b.2.total_cmp(&a.2)).then(a.0.cmp(&b.0)));
    for (number, (edge, part, _)) in order.into_iter().enumerate() {
        if let Some(part) = edges.get_mut(edge).and_then(|edge| edge.parts.get_mut(part)) {
            part.number = number + 1;
            part.name = format!("fold {}", number + 1);
        }
    }
}

/// A leg without a bend: lengthens the leg before it, or the base itself.
fn add_plain_leg(edge: &mut EdgeLayout, at: usize, width_mm: f64) {
    if let Some(leg) = edge.parts.last_mut().and_then(|part| part.leg.as_mut()) {
        leg.length_mm += width_mm;
        leg.far_side.iter_mut().for_each(|point| point.y += width_mm);
        return;
    }
    let name = format!("leg {}", at + 1);
    let far_side = vec![DVec2::new(0.0, width_mm), DVec2::new(edge.length_mm, width_mm)];
    edge.parts.push(Part { name, number: 0, make_up: at, bend: None, leg: Some(uncut_leg(0.0, width_mm, far_side)) });
}

fn uncut_leg(from_apex_mm: f64, length_mm: f64, far_side: Vec<DVec2>) -> Leg {
    let line = EndLine { at_mm: 0.0, slope: 0.0 };
    Leg { from_apex_mm, length_mm, pose: FLAT, start: line, end: line, far_side }
}

const FLAT: Pose = Pose { underside_mm: DVec2::ZERO, angle_rad: 0.0 };

/// The bend of a make-up and the width of the leg beyond it, `None` after a curl.
fn bend_and_width<'a>(
    folded: &Folded,
    edge: &EdgeLayout,
    make_up: &'a MakeUp,
    next: Option<&MakeUp>,
    place: &str,
) -> Result<(Bend, Option<Width<'a>>), SectionError> {
    let t = folded.thickness_mm;
    let bend = |kind, turned_rad: f64, turns, inside_radius_mm, setback_mm| Bend {
        kind,
        turned_rad: if turns == Side::Inside { turned_rad } else { -turned_rad },
        inside_radius_mm,
        setback_mm,
        pose: FLAT,
        start_x_mm: [0.0; 2],
        end_x_mm: [0.0; 2],
    };
    Ok(match make_up {
        MakeUp::Flange { bend_angle_rad, inside_radius_mm, width_mm, turns, .. } => {
            let angle = validate::constant_angle(place, bend_angle_rad, edge.length_mm)?;
            let radius = validate::radius(place, *inside_radius_mm)?;
            validate::widths(place, width_mm, next)?;
            let setback = setback_mm(angle, radius, t);
            (bend(BendKind::Fold, angle, *turns, radius, setback), Some(Width::Along(width_mm)))
        }
        MakeUp::Hem { width_mm, inside_radius_mm, turns, .. } => {
            let radius = validate::radius(place, *inside_radius_mm)?;
            (bend(BendKind::Hem, PI, *turns, radius, 0.0), Some(Width::Constant(validate::width(place, *width_mm)?)))
        }
        MakeUp::Wired { wire_mm, curl, turns } => {
            let (wrap, allowance_mm) = match *curl {
                Curl::Geometry { wrap_rad } => (wrap_rad, None),
                Curl::TrialStrip { allowance_mm, wrap_rad } => (wrap_rad, Some(allowance_mm)),
            };
            validate::wire(place, *wire_mm, wrap, allowance_mm, t)?;
            (bend(BendKind::Curl { wire_mm: *wire_mm, allowance_mm }, wrap, *turns, wire_mm / 2.0, 0.0), None)
        }
        MakeUp::Raw { .. } | MakeUp::Seam { .. } | MakeUp::Joggle { .. } => {
            return Err(SectionError::NotOnFolded { place: place.to_owned(), what: "a bend of this kind" });
        }
    })
}

enum Width<'a> {
    Constant(f64),
    Along(&'a Along),
}

/// From the sharp outer corner to the tangent line, mm: (r + t)·tan(θ/2) (handbook B33).
#[must_use]
pub fn setback_mm(bend_angle_rad: f64, inside_radius_mm: f64, thickness_mm: f64) -> f64 {
    (inside_radius_mm + thickness_mm) * (bend_angle_rad / 2.0).tan()
}

fn next_setback(folded: &Folded, next: Option<&MakeUp>) -> f64 {
    match next {
        Some(MakeUp::Flange { bend_angle_rad, inside_radius_mm, .. }) => {
            setback_mm(bend_angle_rad.at(0.0), *inside_radius_mm, folded.thickness_mm)
        }
        _ => 0.0,
    }
}

fn plain_leg(edge_mm: f64, before_mm: f64, after_mm: f64, width: Width<'_>, place: &str) -> Result<Leg, SectionError> {
    let taken = before_mm + after_mm;
    let far_side: Vec<DVec2> = match width {
        Width::Constant(width) => vec![DVec2::new(0.0, width - taken), DVec2::new(edge_mm, width - taken)],
        Width::Along(along) => {
            let inner = along.breaks_mm().filter(|x| *x > 0.0 && *x < edge_mm);
            let stations = std::iter::once(0.0).chain(inner).chain(std::iter::once(edge_mm));
            stations.map(|x| DVec2::new(x, along.at(x) - taken)).collect()
        }
    };
    let least = far_side.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    if least <= 0.0 {
        let place = place.to_owned();
        return Err(SectionError::ShorterThanBend { place, got_mm: least + taken, need_mm: taken });
    }
    let length = far_side.first().map_or(least, |p| p.y);
    Ok(uncut_leg(before_mm, length, far_side))
}

fn set_poses(edge: &mut EdgeLayout, thickness_mm: f64) {
    let mut pose = Pose { underside_mm: DVec2::new(-edge.setback_mm, 0.0), angle_rad: 0.0 };
    for part in &mut edge.parts {
        if let Some(bend) = &mut part.bend {
            bend.pose = pose;
            pose = pose.bent(bend.turned_rad, bend.inside_radius_mm, thickness_mm);
        }
        if let Some(leg) = &mut part.leg {
            leg.pose = pose;
            pose = pose.straight(leg.length_mm);
        }
    }
}

fn corner_layouts(folded: &Folded, edges: &[EdgeLayout]) -> Result<Vec<CornerLayout>, SectionError> {
    let before = edges.iter().cycle().skip(edges.len().saturating_sub(1));
    let corners = before.zip(edges).zip(&folded.corners).enumerate();
    corners
        .map(|(index, ((before, edge), kind))| {
            let tangents_cross_mm = crossing(before, edge);
            let (CornerKind::Welded { relief_mm } | CornerKind::Open { relief_mm }) = *kind;
            let both_fold = first_bend(before).zip(first_bend(edge));
            let relief_mm = match both_fold {
                None => None,
                Some((a, b)) => Some(match relief_mm {
                    Some(asked) => validate::relief(index, asked)?,
                    None => relief_by_rule_mm(index, folded.thickness_mm, a.inside_radius_mm.max(b.inside_radius_mm))?,
                }),
            };
            Ok(CornerLayout { tangents_cross_mm, relief_mm })
        })
        .collect()
}

/// Handbook F1 to F3 for the larger of the two inside radii.
fn relief_by_rule_mm(corner: usize, thickness_mm: f64, inside_radius_mm: f64) -> Result<f64, SectionError> {
    let hole = handbook::edges::relief::relief_hole(thickness_mm, inside_radius_mm);
    hole.map(|hole| hole.diameter_mm).map_err(|fault| SectionError::Rule {
        place: format!("relief hole at corner {}", corner + 1),
        what: fault.to_string(),
    })
}

fn first_bend(edge: &EdgeLayout) -> Option<&Bend> {
    edge.parts.first().and_then(|part| part.bend.as_ref())
}

/// Where the near tangent lines of two neighbouring edges cross; they are never parallel (validated).
fn crossing(before: &EdgeLayout, edge: &EdgeLayout) -> DVec2 {
    let a = before.corner_mm - before.outward * before.setback_mm;
    let b = edge.corner_mm - edge.outward * edge.setback_mm;
    b + edge.along * ((b - a).perp_dot(before.along) / before.along.perp_dot(edge.along))
}

fn place_crossings(edges: &mut [EdgeLayout], corners: &[CornerLayout]) -> Result<(), SectionError> {
    let after = corners.iter().cycle().skip(1);
    for (index, ((edge, start), end)) in edges.iter_mut().zip(corners).zip(after).enumerate() {
        edge.crossing_x_mm = [start, end].map(|corner| (corner.tangents_cross_mm - edge.corner_mm).dot(edge.along));
        let [from, to] = edge.crossing_x_mm;
        if to - from <= 0.0 {
            let place = format!("base edge {}", index + 1);
            return Err(SectionError::ShorterThanBend {
                place,
                got_mm: edge.length_mm,
                need_mm: edge.length_mm + from - to,
            });
        }
    }
    Ok(())
}

fn cut_ends(folded: &Folded, edges: &mut [EdgeLayout], corners: &[CornerLayout]) -> Result<(), SectionError> {
    let t = folded.thickness_mm;
    let count = edges.len();
    let uncut = edges.to_vec();
    let side = |index: usize, at_start: bool| uncut.get(index % count).map(|edge| CornerSide::of(edge, at_start));
    for (index, (edge, chain)) in edges.iter_mut().zip(&folded.edges).enumerate() {
        let ends = |at_start: bool, cut: &EndCut| {
            let neighbour = if at_start { index + count - 1 } else { index + 1 };
            let this = side(index, at_start);
            let other = side(neighbour, !at_start);
            this.zip(other).map(|(this, other)| corner::ends(&this, &other, cut, t)).unwrap_or_default()
        };
        let (starts, finishes) = (ends(true, &chain.start_cut), ends(false, &chain.end_cut));
        for ((part, start), end) in edge.parts.iter_mut().zip(starts).zip(finishes) {
            apply_ends(part, start, end, edge.length_mm, index)?;
        }
        super::relief::check(edge, index, corners, t)?;
    }
    Ok(())
}

fn apply_ends(
    part: &mut Part,
    start: corner::PartEnd,
    end: corner::PartEnd,
    edge_mm: f64,
    index: usize,
) -> Result<(), SectionError> {
    let crossed = |x0: f64, x1: f64, name: &str| {
        let place = format!("{name} on edge {}", index + 1);
        if x1 - x0 > 0.0 { Ok(()) } else { Err(SectionError::EndCutsCross { place, short_by_mm: x0 - x1 }) }
    };
    if let Some(bend) = &mut part.bend {
        bend.start_x_mm = start.bend_x_mm;
        bend.end_x_mm = end.bend_x_mm.map(|x| edge_mm - x);
        for (x0, x1) in bend.start_x_mm.into_iter().zip(bend.end_x_mm) {
            crossed(x0, x1, &part.name)?;
        }
    }
    if let Some(leg) = &mut part.leg {
        leg.start = start.leg;
        leg.end = EndLine { at_mm: edge_mm - end.leg.at_mm, slope: -end.leg.slope };
        crossed(leg.start.at_mm, leg.end.at_mm, &part.name)?;
        leg.far_side = clip_far_side(&leg.far_side, leg.start, leg.end);
        let ends = leg.far_side.first().zip(leg.far_side.last());
        if let Some((first, last)) = ends {
            crossed(first.x, last.x, &part.name)?;
        }
    }
    Ok(())
}

/// The far side between the two end cuts, carried on straight where a cut leans outward past the edge's own corner.
fn clip_far_side(far: &[DVec2], start: EndLine, end: EndLine) -> Vec<DVec2> {
    let (first, last) = (cross_far_side(far, start), cross_far_side(far, end));
    let inside = far.iter().copied().filter(|p| p.x > first.x + 1e-9 && p.x < last.x - 1e-9);
    std::iter::once(first).chain(inside).chain(std::iter::once(last)).collect()
}

/// Where an end cut meets the far side: s = width(x) along x = at + slope·s, by halving (the far side is piecewise straight).
pub(super) fn cross_far_side(far: &[DVec2], line: EndLine) -> DVec2 {
    let beyond = |s: f64| height_of(far, line.x_mm(s)) - s;
    let top = far.iter().map(|p| p.y).fold(0.0, f64::max);
    let (mut low, mut high) = (0.0, top);
    while beyond(high) > 0.0 && high < 4.0 * top {
        high *= 1.25;
    }
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if beyond(middle) > 0.0 { low = middle } else { high = middle }
    }
    let s = 0.5 * (low + high);
    // A constant width is kept to the last bit.
    let s = far.iter().find(|p| (p.y - s).abs() < 1e-9).map_or(s, |p| p.y);
    DVec2::new(line.x_mm(s), s)
}

/// Height of a far side at x, carried on level past its ends.
fn height_of(far: &[DVec2], x: f64) -> f64 {
    let after = far.partition_point(|p| p.x <= x);
    match (after.checked_sub(1).and_then(|i| far.get(i)), far.get(after)) {
        (Some(a), Some(b)) => a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x),
        (Some(p), None) | (None, Some(p)) => p.y,
        (None, None) => 0.0,
    }
}
