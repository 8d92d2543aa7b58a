//! Plug welds in body sheet.

use super::spot::spot_row;
use super::{JointFigures, JointKind, Sheets, thinner};
use crate::error::RuleError;
use crate::shop_rules::ShopRules;
use crate::working::{Source, Working};

pub(super) fn plug(kind: JointKind, sheets: Sheets, rules: &ShopRules) -> Result<JointFigures, RuleError> {
    let t = thinner(sheets)?;
    let hole = plug_hole(sheets, rules)?;
    let (table_mm, _, _) = spot_row(t)?;
    let overlap_mm = table_mm.max(2.0 * hole.value);
    let overlap = Working::new(
        "overlap",
        overlap_mm,
        "mm",
        "the larger of the spot-weld overlap and two hole diameters",
        Source::common_practice("W41"),
    )
    .with("spot", "overlap of spot welds in this sheet", table_mm, "mm")
    .with("hole", "plug hole", hole.value, "mm");
    let [least, most] = rules.plug_pitch_mm;
    let pitch = Working::new(
        "plug pitch",
        most,
        "mm",
        "25 to 40 mm, or the original spot pitch",
        Source::common_practice("H9"),
    )
    .with("least", "least pitch", least, "mm");
    Ok(JointFigures {
        kind,
        overlap_mm,
        pitch_mm: rules.plug_pitch_mm,
        hole_mm: Some(hole.value),
        nugget_mm: None,
        gap_mm: None,
        workings: vec![overlap, hole, pitch, other_practice_plug_hole()],
    })
}

/// Plug hole in the sheet nearest the torch (H9): 5 to 6 mm in skins of 0.8 to 1.0 mm, 6 to 8 where it bears load or one
/// sheet is at least 1.2 mm.
///
/// # Errors
/// As [`super::joint`].
pub fn plug_hole(sheets: Sheets, rules: &ShopRules) -> Result<Working, RuleError> {
    thinner(sheets)?;
    let heavy = sheets.load_bearing || sheets.front_mm.max(sheets.back_mm) >= 1.2;
    let (hole_mm, formula) = if heavy {
        (rules.plug_hole_heavy_mm, "6 to 8 mm: bears load, or a sheet of 1.2 mm or more")
    } else {
        (rules.plug_hole_skin_mm, "5 to 6 mm in outer skin")
    };
    Ok(Working::new("plug hole", hole_mm, "mm", formula, Source::common_practice("H9"))
        .with("t₁", "sheet nearest the torch", sheets.front_mm, "mm")
        .with("t₂", "sheet behind", sheets.back_mm, "mm"))
}

/// What another practice note punches in sheet of 0.8 to 1.0 mm (W47, low authority): larger than H9, which is followed.
pub fn other_practice_plug_hole() -> Working {
    let source = Source::text("practice note for car bodies, low authority; H9 is followed", "W47");
    Working::new(
        "plug hole of another practice note",
        7.5,
        "mm",
        "0.8 to 1.0 mm sheet, pitch 25 to 40 mm or the old one",
        source,
    )
}
