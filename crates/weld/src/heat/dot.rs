//! Heat of a plug, spot or tack: how hot it gets beside one, and how soon the place has cooled.
//!
//! An instant source of heat Q through the thickness of a wide sheet: T − T0 = Q/(4π·k·t·τ)·exp(−r²/(4a·τ) − 2h·τ/(ρC·t)) (H. S. Carslaw,
//! J. C. Jaeger, Conduction of Heat in Solids, instantaneous line source, section 10.3, from memory). Without loss its peak at a distance r comes at
//! τ = r²/4a and is Q/(π·e·ρC·t·r²).

use super::root::pause_until_s;
use super::{SeamLoss, start_c, thickness, within};
use handbook::welding::{PLUG_KEEPS, PLUG_KEEPS_RANGE, Thermal};
use handbook::{RuleError, Source, Working};
use std::f64::consts::{E, PI};

/// One dot in sheet. Of two sheets that lap give the thickness of one: beyond the lap one carries the heat away on either side.
#[derive(Debug, Clone, PartialEq)]
pub struct DotHeat {
    pub(super) metal: Thermal,
    thickness_mm: f64,
    heat_j: f64,
    pub(super) start_c: f64,
}

fn source() -> Source {
    Source::text("Carslaw and Jaeger, Conduction of Heat in Solids, section 10.3 (from memory)", "")
}

impl DotHeat {
    /// A dot of net heat in sheet that stood at `start`.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`].
    pub fn new(metal: &Thermal, thickness_mm: f64, heat_j: f64, start: f64) -> Result<Self, RuleError> {
        Ok(Self {
            metal: metal.clone(),
            thickness_mm: thickness(thickness_mm)?,
            heat_j: within("net heat of a dot", heat_j, [1.0, 1e5], "J")?,
            start_c: start_c(start, metal.melting_c)?,
        })
    }

    fn inputs(&self, working: Working) -> Working {
        working
            .with("Q", "net heat of the dot", self.heat_j, "J")
            .with("t", "thickness", self.thickness_mm, "mm")
            .with("ρC", "heat capacity of a volume", self.metal.heat_capacity_j_mm3_k, "J/(mm³·K)")
            .with("T0", "sheet before the arc", self.start_c, "°C")
    }

    /// Distance from the middle of the dot within which a peak temperature was passed, mm. No surface loss: an upper bound.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`] unless the temperature lies above the sheet's before the arc and at or below melting.
    pub fn distance_mm(&self, peak_c: f64) -> Result<Working, RuleError> {
        let peak = within("peak temperature", peak_c, [self.start_c + 1.0, self.metal.melting_c], "°C")?;
        let volume = PI * E * self.metal.heat_capacity_j_mm3_k * self.thickness_mm;
        let value = (self.heat_j / (volume * (peak - self.start_c))).sqrt();
        let named = Working::new("distance from the middle of a dot", value, "mm", "√(Q/(π·e·ρC·t·(Tp−T0)))", source());
        Ok(self.inputs(named).with("Tp", "peak temperature", peak, "°C"))
    }

    /// Temperature of its place over that before the arc, some time after, K.
    fn rise_k(&self, after_s: f64, decay_per_s: f64) -> f64 {
        self.heat_j / (4.0 * PI * self.metal.conductivity_w_mm_k * self.thickness_mm * after_s)
            * (-decay_per_s * after_s).exp()
    }

    /// Pause until its place has cooled to `cool_c`, s.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`], also when the temperature is not reached within a day.
    pub fn pause_s(&self, cool_c: f64, loss: &SeamLoss) -> Result<Working, RuleError> {
        let beta = loss.decay_per_s(&self.metal, self.thickness_mm)?;
        let pause = pause_until_s(cool_c, [self.start_c, self.metal.melting_c], |s| self.rise_k(s, beta))?;
        let formula = "τ where Q/(4π·k·t·τ)·exp(−βτ) = T − T0";
        let named = Working::new("pause at one dot", pause, "s", formula, source());
        Ok(self
            .inputs(named)
            .with("k", "conductivity", self.metal.conductivity_w_mm_k, "W/(mm·K)")
            .with("β", "loss of both faces over ρC·t", beta, "1/s")
            .with("T", "cool enough", cool_c, "°C"))
    }
}

/// What melts a disc of a diameter through all its sheets, with what flows away meanwhile, J.
pub(crate) fn melts_plug_j(metal: &Thermal, diameter_mm: f64, sheets_mm: f64) -> f64 {
    0.25 * PI * diameter_mm * diameter_mm * sheets_mm * metal.melting_energy_j_mm3 / PLUG_KEEPS
}

/// Heat of a plug, J: what melts a disc of its diameter through all its sheets, with what flows away meanwhile. Its reach is half the spread of the
/// share that stays in the plug, which is an estimate.
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn plug_heat(metal: &Thermal, diameter_mm: f64, sheets_mm: f64) -> Result<Working, RuleError> {
    let diameter = within("diameter of a plug", diameter_mm, [1.0, 30.0], "mm")?;
    let sheets = within("sheets of a plug together", sheets_mm, [0.1, 20.0], "mm")?;
    let formula = "π/4·d²·T·u/s";
    let source = Source::text(
        "M. P. Groover, Fundamentals of Modern Manufacturing, unit energy for melting (from memory); what flows away is an estimate",
        "",
    );
    let value = melts_plug_j(metal, diameter, sheets);
    let [most, least] = PLUG_KEEPS_RANGE.map(|share| value * PLUG_KEEPS / share);
    Ok(Working::new("heat of a plug", value, "J", formula, source)
        .reach(0.5 * (most - least))
        .with("d", "diameter", diameter, "mm")
        .with("T", "all sheets", sheets, "mm")
        .with("u", "melts a volume", metal.melting_energy_j_mm3, "J/mm³")
        .with("s", "share that stays in the plug, 0.5 to 0.9 (an estimate)", PLUG_KEEPS, ""))
}

#[cfg(test)]
mod tests {
    use super::*;
    use handbook::materials::Material;
    use handbook::welding::{SheetSurface, SurfaceLoss, thermal};

    fn dot(heat_j: f64) -> DotHeat {
        DotHeat::new(&thermal(Material::Dc01).unwrap(), 0.9, heat_j, 20.0).unwrap()
    }

    /// The peak found by going through the moments one by one is the closed one, at each distance.
    #[test]
    fn the_peak_beside_a_dot_is_the_largest_of_all_moments() {
        let dot = dot(400.0);
        let (a, k, t) = (dot.metal.diffusivity_mm2_s(), dot.metal.conductivity_w_mm_k, dot.thickness_mm);
        for peak_c in [200.0, 150.0, 60.0] {
            let r = dot.distance_mm(peak_c).unwrap().value;
            let at = |s: f64| dot.heat_j / (4.0 * PI * k * t * s) * (-r * r / (4.0 * a * s)).exp();
            let most = (1..400_000).map(|i| at(f64::from(i) * 1e-3)).fold(0.0, f64::max);
            assert!((most / (peak_c - 20.0) - 1.0).abs() < 1e-6, "{peak_c} °C at {r} mm: {most} K");
        }
        // four times the heat, twice as far
        let far = |heat_j: f64| super::tests::dot(heat_j).distance_mm(150.0).unwrap().value;
        assert!((far(1600.0) / far(400.0) - 2.0).abs() < 1e-12);
    }

    /// By hand: π/4·5.5²·1.8·10.3/0.7 = 629 J for a plug of 5.5 mm through two sheets of 0.9 mm.
    #[test]
    fn a_plug_takes_what_melts_it() {
        let steel = thermal(Material::Dc01).unwrap();
        let heat = plug_heat(&steel, 5.5, 1.8).unwrap();
        assert!((heat.value - 629.2).abs() < 0.5, "{}", heat.value);
        // between shares of 0.9 and 0.5: 489 to 881 J
        assert!((heat.reach.unwrap() - 195.8).abs() < 0.5, "{heat:?}");
        assert!(plug_heat(&steel, 0.0, 1.8).is_err() && plug_heat(&steel, 5.5, f64::NAN).is_err());
        // its rim has been molten: the peak of the melting point lies within a millimetre of it
        let dot = DotHeat::new(&steel, 1.8, heat.value, 20.0).unwrap();
        let molten_mm = dot.distance_mm(steel.melting_c).unwrap().value;
        assert!((molten_mm - 2.75).abs() < 0.5, "{molten_mm}");
    }

    /// Without loss the place is at 30 K after Q/(4π·k·t·30): 42.1 s for 400 J in 0.9 mm (by hand). With loss sooner.
    #[test]
    fn a_dot_is_cool_within_a_minute() {
        let loss = SeamLoss { surface: SurfaceLoss::of(SheetSurface::BrightSteel), air_c: 20.0 };
        let pause = dot(400.0).pause_s(50.0, &loss).unwrap().value;
        assert!((25.0..42.1).contains(&pause), "{pause}");
        assert!(dot(400.0).pause_s(20.0, &loss).is_err() && dot(400.0).distance_mm(2000.0).is_err());
        assert!(DotHeat::new(&thermal(Material::Dc01).unwrap(), 0.9, f64::NAN, 20.0).is_err());
    }
}
