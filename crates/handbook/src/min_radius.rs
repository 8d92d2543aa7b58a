//! Smallest inside radius to which a sheet can be bent without cracking.

use crate::error::{RuleError, thickness, within};
use crate::materials::Material;
use crate::working::{Source, Working};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Aluminium alloys and tempers of the table of minimum radii.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum AluminiumTemper {
    /// 1100-O.
    A1100O,
    /// 1100-H14.
    A1100H14,
    /// 3003-O.
    A3003O,
    /// 3003-H14.
    A3003H14,
    /// 5052-O.
    A5052O,
    /// 5052-H32.
    A5052H32,
    /// 5052-H34.
    A5052H34,
}

/// Sheet of the columns, 1/64, 1/32, 1/16 and 1/8 in.
const COLUMNS_MM: [f64; 4] = [25.4 / 64.0, 25.4 / 32.0, 25.4 / 16.0, 25.4 / 8.0];

/// Minimum inside radius for a 90° bend in aluminium, as a multiple of the thickness turned into mm (B39). Between
/// columns the next thicker column is taken.
///
/// # Errors
/// [`RuleError::OutOfRange`] beyond 1/8 in of sheet.
pub fn aluminium(temper: AluminiumTemper, thickness_mm: f64) -> Result<Working, RuleError> {
    let [.., thickest_mm] = COLUMNS_MM;
    let t = within("thickness", thickness_mm, 0.1, thickest_mm, "mm")?;
    let row = match temper {
        AluminiumTemper::A1100O | AluminiumTemper::A3003O => [0.0, 0.0, 0.0, 0.0],
        AluminiumTemper::A1100H14 | AluminiumTemper::A3003H14 => [0.0, 0.0, 0.0, 1.0],
        AluminiumTemper::A5052O => [0.0, 0.0, 0.0, 0.5],
        AluminiumTemper::A5052H32 => [0.0, 0.0, 1.0, 1.5],
        AluminiumTemper::A5052H34 => [0.0, 1.0, 1.5, 2.0],
    };
    let times = COLUMNS_MM.iter().zip(row).find(|(column, _)| t <= **column).map_or(0.0, |(_, times)| times);
    let source = Source::text("Aluminum Design Manual, table 3-1 (2005), text reprint", "B39");
    Ok(Working::new("least inside radius", times * t, "mm", "multiple of t, next thicker column", source)
        .with("n", "multiple", times, "× t")
        .with("t", "thickness", t, "mm"))
}

/// Minimum inside radius from ductility: T·(50/r − 1), r the reduction of area in per cent, never below 0 (B40).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn by_ductility(thickness_mm: f64, reduction_of_area_percent: f64) -> Result<Working, RuleError> {
    let t = thickness(thickness_mm)?;
    let r = within("reduction of area", reduction_of_area_percent, 1.0, 100.0, "%")?;
    let value = (t * (50.0 / r - 1.0)).max(0.0);
    let source = Source::text("Kalpakjian & Schmid, bending", "B40");
    Ok(Working::new("least inside radius", value, "mm", "T·(50/r − 1)", source).with("T", "thickness", t, "mm").with(
        "r",
        "reduction of area",
        r,
        "%",
    ))
}

/// Minimum inside radius for flat steel of Rm up to 390 N/mm² (B14).
///
/// # Errors
/// [`RuleError::OutOfRange`] beyond 3 mm.
pub fn steel(thickness_mm: f64) -> Result<Working, RuleError> {
    let s = within("thickness", thickness_mm, 0.1, 3.0, "mm")?;
    let radius_mm = match s {
        s if s <= 1.0 => 1.0,
        s if s <= 1.5 => 1.6,
        s if s <= 2.5 => 2.5,
        _ => 3.0,
    };
    let source = Source::standard("DIN 6935, smallest radius for Rm up to 390 N/mm² (from memory)", "B14");
    Ok(Working::new("least inside radius", radius_mm, "mm", "by thickness", source).with("s", "thickness", s, "mm"))
}

/// Minimum inside radius for a material of the shop.
///
/// Aluminium 1050A and 5251 take the rows of 1100 and 5052, their nearest kin in the table. For annealed 18-8
/// stainless the shop's habit of one thickness is used: common practice, no source.
///
/// # Errors
/// [`RuleError::OutOfRange`] beyond the table of the metal.
pub fn for_material(material: Material, thickness_mm: f64) -> Result<Working, RuleError> {
    match material {
        Material::Aluminium1050aO => aluminium(AluminiumTemper::A1100O, thickness_mm),
        Material::Aluminium1050aH14 => aluminium(AluminiumTemper::A1100H14, thickness_mm),
        Material::Aluminium3003O => aluminium(AluminiumTemper::A3003O, thickness_mm),
        Material::Aluminium5251O => aluminium(AluminiumTemper::A5052O, thickness_mm),
        Material::Stainless18_8 => {
            let t = thickness(thickness_mm)?;
            Ok(Working::new("least inside radius", t, "mm", "T", Source::common_practice("")).with(
                "T",
                "thickness",
                t,
                "mm",
            ))
        }
        _ => steel(thickness_mm),
    }
}

/// Preferred inside radii of DIN 6935 (from memory), mm.
pub const PREFERRED_RADII_MM: [f64; 14] = [1.0, 1.2, 1.6, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0];

/// Air-bend force C·Rm·L·T²/V in N (B41).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn air_bend_force_n(
    tensile_n_mm2: f64,
    length_mm: f64,
    thickness_mm: f64,
    die_opening_mm: f64,
) -> Result<Working, RuleError> {
    const V_DIE: f64 = 1.33;
    let rm = within("tensile strength", tensile_n_mm2, 10.0, 3000.0, "N/mm²")?;
    let length = within("bend length", length_mm, 1.0, 20_000.0, "mm")?;
    let t = thickness(thickness_mm)?;
    let opening = within("die opening", die_opening_mm, t, 1000.0, "mm")?;
    let value = V_DIE * rm * length * t * t / opening;
    let source = Source::text("Kalpakjian & Schmid, bending force (from memory)", "B41");
    Ok(Working::new("bending force", value, "N", "1.33·Rm·L·T²/V", source)
        .with("Rm", "tensile strength", rm, "N/mm²")
        .with("L", "bend length", length, "mm")
        .with("T", "thickness", t, "mm")
        .with("V", "die opening", opening, "mm"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn beyond_the_tables_nothing_is_guessed() {
        assert!(aluminium(AluminiumTemper::A3003H14, 4.0).is_err());
        assert!(steel(3.1).is_err());
        assert!(by_ductility(0.9, 0.0).is_err());
    }
}
