//! Wires of wired edges: as long as their own centre line with what stands out; round a corner in one where both edges are wired alike.

use super::edge::FlatEdge;
use super::error::SkinError;
use super::piece::SkinPiece;
use crate::strip::StripSettings;
use crate::{BlankError, WirePart};
use glam::DVec3;
use handbook::edges::wire::{CORNER_RADIUS_WIRES, WireCorner};
use handbook::shop_rules::{WireEnd, wire_length};
use handbook::{Concern, Grade, LiftedBy, Source, Working};
use mesh::Skin;
use section::MakeUp;
use section::skin::wire::{EdgeWire, EdgeWires};

/// Curvature below which a wire is left straight: 20 m radius.
const STRAIGHT_PER_MM: f64 = 5e-5;

/// The wires in space.
pub(super) fn in_space(piece: &SkinPiece, middle: &Skin, chains: &[&[u32]]) -> Result<EdgeWires, SkinError> {
    let edges: Vec<section::skin::SkinEdge<'_>> = piece
        .edges
        .iter()
        .zip(chains)
        .map(|(edge, chain)| section::skin::SkinEdge { name: &edge.name, chain, make_ups: &edge.make_ups })
        .collect();
    section::skin::wire::wires(middle, piece.thickness_mm, &edges)
        .map_err(|fault| SkinError::Edge { edge: piece.name.clone(), fault: BlankError::Section(fault) })
}

/// Each as a part to cut.
pub(super) fn parts(
    wires: &EdgeWires,
    edges: &[FlatEdge<'_>],
    settings: &StripSettings,
) -> Result<Vec<WirePart>, SkinError> {
    wires.wires.iter().map(|wire| part(wire, edges, settings)).collect()
}

fn part(wire: &EdgeWire, edges: &[FlatEdge<'_>], settings: &StripSettings) -> Result<WirePart, SkinError> {
    let names: Vec<&str> =
        wire.edges.iter().filter_map(|index| edges.get(*index)).map(|edge| edge.given.name.as_str()).collect();
    let usual = WireEnd::StandsOut { length_mm: settings.wire_stands_out_mm };
    let said = settings.wire_ends.map(|end| if end.adds_mm().is_none() { usual } else { end });
    let ends = if wire.closed { [WireEnd::StandsOut { length_mm: 0.0 }; 2] } else { said };
    let first = names.first().copied().unwrap_or_default();
    let fault = |what: String| SkinError::Edge {
        edge: first.to_owned(),
        fault: BlankError::Bend { place: "wire".into(), what },
    };
    let mut working = wire_length(wire.length_mm, ends).map_err(|refused| fault(refused.to_string()))?;
    let radius_mm = CORNER_RADIUS_WIRES * wire.wire_mm;
    let name = match (names.as_slice(), wire.turns_rad.as_slice()) {
        ([only], []) => format!("wire of {only}"),
        (names, turns) => {
            let bends: Vec<String> = turns.iter().map(|turn| format!("{:.0}°", turn.to_degrees())).collect();
            let corners = if turns.len() == 1 { "corner" } else { "corners" };
            working = working.with("R", "radius of its centre line at a corner", radius_mm, "mm");
            format!(
                "wire of {}, in one: bent to R{radius_mm:.1} at its centre line at the {corners} ({})",
                names.join(", "),
                bends.join(", ")
            )
        }
    };
    let last = wire.path_mm.len().saturating_sub(1);
    let along = |end: usize| -> f64 { wire.path_mm.windows(2).take(end).map(|p| p[0].distance(p[1])).sum() };
    let bend_radius_mm = [0, last / 2, last].map(|i| (along(i), radius_near(&wire.path_mm, i))).to_vec();
    Ok(WirePart {
        name,
        diameter_mm: wire.wire_mm,
        cut_length_mm: working.value,
        stands_out_mm: ends.map(|end| end.adds_mm().unwrap_or(0.0)),
        bend_radius_mm,
        workings: vec![working],
    })
}

/// Two wires that meet in a corner and are not alike.
pub(super) fn clashes(wires: &EdgeWires, edges: &[FlatEdge<'_>]) -> Vec<Concern> {
    let words = |edge: &FlatEdge<'_>| {
        let wired = edge.given.make_ups.iter().enumerate().find_map(|(index, own)| match own {
            MakeUp::Wired { wire_mm, turns, .. } => Some((index, *wire_mm, *turns)),
            _ => None,
        });
        wired.map_or_else(String::new, |(index, wire_mm, turns)| {
            let side = if turns == section::Side::Inside { "inside" } else { "outside" };
            let after = if index > 0 { " beyond a flange" } else { "" };
            format!("{wire_mm:.1} mm to the {side}{after}")
        })
    };
    let one = |[before, after]: &[usize; 2]| {
        let (before, after) = (edges.get(*before)?, edges.get(*after)?);
        let own = [words(before), words(after)];
        let (what, what_to_do) = if own[0] == own[1] {
            (
                "one wire cannot be carried round: the corner is too sharp, has no room for the bend, or the wires do not meet in it".to_owned(),
                "open or round the corner, give its edges one height, or give one of them a hem",
            )
        } else {
            (
                format!("they are not alike: {} against {}", own[0], own[1]),
                "wire both edges alike, with nothing before the wire or the same on both: it is then carried round in one; or give one of them a hem",
            )
        };
        Some(Concern {
            key: "skin-wires-meet".into(),
            grade: Grade::Stop,
            place: super::corner_of(&before.given.name, &after.given.name),
            what: format!("the wires of {} and {} meet in a corner: {what}", before.given.name, after.given.name),
            why: "two wires cannot end in one place, and one wire goes round a corner only at one height".into(),
            what_to_do: what_to_do.into(),
            lifted_by: Some(LiftedBy::Shop),
            source: "geometry (H10)".into(),
        })
    };
    wires.clashes.iter().filter_map(one).collect()
}

/// Workings of what a corner saves.
pub(super) fn workings(wires: &EdgeWires) -> Vec<Working> {
    let rounded = wires.wires.iter().filter(|wire| !wire.turns_rad.is_empty());
    rounded
        .map(|wire| {
            let radius_mm = CORNER_RADIUS_WIRES * wire.wire_mm;
            let saved_mm: f64 = wire.turns_rad.iter().map(|turn| WireCorner::new(wire.wire_mm, *turn).saves_mm()).sum();
            Working::new(
                "wire round the corner: shorter than its sharp corner by",
                saved_mm,
                "mm",
                "Σ R·(2·tan(φ/2) − φ)",
                Source::geometry("H10"),
            )
            .with(
                "R",
                "radius of its centre line, 1.5 wires (common practice, no source)",
                radius_mm,
                "mm",
            )
        })
        .collect()
}

/// Radius of the circle through three points of a line about one of them; none where it is as good as straight.
fn radius_near(line: &[DVec3], i: usize) -> Option<f64> {
    let n = line.len();
    let reach = (n / 8).clamp(1, 6);
    let middle = i.clamp(reach, n.checked_sub(reach + 1)?.max(reach));
    let (a, b, c) = (*line.get(middle - reach)?, *line.get(middle)?, *line.get(middle + reach)?);
    let sides = a.distance(b) * b.distance(c) * a.distance(c);
    let curvature = 2.0 * (b - a).cross(c - a).length() / sides;
    (curvature > STRAIGHT_PER_MM).then(|| 1.0 / curvature)
}
