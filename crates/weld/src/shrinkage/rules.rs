//! Published rules of shrinkage (W20 to W26). Lengths in mm, positive shrinkage.

use super::range::{Range, Ranged};
use crate::heat::{net_j_mm, thickness, within};
use crate::metal::WeldMetal;
use handbook::welding::{
    BLODGETT_AREA, KING_LENGTH_MM, SPRARAGEN_AREA, SPRARAGEN_GAP, TENDON_COEFFICIENT, TENDON_SPREAD,
};
use handbook::{RuleError, Source, Working};

/// Cross-section of a butt weld through the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ButtSection {
    /// Thickness.
    pub thickness_mm: f64,
    /// Width of the fused metal, the gap left out.
    pub fused_width_mm: f64,
    /// Root gap.
    pub gap_mm: f64,
}

impl ButtSection {
    /// Area of the weld: fused width and gap through the thickness, mm².
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`].
    pub fn area_mm2(&self) -> Result<f64, RuleError> {
        let t = thickness(self.thickness_mm)?;
        let width = within("width of the fused metal", self.fused_width_mm, [0.01, 100.0], "mm")?;
        Ok(t * (width + gap(self.gap_mm)?))
    }
}

fn gap(gap_mm: f64) -> Result<f64, RuleError> {
    within("root gap", gap_mm, [0.0, 20.0], "mm")
}

/// Transverse shrinkage of a butt: S = 0.2·A/t + 0.05·d (W20), in any one unit of length: A in its square (X7).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn spraragen(area: f64, t: f64, d: f64) -> Result<Working, RuleError> {
    let (area, t, d) = one_unit(area, t, d)?;
    let source = Source::text("Spraragen and Ettinger; seen as 5.08 and 1.27 in mixed units (X7)", "W20");
    let value = SPRARAGEN_AREA * area / t + SPRARAGEN_GAP * d;
    Ok(section(Working::new("transverse shrinkage", value, "mm", "0.2·A/t + 0.05·d", source), area, t)
        .with("d", "root gap", d, "mm"))
}

/// Transverse shrinkage of a butt: S = 0.10·A/t (W21), in any one unit of length.
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn blodgett(area: f64, t: f64) -> Result<Working, RuleError> {
    let (area, t, _) = one_unit(area, t, 0.0)?;
    let source = Source::text("Blodgett, Design of Welded Structures, as a method statement cites it", "W21");
    Ok(section(Working::new("transverse shrinkage", BLODGETT_AREA * area / t, "mm", "0.10·A/t", source), area, t))
}

/// Area, thickness and gap in one unit: only that they are quantities is asked.
fn one_unit(area: f64, t: f64, d: f64) -> Result<(f64, f64, f64), RuleError> {
    let positive = [1e-6, 1e6];
    Ok((
        within("area of the weld", area, positive, "square of one unit")?,
        within("thickness", t, positive, "of the same unit")?,
        within("root gap", d, [0.0, 1e6], "of the same unit")?,
    ))
}

fn section(working: Working, area: f64, t: f64) -> Working {
    working.with("A", "area of the weld", area, "mm²").with("t", "thickness", t, "mm")
}

/// Transverse shrinkage as the free contraction of the absorbed heat: S = (α/ρC)·Q/t (W22).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn thermal(metal: &WeldMetal, net_heat_j_mm: f64, thickness_mm: f64) -> Result<Working, RuleError> {
    let (q, t) = (net_j_mm(net_heat_j_mm)?, thickness(thickness_mm)?);
    let value = metal.contraction_mm3_j() * q / t;
    Ok(heat(Working::new("transverse shrinkage", value, "mm", "(α/ρC)·Q/t", Source::geometry("W22")), metal, q).with(
        "t",
        "thickness",
        t,
        "mm",
    ))
}

fn heat(working: Working, metal: &WeldMetal, q: f64) -> Working {
    working
        .with("α", "expansion", metal.thermal.expansion_per_k, "1/K")
        .with("ρC", "heat capacity of a volume", metal.thermal.heat_capacity_j_mm3_k, "J/(mm³·K)")
        .with("Q", "net heat input", q, "J/mm")
}

/// Transverse shrinkage as the range of the three rules W20 to W22, the one between them as its middle (W23).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn transverse(metal: &WeldMetal, section: ButtSection, net_heat_j_mm: f64) -> Result<Ranged, RuleError> {
    let area = section.area_mm2()?;
    let workings = vec![
        spraragen(area, section.thickness_mm, section.gap_mm)?,
        blodgett(area, section.thickness_mm)?,
        thermal(metal, net_heat_j_mm, section.thickness_mm)?,
    ];
    let range = Range::of_three([workings[0].value, workings[1].value, workings[2].value]);
    Ok(Ranged { range, workings })
}

/// Force with which a seam pulls along itself: F = 0.335·E·α·Q/ρC (W24), and how far it may lie from that.
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn tendon_force(metal: &WeldMetal, net_heat_j_mm: f64) -> Result<Ranged, RuleError> {
    let q = net_j_mm(net_heat_j_mm)?;
    let force = TENDON_COEFFICIENT * metal.young_n_mm2 * metal.contraction_mm3_j() * q;
    let range = Range { low: force / TENDON_SPREAD, middle: force, high: force * TENDON_SPREAD };
    let source = Source::text(
        "Okerblom; White, Leggatt (from memory); spread: whether Q was by convention or as measured (X9)",
        "W24",
    );
    let working = heat(Working::new("shrinkage force along the seam", force, "N", "0.335·E·α·Q/ρC", source), metal, q)
        .with("E", "Young's modulus", metal.young_n_mm2, "N/mm²")
        .reach(range.reach());
    Ok(Ranged { range, workings: vec![working] })
}

/// What a shrinkage force does to a flat panel that stays flat (W25).
#[derive(Debug, Clone, PartialEq)]
pub struct Compression {
    /// Mean compression beside the seam, N/mm².
    pub stress: Working,
    /// Shortening of a length, mm.
    pub shortening: Working,
}

/// Mean compression F/(A − strip) and shortening F·L/(E·A) (W25). Areas are cross-sections square to the seam.
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn compression(
    metal: &WeldMetal,
    force_n: f64,
    panel_mm2: f64,
    strip_mm2: f64,
    length_mm: f64,
) -> Result<Compression, RuleError> {
    let force = within("shrinkage force", force_n, [0.0, 1e9], "N")?;
    let panel = within("cross-section of the panel", panel_mm2, [0.01, 1e6], "mm²")?;
    let strip = within("cross-section of the weld strip", strip_mm2, [0.0, 0.99 * panel], "mm²")?;
    let length = within("length", length_mm, [0.01, 1e5], "mm")?;
    let common = |working: Working| {
        working.with("F", "shrinkage force", force, "N").with("A", "cross-section of the panel", panel, "mm²")
    };
    let stress =
        Working::new("mean compression", force / (panel - strip), "N/mm²", "F/(A − As)", Source::geometry("W25"));
    let value = force * length / (metal.young_n_mm2 * panel);
    let shortening = Working::new("shortening along the seam", value, "mm", "F·L/(E·A)", Source::geometry("W25"));
    Ok(Compression {
        stress: common(stress).with("As", "cross-section of the weld strip", strip, "mm²"),
        shortening: common(shortening).with("L", "length", length, "mm").with(
            "E",
            "Young's modulus",
            metal.young_n_mm2,
            "N/mm²",
        ),
    })
}

/// King's rough upper figure of the shortening along a seam: ΔL = 305·I·L·1e-7/t, lengths in mm (W26). Steel.
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn king(current_a: f64, length_mm: f64, thickness_mm: f64) -> Result<Working, RuleError> {
    let current = within("current", current_a, [1.0, 2000.0], "A")?;
    let length = within("length", length_mm, [0.01, 1e5], "mm")?;
    let t = thickness(thickness_mm)?;
    let value = KING_LENGTH_MM * current * length * 1e-7 / t;
    let source = Source::text("King, as Masubuchi gives it (from memory): rough upper figure", "W26");
    Ok(Working::new("shortening along the seam", value, "mm", "305·I·L·1e-7/t", source)
        .with("I", "current", current, "A")
        .with("L", "length", length, "mm")
        .with("t", "thickness", t, "mm"))
}
