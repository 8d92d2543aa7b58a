//! Roll, weld the long seam, flatten ends, drill what could not be drilled flat.

use super::{List, Said, Size, counted, name};
use crate::PieceWork;
use blank::HoleFinish;
use units::format_mm;

pub(super) fn operations(list: &mut List<'_>, piece: &PieceWork<'_>) {
    let Some(tube) = &piece.tube else { return };
    roll(list, piece, tube);
    seam(list, piece, tube);
    flatten(list, piece, tube);
    drill(list, piece);
}

fn roll(list: &mut List<'_>, piece: &PieceWork<'_>, tube: &crate::TubeWork) {
    let radius = format_mm(tube.inside_radius_mm, 2);
    let rolls = list.settings.machines.rolls.as_ref();
    let rolled = rolls.is_some_and(|rolls| tube.inside_radius_mm + 1e-9 >= rolls.smallest_inside_radius_mm);
    let face = match piece.blank.face_up {
        blank::FaceUp::Inside => "towards the face that is up in the flat",
        blank::FaceUp::Outside => "away from the face that is up in the flat",
    };
    let mut settings = vec![format!("inside radius {radius}, {face}")];
    let what = if rolled {
        settings.push("set both edges over a bar first: the rolls leave them flat".into());
        if tube.girth_deg < 359.0 {
            "Roll the patch to its radius".to_owned()
        } else {
            "Roll the tube, a little tighter than closed".to_owned()
        }
    } else {
        settings.push("both edges first, then inwards from each side, a finger's width at a time".into());
        format!(
            "Form it by hand over a bar of {}, closing it with a soft mallet in a half-round block",
            format_mm(1.9 * tube.inside_radius_mm, 0)
        )
    };
    let checks = if tube.girth_deg < 359.0 {
        vec!["inside radius with a card; lies on a bar of the old diameter without rocking".into()]
    } else {
        vec![
            "edges meet without force and are level at both ends".into(),
            "round within half the wall, measured crosswise".into(),
        ]
    };
    let metres = tube.outside_diameter_mm.max(longest_mm(piece)) / 1000.0;
    // by hand it is worked along its whole length, bar by bar
    let each = if rolled { 1.0 } else { 4.0 };
    list.push("roll-tube", name(piece), Size { each, metres, ..Size::default() }, Said { what, settings, checks });
}

fn longest_mm(piece: &PieceWork<'_>) -> f64 {
    let [x_mm, _] = crate::work::bounds_mm(piece.blank);
    x_mm
}

fn seam(list: &mut List<'_>, piece: &PieceWork<'_>, tube: &crate::TubeWork) {
    if tube.seam_length_mm <= 0.0 {
        return;
    }
    let metres = tube.seam_length_mm / 1000.0;
    let said = Said {
        what: format!("Weld the long seam: {}", tube.seam),
        settings: vec![
            "tack both ends, then the middle, then halfway between; hose clips close beside each tack".into(),
            "short runs from the middle outwards, cool to hand warm between them".into(),
        ],
        checks: vec!["straight within half the wall, laid on a flat plate; not twisted".into()],
    };
    list.push("weld-seam", name(piece), Size { metres, ..Size::default() }, said);
    let said = Said {
        what: "Dress the long seam flush outside".into(),
        checks: vec!["outside diameter, twice crosswise".into()],
        ..Said::default()
    };
    list.push("dress", name(piece), Size { metres, ..Size::default() }, said);
}

fn flatten(list: &mut List<'_>, piece: &PieceWork<'_>, tube: &crate::TubeWork) {
    if tube.flattened.is_empty() {
        return;
    }
    let settings = tube
        .flattened
        .iter()
        .map(|(end, width_mm)| format!("{end}: until both walls touch, {} wide", format_mm(*width_mm, 1)))
        .collect();
    let said = Said {
        what: format!("Press {} flat between smooth jaws, trim the tip square", counted(tube.flattened.len(), "end")),
        settings,
        checks: vec!["both faces stand square to the line at the angle of the drawing".into()],
    };
    let each = tube.flattened.len() as f64;
    list.push("flatten-end", name(piece), Size { each, ..Size::default() }, said);
}

fn drill(list: &mut List<'_>, piece: &PieceWork<'_>) {
    let later: Vec<_> =
        piece.blank.openings.iter().filter(|opening| opening.finish == HoleFinish::AfterForming).collect();
    if later.is_empty() {
        return;
    }
    let mut settings: Vec<String> = later
        .iter()
        .map(|opening| {
            let size = opening.diameter_mm.map_or_else(String::new, |mm| format!(": {}", format_mm(mm, 1)));
            // one hole goes through both faces
            format!("{}{size}", opening.name.split(", ").next().unwrap_or(&opening.name))
        })
        .collect();
    settings.dedup();
    let said = Said {
        what: format!("Drill {} through both thicknesses", counted(settings.len(), "hole")),
        checks: vec!["from the trimmed tip, and on the middle of the flat".into()],
        settings,
    };
    let each = said.settings.len() as f64;
    list.push("drill-formed", name(piece), Size { each, ..Size::default() }, said);
}
