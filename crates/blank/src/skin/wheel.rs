//! How many passes of the wheel raise a sheet by how much, from the shop's own trial strip.
//!
//! Model: the area grows in proportion to the passes, and a pass moves less of a thicker or stronger sheet, in inverse proportion to
//! thickness × K. Both are rules of thumb without source: the figure is a first guess for the traveller, and the templates decide.
//! A pass is once over the whole of the area, one way.

use super::error::SkinError;
use super::piece::within;
use crate::material_of;
use handbook::{Source, Working};
use serde::{Deserialize, Serialize};

/// Passes that raise a given sheet by 1 % of its area.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WheelCalibration {
    /// Material key.
    pub material: String,
    /// Sheet.
    pub thickness_mm: f64,
    /// Passes for 1 %.
    pub passes_per_percent: f64,
    /// How the figure came about.
    pub working: Working,
}

impl Default for WheelCalibration {
    /// 8 passes for 1 % on 0.9 mm mild steel: shop setting, no source.
    fn default() -> Self {
        let passes = 8.0;
        let source = Source::shop_setting("shop setting, no source; wheel a trial strip and type it in");
        Self {
            material: "mild_steel".into(),
            thickness_mm: 0.9,
            passes_per_percent: passes,
            working: Working::new("passes of the wheel for 1 %", passes, "", "as set", source),
        }
    }
}

/// "1 pass", "17 passes": begun passes count whole.
#[must_use]
pub fn counted(passes: f64) -> String {
    let whole = passes.ceil();
    if whole < 1.5 { "1 pass".to_owned() } else { format!("{whole:.0} passes") }
}

/// A strip of the shop's own sheet, measured, wheeled and measured again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WheelTrial {
    /// Material key.
    pub material: String,
    /// Sheet.
    pub thickness_mm: f64,
    /// Passes over the whole of it.
    pub passes: f64,
    /// Length and width between scribed lines before, along the surface, mm.
    pub before_mm: [f64; 2],
    /// The same after.
    pub after_mm: [f64; 2],
    /// Reach (±) of one reading, mm.
    pub reading_mm: f64,
}

impl WheelTrial {
    /// Passes for 1 % of area, with the reach that the readings leave.
    ///
    /// # Errors
    /// [`SkinError::OutOfRange`]: a figure out of range, or growth that the readings cannot tell from none.
    pub fn calibration(&self) -> Result<WheelCalibration, SkinError> {
        within("the thickness of the trial strip", self.thickness_mm, 0.2, 6.0, "0.2 to 6 mm")?;
        within("the number of passes", self.passes, 1.0, 10_000.0, "1 to 10 000")?;
        within("the reach of a reading", self.reading_mm, 0.0, 10.0, "0 to 10 mm")?;
        let names = ["length before", "width before", "length after", "width after"];
        for (name, mm) in names.iter().zip(self.before_mm.iter().chain(&self.after_mm)) {
            within(&format!("the {name}"), *mm, 10.0, 3000.0, "10 to 3000 mm")?;
        }
        let [l0, w0] = self.before_mm;
        let [l1, w1] = self.after_mm;
        let raise = l1 * w1 / (l0 * w0) - 1.0;
        // readings err independently: relative errors of the four add as squares
        let relative: f64 = [l0, w0, l1, w1].iter().map(|mm| (self.reading_mm / mm).powi(2)).sum();
        let reach = relative.sqrt() * (1.0 + raise);
        let growth = "growth by more than the readings may err, and at most 0.5,";
        within("the growth of the strip's area", raise, reach.max(1e-4), 0.5, growth)?;
        let passes = self.passes / (100.0 * raise);
        let source = Source::measured("the shop's own trial strip");
        let working = Working::new("passes of the wheel for 1 %", passes, "", "p/(100·(l1·w1/(l0·w0) − 1))", source)
            .with("p", "passes over the strip", self.passes, "")
            .with("l0", "length before", l0, "mm")
            .with("w0", "width before", w0, "mm")
            .with("l1", "length after", l1, "mm")
            .with("w1", "width after", w1, "mm")
            .reach(passes * reach / raise);
        Ok(WheelCalibration {
            material: self.material.clone(),
            thickness_mm: self.thickness_mm,
            passes_per_percent: passes,
            working,
        })
    }
}

/// Passes that raise a sheet by a share of its area, by the calibration nearest in metal and thickness; 0 where it is not raised.
#[must_use]
pub fn passes(calibrations: &[WheelCalibration], material: &str, thickness_mm: f64, raise: f64) -> Working {
    let usual = WheelCalibration::default();
    let nearest = calibrations.iter().min_by(|a, b| {
        let far = |c: &WheelCalibration| (c.material != material, (c.thickness_mm / thickness_mm).ln().abs());
        let (a, b) = (far(a), far(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    let by = nearest.unwrap_or(&usual);
    let strength = |key: &str| material_of(key).map(|metal| metal.properties().strength_coefficient_n_mm2);
    // an unknown metal counts as strong as the trial's
    let stronger = strength(material).zip(strength(&by.material)).map_or(1.0, |(own, trial)| own / trial);
    let thicker = thickness_mm / by.thickness_mm;
    let percent = 100.0 * raise.max(0.0);
    let count = by.passes_per_percent * percent * thicker * stronger;
    let mut working = Working::new("passes of the wheel", count, "", "p1·y·(t/t1)·(K/K1)", by.working.source.clone())
        .with("p1", "passes for 1 % of the trial strip's sheet", by.passes_per_percent, "")
        .with("y", "raise", percent, "%")
        .with("t/t1", "thickness over the trial strip's", thicker, "")
        .with("K/K1", "strength over the trial strip's", stronger, "");
    if let Some(reach) = by.working.reach {
        working = working.reach(count * reach / by.passes_per_percent);
    }
    working
}

#[cfg(test)]
mod tests {
    use super::*;
    use handbook::SourceKind;

    fn trial() -> WheelTrial {
        WheelTrial {
            material: "dc04".into(),
            thickness_mm: 0.9,
            passes: 20.0,
            before_mm: [200.0, 50.0],
            after_mm: [203.0, 50.25],
            reading_mm: 0.1,
        }
    }

    /// 203 × 50.25 over 200 × 50 is 1.020075: 20 passes for 2.0075 %.
    #[test]
    fn a_trial_strip_gives_the_figure_and_its_reach() {
        let found = trial().calibration().unwrap();
        assert!((found.passes_per_percent - 20.0 / 2.0075).abs() < 1e-9, "{}", found.passes_per_percent);
        // two readings of 50 dominate: √2·0.1/50 = 0.28 % of area, of 2 % raise
        let reach = found.working.reach.unwrap() / found.passes_per_percent;
        assert!((reach - 0.00293 * 1.02 / 0.020075).abs() < 2e-3, "{reach}");
        let three = passes(std::slice::from_ref(&found), "dc04", 0.9, 0.03);
        assert!((three.value - 3.0 * found.passes_per_percent).abs() < 1e-9);
        assert_eq!(three.source.kind, SourceKind::Measured);
    }

    #[test]
    fn the_own_metal_and_the_nearest_thickness_are_chosen() {
        let of = |material: &str, thickness_mm, passes_per_percent| WheelCalibration {
            material: material.into(),
            thickness_mm,
            passes_per_percent,
            ..WheelCalibration::default()
        };
        let known = [of("aluminium1050a_o", 0.9, 1.0), of("dc04", 1.5, 15.0), of("dc04", 1.0, 10.0)];
        assert!((passes(&known, "dc04", 1.0, 0.01).value - 10.0).abs() < 1e-12);
        assert_eq!(passes(&[], "dc04", 1.0, 0.01).source.kind, SourceKind::ShopSetting);
        assert_eq!(passes(&known, "dc04", 1.0, -0.05).value, 0.0);
    }

    #[test]
    fn growth_within_the_readings_is_refused_by_name() {
        let none = WheelTrial { after_mm: [200.1, 50.0], ..trial() };
        assert!(none.calibration().unwrap_err().to_string().contains("growth"));
        assert!(WheelTrial { passes: f64::NAN, ..trial() }.calibration().unwrap_err().to_string().contains("passes"));
    }
}
