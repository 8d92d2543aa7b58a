//! Cones and transitions: sizes in millimetres, measured ones in the place of the pattern's, the piece built in space.

use super::strip;
use super::{Build, Reader, ResolvedPiece, ResolvedShape};
use crate::file::{self, Role, RuledSize};
use glam::DVec3;
use section::ruled::{Between, Cone, Curve, End, Girth, Make, Ruled, RuledEdge, SeamPlace, Transition, TransitionEnd};
use section::{SectionError, Segment};
use units::Dimension;

/// Bend at one marked line when nothing is said: 24 lines round a whole girth. Common practice, no source.
const STEP_RAD: f64 = std::f64::consts::PI / 12.0;

/// A piece bent along rulings, with which of its ends are joined.
#[derive(Debug, Clone)]
pub struct RuledShape {
    /// The piece.
    pub piece: Ruled,
    /// "cone" or "transition".
    pub kind: &'static str,
    /// Ends that are joined to the vehicle: edge A and edge B.
    pub joins: [bool; 2],
}

impl RuledShape {
    /// Length of the ends that are joined, mm.
    #[must_use]
    pub fn joined_mm(&self) -> f64 {
        let ends = self.piece.edges.iter().enumerate().zip(self.joins);
        ends.filter(|(_, joins)| *joins).map(|((i, _), _)| self.piece.lengths_along(i).iter().sum::<f64>()).sum()
    }
}

pub(super) fn cone(build: &Build<'_>, cone: &file::Cone, reader: &mut Reader) -> Option<ResolvedPiece> {
    let field = format!("{}.piece.{}", build.source.path, cone.name);
    let of = Of { build, piece: &cone.name, field: &field };
    let thickness_mm = strip::sheet(&cone.thickness, &cone.material, &field, build, reader);
    let common = Common { face: cone.face, material: &cone.material, seam: &cone.seam };
    let make = of.make(&common, thickness_mm, reader);
    let size = |what, name: &str, given: &Dimension, reader: &mut Reader| {
        of.measured(what).unwrap_or_else(|| reader.positive(&format!("{field}.{name}"), given))
    };
    let shape = Cone {
        bottom_radius_mm: 0.5 * size(RuledSize::Bottom, "bottom", &cone.bottom, reader),
        top_radius_mm: cone.top.as_ref().map_or(0.0, |top| 0.5 * size(RuledSize::Top, "top", top, reader)),
        height_mm: size(RuledSize::Height, "height", &cone.height, reader),
        offset_mm: of.pair("offset", cone.offset.as_ref(), reader),
        top_tilt_rad: cone.tilt.as_ref().map_or(0.0, |tilt| reader.angle(&format!("{field}.tilt"), tilt)),
    };
    of.finish("cone", cone.joins, &cone.directions, reader, || shape.piece(&make))
}

pub(super) fn transition(
    build: &Build<'_>,
    transition: &file::Transition,
    reader: &mut Reader,
) -> Option<ResolvedPiece> {
    let field = format!("{}.piece.{}", build.source.path, transition.name);
    let of = Of { build, piece: &transition.name, field: &field };
    let thickness_mm = strip::sheet(&transition.thickness, &transition.material, &field, build, reader);
    let common = Common { face: transition.face, material: &transition.material, seam: &transition.seam };
    let make = of.make(&common, thickness_mm, reader);
    let (joins, directions) = (transition.joins, &transition.directions);
    match (&transition.bottom, &transition.top, &transition.height, transition.edges.as_slice()) {
        (Some(bottom), Some(top), Some(height), []) => {
            let shape = Transition {
                bottom: of.end("bottom", bottom, [RuledSize::Bottom, RuledSize::BottomAlongY], reader)?,
                top: of.end("top", top, [RuledSize::Top, RuledSize::TopAlongY], reader)?,
                height_mm: of
                    .measured(RuledSize::Height)
                    .unwrap_or_else(|| reader.positive(&format!("{field}.height"), height)),
                offset_mm: of.pair("offset", transition.offset.as_ref(), reader),
                top_tilt_rad: transition.tilt.as_ref().map_or([0.0; 2], |[x, y]| {
                    [reader.angle(&format!("{field}.tilt.0"), x), reader.angle(&format!("{field}.tilt.1"), y)]
                }),
            };
            of.finish("transition", joins, directions, reader, || shape.piece(&make))
        }
        (None, None, None, [a, b]) => {
            let [a, b] = [(0, a), (1, b)].map(|(i, edge)| of.edge(i, edge, reader));
            let (a, b) = (a?, b?);
            let outward = transition.outward.map(DVec3::from_array);
            if !a.curve.closed && outward.is_none_or(|own| !own.is_finite() || own.length() < 1e-6) {
                let message =
                    "is missing; open edges need the direction that points to the outside, as in [1.0, 0.0, 0.0]";
                reader.fault(format!("{field}.outward"), message);
                return None;
            }
            let between = Between { edges: [a, b], outward };
            of.finish("transition", joins, directions, reader, || between.piece(&make))
        }
        _ => {
            let message = "gives neither way in full; bottom, top and height are accepted, or two edges";
            reader.fault(field.clone(), message);
            None
        }
    }
}

/// What cones and transitions say alike.
struct Common<'a> {
    face: file::Face,
    material: &'a str,
    seam: &'a file::GirthSeam,
}

/// One piece while it is read.
struct Of<'a> {
    build: &'a Build<'a>,
    piece: &'a str,
    field: &'a str,
}

impl Of<'_> {
    fn make(&self, common: &Common<'_>, thickness_mm: f64, reader: &mut Reader) -> Make {
        let seam = common.seam;
        let at = |name: &str| format!("{}.seam.{name}", self.field);
        Make {
            name: self.piece.to_owned(),
            hand: self.build.placed.hand,
            mirrored: self.build.placed.mirrored,
            given: strip::face(common.face),
            thickness_mm,
            material: common.material.to_owned(),
            girth: Girth { seam: place(seam.at), pieces: seam.pieces, piece: seam.piece },
            lap_mm: seam.lap.as_ref().map_or(0.0, |lap| reader.length(&at("lap"), lap)),
            fold_radius_mm: seam
                .fold_radius
                .as_ref()
                .map_or(thickness_mm, |radius| reader.length(&at("fold_radius"), radius)),
            step_rad: seam.step.as_ref().map_or(STEP_RAD, |step| reader.angle(&at("step"), step)),
            reach_mm: self.reach_mm(),
        }
    }

    /// A size measured on this vehicle.
    fn measured(&self, wanted: RuledSize) -> Option<f64> {
        let is =
            |role: &Role| matches!(role, Role::RuledSize { piece, size } if piece == self.piece && *size == wanted);
        self.build.values.role(self.build.source, is).map(|(_, value)| value.mm)
    }

    /// Largest reach of the measured sizes.
    fn reach_mm(&self) -> f64 {
        let Some(pattern) = self.build.source.pattern else { return 0.0 };
        let own = |role: &Role| matches!(role, Role::RuledSize { piece, .. } if piece == self.piece);
        pattern
            .measurements
            .iter()
            .filter(|measurement| own(&measurement.role))
            .filter_map(|measurement| self.build.values.by_id.get(&measurement.id))
            .map(|value| value.reach_mm)
            .fold(0.0, f64::max)
    }

    fn pair(&self, name: &str, pair: Option<&[Dimension; 2]>, reader: &mut Reader) -> [f64; 2] {
        pair.map_or([0.0; 2], |[x, y]| {
            [
                reader.signed(&format!("{}.{name}.0", self.field), x),
                reader.signed(&format!("{}.{name}.1", self.field), y),
            ]
        })
    }

    fn end(&self, name: &str, end: &file::End, sizes: [RuledSize; 2], reader: &mut Reader) -> Option<TransitionEnd> {
        let field = format!("{}.{name}", self.field);
        let one = |size: RuledSize, what: &str, given: &Dimension, reader: &mut Reader| {
            self.measured(size).unwrap_or_else(|| reader.positive(&format!("{field}.{what}"), given))
        };
        let two = |what: &str, [x, y]: &[Dimension; 2], reader: &mut Reader| {
            [one(sizes[0], &format!("{what}.0"), x, reader), one(sizes[1], &format!("{what}.1"), y, reader)]
        };
        let corner_radius_mm =
            end.corner_radius.as_ref().map_or(0.0, |radius| reader.length(&format!("{field}.corner_radius"), radius));
        let shape = match (&end.rectangle, &end.round, &end.oval) {
            (Some(size), None, None) => End::Rectangle { size_mm: two("rectangle", size, reader), corner_radius_mm },
            (None, Some(diameter), None) => End::Round { diameter_mm: one(sizes[0], "round", diameter, reader) },
            (None, None, Some(size)) => End::Oval { size_mm: two("oval", size, reader) },
            _ => {
                reader
                    .fault(field, "gives none or several shapes; exactly one of rectangle, round and oval is accepted");
                return None;
            }
        };
        if end.corner_radius.is_some() && end.rectangle.is_none() {
            reader.fault(format!("{field}.corner_radius"), "belongs to a rectangle; leave it out here");
        }
        let turned_rad = end.turned.as_ref().map_or(0.0, |turned| reader.angle(&format!("{field}.turned"), turned));
        Some(TransitionEnd { end: shape, turned_rad })
    }

    fn edge(&self, index: usize, edge: &file::SpaceEdge, reader: &mut Reader) -> Option<RuledEdge> {
        let field = format!("{}.edge.{index}", self.field);
        let start = reader.point(&format!("{field}.start"), &edge.start);
        let on = |own: &&file::Segment| self.build.source.is_on(own.when.as_deref(), own.unless.as_deref());
        let segments: Option<Vec<Segment>> = edge
            .segments
            .iter()
            .enumerate()
            .filter(|(_, written)| on(written))
            .map(|(i, written)| strip::segment(written, &format!("{field}.segments.{i}"), reader))
            .collect();
        let segments = segments?;
        if start.is_nan() || segments.iter().any(strip::is_nan) {
            return None; // noted where it was read
        }
        match Curve::from_segments(&edge.name, start, &segments) {
            Ok(curve) => Some(RuledEdge { name: edge.name.clone(), curve }),
            Err(error) => {
                reader.fault(field, error.to_string());
                None
            }
        }
    }

    fn finish(
        &self,
        kind: &'static str,
        joins: file::Joins,
        directions: &str,
        reader: &mut Reader,
        piece: impl FnOnce() -> Result<Ruled, SectionError>,
    ) -> Option<ResolvedPiece> {
        if reader.is_faulty() {
            return None; // a size that could not be read is NaN
        }
        match piece() {
            Ok(piece) => {
                let joins = [joins != file::Joins::Top, joins != file::Joins::Bottom];
                Some(ResolvedPiece {
                    shape: ResolvedShape::Ruled(Box::new(RuledShape { piece, kind, joins })),
                    wire_stands_out_mm: None,
                    held_line: None,
                    end_names: [String::new(), String::new()],
                    mate: None,
                    directions: directions.to_owned(),
                })
            }
            Err(error) => {
                reader.fault(self.field, error.to_string());
                None
            }
        }
    }
}

const fn place(at: file::SeamAt) -> SeamPlace {
    match at {
        file::SeamAt::Short => SeamPlace::Short,
        file::SeamAt::Corner(number) => SeamPlace::Corner(number),
        file::SeamAt::MidSide(number) => SeamPlace::MidSide(number),
        file::SeamAt::Share(share) => SeamPlace::Share(share),
    }
}
