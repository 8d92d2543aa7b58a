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
    /// Mitre, rise, and the piece at its throat, centre line and back; each with its working.
    pub workings: Vec<Working>,
    /// A middle piece, both ends mitred: an end piece is half of it with a square end. Of two pieces, which have no middle, an end piece.
    pub piece: Tube,
}

/// Figures and piece of an elbow.
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
    // two end pieces meet in one joint: each is half of what a middle piece would be
    let is_end = order.pieces == 2;
    let (what, times, factor) = if is_end { ("end", 1.0, "") } else { ("middle", 2.0, "2·") };
    let gore = |along: &str, radius: f64, of: &str| {
        let (name, formula) = (format!("{what} piece along its {along}"), format!("{factor}{of}·tan α"));
        Working::new(name, times * radius * mitre.tan(), "mm", formula, Source::geometry("D8"))
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
        gore("throat", centre - 0.5 * diameter, "(Rc − D/2)"),
        gore("centre line", centre, "Rc"),
        gore("back", centre + 0.5 * diameter, "(Rc + D/2)"),
    ];
    let end = |name: &str| TubeEnd {
        name: name.into(),
        cut: TubeCut::Mitre { angle_rad: mitre, longest_at_rad: 0.0 },
        wall: Wall::Outside,
    };
    let square = TubeEnd { name: "square end".into(), cut: TubeCut::Square, wall: Wall::Middle };
    let piece = Tube {
        name: order.name.clone(),
        hand: Hand::Left,
        mirrored: false,
        to_vehicle: DMat3::IDENTITY,
        outside_diameter_mm: diameter,
        thickness_mm: order.thickness_mm,
        material: order.material.clone(),
        length_mm: times * centre * mitre.tan(),
        ends: [end("first joint"), if is_end { square } else { end("second joint") }],
        // in the throat the seam is shortest
        cover: Cover::Whole { seam_at_rad: PI, seam: LongSeam::Butt { gap_mm: 0.0 } },
        over: None,
        openings: Vec::new(),
        reach_mm: 0.0,
    };
    Ok(Elbow { mitre_rad: mitre, workings, piece })
}
