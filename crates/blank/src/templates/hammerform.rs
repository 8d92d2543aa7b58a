//! A hammerform: the block over whose edge a flange is beaten down, and the plate that holds the sheet on it.
//!
//! Model: the flange is turned square to the plane of the form, towards the inside of the sheet. The side of the block is where the
//! inside face of the flange comes to lie; its upper edge is rounded by the inside radius of the bend. From the outermost line of
//! the flange inwards: the sheet's thickness to the side, and the radius more to where the block is flat. The backing plate
//! ends where the block is flat, so that the bend stays clear.
//! Not held: other angles (the side is then filed to the angle), springback of the flange.
//! Source: geometry of a bend with a round inside.

use super::card::{Card, TEST_DEVIATION_MM};
use super::{CardSettings, TemplateError};
use glam::{DVec2, DVec3};
use mesh::Skin;
use mesh::polygon::check_simple;
use mesh::sections::{ArcChain, Fit, SectionCutter, SectionPlane};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What the edge of the skin is on the finished piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EdgeRuns {
    /// Where the bend begins: the skin without its flange.
    AtBend,
    /// The outermost line of the flange, seen square to the form.
    OutsideOfFlange,
}

/// The plane of the form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FormPlane {
    /// Best fit through the edge; for a straight edge, the skin beside it.
    BestFit,
    /// Square to the mean normal of the skin along the edge.
    BesideEdge,
    /// Square to a direction in vehicle axes.
    SquareTo(DVec3),
}

/// A form that is wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct HammerformOrder {
    /// Name of the form.
    pub name: String,
    /// Points of the skin along its boundary, in order, either way; a closed edge names its first point again at the end.
    pub edge: Vec<u32>,
    /// What that edge is.
    pub edge_runs: EdgeRuns,
    /// The plane.
    pub plane: FormPlane,
    /// Inside radius of the bend, mm; 0.5 to 50.
    pub inside_radius_mm: f64,
    /// Thickness of the sheet, mm; 0.2 to 6.
    pub thickness_mm: f64,
    /// Most distance of the edge from the plane, mm; 0.01 to 20.
    pub out_of_plane_mm: f64,
}

/// A hammerform. Positions in the frame of its plane, mm, seen from the outside of the sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Hammerform {
    /// Its name.
    pub name: String,
    /// The frame; its normal points to the outside of the sheet.
    pub plane: SectionPlane,
    /// What the block is cut to: for an open edge its side, going on straight past both ends, and a straight back; for a closed
    /// edge a ring, anticlockwise when the block is inside it, clockwise when it is round it. Simple.
    pub block: ArcChain,
    /// What the backing plate is cut to, likewise: where the block is flat.
    pub backing: ArcChain,
    /// The radius to which the upper edge of the block is rounded, mm.
    pub edge_radius_mm: f64,
    /// The side of the block from the edge given, inwards positive, mm.
    pub side_inset_mm: f64,
    /// The flat of the block from the edge given, inwards positive, mm.
    pub flat_inset_mm: f64,
    /// Most distance of the edge from the plane, mm.
    pub out_of_plane_mm: f64,
    /// Most distance of the curves from their points, mm.
    pub deviation_mm: f64,
}

/// Turn of a polyline beyond which it is a corner of the piece, not of the mesh: 15°.
const CORNER_RAD: f64 = 0.26;

/// The form and the backing plate for an edge of a skin.
///
/// # Errors
/// [`TemplateError::NotAnEdge`], [`TemplateError::OutOfPlane`], [`TemplateError::Crosses`] where the edge is curved more tightly than
/// the inset, [`TemplateError::OutOfRange`], [`TemplateError::Section`] for a faulty skin.
pub fn hammerform(skin: &Skin, order: &HammerformOrder, settings: &CardSettings) -> Result<Hammerform, TemplateError> {
    settings.check()?;
    let radius = TemplateError::range("the inside radius", order.inside_radius_mm, 0.5..=50.0, "mm")?;
    let thickness = TemplateError::range("the thickness", order.thickness_mm, 0.2..=6.0, "mm")?;
    let most = TemplateError::range("the distance out of plane", order.out_of_plane_mm, 0.01..=20.0, "mm")?;
    SectionCutter::new(skin).map_err(TemplateError::at("the skin"))?;
    let edge = Edge::of(skin, &order.edge)?;
    let plane = plane_of(&edge, order.plane)?;
    let heights = edge.points_mm.iter().map(|point| plane.height_mm(*point).abs()).enumerate();
    let (worst, off_mm) = heights.max_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or_default();
    if off_mm > most {
        let length = |points: &[DVec3]| points.windows(2).fold(0.0, |sum, pair| sum + pair[0].distance(pair[1]));
        return Err(TemplateError::OutOfPlane {
            off_mm,
            along_mm: length(&edge.points_mm[..=worst]),
            length_mm: length(&edge.points_mm),
            accepted_mm: most,
        });
    }
    let flat: Vec<DVec2> = edge.points_mm.iter().map(|point| plane.to_plane(*point)).collect();
    let [side_inset_mm, flat_inset_mm] = match order.edge_runs {
        EdgeRuns::AtBend => [-radius, 0.0],
        EdgeRuns::OutsideOfFlange => [thickness, thickness + radius],
    };
    let (block, by_block) = outline(&flat, edge.closed, side_inset_mm, settings, &format!("{} block", order.name))?;
    let (backing, by_plate) = outline(&flat, edge.closed, flat_inset_mm, settings, &format!("{} plate", order.name))?;
    Ok(Hammerform {
        name: order.name.clone(),
        plane,
        block,
        backing,
        edge_radius_mm: radius,
        side_inset_mm,
        flat_inset_mm,
        out_of_plane_mm: off_mm,
        deviation_mm: by_block.max(by_plate),
    })
}

/// A stretch of boundary, the sheet to its left seen from outside.
struct Edge {
    points_mm: Vec<DVec3>,
    /// Mean normal of the triangles along it, towards the outside.
    normal: DVec3,
    closed: bool,
}

impl Edge {
    fn of(skin: &Skin, chain: &[u32]) -> Result<Self, TemplateError> {
        let mut beside: BTreeMap<(u32, u32), usize> = BTreeMap::new();
        for (index, &[a, b, c]) in skin.triangles.iter().enumerate() {
            beside.extend([(a, b), (b, c), (c, a)].map(|side| (side, index)));
        }
        let free = |from: u32, to: u32| beside.contains_key(&(from, to)) && !beside.contains_key(&(to, from));
        let &[first, second, ..] = chain else {
            let got = chain.len() as f64;
            let (name, accepted) = ("the number of points of the edge".to_owned(), "2 or more".to_owned());
            return Err(TemplateError::OutOfRange { name, got, accepted });
        };
        let mut chain = chain.to_vec();
        if free(second, first) {
            chain.reverse();
        }
        let mut normal = DVec3::ZERO;
        for pair in chain.windows(2) {
            if !free(pair[0], pair[1]) {
                return Err(TemplateError::NotAnEdge { from: pair[0], to: pair[1] });
            }
            let length = skin.points_mm[pair[0] as usize].distance(skin.points_mm[pair[1] as usize]);
            let triangle = beside.get(&(pair[0], pair[1]));
            normal += triangle.map_or(DVec3::ZERO, |t| skin.double_area_normal(*t).normalize_or_zero()) * length;
        }
        let closed = chain.len() > 3 && chain.first() == chain.last();
        if closed {
            chain.pop();
        }
        let points_mm = chain.iter().map(|point| skin.points_mm[*point as usize]).collect();
        Ok(Self { points_mm, normal, closed })
    }
}

/// The plane with its x along the edge and its normal towards the outside.
fn plane_of(edge: &Edge, wanted: FormPlane) -> Result<SectionPlane, TemplateError> {
    let count = edge.points_mm.len() as f64;
    let middle = edge.points_mm.iter().sum::<DVec3>() / count;
    let normal = match wanted {
        FormPlane::BestFit => best_normal(&edge.points_mm, middle).unwrap_or(edge.normal),
        FormPlane::BesideEdge => edge.normal,
        FormPlane::SquareTo(direction) => direction,
    };
    let unusable = || TemplateError::NotUsable { name: "the normal of the form's plane".to_owned() };
    let normal = Some(normal).filter(|n| n.is_finite()).and_then(DVec3::try_normalize).ok_or_else(unusable)?;
    let normal = if normal.dot(edge.normal) < 0.0 { -normal } else { normal };
    let (first, last) = (edge.points_mm[0], edge.points_mm[edge.points_mm.len() - 1]);
    let chord = if edge.closed { edge.points_mm[1] - first } else { last - first };
    let along = chord - normal * chord.dot(normal);
    SectionPlane::new(middle, along, normal.cross(along)).map_err(TemplateError::at("the plane of the form"))
}

/// Normal of the plane with the least squares of distances; none where the points lie on a line.
///
/// Rows of the covariance's adjugate are multiples of the eigenvector of its least eigenvalue as far as that is small; two steps
/// of inverse iteration make it exact.
fn best_normal(points_mm: &[DVec3], middle: DVec3) -> Option<DVec3> {
    let mut covariance = glam::DMat3::ZERO;
    for point in points_mm {
        let d = *point - middle;
        covariance += glam::DMat3::from_cols(d * d.x, d * d.y, d * d.z);
    }
    let size = covariance.x_axis.x + covariance.y_axis.y + covariance.z_axis.z;
    let [x, y, z] = [covariance.x_axis, covariance.y_axis, covariance.z_axis];
    let adjugate = [y.cross(z), z.cross(x), x.cross(y)];
    let largest = adjugate.into_iter().max_by(|a, b| a.length_squared().total_cmp(&b.length_squared()))?;
    // the second spread must be more than a thousandth of the first in length: otherwise the edge is straight
    if largest.length() < 1e-6 * size * size {
        return None;
    }
    let shifted = covariance + glam::DMat3::IDENTITY * (1e-9 * size);
    let inverse = shifted.inverse();
    let mut normal = largest.normalize();
    for _ in 0..8 {
        normal = (inverse * normal).normalize_or_zero();
    }
    normal.is_finite().then_some(normal)
}

/// The edge moved to its left by an inset, as a card or a ring.
fn outline(
    flat: &[DVec2],
    closed: bool,
    inset_mm: f64,
    settings: &CardSettings,
    place: &str,
) -> Result<(ArcChain, f64), TemplateError> {
    let moved = inset(flat, closed, inset_mm);
    let too_tight = |at_mm: DVec2| TemplateError::Crosses {
        place: place.to_owned(),
        at_mm,
        accepted: format!("the edge must not be curved more tightly than the inset of {:.2} mm", inset_mm.abs()),
    };
    // an edge that is curved more tightly than the inset makes a step that runs back
    let n = flat.len();
    let steps = if closed { n } else { n.saturating_sub(1) };
    if let Some(i) = (0..steps).find(|&i| {
        let j = (i + 1) % n;
        (moved[j] - moved[i]).dot(flat[j] - flat[i]) <= 0.0
    }) {
        return Err(too_tight(flat[i]));
    }
    let fit = Fit::through(&moved, closed, &settings.curve).map_err(TemplateError::at(place))?;
    if closed {
        check_simple(&fit.chain.flattened_mm(TEST_DEVIATION_MM)).map_err(|clash| too_tight(clash.at_mm))?;
        return Ok((fit.chain, fit.deviation_mm));
    }
    let card = Card::behind(&[fit.chain], settings, place)?;
    Ok((card.outline, fit.deviation_mm))
}

/// Points moved square to a chain, to its left: along the half of the angle, at the distance itself where the chain stands for a
/// smooth curve, to the corner of the moved sides where it has a corner.
fn inset(chain: &[DVec2], closed: bool, inset_mm: f64) -> Vec<DVec2> {
    let n = chain.len();
    let way = |i: usize| (chain[(i + 1) % n] - chain[i]).normalize_or_zero();
    let moved = |i: usize| {
        let before = if i == 0 && !closed { way(0) } else { way((i + n - 1) % n) };
        let after = if i + 1 == n && !closed { before } else { way(i) };
        let before = if i == 0 && !closed { after } else { before };
        let half = 0.5 * before.perp_dot(after).atan2(before.dot(after));
        let normal = DVec2::from_angle(half).rotate(before).perp();
        let stretch = if 2.0 * half.abs() > CORNER_RAD { 1.0 / half.cos().max(0.1) } else { 1.0 };
        chain[i] + normal * (inset_mm * stretch)
    };
    (0..n).map(moved).collect()
}
