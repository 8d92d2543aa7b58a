//! The shop's test strip in a weld file.

use super::{WeldFileError, fault, length_mm};
use crate::metal::WeldMetal;
use crate::shrinkage::{Reading, ShopFactors, TestStrip};
use serde::Deserialize;
use units::{Dimension, Reading as InUnits};

/// A strip of the panel's own metal, as it was welded and measured.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Strip {
    width: Dimension,
    length: Dimension,
    thickness: Dimension,
    run_j_mm: f64,
    fused_width: Dimension,
    gap: Option<Dimension>,
    seam_from_middle: Option<Dimension>,
    shortening: Option<Dimension>,
    bow: Option<Dimension>,
    width_loss: Option<Dimension>,
    reach: Dimension,
}

/// What the shop's welds do against the published rules.
pub(super) fn factors(strip: &Strip, metal: &WeldMetal) -> Result<ShopFactors, WeldFileError> {
    let place = |field: &str| format!("test_strip.{field}");
    let whole = |field: &str, given: &Dimension| length_mm(&place(field), Some(given), 0.0);
    let thickness = strip.thickness.thickness_mm(&InUnits::default());
    let reach_mm = whole("reach", &strip.reach)?;
    let reading = |field: &str, given: &Option<Dimension>| {
        let value = given.as_ref().map(|given| whole(field, given)).transpose()?;
        Ok::<_, WeldFileError>(value.map(|value_mm| Reading { value_mm, reach_mm }))
    };
    let welded = TestStrip {
        width_mm: whole("width", &strip.width)?,
        length_mm: whole("length", &strip.length)?,
        thickness_mm: thickness.map_err(|error| fault(place("thickness"), error.to_string()))?,
        net_j_mm: strip.run_j_mm,
        fused_width_mm: whole("fused_width", &strip.fused_width)?,
        gap_mm: length_mm(&place("gap"), strip.gap.as_ref(), 0.0)?,
        seam_from_middle_mm: length_mm(&place("seam_from_middle"), strip.seam_from_middle.as_ref(), 0.0)?,
        shortening: reading("shortening", &strip.shortening)?,
        bow: reading("bow", &strip.bow)?,
        width_loss: reading("width_loss", &strip.width_loss)?,
    };
    welded.factors(metal).map(|(factors, _)| factors).map_err(|error| fault("test_strip", error.to_string()))
}
