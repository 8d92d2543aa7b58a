//! Wheel, step, folds, gather, wire, hem.

use super::{List, Said, Size, counted, name};
use crate::work::{bounds_mm, line_length_mm};
use crate::{PieceShape, PieceWork};
use blank::flatten::shop_terms::EdgeForming;
use blank::skin::{RaiseBand, Work, wheel};
use blank::{CrownVerdict, FlatFold, FoldKind, LengthwiseLine};
use mesh::polygon::sagitta_mm;
use units::{format_deg, format_mm};

/// A fold line that leaves its chord by more than this cannot be made on a straight folder.
pub(crate) const STRAIGHT_WITHIN_MM: f64 = 1.0;

pub(super) fn operations(list: &mut List<'_>, piece: &PieceWork<'_>) {
    if piece.ring.is_some() {
        super::ring::operations(list, piece);
        return;
    }
    wheel(list, piece);
    raise(list, piece);
    gather_skin(list, piece);
    steps(list, piece);
    folds(list, piece);
    rolled(list, piece);
    gather(list, piece);
    wire(list, piece);
    hem(list, piece);
}

fn length_m(piece: &PieceWork<'_>) -> f64 {
    let [x_mm, y_mm] = bounds_mm(piece.blank);
    x_mm.max(y_mm) / 1000.0
}

fn wheel(list: &mut List<'_>, piece: &PieceWork<'_>) {
    let Some(crown) = &piece.blank.crown else { return };
    if crown.verdict == CrownVerdict::SpringsToShape {
        return;
    }
    let said = Said {
        what: format!(
            "Wheel the middle, or shrink both edges: {:.2} % at station {}",
            crown.strain_percent,
            format_mm(crown.station_mm, 0)
        ),
        settings: vec!["light passes, crossing; before the step is pressed".into()],
        checks: vec!["cross-section templates at their stations".into()],
    };
    list.push("wheel", name(piece), Size { metres: length_m(piece), ..Size::default() }, said);
}

/// Raising of a skin, band by band: minutes count by square metres times per cent.
fn raise(list: &mut List<'_>, piece: &PieceWork<'_>) {
    let Some(forming) = piece.forming else { return };
    let raised: Vec<&RaiseBand> = forming.bands.iter().filter(|band| band.work == Work::Stretch).collect();
    if raised.is_empty() {
        return;
    }
    let effort: f64 = raised.iter().map(|band| band.flat_area_mm2 / 1e6 * 100.0 * band.mean_raise).sum();
    let band_line = |band: &&RaiseBand| {
        let passes = band.passes.as_ref().map_or_else(String::new, |passes| {
            format!(", about {} of the wheel to begin with", wheel::counted(passes.value))
        });
        format!("{} over {:.0} cm²{passes}", band.label, band.flat_area_mm2 / 100.0)
    };
    let said = Said {
        what: "Raise the skin on the wheel band by band, highest figure first, as the map shows".into(),
        settings: raised.iter().rev().map(band_line).collect(),
        checks: vec![
            "each template on its own station line after every round, square to the line; light and even before it goes on".into(),
            format!("thinnest place {} after forming", format_mm(forming.thickness[0].thickness_mm, 2)),
        ],
    };
    list.push("raise-skin", name(piece), Size { square_metres: effort, ..Size::default() }, said);
}

/// Gathering of a skin: its bands that shrink, and what each named edge does.
fn gather_skin(list: &mut List<'_>, piece: &PieceWork<'_>) {
    let Some(forming) = piece.forming else { return };
    let shrunk: Vec<&RaiseBand> = forming.bands.iter().filter(|band| band.work == Work::Shrink).collect();
    let edges = forming.edges.iter().zip(&forming.edge_words);
    let gathered: Vec<(&EdgeForming, &String)> =
        edges.filter(|(edge, _)| edge.gather_mm_per_100_mm > GATHER_FROM_MM_PER_100_MM).collect();
    if shrunk.is_empty() && gathered.is_empty() {
        return;
    }
    let metres = gathered.iter().map(|(edge, _)| edge.flat_length_mm).sum::<f64>() / 1000.0;
    let bands = shrunk.iter().map(|band| format!("{} over {:.0} cm²", band.label, band.flat_area_mm2 / 100.0));
    let said = Said {
        what: "Gather the edges with the shrinker, before and between the rounds of raising".into(),
        settings: gathered.iter().map(|(_, words)| (*words).clone()).chain(bands).collect(),
        checks: vec!["length of each finished edge along the outside face; templates on their station lines".into()],
    };
    list.push("gather-skin", name(piece), Size { metres, ..Size::default() }, said);
}

fn steps(list: &mut List<'_>, piece: &PieceWork<'_>) {
    for step in &piece.steps {
        let said = Said {
            what: "Press the step along the cut edge, towards the inside, while the edge still lies flat".into(),
            settings: vec![
                format!("step {} deep", format_mm(step.depth_mm, 2)),
                format!("step line {} from the edge", format_mm(step.lap_mm, 1)),
            ],
            checks: vec!["an offcut of the old thickness lies flush in the step".into()],
        };
        list.push("joggle", name(piece), Size { metres: step.length_mm / 1000.0, ..Size::default() }, said);
    }
}

fn of_kind<'a>(piece: &'a PieceWork<'_>, kind: FoldKind) -> Vec<&'a FlatFold> {
    piece.blank.folds.iter().filter(|fold| fold.kind == kind).collect()
}

fn fold_line(fold: &FlatFold) -> String {
    let way = if fold.up { "up" } else { "down" };
    let [start, end] = fold.bend_angle_rad;
    let asked = if (start - end).abs() < 1e-9 {
        format_deg(start, 1)
    } else {
        format!("{} at the start to {} at the end", format_deg(start, 1), format_deg(end, 1))
    };
    let to = match fold.fold_to_rad {
        Some([a, b]) if (a - b).abs() < 1e-9 => format!("fold to {}", format_deg(a, 1)),
        Some([a, b]) => format!("fold to {} at the start, {} at the end", format_deg(a, 1), format_deg(b, 1)),
        None => "does not set: form over a smaller radius".into(),
    };
    let sight = if fold.sight_mm.is_empty() { "" } else { "; sight line one radius from the tangent line" };
    format!(
        "{}: {way}, bend angle {asked} from flat, {to}; inside radius {}{sight}",
        fold.name,
        format_mm(fold.inside_radius_mm, 1)
    )
}

fn folds(list: &mut List<'_>, piece: &PieceWork<'_>) {
    let all = of_kind(piece, FoldKind::Fold);
    let (straight, curved): (Vec<&FlatFold>, Vec<&FlatFold>) =
        all.into_iter().partition(|fold| sagitta_mm(&fold.centre_mm) <= STRAIGHT_WITHIN_MM);
    // the templates of a skin end where its folds begin
    let against = if piece.shape == PieceShape::Skin { "a bevel set to its opening angle" } else { "the template" };
    let checks = vec![format!("angle against {against} at both ends and the middle")];
    if !straight.is_empty() {
        let twisting = straight.iter().any(|fold| (fold.bend_angle_rad[0] - fold.bend_angle_rad[1]).abs() > 0.01);
        let mut settings: Vec<String> = straight.iter().map(|fold| fold_line(fold)).collect();
        if twisting {
            settings
                .push("fold to the smaller angle, then close the other end over a block, checking as it goes".into());
        }
        let what = format!("Fold: {}", counted(straight.len(), "fold"));
        let said = Said { what, settings, checks: checks.clone() };
        list.push("fold", name(piece), Size { each: straight.len() as f64, ..Size::default() }, said);
    }
    if !curved.is_empty() {
        let metres: f64 = curved.iter().map(|fold| line_length_mm(&fold.centre_mm)).sum::<f64>() / 1000.0;
        let mut settings: Vec<String> = curved.iter().map(|fold| fold_line(fold)).collect();
        settings.push(
            "curved fold: turn it over a form where one is drawn, otherwise over a stake or with the edge rollers, in several passes, 20° at a time".into(),
        );
        let what = format!("Turn {} on a curved line", counted(curved.len(), "fold"));
        list.push(
            "fold-curved",
            name(piece),
            Size { each: curved.len() as f64, metres, ..Size::default() },
            Said { what, settings, checks },
        );
    }
}

/// A rolled bend below this angle springs to shape when the piece is clamped, and is not rolled.
const SPRINGS_RAD: f64 = 2.0 * std::f64::consts::PI / 180.0;

fn rolled(list: &mut List<'_>, piece: &PieceWork<'_>) {
    let mut rolled = of_kind(piece, FoldKind::Rolled);
    rolled.retain(|fold| fold.bend_angle_rad.iter().any(|angle| angle.abs() >= SPRINGS_RAD));
    if rolled.is_empty() {
        return;
    }
    let said = Said {
        what: format!("Roll {}", counted(rolled.len(), "bend")),
        settings: rolled.iter().map(|fold| fold_line(fold)).collect(),
        checks: vec!["cross-section templates".into()],
    };
    list.push("roll", name(piece), Size { each: rolled.len() as f64, ..Size::default() }, said);
}

/// Least overall change of length that needs a shrinker or stretcher: 0.1 mm per 100 mm, the yield strain (W30).
const GATHER_FROM_MM_PER_100_MM: f64 = 0.1;

fn gather(list: &mut List<'_>, piece: &PieceWork<'_>) {
    let of_skin = |line: &&LengthwiseLine| {
        piece.forming.iter().flat_map(|forming| &forming.edges).any(|edge| edge.name == line.name)
    };
    let worked: Vec<_> = piece
        .blank
        .lengthwise
        .iter()
        .filter(|line| !line.held && line.mm_per_100_mm.abs() > GATHER_FROM_MM_PER_100_MM && !of_skin(line))
        .collect();
    if worked.is_empty() {
        return;
    }
    let settings = worked
        .iter()
        .map(|line| {
            let verb = if line.mm_per_100_mm < 0.0 { "gather" } else { "let out" };
            format!("{}: {verb} {:.2} mm per 100 mm", line.name, line.mm_per_100_mm.abs())
        })
        .collect();
    let metres = worked.iter().map(|line| line.in_flat_mm).fold(0.0, f64::max) / 1000.0;
    let what = "Gather and let out the edges to the line of the vehicle".into();
    let own = if piece.shape == PieceShape::Skin { "tape along it" } else { "edge template" };
    let checks = vec![format!("{own}; length of the free edge")];
    list.push("gather", name(piece), Size { metres, ..Size::default() }, Said { what, settings, checks });
}

fn wire(list: &mut List<'_>, piece: &PieceWork<'_>) {
    for wire in &piece.blank.wires {
        let metres = wire.cut_length_mm / 1000.0;
        // stations count from the pattern's own start, which a wire on the bench does not have
        let places = ["at the start", "in the middle", "at the end"];
        let radii = wire.bend_radius_mm.iter().zip(places).map(|((_, radius), place)| match radius {
            Some(radius_mm) => format!("{place}: centre-line radius {}", format_mm(*radius_mm, 0)),
            None => format!("{place}: straight"),
        });
        let said = Said {
            what: format!(
                "Cut {} wire {} long and pre-bend it to the edge template",
                format_mm(wire.diameter_mm, 2),
                format_mm(wire.cut_length_mm, 1)
            ),
            settings: radii.collect(),
            checks: vec![format!(
                "stands out {} at the start and {} at the end",
                format_mm(wire.stands_out_mm[0], 0),
                format_mm(wire.stands_out_mm[1], 0)
            )],
        };
        list.push("pre-bend-wire", name(piece), Size { metres, ..Size::default() }, said);
        let curl = of_kind(piece, FoldKind::Curl);
        let mut settings: Vec<String> = curl
            .iter()
            .map(|fold| {
                let way = if fold.up { "up" } else { "down" };
                let side = match fold.turns {
                    section::Side::Inside => "the inside",
                    section::Side::Outside => "the outside",
                };
                format!(
                    "{}: turn {way} in the flat, towards {side} of the vehicle, from the marked tangent line",
                    fold.name
                )
            })
            .collect();
        settings.push("90° first, lay the wire in, close by steps from the middle outwards".into());
        let said = Said {
            what: "Wire the edge: turn, lay in the wire, close the curl".into(),
            settings,
            checks: vec!["calliper over the finished curl: wire + 2 × thickness".into()],
        };
        list.push("wire-edge", name(piece), Size { metres, ..Size::default() }, said);
    }
}

fn hem(list: &mut List<'_>, piece: &PieceWork<'_>) {
    let hems = of_kind(piece, FoldKind::Hem);
    if hems.is_empty() {
        return;
    }
    let metres: f64 = hems.iter().map(|fold| line_length_mm(&fold.centre_mm)).sum::<f64>() / 1000.0;
    let said = Said {
        what: "Prime inside the fold, then turn the hem past 90° and close it".into(),
        settings: hems.iter().map(|fold| fold_line(fold)).collect(),
        checks: vec!["height from the finished edge".into()],
    };
    list.push("hem", name(piece), Size { metres, ..Size::default() }, said);
}
