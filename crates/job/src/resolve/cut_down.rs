//! A piece of one version, cut down, as a repair for another: what is cut off, and what then does not match.

use super::{JointChoice, ResolvedPiece, ResolvedShape, Source};
use crate::file::{MakeUp, Piece, Version};
use handbook::{Concern, Grade, Source as From, Working};
use section::Swept;
use units::{Reading, format_mm};

/// Sizes of a strip as its version is made.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct AsMade {
    piece: String,
    height_mm: f64,
    length_mm: f64,
}

/// What the quote says.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct CutDown {
    pub(super) words: String,
    pub(super) workings: Vec<Working>,
    pub(super) concerns: Vec<Concern>,
}

/// Sizes before anything is cut.
pub(super) fn as_made(source: &Source<'_>, pieces: &[ResolvedPiece]) -> Vec<AsMade> {
    if source.for_version.is_none() {
        return Vec::new();
    }
    let strips = pieces.iter().filter_map(|piece| match &piece.shape {
        ResolvedShape::Strip(strip) => Some(strip),
        _ => None,
    });
    strips
        .filter_map(|strip| {
            let own = source.pieces.iter().find(|piece| crate::read::piece_name(piece) == strip.name);
            let reading = Reading { bare_unit: source.unit, ..Reading::default() };
            let stretch = match own {
                Some(Piece::Strip(own)) => own
                    .stretch
                    .as_ref()
                    .and_then(|[from, to]| Some(to.length_mm(&reading).ok()? - from.length_mm(&reading).ok()?)),
                _ => None,
            };
            let length_mm = stretch.unwrap_or_else(|| strip.edge_line.length_mm());
            Some(AsMade { piece: strip.name.clone(), height_mm: height_mm(strip)?, length_mm })
        })
        .collect()
}

fn height_mm(strip: &section::Strip) -> Option<f64> {
    let swept = Swept::new(strip).ok()?;
    let stations = [strip.from_mm, 0.5 * (strip.from_mm + strip.to_mm), strip.to_mm];
    Some(stations.iter().map(|station| swept.skin_height_mm(*station)).fold(f64::INFINITY, f64::min))
}

/// Compares what was made with what its version is, and the two versions with one another.
pub(super) fn compare(
    source: &Source<'_>,
    before: &[AsMade],
    pieces: &[ResolvedPiece],
    joint: &JointChoice,
    place: &str,
) -> CutDown {
    let (Some(made_for), Some(wanted)) = (source.version, source.for_version) else { return CutDown::default() };
    let mut out = CutDown::default();
    let mut cut_off = Vec::new();
    for own in before {
        let Some(strip) = pieces.iter().find_map(|piece| match &piece.shape {
            ResolvedShape::Strip(strip) if strip.name == own.piece => Some(strip),
            _ => None,
        }) else {
            continue;
        };
        let lap_mm = if joint.is_stepped() { joint.lap_mm } else { 0.0 };
        let Some(now_mm) = height_mm(strip).map(|height| height + lap_mm) else { continue };
        let length_mm = strip.to_mm - strip.from_mm;
        for (what, full_mm, left_mm) in [("height", own.height_mm, now_mm), ("length", own.length_mm, length_mm)] {
            let off_mm = (full_mm - left_mm).max(0.0);
            if off_mm > 0.05 {
                cut_off.push(format!("{} of the {what} of {}", format_mm(off_mm, 1), own.piece));
            }
            out.workings.push(
                Working::new(
                    format!("cut off the {what} of {}", own.piece),
                    off_mm,
                    "mm",
                    "as its version is made − as it is wanted",
                    From::measured("the pattern's own sizes"),
                )
                .with("made", format!("{what} in version {}", made_for.title), full_mm, "mm")
                .with("wanted", format!("{what} of this piece"), left_mm, "mm"),
            );
        }
    }
    let off =
        if cut_off.is_empty() { "nothing is cut off".to_owned() } else { format!("cut off: {}", cut_off.join(", ")) };
    let differing = differing(source, made_for, wanted);
    let match_words = if differing.is_empty() {
        "nothing that the pattern knows of differs".to_owned()
    } else {
        format!("what then does not match: {}", differing.join("; "))
    };
    out.words = format!(
        ", made for version {}, offered cut down as a repair for version {}: {off}; {match_words}",
        made_for.title, wanted.title
    );
    out.concerns.push(super::note(
        "cut-down-for-another-version",
        Grade::Caution,
        place,
        [
            format!("this is the piece of version {}, cut down to repair version {}", made_for.title, wanted.title),
            format!("{off}; {match_words}"),
            "say so on the order, and hold it up before anything is cut".into(),
        ],
    ));
    out
}

/// Switches that stand differently, and measurements whose value differs.
fn differing(source: &Source<'_>, made_for: &Version, wanted: &Version) -> Vec<String> {
    let Some(pattern) = source.pattern else { return Vec::new() };
    let mut out = Vec::new();
    for switch in &pattern.switches {
        let (has, needs) = (source.is_on(Some(&switch.id), None), wanted.on.contains(&switch.id));
        match (has, needs) {
            (true, false) => out.push(format!("it has the {}, which the old panel has not", switch.title)),
            (false, true) => out.push(format!("it has no {}, which the old panel has", switch.title)),
            _ => {}
        }
    }
    for measurement in &pattern.measurements {
        let of = |version: &Version| measurement.nominal_mm(pattern.unit, Some(&version.id));
        if let (Some(own), Some(other)) = (of(made_for), of(wanted))
            && (own - other).abs() > 0.05
        {
            out.push(format!("{} is {}, there {}", measurement.title, format_mm(own, 1), format_mm(other, 1)));
        }
    }
    let uses = |make_up: &MakeUp| make_up.when.is_some() || make_up.unless.is_some();
    let edges_differ = pattern.pieces.iter().any(|piece| match piece {
        Piece::Strip(strip) => strip.finished_edge.iter().any(uses),
        _ => false,
    });
    if edges_differ && made_for.on != wanted.on {
        out.push("its finished edge may be made otherwise than the old one: look at the cross-section".into());
    }
    out
}
