//! One run or dot, and how much it shrinks in all.

use super::ShrinkageError;
use super::range::Range;
use super::rules::{ButtSection, tendon_force, transverse};
use super::test_strip::ShopFactors;
use crate::heat::{net_j_mm, thickness, within};
use crate::metal::WeldMetal;
use crate::weld_line;
use glam::DVec3;
use handbook::welding::{TACK_FACTOR, TAPER_LENGTH_T};
use handbook::{Source, Working};

/// A run along a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Its line, in the axes of the mesh.
    pub line_mm: Vec<DVec3>,
    /// Half the width of the fused strip (`heat::MovingSource::pool_half_width_mm`).
    pub half_width_mm: f64,
    /// Net heat input.
    pub net_j_mm: f64,
    /// Root gap.
    pub gap_mm: f64,
    /// Thickness of all that is fused through: one sheet in a butt, both in a lap.
    pub thickness_mm: f64,
}

/// A tack, a plug, a spot, or a dot of wire.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dot {
    /// Middle.
    pub at_mm: DVec3,
    /// Diameter of the hole, nugget or dot.
    pub diameter_mm: f64,
    /// Net heat.
    pub heat_j: f64,
}

/// A run or a dot.
#[derive(Debug, Clone, PartialEq)]
pub enum Bead {
    /// A run.
    Run(Run),
    /// A dot.
    Dot(Dot),
}

/// How much a bead shrinks in all: strain along and across, summed over the volume, mm³, positive; with its spread.
#[derive(Debug, Clone, PartialEq)]
pub struct Amount {
    /// ∫ of the strain along the run: F·L/E for a long run.
    pub along_mm3: Range,
    /// ∫ of the strain across it: S·t·L for a long run.
    pub across_mm3: Range,
    /// Working of what went in.
    pub workings: Vec<Working>,
}

impl Run {
    /// Length of the line.
    pub fn length_mm(&self) -> f64 {
        self.line_mm.windows(2).map(|ends| ends[0].distance(ends[1])).sum()
    }

    fn check(&self) -> Result<f64, ShrinkageError> {
        let length = weld_line::length_mm(&self.line_mm)?;
        within("half the width of the fused strip", self.half_width_mm, [0.05, 50.0], "mm")?;
        Ok(within("length of the weld line", length, [1e-3, 1e5], "mm")?)
    }

    /// How much the run shrinks. Runs shorter than 20 t lie between a dot of the same heat and a long run, in proportion.
    ///
    /// # Errors
    /// [`ShrinkageError::Rule`], [`ShrinkageError::Line`].
    pub fn amount(&self, metal: &WeldMetal, shop: &ShopFactors) -> Result<Amount, ShrinkageError> {
        let length = self.check()?;
        let (q, t) = (net_j_mm(self.net_j_mm)?, thickness(self.thickness_mm)?);
        let section = ButtSection { thickness_mm: t, fused_width_mm: 2.0 * self.half_width_mm, gap_mm: self.gap_mm };
        let force = shop.force(tendon_force(metal, q)?);
        let lost_width = shop.transverse(transverse(metal, section, q)?);
        let seam = (length / (TAPER_LENGTH_T * t)).min(1.0);
        let dot = tack_volume(metal, q * length);
        let blend = |long: Range| long.zip(dot.range, |long, dot| seam * long + (1.0 - seam) * dot);
        let along = force.range.map(|force| force * length / metal.young_n_mm2);
        let across = lost_width.range.map(|width| width * t * length);
        let mut workings = [force.workings, lost_width.workings].concat();
        if seam < 1.0 {
            workings.push(dot.workings);
            let name = "share of a long run in this short one";
            let source = Source::common_practice("");
            workings.push(Working::new(name, seam, "", "L/(20·t)", source).with("L", "length", length, "mm").with(
                "t",
                "thickness",
                t,
                "mm",
            ));
        }
        Ok(Amount { along_mm3: blend(along), across_mm3: blend(across), workings })
    }
}

impl Dot {
    /// How much the dot shrinks: φ·α·Q/ρC each way, φ from 0.335 to 1.0 (W35).
    ///
    /// # Errors
    /// [`ShrinkageError::Rule`], [`ShrinkageError::Line`] for a place that is none.
    pub fn amount(&self, metal: &WeldMetal) -> Result<Amount, ShrinkageError> {
        weld_line::dot(self.at_mm)?;
        within("diameter of the dot", self.diameter_mm, [0.5, 50.0], "mm")?;
        let heat = within("net heat of the dot", self.heat_j, [1e-3, 1e6], "J")?;
        let Tack { range, workings } = tack_volume(metal, heat);
        Ok(Amount { along_mm3: range, across_mm3: range, workings: vec![workings] })
    }

    /// Strain of the dot's disc in sheet of a thickness, positive: e = φ·α·Q/(ρC·area·t) (W35).
    ///
    /// # Errors
    /// As [`Dot::amount`].
    pub fn strain(&self, metal: &WeldMetal, thickness_mm: f64) -> Result<Range, ShrinkageError> {
        let t = thickness(thickness_mm)?;
        let disc = std::f64::consts::FRAC_PI_4 * self.diameter_mm * self.diameter_mm * t;
        Ok(self.amount(metal)?.along_mm3.map(|volume| volume / disc))
    }
}

struct Tack {
    range: Range,
    workings: Working,
}

fn tack_volume(metal: &WeldMetal, heat_j: f64) -> Tack {
    let range = Range::between(TACK_FACTOR).map(|phi| phi * metal.contraction_mm3_j() * heat_j);
    let source = Source::text("between W24 and W22, no source beyond those two", "W35");
    let workings = Working::new("shrinkage of a dot", range.middle, "mm³", "φ·α·Q/ρC, φ 0.335 to 1.0", source)
        .with("Q", "net heat", heat_j, "J")
        .with("α", "expansion", metal.thermal.expansion_per_k, "1/K")
        .with("ρC", "heat capacity of a volume", metal.thermal.heat_capacity_j_mm3_k, "J/(mm³·K)")
        .reach(range.reach());
    Tack { range, workings }
}

impl Bead {
    /// How much the bead shrinks.
    ///
    /// # Errors
    /// [`ShrinkageError`].
    pub fn amount(&self, metal: &WeldMetal, shop: &ShopFactors) -> Result<Amount, ShrinkageError> {
        match self {
            Self::Run(run) => run.amount(metal, shop),
            Self::Dot(dot) => dot.amount(metal),
        }
    }
}
