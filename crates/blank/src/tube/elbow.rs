//! An elbow welded up from mitred pieces (handbook D7, D8).

use crate::BlankError;
use glam::DMat3;
use handbook::{Source, Working};
use section::tube::{Cover, LongSeam, Tube, TubeCut, TubeEnd, Wall};
use section::{Hand, SectionError};
use std::f64::consts::PI;

/// What an elbow is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct ElbowOrder {
    /// Name of the piece.
    pub name: String,
    /// Outside diameter.
    pub outside_diameter_mm: f64,
    /// Wall.
    pub thickness_mm: f64,
    /// Material key.
    pub material: String,
    /// Turned from straight on.
    pub angle_rad: f64,
    /// Pieces, at least 2.
    pub pieces: u32,
    /// Radius of the bend to the centre line.
    pub centre_radius_mm: f64,
}

/// An elbow's figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Elbow {
    /// Mitre of every joint from square.
    pub mitre_rad: f64,
    /// Mitre, rise, and a middle piece at its throat, centre line and back; each with its working.
    pub workings: Vec<Working>,
    /// A middle piece, both ends mitred; an end piece is half of it with a square end.
    pub middle: Tube,
}

/// Figures and middle piece of an elbow.
///
/// # Errors
/// [`BlankError::Section`]: a number out of range, a centre radius inside the tube.
pub fn elbow(order: &ElbowOrder) -> Result<Elbow, BlankError> {
    let range = |name: &str, got: f64, min: f64, max: f64, unit: &'static str| {
        if (min..=max).contains(&got) {
            Ok(got)
        } else {
            Err(SectionError::OutOfRange { name: name.into(), got, min, max, unit })
        }
    };
    let angle = range("the angle of the elbow", order.angle_rad.to_degrees(), 1.0, 180.0, "°")?.to_radians();
    let pieces = range("the number of pieces", f64::from(order.pieces), 2.0, 40.0, "")?;
    let diameter = range("the outside diameter", order.outside_diameter_mm, 4.0, 2000.0, "mm")?;
    let least = 0.5 * diameter * (1.0 + 1e-6) + 0.5;
    let centre = range("the centre radius of the elbow", order.centre_radius_mm, least, 1e5, "mm")?;
    let mitre = angle / (2.0 * (pieces - 1.0));
    range("the mitre of each joint", mitre.to_degrees(), 0.0, 80.0, "°")?;
    let gore = |name: &'static str, radius: f64, formula: &'static str| {
        Working::new(name, 2.0 * radius * mitre.tan(), "mm", formula, Source::geometry("D8"))
            .with("Rc", "radius to the centre line", centre, "mm")
            .with("D", "outside diameter", diameter, "mm")
            .with("α", "mitre of each joint", mitre.to_degrees(), "°")
    };
    let workings = vec![
        Working::new(
            "mitre of each joint, from square",
            mitre.to_degrees(),
            "°",
            "A/(2·(n − 1))",
            Source::geometry("D7"),
        )
        .with("A", "angle of the elbow", angle.to_degrees(), "°")
        .with("n", "pieces", pieces, ""),
        Working::new(
            "rise of each mitre on the outside",
            diameter * mitre.tan(),
            "mm",
            "D·tan α",
            Source::geometry("D6, D7"),
        )
        .with("D", "outside diameter", diameter, "mm")
        .with("α", "mitre of each joint", mitre.to_degrees(), "°"),
        gore("middle piece along its throat", centre - 0.5 * diameter, "2·(Rc − D/2)·tan α"),
        gore("middle piece along its centre line", centre, "2·Rc·tan α"),
        gore("middle piece along its back", centre + 0.5 * diameter, "2·(Rc + D/2)·tan α"),
    ];
    let end = |name: &str| TubeEnd {
        name: name.into(),
        cut: TubeCut::Mitre { angle_rad: mitre, longest_at_rad: 0.0 },
        wall: Wall::Outside,
    };
    let middle = Tube {
        name: order.name.clone(),
        hand: Hand::Left,
        mirrored: false,
        to_vehicle: DMat3::IDENTITY,
        outside_diameter_mm: diameter,
        thickness_mm: order.thickness_mm,
        material: order.material.clone(),
        length_mm: 2.0 * centre * mitre.tan(),
        ends: [end("first joint"), end("second joint")],
        // in the throat the seam is shortest
        cover: Cover::Whole { seam_at_rad: PI, seam: LongSeam::Butt { gap_mm: 0.0 } },
        over: None,
        openings: Vec::new(),
        reach_mm: 0.0,
    };
    Ok(Elbow { mitre_rad: mitre, workings, middle })
}
