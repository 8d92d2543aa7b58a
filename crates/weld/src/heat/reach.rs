//! How far from a weld the heat harms paint, sealer, glass and what lies behind the panel.

use super::{DotHeat, Seam, within};
use handbook::welding::{CLEAR_OF_HEAT_MM, CLEAR_OF_TEMPERATURE_C, Harmed, Thermal, harmed};
use handbook::{RuleError, Source, Working};
use serde::Serialize;

/// How far one thing suffers.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reaches {
    /// What suffers.
    pub harmed: Harmed,
    /// Within which distance from the middle of the weld: an upper bound.
    pub distance: Working,
}

/// A weld beside which the sheet gets hot.
pub trait Beside {
    /// Metal of the sheet.
    fn metal(&self) -> &Thermal;
    /// Sheet before the arc, °C.
    fn start_c(&self) -> f64;
    /// Distance from the middle of the weld within which a peak temperature was passed, mm.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`].
    fn reach_mm(&self, peak_c: f64) -> Result<Working, RuleError>;
}

/// A seam with half the width of its fused line, by W8.
#[derive(Debug, Clone, Copy)]
pub struct SeamWithPool<'a> {
    /// The seam.
    pub seam: &'a Seam,
    /// Half the width of the fused line, mm.
    pub half_width_mm: f64,
}

impl Beside for SeamWithPool<'_> {
    fn metal(&self) -> &Thermal {
        &self.seam.metal
    }

    fn start_c(&self) -> f64 {
        self.seam.start_c
    }

    fn reach_mm(&self, peak_c: f64) -> Result<Working, RuleError> {
        let half = within("half the width of the fused line", self.half_width_mm, [0.0, 100.0], "mm")?;
        let beside = self.seam.distance_mm(peak_c)?;
        let value = half + beside.value;
        let named = Working { name: "distance from the middle of the seam".into(), value, ..beside };
        Ok(Working { formula: format!("b + {}", named.formula).into(), ..named }.with(
            "b",
            "half the width of the fused line",
            half,
            "mm",
        ))
    }
}

impl Beside for DotHeat {
    fn metal(&self) -> &Thermal {
        &self.metal
    }

    fn start_c(&self) -> f64 {
        self.start_c
    }

    fn reach_mm(&self, peak_c: f64) -> Result<Working, RuleError> {
        self.distance_mm(peak_c)
    }
}

/// How far from the middle of a weld each thing suffers, hottest first. Things that suffer at no more than the sheet's own temperature, or only
/// when the sheet melts, are left out, and zinc where there is none.
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn harm(weld: &dyn Beside, zinc_coated: bool) -> Result<Vec<Reaches>, RuleError> {
    harmed(weld.metal(), weld.start_c(), zinc_coated)
        .map(|harmed| Ok(Reaches { distance: weld.reach_mm(harmed.from_c)?, harmed }))
        .collect()
}

/// Distance from the middle of a weld to be cleared of wiring, foam, wax, trim and sealer before heat: 150 mm, or where the
/// peak is 200 °C, whichever is more (C20).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn clear_distance_mm(weld: &dyn Beside) -> Result<Working, RuleError> {
    // sheet that stands above 200 °C already is hot all over; the bare rule then says nothing, so the seam's own start is used
    let hot_mm = weld.reach_mm(CLEAR_OF_TEMPERATURE_C.max(weld.start_c() + 1.0))?.value;
    let formula = "the larger of 150 mm and the distance of 200 °C";
    Ok(Working::new("clear of heat", CLEAR_OF_HEAT_MM.max(hot_mm), "mm", formula, Source::common_practice("C20")).with(
        "Y",
        "distance of 200 °C from the middle of the weld",
        hot_mm,
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

    fn pool(seam: &Seam, half_width_mm: f64) -> SeamWithPool<'_> {
        SeamWithPool { seam, half_width_mm }
    }

    /// A plug of 630 J harms far less sheet than a seam of 100 J/mm, and 150 mm behind it are cleared all the same.
    #[test]
    fn a_plug_harms_less_than_a_seam() {
        let dot = DotHeat::new(&thermal(Material::Dc01).unwrap(), 0.9, 630.0, 50.0).unwrap();
        let (of_dot, of_seam) = (harm(&dot, false).unwrap(), harm(&pool(&seam(100.0), 3.0), false).unwrap());
        for reach in &of_dot {
            let seam = of_seam.iter().find(|own| own.harmed.key == reach.harmed.key).unwrap();
            assert!(reach.distance.value < seam.distance.value, "{reach:?}");
        }
        assert_eq!(clear_distance_mm(&dot).unwrap().value, 150.0);
    }

    #[test]
    fn what_suffers_sooner_suffers_farther_out() {
        let reaches = harm(&pool(&seam(100.0), 2.0), true).unwrap();
        assert_eq!(reaches.len(), HARMED.len());
        assert!(harm(&pool(&seam(100.0), 2.0), false).unwrap().iter().all(|reach| reach.harmed.key != "zinc"));
        for pair in reaches.windows(2) {
            assert!(pair[0].distance.value <= pair[1].distance.value);
        }
    }

    #[test]
    fn the_cleared_distance_grows_only_with_a_very_hot_seam() {
        assert_eq!(clear_distance_mm(&pool(&seam(100.0), 3.0)).unwrap().value, 150.0);
        // W9 is in proportion to the heat: 30.8 mm for 100 J/mm
        let hot = clear_distance_mm(&pool(&seam(600.0), 3.0)).unwrap().value;
        assert!((hot - (3.0 + 6.0 * 30.82)).abs() < 0.02, "{hot}");
        assert!(clear_distance_mm(&pool(&seam(100.0), f64::NAN)).is_err());
    }
}
