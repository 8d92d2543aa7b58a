//! A checking template: the section of the finished shape at a station, cut into the edge of a card.

use super::card::Card;
use super::spans::nearest_span;
use super::{CardMark, CardSettings, FacedSkin, MarkKind, Points, TemplateError, TemplateLabel};
use glam::DVec3;
use mesh::sections::{ArcChain, Fit, SectionPlane};
use section::{Face, Hand};
use serde::{Deserialize, Serialize};

/// A named point of the vehicle or of the piece to which a card is set.
#[derive(Debug, Clone, PartialEq)]
pub struct Datum {
    /// Its name.
    pub name: String,
    /// Where, vehicle axes, mm.
    pub at_mm: DVec3,
}

/// A template that is wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct StationOrder {
    /// Name of the template.
    pub name: String,
    /// The station as the job says it.
    pub station: String,
    /// The plane: through the station's point, which must lie over the section.
    pub plane: SectionPlane,
    /// Two points to which the card is set.
    pub datums: [Datum; 2],
    /// Hand of the piece.
    pub hand: Option<Hand>,
}

/// Where a datum point lies behind the card's working edge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DatumLine {
    /// Its name.
    pub name: String,
    /// Along the back from where the section starts, mm.
    pub along_mm: f64,
    /// Square to the back, from the working edge to the point, mm; positive when it lies beyond the edge, away from the card.
    pub beyond_edge_mm: f64,
    /// Distance of the point from the plane, mm; positive towards the lettered face.
    pub off_plane_mm: f64,
}

/// A checking template. All positions in the frame of its plane, mm, seen against the plane's normal: the lettered face.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CheckingTemplate {
    /// The frame.
    pub plane: SectionPlane,
    /// What is cut: closed, simple, anticlockwise.
    pub outline: ArcChain,
    /// Slot for the hand, where there is room.
    pub hand_hole: Option<ArcChain>,
    /// The pieces of the outline that touch the sheet, in order, the card to their left.
    pub touching: Vec<ArcChain>,
    /// Most distance of the mesh's section from `touching`, mm.
    pub deviation_mm: f64,
    /// The straight back.
    pub back_mm: [glam::DVec2; 2],
    /// Lines drawn on the card.
    pub marks: Vec<CardMark>,
    /// The datum points.
    pub datums: Vec<DatumLine>,
    /// What is written on it.
    pub label: TemplateLabel,
    /// Lines of the section in the same plane that this card does not follow.
    pub other_lines: usize,
}

impl CheckingTemplate {
    /// Length of the section along the straight back, from where it starts to where it ends, mm.
    #[must_use]
    pub fn back_length_mm(&self) -> f64 {
        let [end, start] = self.back_mm;
        let along = (end - start).normalize_or_zero();
        let ends = [
            self.touching.first().and_then(|piece| piece.vertices.first()),
            self.touching.last().and_then(|piece| piece.vertices.last()),
        ];
        match ends {
            [Some(first), Some(last)] => (last.at_mm - first.at_mm).dot(along),
            _ => 0.0,
        }
    }
}

/// Length of the marks at the ends of the sheet, mm.
const TICK_MM: f64 = 15.0;

/// The template at a station of a skin that has been moved to the face it touches.
///
/// An outside template lies outside the sheet, an inside one inside. Holes of the skin are bridged.
///
/// # Errors
/// [`TemplateError::Section`] where the plane misses, [`TemplateError::Closes`], [`TemplateError::Beyond`] for a station or
/// datum beside the section, [`TemplateError::Crosses`], [`TemplateError::OutOfRange`], [`TemplateError::NotUsable`].
pub fn checking_template(
    faced: &FacedSkin,
    order: &StationOrder,
    settings: &CardSettings,
) -> Result<CheckingTemplate, TemplateError> {
    settings.check()?;
    if let Some(datum) = order.datums.iter().find(|datum| !datum.at_mm.is_finite()) {
        return Err(TemplateError::NotUsable { name: format!("the datum {}", datum.name) });
    }
    let place = order.name.as_str();
    let lines = faced.cutter(place)?.cut(&order.plane).map_err(TemplateError::at(place))?;
    let near = order.plane.to_plane(order.plane.origin_mm());
    let mut span = nearest_span(&lines, near, place)?;
    if faced.touches() == Face::Inside {
        // the card lies to the left of its edge: run the section the other way
        span.pieces_mm.reverse();
        span.pieces_mm.iter_mut().for_each(|piece| piece.reverse());
    }
    let fit = |piece: &Vec<_>| Fit::through(piece, false, &settings.curve).map_err(TemplateError::at(place));
    let fits: Vec<Fit> = span.pieces_mm.iter().map(fit).collect::<Result<_, _>>()?;
    let deviation_mm = fits.iter().map(|fit| fit.deviation_mm).fold(0.0, f64::max);
    let touching: Vec<ArcChain> = fits.into_iter().map(|fit| fit.chain).collect();
    let card = Card::behind(&touching, settings, place)?;
    let mut marks = vec![across(&card, order, MarkKind::Station, &order.station, near)?];
    let mut datums = Vec::new();
    for datum in &order.datums {
        let at = order.plane.to_plane(datum.at_mm);
        let mark = across(&card, order, MarkKind::Datum, &datum.name, at)?;
        datums.push(DatumLine {
            name: datum.name.clone(),
            along_mm: card.along_mm(at),
            beyond_edge_mm: card.behind_mm(mark.line_mm[0], at),
            off_plane_mm: order.plane.height_mm(datum.at_mm),
        });
        marks.push(mark);
    }
    marks.extend(end_marks(&card, &touching));
    let (front, up) = (Points::of(DVec3::X, &order.plane), Points::of(DVec3::Z, &order.plane));
    let label = TemplateLabel {
        name: order.name.clone(),
        station: order.station.clone(),
        touches: faced.touches(),
        hand: order.hand,
        front,
        up,
    };
    Ok(CheckingTemplate {
        plane: order.plane,
        outline: card.outline,
        hand_hole: card.hand_hole,
        touching,
        deviation_mm,
        back_mm: card.back_mm,
        marks,
        datums,
        label,
        other_lines: span.others,
    })
}

fn across(
    card: &Card,
    order: &StationOrder,
    kind: MarkKind,
    name: &str,
    at: glam::DVec2,
) -> Result<CardMark, TemplateError> {
    let (at_mm, length_mm) = (card.along_mm(at), card.length_mm());
    let over_section = (-1e-6..=length_mm + 1e-6).contains(&at_mm);
    match card.line_across(at_mm).filter(|_| over_section) {
        Some(line_mm) => Ok(CardMark { kind, name: name.to_owned(), line_mm }),
        None => Err(TemplateError::Beyond { place: order.name.clone(), name: name.to_owned(), at_mm, length_mm }),
    }
}

/// A tick where the sheet begins, at each edge of a hole, and where it ends.
fn end_marks(card: &Card, touching: &[ArcChain]) -> Vec<CardMark> {
    let ends = touching.iter().flat_map(|piece| [piece.vertices.first(), piece.vertices.last()].into_iter().flatten());
    let count = 2 * touching.len();
    let mark = |(i, vertex): (usize, &mesh::sections::ArcVertex)| {
        let outer = i == 0 || i + 1 == count;
        let (kind, name) = if outer { (MarkKind::SectionEnd, "edge") } else { (MarkKind::HoleEdge, "hole") };
        CardMark { kind, name: name.to_owned(), line_mm: card.tick(vertex.at_mm, TICK_MM) }
    };
    ends.enumerate().map(mark).collect()
}
