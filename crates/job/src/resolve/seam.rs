//! Seams and places of the pieces of a section: names checked, figures read.

use super::{Build, Reader, ResolvedPiece, ResolvedShape, opening};
use crate::file::{self, Fixing, Piece, SeamJoint, Turns};
use crate::read::{piece_name, unknown};
use glam::{DVec2, DVec3};
use section::On;

/// A seam in plain numbers.
#[derive(Debug, Clone)]
pub struct ResolvedSeam {
    /// Path of the seam in the file.
    pub field: String,
    /// Name as printed.
    pub name: String,
    /// Piece that is put on, and its edge.
    pub piece: String,
    /// Its edge.
    pub edge: String,
    /// Piece that it is put on.
    pub to_piece: String,
    /// Where on it.
    pub to: ResolvedPlace,
    /// How they are joined.
    pub joint: SeamJoint,
    /// Lap as written.
    pub lap_mm: Option<f64>,
    /// How a lap is held.
    pub fixing: Fixing,
    /// Opening angle between the sheets, rad.
    pub stands_rad: f64,
    /// Side of the other's sheet that it turns to.
    pub turns: Turns,
    /// Start lies on end.
    pub reversed: bool,
    /// Sub-assembly as written.
    pub step: Option<u32>,
    /// Welded from inside.
    pub from_inside: bool,
}

/// Where on a piece.
#[derive(Debug, Clone, PartialEq)]
pub enum ResolvedPlace {
    /// An edge, or a stretch of it from its start.
    Edge {
        /// Name.
        edge: String,
        /// From and to, mm.
        stretch_mm: Option<[f64; 2]>,
    },
    /// A straight line on a face.
    Line {
        /// Which leg.
        on: On,
        /// Two places: along, from the edge.
        ends_mm: [DVec2; 2],
        /// On a tube, the angle from the zero line, where one is written instead of the arc along the outside.
        turned_rad: [Option<f64>; 2],
    },
    /// A round on a face.
    Round {
        /// Which leg.
        on: On,
        /// Middle: along, from the edge.
        at_mm: DVec2,
        /// Diameter.
        diameter_mm: f64,
    },
}

/// Where a piece stands, as surveyed.
#[derive(Debug, Clone, PartialEq)]
pub struct Stands {
    /// The piece.
    pub piece: String,
    /// Zero of its axes, mm.
    pub at_mm: DVec3,
    /// Its x.
    pub x: DVec3,
    /// Its y.
    pub y: DVec3,
}

pub(super) fn all(build: &Build<'_>, reader: &mut Reader) -> Vec<ResolvedSeam> {
    reader.unit(build.source.unit);
    let seams = build.source.seams.iter().enumerate();
    seams.filter_map(|(i, seam)| one(build, seam, &format!("{}.seam.{i}", build.source.path), reader)).collect()
}

fn one(build: &Build<'_>, seam: &file::Seam, field: &str, reader: &mut Reader) -> Option<ResolvedSeam> {
    for (path, name) in [("piece", &seam.piece), ("to.piece", &seam.to.piece)] {
        known_piece(build, name, &format!("{field}.{path}"), reader);
    }
    if seam.piece == seam.to.piece {
        reader.fault(
            format!("{field}.to.piece"),
            format!("\"{}\" is joined to itself; name another piece, or weld its corner", seam.piece),
        );
    }
    let usual = match seam.joint {
        SeamJoint::Butt | SeamJoint::LapUnder | SeamJoint::LapOver => std::f64::consts::PI,
        SeamJoint::Flange => 0.0,
        SeamJoint::EdgeToFace => std::f64::consts::FRAC_PI_2,
    };
    let stands_rad = seam.stands.as_ref().map_or(usual, |stands| reader.angle(&format!("{field}.stands"), stands));
    if !(0.0..=std::f64::consts::PI + 1e-9).contains(&stands_rad) && !stands_rad.is_nan() {
        reader.fault(
            format!("{field}.stands"),
            format!("is {:.1}°; an opening angle of 0° to 180° is accepted", stands_rad.to_degrees()),
        );
    }
    if seam.lap.is_some() && !seam.joint.is_lap() {
        reader.fault(format!("{field}.lap"), "only a lap has one; leave it out, or choose lap_under or lap_over");
    }
    let lap_mm = seam.lap.as_ref().map(|lap| reader.positive(&format!("{field}.lap"), lap));
    if seam.step.is_some_and(|step| step == 0 || step > 99) {
        reader.fault(format!("{field}.step"), "is out of range; sub-assemblies are numbered from 1 to 99");
    }
    let to = place(build, &seam.to, &format!("{field}.to"), reader)?;
    Some(ResolvedSeam {
        field: field.to_owned(),
        name: if seam.name.trim().is_empty() {
            format!("{} to {}", seam.piece, seam.to.piece)
        } else {
            seam.name.trim().to_owned()
        },
        piece: seam.piece.clone(),
        edge: seam.edge.clone(),
        to_piece: seam.to.piece.clone(),
        to,
        joint: seam.joint,
        lap_mm,
        fixing: seam.fixing,
        stands_rad,
        turns: seam.turns,
        reversed: seam.reversed,
        step: seam.step,
        from_inside: seam.from_inside,
    })
}

fn known_piece(build: &Build<'_>, name: &str, field: &str, reader: &mut Reader) {
    if !build.source.pieces.iter().any(|piece| piece_name(piece) == name) {
        reader.fault(field, unknown("piece", name, build.source.pieces.iter().map(piece_name)));
    }
}

fn place(build: &Build<'_>, to: &file::SeamTo, field: &str, reader: &mut Reader) -> Option<ResolvedPlace> {
    let kind = build.source.pieces.iter().find(|piece| piece_name(piece) == to.piece)?;
    match (&to.edge, &to.line, &to.round) {
        (Some(edge), None, None) => {
            let stretch_mm = to.stretch.as_ref().map(|[from, end]| {
                [reader.length(&format!("{field}.stretch"), from), reader.length(&format!("{field}.stretch"), end)]
            });
            if let Some([from, end]) = stretch_mm.filter(|[from, end]| end <= from) {
                reader.fault(
                    format!("{field}.stretch"),
                    format!("ends at {end:.1} mm before it starts at {from:.1} mm; write the smaller figure first"),
                );
            }
            Some(ResolvedPlace::Edge { edge: edge.clone(), stretch_mm })
        }
        (None, Some([first, second]), None) => {
            let on = opening::place(&to.on, in_kind(kind), &format!("{field}.on"), reader)?;
            let field = format!("{field}.line");
            let mut point = |[along, from_edge]: &[units::Dimension; 2]| {
                let along_mm = reader.signed(&field, along);
                if matches!(kind, Piece::Tube(_)) && from_edge.written().contains('°') {
                    return (DVec2::new(along_mm, 0.0), Some(reader.angle(&field, from_edge)));
                }
                (DVec2::new(along_mm, reader.signed(&field, from_edge)), None)
            };
            let [(a, a_rad), (b, b_rad)] = [point(first), point(second)];
            Some(ResolvedPlace::Line { on, ends_mm: [a, b], turned_rad: [a_rad, b_rad] })
        }
        (None, None, Some([along, from_edge, diameter])) => {
            let on = opening::place(&to.on, in_kind(kind), &format!("{field}.on"), reader)?;
            let field = format!("{field}.round");
            let at_mm = DVec2::new(reader.signed(&field, along), reader.signed(&field, from_edge));
            Some(ResolvedPlace::Round { on, at_mm, diameter_mm: reader.positive(&field, diameter) })
        }
        _ => {
            reader.fault(field, "names no place or several; write exactly one of edge, line and round");
            None
        }
    }
}

fn in_kind(piece: &Piece) -> opening::In {
    match piece {
        Piece::Folded(_) => opening::In::Folded,
        Piece::Strip(_) => opening::In::Strip,
        Piece::Tube(_) => opening::In::Tube,
        _ => opening::In::Skin,
    }
}

pub(super) fn stands(build: &Build<'_>, reader: &mut Reader) -> Vec<Stands> {
    reader.unit(build.source.unit);
    let mut out = Vec::new();
    for (i, placed) in build.source.places.iter().enumerate() {
        let field = format!("{}.place.{i}", build.source.path);
        known_piece(build, &placed.piece, &format!("{field}.piece"), reader);
        let at_mm = reader.point(&format!("{field}.at"), &placed.at);
        let (x, y) = (placed.x_runs.vector(), placed.y_runs.vector());
        if x.dot(y).abs() > 0.5 {
            reader.fault(
                format!("{field}.y_runs"),
                format!("runs {}, along x_runs; choose a direction square to it", placed.y_runs.words()),
            );
        }
        out.push(Stands { piece: placed.piece.clone(), at_mm, x, y });
    }
    out
}

/// Ends of strips that are seamed get no spare: the edge must fit its partner.
pub(super) fn without_spare(seams: &[ResolvedSeam], pieces: &mut [ResolvedPiece]) {
    for piece in pieces {
        let names = [0, 1].map(|end| super::end_name(piece, end));
        let ResolvedShape::Strip(strip) = &mut piece.shape else { continue };
        let [start, end] = names.map(|name| is_seamed(seams, &strip.name, &name));
        if start {
            strip.spare_from_mm = 0.0;
        }
        if end {
            strip.spare_to_mm = 0.0;
        }
    }
}

/// Is an edge of a piece named in a seam?
pub(crate) fn is_seamed(seams: &[ResolvedSeam], piece: &str, edge: &str) -> bool {
    seams.iter().any(|seam| {
        let other = matches!(&seam.to, ResolvedPlace::Edge { edge: own, .. } if own == edge);
        (seam.piece == piece && seam.edge == edge) || (seam.to_piece == piece && other)
    })
}

/// Names given to the edges of folded pieces, in the order of the file: piece, number of the edge, name.
pub(super) fn folded_edge_names(build: &Build<'_>) -> Vec<(String, usize, String)> {
    let folded = build.source.pieces.iter().filter_map(|piece| match piece {
        Piece::Folded(folded) => Some(folded),
        _ => None,
    });
    folded
        .flat_map(|folded| {
            folded.edges.iter().filter_map(|edge| {
                let name = edge.name.as_ref()?.trim();
                Some((folded.name.clone(), edge.edge, name.to_owned()))
            })
        })
        .collect()
}
