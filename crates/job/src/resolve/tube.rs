//! Round tubes: sizes in millimetres, ends, long seam or girth of a patch, and the lap over the old tube.

use super::opening::{self, In};
use super::strip;
use super::{Build, JointChoice, Reader, ResolvedPiece, ResolvedShape, Value};
use crate::file::{self, JointKind, Role, Section, TubeForm, TubeWall};
use glam::DMat3;
use section::tube::{Cover, LongSeam, OldTube, Saddle, TabHole, Tube, TubeCut, TubeEnd, Wall};
use shop::ShopSettings;
use std::f64::consts::{FRAC_PI_2, PI};
use units::Dimension;

/// Usual radius of the corners of a patch, mm (common practice, no source).
const USUAL_CORNER_MM: f64 = 8.0;
/// Usual way from round to flat, in diameters (common practice, no source).
const USUAL_WAY_OVER_DIAMETER: f64 = 1.5;

/// A tube in plain numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct TubeShape {
    /// The tube.
    pub tube: Tube,
    /// How it stands to the old one.
    pub form: TubeForm,
    /// Outside diameter of the tube on the vehicle.
    pub vehicle_diameter_mm: f64,
    /// Which ends are welded: start, far.
    pub joins: [bool; 2],
}

impl TubeShape {
    /// Length of the edges that are joined, mm.
    #[must_use]
    pub fn joined_mm(&self) -> f64 {
        let girth = self.tube.width_mm() - self.tube.seam_lap_mm();
        match self.form {
            TubeForm::Replacement => girth * self.joins.iter().filter(|joins| **joins).count() as f64,
            TubeForm::Sleeve => 2.0 * girth,
            TubeForm::Patch => 2.0 * (girth + self.tube.length_mm),
        }
    }
}

pub(super) fn piece(build: &Build<'_>, tube: &file::Tube, reader: &mut Reader) -> Option<ResolvedPiece> {
    let field = format!("{}.piece.{}", build.source.path, tube.name);
    let thickness_mm = strip::sheet(&tube.thickness, &tube.material, &field, build, reader);
    let (axis, zero) = (tube.axis_runs.vector(), tube.zero_faces.vector());
    if axis.dot(zero) != 0.0 {
        let message = "is along axis_runs; give a direction square to the tube's axis";
        reader.fault(format!("{field}.zero_faces"), message);
        return None;
    }
    let read_mm = reader.positive(&format!("{field}.diameter"), &tube.diameter);
    let measured = |wanted: &dyn Fn(&Role) -> bool| build.values.role(build.source, wanted).map(|(_, value)| value);
    let diameter = measured(&|role| matches!(role, Role::TubeDiameter { piece } if *piece == tube.name));
    let length = measured(&|role| matches!(role, Role::TubeLength { piece } if *piece == tube.name));
    let vehicle_diameter_mm = diameter.map_or(read_mm, |value| value.mm);
    let clearance_mm = tube.clearance.as_ref().map_or(0.0, |own| reader.length(&format!("{field}.clearance"), own));
    let over = tube.form != TubeForm::Replacement;
    let outside_diameter_mm =
        if over { vehicle_diameter_mm + clearance_mm + 2.0 * thickness_mm } else { vehicle_diameter_mm };
    let start = end(build, &tube.starts, vehicle_diameter_mm, &format!("{field}.start"), reader)?;
    let far = end(build, &tube.fars, vehicle_diameter_mm, &format!("{field}.far"), reader)?;
    let joins = [start.1, far.1];
    let ends = [start.0, far.0];
    let cover = cover(tube, &ends, &field, reader)?;
    let own_reach_mm = reader.length(&format!("{field}.reach"), &tube.reach);
    let mut shape = Tube {
        name: tube.name.clone(),
        hand: build.placed.hand,
        mirrored: build.placed.mirrored,
        to_vehicle: DMat3::from_cols(axis, zero, axis.cross(zero)),
        outside_diameter_mm,
        thickness_mm,
        material: tube.material.clone(),
        length_mm: 0.0,
        ends,
        cover,
        // the lap follows from the section's joint
        over: over.then_some(OldTube { outside_diameter_mm: vehicle_diameter_mm, lap_mm: 0.0 }),
        openings: openings(build, tube, outside_diameter_mm, &field, reader),
        reach_mm: [diameter, length]
            .into_iter()
            .flatten()
            .map(|value: Value| value.reach_mm)
            .fold(own_reach_mm, f64::max),
    };
    let written_mm = reader.positive(&format!("{field}.length"), &tube.length);
    let length_mm = length.map_or(written_mm, |value| value.mm);
    shape.length_mm = match tube.length_is {
        file::TubeLength::TipToTip => shape.axis_length_mm(length_mm),
        file::TubeLength::OnAxis => length_mm,
    };
    Some(ResolvedPiece {
        end_names: [0, 1].map(|i| shape.ends.get(i).map_or_else(String::new, |end| end.name.clone())),
        shape: ResolvedShape::Tube(Box::new(TubeShape { tube: shape, form: tube.form, vehicle_diameter_mm, joins })),
        wire_stands_out_mm: None,
        held_line: None,
        mate: None,
        directions: String::new(),
    })
}

/// The one end whose switches are on, and whether it is welded.
fn end(
    build: &Build<'_>,
    ends: &[file::TubeEnd],
    diameter_mm: f64,
    field: &str,
    reader: &mut Reader,
) -> Option<(TubeEnd, bool)> {
    let on: Vec<&file::TubeEnd> =
        ends.iter().filter(|end| build.source.is_on(end.when.as_deref(), end.unless.as_deref())).collect();
    let [own] = on.as_slice() else {
        let message = format!("says {} things for one end; one is accepted, so look at its when and unless", on.len());
        reader.fault(field, message);
        return None;
    };
    let mut angle = |what: &str, given: &Dimension| reader.angle(&format!("{field}.cut.{what}"), given);
    let (cut, usual) = match &own.cut {
        file::TubeCut::Square => (TubeCut::Square, Wall::Middle),
        file::TubeCut::Mitre { angle: mitre, longest } => {
            let cut = TubeCut::Mitre { angle_rad: angle("angle", mitre), longest_at_rad: angle("longest", longest) };
            (cut, Wall::Middle)
        }
        file::TubeCut::Saddle { main, angle: between, closed, offset } => {
            let axis_angle_rad = between.as_ref().map_or(FRAC_PI_2, |given| angle("angle", given));
            let closed_at_rad = angle("closed", closed);
            let saddle = Saddle {
                main_outside_diameter_mm: reader.positive(&format!("{field}.cut.main"), main),
                axis_angle_rad,
                closed_at_rad,
                offset_mm: offset.as_ref().map_or(0.0, |own| reader.signed(&format!("{field}.cut.offset"), own)),
            };
            (TubeCut::Saddle(saddle), Wall::Inside)
        }
        file::TubeCut::Flattened { flat, way, face, hole, hole_from_tip } => {
            let face_at_rad = angle("face", face);
            let mut length = |what: &str, given: &Dimension| reader.positive(&format!("{field}.cut.{what}"), given);
            let flat_mm = length("flat", flat);
            let transition_mm =
                way.as_ref().map_or(USUAL_WAY_OVER_DIAMETER * diameter_mm, |given| length("way", given));
            let hole = hole.as_ref().map(|hole| TabHole {
                diameter_mm: length("hole", hole),
                from_tip_mm: hole_from_tip.as_ref().map_or(0.5 * flat_mm, |given| length("hole_from_tip", given)),
            });
            (TubeCut::Flattened { flat_mm, transition_mm, face_at_rad, hole }, Wall::Middle)
        }
    };
    let wall = match own.touches {
        None => usual,
        Some(TubeWall::Outside) => Wall::Outside,
        Some(TubeWall::Middle) => Wall::Middle,
        Some(TubeWall::Inside) => Wall::Inside,
    };
    Some((TubeEnd { name: own.name.clone(), cut, wall }, own.joins))
}

fn cover(tube: &file::Tube, ends: &[TubeEnd; 2], field: &str, reader: &mut Reader) -> Option<Cover> {
    let mut angle = |what: &str, given: &Dimension| reader.angle(&format!("{field}.{what}"), given);
    if tube.form == TubeForm::Patch {
        let (Some(from), Some(girth)) = (&tube.from, &tube.girth) else {
            let message = "is missing; a patch says where it begins round the girth (from) and how far it goes (girth)";
            reader.fault(format!("{field}.girth"), message);
            return None;
        };
        let (from_rad, girth_rad) = (angle("from", from), angle("girth", girth));
        let square = ends.iter().all(|end| end.cut == TubeCut::Square);
        let usual = if square { USUAL_CORNER_MM } else { 0.0 };
        let corner_radius_mm = tube.corner.as_ref().map_or(usual, |own| reader.length(&format!("{field}.corner"), own));
        return Some(Cover::Part { from_rad, girth_rad, corner_radius_mm });
    }
    for (what, given) in [("from", &tube.from), ("girth", &tube.girth), ("corner", &tube.corner)] {
        if given.is_some() {
            reader.fault(format!("{field}.{what}"), "belongs to a patch; leave it out, or write form = \"patch\"");
        }
    }
    let seam_at_rad = tube.seam_at.as_ref().map_or(PI, |own| reader.angle(&format!("{field}.seam_at"), own));
    let seam = match &tube.seam {
        file::LongSeam::Butt => LongSeam::Butt { gap_mm: 0.0 },
        file::LongSeam::Lap(lap) => LongSeam::Lap { lap_mm: reader.positive(&format!("{field}.seam.lap"), lap) },
    };
    Some(Cover::Whole { seam_at_rad, seam })
}

/// Openings; an angle round the girth becomes the arc along the outside.
fn openings(
    build: &Build<'_>,
    tube: &file::Tube,
    outside_diameter_mm: f64,
    field: &str,
    reader: &mut Reader,
) -> Vec<section::Opening> {
    let mut turned = Vec::with_capacity(tube.openings.len());
    let mut plain = tube.openings.clone();
    for opening in &mut plain {
        let angle = opening.from_edge.written().contains('°').then(|| {
            let angle = reader.angle(&format!("{field}.opening.{}.from_edge", opening.name), &opening.from_edge);
            opening.from_edge = Dimension::zero();
            angle
        });
        turned.push((opening.name.clone(), angle));
    }
    let mut out = opening::all(build, &plain, In::Tube, field, reader);
    for opening in &mut out {
        let angle = turned.iter().find(|(name, _)| *name == opening.name).and_then(|(_, angle)| *angle);
        if let Some(angle) = angle {
            opening.from_edge_mm = 0.5 * outside_diameter_mm * angle;
        }
    }
    out
}

/// Gives sleeves and patches the lap over the old wall: as written in the joint, otherwise the shop's own (handbook H8). A joint that a
/// tube cannot have is named.
pub(super) fn join(
    section: &Section,
    joint: &mut JointChoice,
    shop: &ShopSettings,
    pieces: &mut [ResolvedPiece],
    reader: &mut Reader,
) {
    for piece in pieces {
        let ResolvedShape::Tube(shape) = &mut piece.shape else { continue };
        let lapped = matches!(section.joint.kind, JointKind::PlainLap | JointKind::BondedLap);
        let field = format!("section.{}.joint.kind", section.id);
        match &mut shape.tube.over {
            Some(old) => {
                if !lapped {
                    reader.fault(
                        field,
                        "a sleeve or a patch lies over the old tube; plain_lap or bonded_lap is accepted",
                    );
                }
                if section.joint.lap.is_none() {
                    joint.lap_mm = shop.rules.tube_patch_lap_mm;
                }
                old.lap_mm = joint.lap_mm;
            }
            None if lapped || section.joint.kind == JointKind::SteppedLap => {
                reader.fault(
                    field,
                    "a length of tube is butted or bolted; butt or bolted is accepted, or form = \"sleeve\"",
                );
            }
            None => {}
        }
    }
}
