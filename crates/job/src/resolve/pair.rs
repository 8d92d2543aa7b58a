//! Mating flanges: two strips of one edge line.

use super::make_up;
use super::strip;
use super::{Build, Reader, ResolvedPiece, ResolvedShape};
use crate::file::{self, Piece};
use section::{FlangePair, PairHole, PairMember, Strip};

pub(super) fn pieces(build: &Build<'_>, reader: &mut Reader) -> Vec<ResolvedPiece> {
    check_names(build, reader);
    build.source.pairs.iter().flat_map(|pair| one(build, pair, reader)).collect()
}

fn sides<'a>(build: &Build<'a>) -> impl Iterator<Item = (&'a file::Strip, &'a file::PairSide)> + use<'a> {
    build.source.pieces.iter().filter_map(|piece| match piece {
        Piece::Strip(strip) => strip.in_pair.as_ref().map(|side| (strip, side)),
        Piece::Folded(_) | Piece::Skin(_) | Piece::Tube(_) => None,
    })
}

fn check_names(build: &Build<'_>, reader: &mut Reader) {
    let pairs = build.source.pairs;
    let strays: Vec<_> = sides(build)
        .filter(|(_, side)| !pairs.iter().any(|pair| pair.name == side.pair))
        .map(|(s, side)| (&s.name, &side.pair))
        .collect();
    for (strip, pair) in strays {
        let field = format!("{}.piece.{strip}.in_pair.pair", build.source.path);
        reader.fault(field, crate::read::unknown("pair", pair, pairs.iter().map(|pair| pair.name.as_str())));
    }
}

fn one(build: &Build<'_>, pair: &file::Pair, reader: &mut Reader) -> Vec<ResolvedPiece> {
    let field = format!("{}.pair.{}", build.source.path, pair.name);
    let members: Vec<_> = sides(build).filter(|(_, side)| side.pair == pair.name).collect();
    let &[(first, first_side), (second, second_side)] = members.as_slice() else {
        reader.fault(&field, format!("{} strips name it in in_pair; a pair has two", members.len()));
        return Vec::new();
    };
    reader.unit(build.source.unit);
    let edge_line = strip::edge_line(&pair.edge_line, &format!("{field}.edge_line"), build.source, reader);
    let outward = strip::outward(&pair.edge_line.outward, &format!("{field}.edge_line.outward"), reader);
    let contact_angle_rad =
        make_up::angles(&pair.contact_angle, &format!("{field}.contact_angle"), reader, |angle| angle);
    let spacer_mm = reader.length(&format!("{field}.spacer"), &pair.spacer);
    let holes = holes(build, pair, &field, reader);
    let members = [member(build, first, first_side, reader), member(build, second, second_side, reader)];
    let Some(edge_line) = edge_line else { return Vec::new() };
    let [from_mm, to_mm] = strip::stretch(build, pair.stretch.as_ref(), edge_line.length_mm(), &field, reader);
    if reader.is_faulty() {
        return Vec::new();
    }
    let flanges = FlangePair { edge_line, outward, contact_angle_rad, spacer_mm, holes, members };
    let strips = match flanges.strips() {
        Ok(strips) => strips,
        Err(error) => {
            reader.fault(&field, error.to_string());
            return Vec::new();
        }
    };
    let names = [first.name.clone(), second.name.clone()];
    let written = [first, second];
    let mates = [names[1].clone(), names[0].clone()];
    let end_names = [pair.edge_line.start_name.clone(), pair.edge_line.end_name.clone()];
    let [spare_from_mm, spare_to_mm] = strip::spare(build);
    strips
        .into_iter()
        .zip(written)
        .zip(mates)
        .map(|((strip, written), mate)| {
            let inside = |along: f64| (from_mm..=to_mm).contains(&along);
            let openings = strip.openings.iter().filter(|opening| inside(opening.along_mm)).cloned().collect();
            ResolvedPiece {
                shape: ResolvedShape::Strip(Box::new(Strip {
                    hand: build.placed.hand,
                    mirrored: build.placed.mirrored,
                    from_mm,
                    to_mm,
                    spare_from_mm,
                    spare_to_mm,
                    openings,
                    ..strip
                })),
                wire_stands_out_mm: None,
                held_line: written.held_line.clone(),
                end_names: end_names.clone(),
                mate: Some(mate),
                directions: String::new(),
            }
        })
        .collect()
}

fn holes(build: &Build<'_>, pair: &file::Pair, field: &str, reader: &mut Reader) -> Vec<PairHole> {
    pair.holes
        .iter()
        .filter(|hole| build.source.is_on(hole.when.as_deref(), hole.unless.as_deref()))
        .filter_map(|hole| {
            let field = format!("{field}.hole.{}", hole.name);
            let (diameter_mm, half_clearance_mm) =
                super::opening::bolt_hole(&hole.bolt, &format!("{field}.bolt"), reader)?;
            Some(PairHole {
                name: hole.name.clone(),
                station_mm: reader.length(&format!("{field}.station"), &hole.station),
                distance_mm: reader.length(&format!("{field}.distance"), &hole.distance),
                diameter_mm,
                reach_mm: hole.reach.as_ref().map_or(build.shop.allowances.hole_reach_mm, |reach| {
                    reader.length(&format!("{field}.reach"), reach)
                }),
                half_clearance_mm,
            })
        })
        .collect()
}

fn member(build: &Build<'_>, strip: &file::Strip, side: &file::PairSide, reader: &mut Reader) -> PairMember {
    let field = format!("{}.piece.{}", build.source.path, strip.name);
    let thickness_mm = strip::sheet(&strip.thickness, &strip.material, &field, build, reader);
    let field = format!("{field}.in_pair");
    let width = make_up::lengths(&side.width, &format!("{field}.width"), reader);
    PairMember {
        name: strip.name.clone(),
        runs: strip::runs(strip.runs),
        opening_angle_rad: make_up::angles(&side.opening, &format!("{field}.opening"), reader, |opening| opening),
        inside_radius_mm: reader.length(&format!("{field}.radius"), &side.radius),
        flange_width_mm: strip::leg_width(build, &strip.name, 0).map_or(width, section::Along::Constant),
        skin: side
            .skin
            .iter()
            .enumerate()
            .map(|(i, link)| make_up::link(link, &format!("{field}.skin.{i}"), reader))
            .collect(),
        thickness_mm,
        material: strip.material.clone(),
    }
}
