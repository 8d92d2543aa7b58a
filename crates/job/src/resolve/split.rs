//! Split flanges: what lies beyond the seam becomes a piece of its own.

use super::{Build, Reader, ResolvedPiece, ResolvedShape};
use crate::file::{self, MakeUpKind, Piece};
use blank::DevelopSettings;
use section::{FlangeRelief, MakeUp, Makes, On, Strip, StripEdge};

/// The seam of a split flange that is only asked for lies on a step of this, mm.
const SEAM_STEP_MM: f64 = 0.5;

/// Is it the part of a split flange that is welded on?
#[must_use]
pub fn is_welded_on(piece: &ResolvedPiece) -> bool {
    matches!(&piece.shape, ResolvedShape::Strip(strip) if strip.makes != Makes::Body)
}

/// Places the seams that are only asked for, and adds a piece for every split flange.
pub(super) fn apply(build: &Build<'_>, pieces: &mut Vec<ResolvedPiece>, reader: &mut Reader) {
    if reader.is_faulty() {
        return;
    }
    let mut welded_on = Vec::new();
    for piece in pieces.iter_mut() {
        let ResolvedShape::Strip(strip) = &mut piece.shape else { continue };
        for edge in [StripEdge::Finished, StripEdge::Cut] {
            place_seams(build, strip, edge, reader);
            let split = strip.make_ups(edge).iter().enumerate().find_map(|(index, make_up)| match make_up {
                MakeUp::Flange { relief: FlangeRelief::Split { seam_mm }, .. } => Some((index, *seam_mm)),
                _ => None,
            });
            let Some((index, seam_mm)) = split else { continue };
            let beyond = |opening: &section::Opening| {
                opening.on == On::StripMakeUp { edge, index } && opening.from_edge_mm > seam_mm
            };
            let mut part: Strip = (**strip).clone();
            part.name = format!("{}, split flange", strip.name);
            part.makes = Makes::SplitFlange { edge };
            part.openings.retain(beyond);
            strip.openings.retain(|opening| !beyond(opening));
            welded_on.push(ResolvedPiece {
                shape: ResolvedShape::Strip(Box::new(part)),
                wire_stands_out_mm: None,
                held_line: None,
                end_names: piece.end_names.clone(),
                mate: None,
                directions: String::new(),
            });
        }
    }
    pieces.extend(welded_on);
}

fn place_seams(build: &Build<'_>, strip: &mut Strip, edge: StripEdge, reader: &mut Reader) {
    let Some(written) = build.source.pieces.iter().find_map(|piece| match piece {
        Piece::Strip(own) if own.name == strip.name => Some(own),
        _ => None,
    }) else {
        return;
    };
    let (chain, word) = match edge {
        StripEdge::Finished => (&written.finished_edge, "finished_edge"),
        StripEdge::Cut => (&written.cut_edge, "cut_edge"),
    };
    let on = chain.iter().enumerate().filter(|(_, own)| build.source.is_on(own.when.as_deref(), own.unless.as_deref()));
    for (index, (line, own)) in on.enumerate() {
        let MakeUpKind::Flange { relief: file::FlangeRelief::Split, split_at: None, .. } = own.what else { continue };
        let field = format!("{}.piece.{}.{word}.{line}", build.source.path, strip.name);
        let widest = blank::strip::widest_unrelieved_mm(
            strip,
            edge,
            &DevelopSettings {
                bend_rule: build.shop.bend,
                strip: blank::strip::StripSettings {
                    gather: build.shop.skins.gather,
                    ..blank::strip::StripSettings::from_rules(&build.shop.rules)
                },
                ..DevelopSettings::default()
            },
        );
        match widest {
            Ok(Some(widest_mm)) => {
                let seam_mm = (widest_mm / SEAM_STEP_MM).floor() * SEAM_STEP_MM;
                set_seam(strip, edge, index, seam_mm);
            }
            Ok(None) => reader.fault(
                format!("{field}.relief"),
                "is split, though the flange is within the limits of the metal; leave relief out, or say where in split_at",
            ),
            Err(error) => reader.fault(format!("{field}.relief"), error.to_string()),
        }
    }
}

fn set_seam(strip: &mut Strip, edge: StripEdge, index: usize, seam_mm: f64) {
    let chain = match edge {
        StripEdge::Finished => &mut strip.finished_edge,
        StripEdge::Cut => &mut strip.cut_edge,
    };
    if let Some(MakeUp::Flange { relief, .. }) = chain.get_mut(index) {
        *relief = FlangeRelief::Split { seam_mm };
    }
}
