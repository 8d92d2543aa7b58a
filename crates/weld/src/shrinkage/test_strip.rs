//! The shop's own shrinkage: weld a strip, measure it, type it in.

use super::ShrinkageError;
use super::range::{Range, Ranged};
use super::rules::{ButtSection, tendon_force, transverse};
use crate::heat::{net_j_mm, thickness, within};
use crate::metal::WeldMetal;
use handbook::welding::YIELD_STRAIN;
use handbook::{Source, Working};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How a test strip is made, as said to the shop.
pub const HOW_TO_WELD_A_TEST_STRIP: &str = "Two pieces of the same sheet, each 150 mm wide and 500 mm long, with a punch mark near both ends beside the seam \
and one on either side of it in the middle. Measure between the marks, pressed flat on a plate. Weld from end to end as on the panel, with the settings noted. \
When it is cold, press it flat again and measure the same marks.";

/// Something measured, with its ± (two standard deviations).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// What was measured.
    pub value_mm: f64,
    /// Its ±.
    pub reach_mm: f64,
}

/// A strip of two pieces welded together along a seam, and what became of it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TestStrip {
    /// Width of the whole strip.
    pub width_mm: f64,
    /// Length between the marks along the seam, before.
    pub length_mm: f64,
    /// Thickness.
    pub thickness_mm: f64,
    /// Net heat input.
    pub net_j_mm: f64,
    /// Width of the fused metal.
    pub fused_width_mm: f64,
    /// Root gap.
    #[serde(default)]
    pub gap_mm: f64,
    /// How far the seam lies from the middle of the width.
    #[serde(default)]
    pub seam_from_middle_mm: f64,
    /// How much shorter the length became, measured at the middle of the width.
    #[serde(default)]
    pub shortening: Option<Reading>,
    /// How far the edge bows in the plane of the sheet over the length, for a seam away from the middle.
    #[serde(default)]
    pub bow: Option<Reading>,
    /// How much nearer the marks across the seam came.
    #[serde(default)]
    pub width_loss: Option<Reading>,
}

/// What the shop's welds do against the published rule, as a factor.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Factor {
    /// Measured over rule.
    pub value: f64,
    /// Its ±.
    pub reach: f64,
}

/// The shop's factors; where there is none, the published spread stands.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct ShopFactors {
    /// On the shrinkage force (W24).
    pub force: Option<Factor>,
    /// On the transverse shrinkage (middle of W20 to W22).
    pub transverse: Option<Factor>,
}

impl ShopFactors {
    /// The range of the shop's own welds, or the published one.
    pub(crate) fn force(&self, rule: Ranged) -> Ranged {
        apply(self.force, rule, "N")
    }

    /// The same for the transverse shrinkage.
    pub(crate) fn transverse(&self, rule: Ranged) -> Ranged {
        apply(self.transverse, rule, "mm")
    }

    /// Every factor that is none.
    pub fn faults(&self) -> Vec<handbook::RuleError> {
        let named =
            [("factor on the shrinkage force", self.force), ("factor on the transverse shrinkage", self.transverse)];
        let check = |(name, factor): (&'static str, Option<Factor>)| {
            let Factor { value, reach } = factor?;
            within(name, value, FACTORS, "").and_then(|_| within(name, reach, [0.0, value], "(its ±)")).err()
        };
        named.into_iter().filter_map(check).collect()
    }
}

/// Factors that are believed.
const FACTORS: [f64; 2] = [0.1, 5.0];

fn apply(factor: Option<Factor>, rule: Ranged, unit: &'static str) -> Ranged {
    let Some(Factor { value, reach }) = factor else { return rule };
    let middle = rule.range.middle * value;
    let spread = rule.range.middle * reach;
    let source = Source::measured("the shop's own test strip");
    let working = Working::new("the same, by the shop's test strip", middle, unit, "factor · rule", source)
        .with("factor", "measured over rule", value, "")
        .with("rule", "middle of the rules", rule.range.middle, unit)
        .reach(spread);
    let mut workings = rule.workings;
    workings.push(working);
    Ranged { range: Range { low: (middle - spread).max(0.0), middle, high: middle + spread }, workings }
}

impl TestStrip {
    /// Factors from what was measured, with their working. A strip gives a factor on the force from its shortening, from its bow, or
    /// from both if they agree; one on the transverse shrinkage from the marks across the seam.
    ///
    /// # Errors
    /// [`ShrinkageError::Rule`] for a quantity that is none; [`ShrinkageError::Strip`] when nothing was measured, the strip is too narrow
    /// to stay elastic beside the seam, shortening and bow contradict each other, or a factor is beyond belief.
    pub fn factors(&self, metal: &WeldMetal) -> Result<(ShopFactors, Vec<Working>), ShrinkageError> {
        let (t, q) = (thickness(self.thickness_mm)?, net_j_mm(self.net_j_mm)?);
        let width = within("width of the test strip", self.width_mm, [10.0, 3000.0], "mm")?;
        within("length of the test strip", self.length_mm, [50.0, 5000.0], "mm")?;
        within("seam from the middle", self.seam_from_middle_mm, [0.0, 0.49 * width], "mm")?;
        if self.shortening.is_none() && self.bow.is_none() && self.width_loss.is_none() {
            return Err(strip(
                "nothing was measured on the test strip",
                "give the shortening, the bow or the lost width",
            ));
        }
        let mut workings = Vec::new();
        let published = tendon_force(metal, q)?.range;
        let rule = published.middle;
        let mut forces = Vec::new();
        if let Some(reading) = self.shortening {
            forces.push(self.force_from_shortening(metal, t, reading)?);
        }
        if let Some(reading) = self.bow {
            forces.push(self.force_from_bow(metal, t, reading)?);
        }
        let force = combine(&forces)?
            .map(|(force, reach)| believed("shrinkage force", force / rule, reach / rule, published))
            .transpose()?;
        if force.is_some() {
            self.wide_enough(metal, t, rule)?;
        }
        let section = ButtSection { thickness_mm: t, fused_width_mm: self.fused_width_mm, gap_mm: self.gap_mm };
        let transverse = match self.width_loss {
            None => None,
            Some(reading) => {
                let published = transverse(metal, section, q)?.range;
                let rule = published.middle;
                let Reading { value_mm, reach_mm } = checked("lost width", reading)?;
                Some(believed("transverse shrinkage", value_mm / rule, reach_mm / rule, published)?)
            }
        };
        workings.extend(forces);
        for (name, factor) in
            [("factor on the shrinkage force", force), ("factor on the transverse shrinkage", transverse)]
        {
            if let Some(Factor { value, reach }) = factor {
                let source = Source::measured("the shop's own test strip");
                workings.push(Working::new(name, value, "", "measured over rule", source).reach(reach));
            }
        }
        Ok((ShopFactors { force, transverse }, workings))
    }

    /// F = E·A·ΔL/L (W25 turned round).
    fn force_from_shortening(&self, metal: &WeldMetal, t: f64, reading: Reading) -> Result<Working, ShrinkageError> {
        let Reading { value_mm, reach_mm } = checked("shortening", reading)?;
        let per_mm = metal.young_n_mm2 * self.width_mm * t / self.length_mm;
        Ok(Working::new(
            "shrinkage force, from the shortening",
            per_mm * value_mm,
            "N",
            "E·W·t·ΔL/L",
            Source::geometry("W25"),
        )
        .with("ΔL", "shortening", value_mm, "mm")
        .with("L", "length between the marks", self.length_mm, "mm")
        .with("W", "width", self.width_mm, "mm")
        .with("t", "thickness", t, "mm")
        .reach(per_mm * reach_mm))
    }

    /// F = 8·δ·E·I/(e·L²), I = t·W³/12: a force beside the middle bends a strip into an arc.
    fn force_from_bow(&self, metal: &WeldMetal, t: f64, reading: Reading) -> Result<Working, ShrinkageError> {
        let Reading { value_mm, reach_mm } = checked("bow", reading)?;
        let e = self.seam_from_middle_mm;
        if e < 0.1 * self.width_mm {
            let what = format!("the seam lies {e} mm from the middle of {} mm: its bow says nothing", self.width_mm);
            return Err(strip(
                &what,
                "lay the seam at least a tenth of the width from the middle, or leave the bow out",
            ));
        }
        let second_moment = t * self.width_mm.powi(3) / 12.0;
        let per_mm = 8.0 * metal.young_n_mm2 * second_moment / (e * self.length_mm * self.length_mm);
        let formula = "8·δ·E·t·W³/12/(e·L²)";
        Ok(Working::new("shrinkage force, from the bow", per_mm * value_mm, "N", formula, Source::geometry(""))
            .with("δ", "bow", value_mm, "mm")
            .with("e", "seam from the middle", e, "mm")
            .with("L", "length", self.length_mm, "mm")
            .with("W", "width", self.width_mm, "mm")
            .with("t", "thickness", t, "mm")
            .reach(per_mm * reach_mm))
    }

    /// Beside the seam the strip must stay well below yield, or the force is what the strip stands and not what the weld gives.
    fn wide_enough(&self, metal: &WeldMetal, t: f64, force_n: f64) -> Result<(), ShrinkageError> {
        const SHARE_OF_YIELD: f64 = 0.6;
        let need_mm = force_n / (metal.young_n_mm2 * SHARE_OF_YIELD * YIELD_STRAIN * t);
        if self.width_mm >= need_mm {
            return Ok(());
        }
        let what = format!("a strip {} mm wide yields beside a seam of {} J/mm", self.width_mm, self.net_j_mm);
        Err(strip(&what, &format!("weld a strip at least {need_mm:.0} mm wide, or with less heat")))
    }
}

fn strip(what: &str, need: &str) -> ShrinkageError {
    ShrinkageError::Strip { what: what.to_owned(), need: need.to_owned() }
}

fn checked(name: &'static str, reading: Reading) -> Result<Reading, ShrinkageError> {
    within(name, reading.value_mm, [1e-3, 50.0], "mm")?;
    within(name, reading.reach_mm, [1e-4, 50.0], "mm (its ±)")?;
    Ok(reading)
}

/// A factor with its ±, where it says more than the published rule with its spread.
fn believed(what: &'static str, value: f64, reach: f64, published: Range) -> Result<Factor, ShrinkageError> {
    let spread = published.reach() / published.middle;
    if (FACTORS[0]..=FACTORS[1]).contains(&value) {
        if reach <= spread * value.max(1.0) {
            return Ok(Factor { value, reach });
        }
        let [own, books] = [reach, spread].map(|share| 100.0 * share);
        let what = format!(
            "the readings leave ± {own:.0} % of the rule on the {what}, the published spread is ± {books:.0} %"
        );
        let need = "measure to a few hundredths of a millimetre with a calliper between punch marks, weld a longer strip, or leave it out";
        return Err(strip(&what, need));
    }
    let what = format!("the {what} would be {value:.2} times the rule");
    Err(strip(&what, "measure again: from 0.1 to 5 times is believed"))
}

/// Mean weighted by the reaches; none without figures.
fn combine(figures: &[Working]) -> Result<Option<(f64, f64)>, ShrinkageError> {
    let mut pairs = figures.iter().filter_map(|figure| figure.reach.map(|reach| (figure.value, reach)));
    let Some(first) = pairs.next() else { return Ok(None) };
    let Some(second) = pairs.next() else { return Ok(Some(first)) };
    if (first.0 - second.0).abs() > first.1.hypot(second.1) {
        let what = format!("the shortening means {:.0} N and the bow {:.0} N", first.0, second.0);
        return Err(strip(&what, "measure both again, pressed flat, or give their true ±"));
    }
    let weight = |(_, reach): (f64, f64)| 1.0 / (reach * reach);
    let sum = weight(first) + weight(second);
    Ok(Some(((first.0 * weight(first) + second.0 * weight(second)) / sum, sum.sqrt().recip())))
}
