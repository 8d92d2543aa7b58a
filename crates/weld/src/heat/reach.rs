//! How far from a weld the heat harms paint, sealer, glass and what lies behind the panel.

use super::{Seam, within};
use handbook::welding::{CLEAR_OF_HEAT_MM, CLEAR_OF_TEMPERATURE_C, Harmed, harmed};
use handbook::{RuleError, Source, Working};
use serde::Serialize;

/// How far one thing suffers.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reaches {
    /// What suffers.
    pub harmed: Harmed,
    /// Within which distance from the middle of the seam, by W8: an upper bound.
    pub distance: Working,
}

/// How far from the middle of the seam each thing suffers, hottest first. `half_width_mm` is half the width of the fused line. Things
/// that suffer at no more than the sheet's own temperature, or only when the sheet melts, are left out, and zinc where there is none.
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn harm(seam: &Seam, half_width_mm: f64, zinc_coated: bool) -> Result<Vec<Reaches>, RuleError> {
    harmed(&seam.metal, seam.start_c, zinc_coated)
        .map(|harmed| Ok(Reaches { distance: from_middle(seam, half_width_mm, harmed.from_c)?, harmed }))
        .collect()
}

/// Distance from the middle of the seam to be cleared of wiring, foam, wax, trim and sealer before heat: 150 mm, or where the
/// peak is 200 °C, whichever is more (C20).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn clear_distance_mm(seam: &Seam, half_width_mm: f64) -> Result<Working, RuleError> {
    // sheet that stands above 200 °C already is hot all over; the bare rule then says nothing, so the seam's own start is used
    let hot_mm = from_middle(seam, half_width_mm, CLEAR_OF_TEMPERATURE_C.max(seam.start_c + 1.0))?.value;
    let formula = "the larger of 150 mm and the distance of 200 °C";
    Ok(Working::new("clear of heat", CLEAR_OF_HEAT_MM.max(hot_mm), "mm", formula, Source::common_practice("C20")).with(
        "Y",
        "distance of 200 °C from the middle of the seam (W9)",
        hot_mm,
        "mm",
    ))
}

fn from_middle(seam: &Seam, half_width_mm: f64, peak_c: f64) -> Result<Working, RuleError> {
    let half = within("half the width of the fused line", half_width_mm, [0.0, 100.0], "mm")?;
    let beside = seam.distance_mm(peak_c)?;
    let value = half + beside.value;
    let named = Working { name: "distance from the middle of the seam".into(), value, ..beside };
    Ok(Working { formula: format!("b + {}", named.formula).into(), ..named }.with(
        "b",
        "half the width of the fused line",
        half,
        "mm",
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use handbook::materials::Material;
    use handbook::welding::{HARMED, thermal};

    fn seam(net_j_mm: f64) -> Seam {
        Seam::new(&thermal(Material::Dc01).unwrap(), 0.9, net_j_mm, 25.0).unwrap()
    }

    #[test]
    fn what_suffers_sooner_suffers_farther_out() {
        let reaches = harm(&seam(100.0), 2.0, true).unwrap();
        assert_eq!(reaches.len(), HARMED.len());
        assert!(harm(&seam(100.0), 2.0, false).unwrap().iter().all(|reach| reach.harmed.key != "zinc"));
        for pair in reaches.windows(2) {
            assert!(pair[0].distance.value <= pair[1].distance.value);
        }
    }

    #[test]
    fn the_cleared_distance_grows_only_with_a_very_hot_seam() {
        assert_eq!(clear_distance_mm(&seam(100.0), 3.0).unwrap().value, 150.0);
        // W9 is in proportion to the heat: 30.8 mm for 100 J/mm
        let hot = clear_distance_mm(&seam(600.0), 3.0).unwrap().value;
        assert!((hot - (3.0 + 6.0 * 30.82)).abs() < 0.02, "{hot}");
        assert!(clear_distance_mm(&seam(100.0), f64::NAN).is_err());
    }
}
