//! Cones and transitions: bend along the marked lines, close the seam, dress it.

use super::{List, Said, Size, counted, name};
use crate::PieceWork;
use blank::ruled::{RollLine, RollLineKind, RuledLayout};
use units::{format_deg, format_mm};

pub(super) fn operations(list: &mut List<'_>, piece: &PieceWork<'_>) {
    let Some(layout) = piece.ruled else { return };
    bend(list, piece, layout);
    close(list, piece, layout);
}

fn bend(list: &mut List<'_>, piece: &PieceWork<'_>, layout: &RuledLayout) {
    let rolled: Vec<&RollLine> = layout.lines.iter().filter(|line| line.kind == RollLineKind::Roll).collect();
    let (Some(first), Some(last)) = (rolled.first(), rolled.last()) else { return };
    let way = |line: &RollLine| if line.up { "up" } else { "down" };
    let mut settings = vec![format!(
        "lines {} to {}, each bent {} {} as seen on the face that is up; {} in all",
        first.number,
        last.number,
        bends(&rolled),
        way(first),
        format_deg(rolled.iter().map(|line| line.bend_rad.abs()).sum(), 1)
    )];
    if rolled.iter().any(|line| line.up != first.up) {
        settings.push("some lines bend the other way: see the table of lines".into());
    }
    settings.push("work from both ends towards the middle, a little at a time, always along a line".into());
    if layout.lines.iter().any(|line| line.kind == RollLineKind::Limit) {
        settings.push("between two limits without a number the sheet stays flat: do not bend there".into());
    } else {
        settings.push("rolls set closer at the short edge; the lines stay under the roll from end to end".into());
    }
    let said = Said {
        what: format!("Bend along {}", counted(rolled.len(), "line")),
        settings,
        checks: vec!["templates of both ends; the two ends of the sheet meet without force".into()],
    };
    list.push("bend-along-lines", name(piece), Size { each: rolled.len() as f64, ..Size::default() }, said);
}

/// "15.0°", or "12.4° to 15.0°".
fn bends(lines: &[&RollLine]) -> String {
    let angles = lines.iter().map(|line| line.bend_rad.abs());
    let (low, high) =
        angles.fold((f64::INFINITY, 0.0), |(low, high), angle| (f64::min(low, angle), f64::max(high, angle)));
    if high - low < 0.05f64.to_radians() {
        format_deg(high, 1)
    } else {
        format!("{} to {}", format_deg(low, 1), format_deg(high, 1))
    }
}

fn close(list: &mut List<'_>, piece: &PieceWork<'_>, layout: &RuledLayout) {
    if !layout.closed {
        return;
    }
    let [seam_mm, _] = layout.ends_mm;
    let metres = seam_mm / 1000.0;
    let to = if layout.own_seam { "its own other end" } else { "the next piece round the girth" };
    let how = if layout.lap_mm > 0.0 {
        format!("lap of {} behind, plugs or spots along it", format_mm(layout.lap_mm, 1))
    } else {
        "edge to edge, gap closed, copper behind".to_owned()
    };
    let said = Said {
        what: format!("Weld the seam of {} to {to}", format_mm(seam_mm, 1)),
        settings: vec![how, "tack both ends and the middle, check both openings, then short runs".into()],
        checks: vec!["both openings across and crosswise; the edges flush at the seam".into()],
    };
    list.push("weld-seam", name(piece), Size { metres, ..Size::default() }, said);
    let said = Said {
        what: "Dress the seam flush and true the openings over a stake".into(),
        checks: vec!["sizes of both ends".into()],
        ..Said::default()
    };
    list.push("dress", name(piece), Size { metres, ..Size::default() }, said);
}
