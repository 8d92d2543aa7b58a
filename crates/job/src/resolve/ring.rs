//! Rings: corners in millimetres, moved by what was measured, bolt circles, the lap of the joint.

use super::opening::{self, In};
use super::strip;
use super::{Build, JointChoice, Reader, ResolvedPiece, ResolvedShape};
use crate::file::{self, JointKind, RingEdge, RingMake, Role, Section};
use blank::ring::{Held, RingSettings, ThicknessLaw};
use glam::DMat3;
use section::ring::BoltCircle;
use section::{OpeningShape, Ring, RingCorner};

/// Most holes of one circle.
const MOST_HOLES: u32 = 200;

/// A ring in plain numbers, with how it is to be made and where it sits.
#[derive(Debug, Clone, PartialEq)]
pub struct RingShape {
    /// The ring in its own axes: z out of the vehicle.
    pub ring: Ring,
    /// The finished piece is the reflection of what was surveyed.
    pub mirrored: bool,
    /// Turns its axes into vehicle axes.
    pub to_vehicle: DMat3,
    /// How it is to be made.
    pub make: RingMake,
    /// Thickness law, held leg, limits of the shop.
    pub settings: RingSettings,
    /// Edge that takes the section's joint.
    pub joins: Option<RingEdge>,
    /// Length of that edge as it is measured, lap left off, mm; 0 without one.
    pub joined_mm: f64,
}

pub(super) fn piece(build: &Build<'_>, ring: &file::Ring, reader: &mut Reader) -> Option<ResolvedPiece> {
    let field = format!("{}.piece.{}", build.source.path, ring.name);
    let thickness_mm = strip::sheet(&ring.thickness, &ring.material, &field, build, reader);
    let (x, z) = (ring.x_runs.vector(), ring.axis.vector());
    if x.dot(z) != 0.0 {
        reader.fault(format!("{field}.x_runs"), "is along the axis; give a direction square to it");
        return None;
    }
    let to_vehicle = DMat3::from_cols(x, z.cross(x), z);
    let bend_mm = reader.length(&format!("{field}.bend_radius"), &ring.bend_radius);
    let mut corners: Vec<RingCorner> =
        ring.corners.iter().enumerate().map(|(i, own)| corner(own, i, bend_mm, &field, reader)).collect();
    if corners.len() < 2 {
        reader.fault(format!("{field}.corner"), "is missing; a ring has two corners or more, from the inside outwards");
        return None;
    }
    let reach_mm = ring.reach.as_ref().map_or(0.0, |reach| reader.length(&format!("{field}.reach"), reach));
    let wider_mm = sized(build, &ring.name, &mut corners, &field, reader);
    let leg_names: Vec<String> = ring.corners.iter().skip(1).map(|corner| corner.leg.clone()).collect();
    let mut holes = opening::all(build, &ring.openings, In::Ring, &field, reader);
    for hole in holes.iter().filter(|own| !matches!(own.shape, OpeningShape::Round { .. })) {
        let message = "is not round; a ring takes round holes: give diameter or bolt";
        reader.fault(format!("{field}.opening.{}", hole.name), message);
    }
    let on = |circle: &&file::BoltCircle| build.source.is_on(circle.when.as_deref(), circle.unless.as_deref());
    for circle in ring.bolt_circles.iter().filter(on) {
        let path = format!("{field}.bolt_circle.{}", circle.name);
        holes.extend(
            bolt_circle(build, circle, wider_mm, &path, reader)
                .map_or_else(Vec::new, |own| section::ring::bolt_circle(&own)),
        );
    }
    let shape = Ring {
        name: ring.name.clone(),
        thickness_mm,
        material: ring.material.clone(),
        face: strip::face(ring.face),
        corners,
        leg_names,
        holes,
        reach_mm: reach(build, &ring.name, reach_mm),
    };
    let held = held(ring, &shape, &field, reader);
    let joined = ring.joins.and_then(|edge| match edge {
        RingEdge::Inner => shape.corners.first(),
        RingEdge::Outer => shape.corners.last(),
    });
    let joined_mm = joined.map_or(0.0, |corner| std::f64::consts::TAU * corner.radius_mm);
    let allowances = &build.shop.allowances;
    let settings = RingSettings {
        law: match ring.law {
            file::RingLaw::MeridianKept => ThicknessLaw::MeridianKept,
            file::RingLaw::FreeEdge => ThicknessLaw::FreeEdge,
            file::RingLaw::AreaKept => ThicknessLaw::AreaKept,
        },
        held,
        gather: build.shop.skins.gather,
        trim_mm: allowances.least_trim_mm.max(allowances.trim_in_reaches * shape.reach_mm),
    };
    if !reader.is_faulty()
        && let Err(fault) = shape.check()
    {
        reader.fault(field, fault.to_string());
    }
    Some(ResolvedPiece {
        shape: ResolvedShape::Ring(Box::new(RingShape {
            ring: shape,
            mirrored: build.placed.mirrored,
            to_vehicle,
            make: ring.make,
            settings,
            joins: ring.joins,
            joined_mm,
        })),
        wire_stands_out_mm: None,
        held_line: None,
        end_names: [String::new(), String::new()],
        mate: None,
        directions: format!("its axis points {}, its x {}", ring.axis.words(), ring.x_runs.words()),
    })
}

fn corner(corner: &file::RingCorner, i: usize, bend_mm: f64, field: &str, reader: &mut Reader) -> RingCorner {
    let path = format!("{field}.corner.{i}");
    RingCorner {
        radius_mm: 0.5 * reader.length(&format!("{path}.diameter"), &corner.diameter),
        height_mm: reader.signed(&format!("{path}.height"), &corner.height),
        inside_radius_mm: corner
            .radius
            .as_ref()
            .map_or(bend_mm, |radius| reader.length(&format!("{path}.radius"), radius)),
    }
}

fn bolt_circle(
    build: &Build<'_>,
    circle: &file::BoltCircle,
    wider_mm: f64,
    path: &str,
    reader: &mut Reader,
) -> Option<BoltCircle> {
    if circle.count == 0 || circle.count > MOST_HOLES {
        reader.fault(format!("{path}.count"), format!("is {}; 1 to {MOST_HOLES} holes are accepted", circle.count));
        return None;
    }
    let (hole_mm, half_clearance_mm) = match (&circle.bolt, &circle.hole) {
        (Some(bolt), None) => {
            let (hole, half) = opening::bolt_hole(bolt, &format!("{path}.bolt"), reader)?;
            (hole, Some(half))
        }
        (None, Some(hole)) => (reader.positive(&format!("{path}.hole"), hole), None),
        _ => {
            reader.fault(path, "says its size not at all or twice; give one of bolt and hole");
            return None;
        }
    };
    Some(BoltCircle {
        name: circle.name.clone(),
        count: circle.count,
        circle_mm: reader.positive(&format!("{path}.circle"), &circle.circle) + wider_mm,
        hole_mm,
        first_rad: circle.first.as_ref().map_or(0.0, |first| reader.angle(&format!("{path}.first"), first)),
        reach_mm: circle
            .reach
            .as_ref()
            .map_or(build.shop.allowances.hole_reach_mm, |reach| reader.length(&format!("{path}.reach"), reach)),
        half_clearance_mm,
    })
}

/// Moves the corners by what was measured; returns by how much the ring is wider.
fn sized(build: &Build<'_>, name: &str, corners: &mut [RingCorner], field: &str, reader: &mut Reader) -> f64 {
    let Some(pattern) = build.source.pattern else { return 0.0 };
    let mut wider_mm = 0.0;
    for measurement in &pattern.measurements {
        let Some(value) = build.values.by_id.get(&measurement.id) else { continue };
        let by_mm = value.mm - value.nominal_mm;
        match &measurement.role {
            Role::RingDiameter { piece } if piece == name => {
                wider_mm += by_mm;
                // the axis of a closed ring stays where it is
                corners.iter_mut().filter(|corner| corner.radius_mm > 0.0).for_each(|own| own.radius_mm += 0.5 * by_mm);
            }
            Role::RingHeight { piece, leg } if piece == name => {
                let ends = corners.get(*leg).zip(corners.get(leg + 1)).map(|(a, b)| b.height_mm - a.height_mm);
                match ends.filter(|rise| rise.abs() > 1e-9) {
                    Some(rise) => {
                        let beyond = corners.iter_mut().skip(leg + 1);
                        beyond.for_each(|corner| corner.height_mm += by_mm * rise.signum());
                    }
                    None => reader.fault(
                        format!("{field}.corner"),
                        format!("measurement {} sizes the height of leg {leg}, which has none", measurement.id),
                    ),
                }
            }
            _ => {}
        }
    }
    wider_mm
}

/// Largest reach of what sizes the ring.
fn reach(build: &Build<'_>, name: &str, own_mm: f64) -> f64 {
    let Some(pattern) = build.source.pattern else { return own_mm };
    let sizes =
        |role: &Role| matches!(role, Role::RingDiameter { piece } | Role::RingHeight { piece, .. } if piece == name);
    let measured = pattern.measurements.iter().filter(|measurement| sizes(&measurement.role));
    measured
        .filter_map(|measurement| build.values.by_id.get(&measurement.id))
        .map(|value| value.reach_mm)
        .fold(own_mm, f64::max)
}

fn held(ring: &file::Ring, shape: &Ring, field: &str, reader: &mut Reader) -> Option<Held> {
    let wanted = ring.held.as_ref()?;
    let names: Vec<String> = (0..shape.legs()).map(|leg| shape.leg_name(leg)).collect();
    let found = names.iter().position(|name| name == wanted);
    if found.is_none() {
        reader.fault(format!("{field}.held"), crate::read::unknown("leg", wanted, names.iter().map(String::as_str)));
    }
    found.map(Held::Leg)
}

/// Gives the edge that joins the lap of the section's joint: the leg at that edge goes on by the lap.
pub(super) fn join(section: &Section, joint: &JointChoice, pieces: &mut [ResolvedPiece], reader: &mut Reader) {
    for piece in pieces {
        let ResolvedShape::Ring(shape) = &mut piece.shape else { continue };
        let Some(edge) = shape.joins else { continue };
        match section.joint.kind {
            JointKind::SteppedLap => reader.fault(
                format!("section.{}.joint.kind", section.id),
                "is a stepped lap, which is not pressed on the round edge of a ring; take a butt, a plain or bonded lap, or bolts",
            ),
            JointKind::PlainLap | JointKind::BondedLap => lengthen(&mut shape.ring, edge, joint.lap_mm),
            JointKind::Butt | JointKind::Bolted => {}
        }
    }
}

fn lengthen(ring: &mut Ring, edge: RingEdge, by_mm: f64) {
    let last = ring.corners.len().saturating_sub(1);
    let (end, before) = match edge {
        RingEdge::Inner => (0, 1),
        RingEdge::Outer => (last, last.saturating_sub(1)),
    };
    let root = ring.corners.get(before).map(RingCorner::at_mm);
    if let (Some(root), Some(corner)) = (root, ring.corners.get_mut(end)) {
        let at = corner.at_mm();
        let moved = at + (at - root).normalize_or_zero() * by_mm;
        (corner.radius_mm, corner.height_mm) = (moved.x, moved.y);
    }
}
