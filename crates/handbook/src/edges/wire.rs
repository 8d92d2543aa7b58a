//! Wired edge: the sheet is curled round a wire or a round bar.
//!
//! Model: the sheet's middle surface follows a circle of radius ρ = (d + t)/2 round the wire through the wrap angle.
//! The wrap starts at the tangent where the skin meets the curl; the finished edge lies over the wire, (d/2 + t) beyond
//! that tangent. Published rules differ (handbook X6), so all four figures are given; until the shop has rolled a
//! trial strip the geometry at 270° is used.
//! Symbols: d wire diameter, t thickness, ρ radius of the middle surface, φ wrap angle (rad).

use crate::error::{RuleError, positive_size, thickness, within};
use crate::working::{Source, Working};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::f64::consts::{PI, TAU};

/// Wrap until the shop has rolled a trial strip: 270°.
pub const DEFAULT_WRAP_RAD: f64 = 1.5 * PI;

/// Radius of a wire's centre line round a corner, over its diameter: an inside radius of one wire (common practice, no source).
pub const CORNER_RADIUS_WIRES: f64 = 1.5;

/// A wire carried round a corner in one, at its centre line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WireCorner {
    /// Radius of the bend, mm.
    pub radius_mm: f64,
    /// From the sharp corner to where the bend begins, mm: R·tan(φ/2).
    pub tangent_mm: f64,
    /// Length of the bend, mm: R·φ.
    pub arc_mm: f64,
}

impl WireCorner {
    /// A wire of a diameter, turned by φ from straight: 0 to less than π.
    #[must_use]
    pub fn new(wire_mm: f64, turn_rad: f64) -> Self {
        let radius_mm = CORNER_RADIUS_WIRES * wire_mm;
        Self { radius_mm, tangent_mm: radius_mm * (0.5 * turn_rad).tan(), arc_mm: radius_mm * turn_rad }
    }

    /// What the round corner is shorter than the sharp one, mm.
    #[must_use]
    pub fn saves_mm(&self) -> f64 {
        2.0 * self.tangent_mm - self.arc_mm
    }
}

/// How the allowance of a wired edge is found.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "wire_rule", rename_all = "snake_case")]
#[non_exhaustive]
pub enum WireRule {
    /// ρ·φ (F15).
    Geometry {
        /// Wrap angle φ, rad.
        wrap_rad: f64,
    },
    /// What the shop's own trial strip took, for the same wire and sheet.
    TrialStrip {
        /// Allowance found.
        allowance_mm: f64,
    },
    /// 2.5·d (F12).
    TwoAndAHalfWires,
    /// 2.5·d + t (F13).
    TwoAndAHalfWiresAndSheet,
    /// 2·d + 4·t (F14).
    TwoWiresAndFourSheets,
}

impl Default for WireRule {
    fn default() -> Self {
        Self::Geometry { wrap_rad: DEFAULT_WRAP_RAD }
    }
}

/// A wired edge.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct WireEdge {
    /// Diameter d of the wire or round bar.
    pub wire_diameter_mm: f64,
    /// Sheet thickness t.
    pub thickness_mm: f64,
    /// How the allowance is found.
    pub rule: WireRule,
}

/// All figures of a wired edge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WireFigures {
    /// Allowance by the chosen rule, from the tangent where the wrap starts to the cut edge of the sheet.
    pub allowance_mm: f64,
    /// Rule A, 2.5·d.
    pub rule_a_mm: f64,
    /// Rule B, 2.5·d + t.
    pub rule_b_mm: f64,
    /// Rule C, 2·d + 4·t.
    pub rule_c_mm: f64,
    /// Geometry at 270°.
    pub geometry_270_mm: f64,
    /// Radius of the sheet's middle surface round the wire.
    pub middle_radius_mm: f64,
    /// Wrap angle that the allowance means, rad.
    pub wrap_rad: f64,
    /// Finished diameter over the wire, d + 2t.
    pub finished_diameter_mm: f64,
    /// From the tangent where the wrap starts out to the finished edge, d/2 + t.
    pub tangent_to_edge_mm: f64,
    /// The chosen figure first, then the four rules side by side.
    pub workings: Vec<Working>,
}

impl WireEdge {
    /// Allowance and sizes.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`]; [`RuleError::DoesNotFit`] for a wire thinner than the sheet, or a trial strip that
    /// means less than a half turn or more than one turn and a half.
    pub fn figures(&self) -> Result<WireFigures, RuleError> {
        let t = thickness(self.thickness_mm)?;
        let d = within("wire diameter", self.wire_diameter_mm, 0.5, 40.0, "mm")?;
        if d < t {
            return Err(RuleError::DoesNotFit {
                what: format!("the wire is {d} mm thick, the sheet {t} mm"),
                need: "take a wire at least as thick as the sheet".to_owned(),
            });
        }
        let rho = (d + t) / 2.0;
        let (a, b, c) = (2.5 * d, 2.5 * d + t, 2.0 * d + 4.0 * t);
        let geometry = rho * DEFAULT_WRAP_RAD;
        let (allowance_mm, formula, source) = match self.rule {
            WireRule::Geometry { wrap_rad } => {
                (rho * within("wrap angle", wrap_rad, PI / 2.0, TAU, "rad")?, "ρ·φ", Source::geometry("F15"))
            }
            WireRule::TrialStrip { allowance_mm } => {
                let allowance_mm = positive_size("allowance of the trial strip", allowance_mm)?;
                self.check_trial(allowance_mm, rho)?;
                (allowance_mm, "as rolled", Source::measured("trial strip rolled by the shop"))
            }
            WireRule::TwoAndAHalfWires => (a, "2.5·d", source_a()),
            WireRule::TwoAndAHalfWiresAndSheet => (b, "2.5·d + t", source_b()),
            WireRule::TwoWiresAndFourSheets => (c, "2·d + 4·t", source_c()),
        };
        let wrap_rad = allowance_mm / rho;
        let working = |name: &'static str, value: f64, formula: &'static str, source: Source| {
            Working::new(name, value, "mm", formula, source).with("d", "wire diameter", d, "mm").with(
                "t",
                "thickness",
                t,
                "mm",
            )
        };
        let workings = vec![
            working("wire allowance", allowance_mm, formula, source)
                .with("ρ", "radius of the middle surface, (d + t)/2", rho, "mm")
                .with("φ", "wrap angle", wrap_rad, "rad"),
            working("wire allowance, rule A", a, "2.5·d", source_a()),
            working("wire allowance, rule B", b, "2.5·d + t", source_b()),
            working("wire allowance, rule C", c, "2·d + 4·t", source_c()),
            working("wire allowance, geometry at 270°", geometry, "(d + t)/2·3π/2", Source::geometry("F15")),
        ];
        Ok(WireFigures {
            allowance_mm,
            rule_a_mm: a,
            rule_b_mm: b,
            rule_c_mm: c,
            geometry_270_mm: geometry,
            middle_radius_mm: rho,
            wrap_rad,
            finished_diameter_mm: d + 2.0 * t,
            tangent_to_edge_mm: d / 2.0 + t,
            workings,
        })
    }

    /// Flat width of a skin with this edge: finished height over the wire, less what lies beyond the tangent, plus
    /// the allowance.
    ///
    /// # Errors
    /// As [`WireEdge::figures`]; [`RuleError::DoesNotFit`] when the curl is taller than the piece.
    pub fn developed_mm(&self, finished_height_mm: f64) -> Result<f64, RuleError> {
        let figures = self.figures()?;
        let height_mm = positive_size("finished height over the wire", finished_height_mm)?;
        if height_mm < figures.finished_diameter_mm {
            return Err(RuleError::DoesNotFit {
                what: format!("the curl is {:.2} mm tall, the piece {height_mm:.2} mm", figures.finished_diameter_mm),
                need: "make the piece higher or the wire thinner".to_owned(),
            });
        }
        Ok(height_mm - figures.tangent_to_edge_mm + figures.allowance_mm)
    }

    fn check_trial(&self, allowance_mm: f64, rho: f64) -> Result<(), RuleError> {
        let wrap_rad = allowance_mm / rho;
        if (PI..=1.5 * TAU).contains(&wrap_rad) {
            return Ok(());
        }
        Err(RuleError::DoesNotFit {
            what: format!("the trial strip's {allowance_mm} mm would wrap the wire by {:.0}°", wrap_rad.to_degrees()),
            need: "a trial strip with the same wire and sheet wraps it by 180° to 540°".to_owned(),
        })
    }
}

/// Diameter of the old wire from a calliper over the curl: d = measured − 2t (handbook H11).
///
/// # Errors
/// [`RuleError::DoesNotFit`] when nothing is left for a wire.
pub fn diameter_from_curl(over_curl_mm: f64, thickness_mm: f64) -> Result<Working, RuleError> {
    let t = thickness(thickness_mm)?;
    let over_mm = positive_size("measure over the curl", over_curl_mm)?;
    let d = over_mm - 2.0 * t;
    if d < 0.5 {
        return Err(RuleError::DoesNotFit {
            what: format!("{over_mm} mm over the curl leaves {d:.2} mm for the wire in {t} mm sheet"),
            need: "measure over the whole curl, and the sheet where it is sound".to_owned(),
        });
    }
    Ok(Working::new("wire diameter", d, "mm", "d = measured − 2·t", Source::common_practice("H11"))
        .with("measured", "calliper over the curl", over_mm, "mm")
        .with("t", "thickness", t, "mm"))
}

fn source_a() -> Source {
    Source::text("trade course notes, wired edge: two and a half times the diameter of the wire", "F12")
}

fn source_b() -> Source {
    Source::text("trade examination question, wired edge", "F13")
}

fn source_c() -> Source {
    Source::text("Sheet and Plate Metal Work, Allowance for wiring", "F14")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Geometry: round a square corner 3.2 mm wire runs an arc of radius 4.8 mm; it saves (2 − π/2)·R of the two tangents of R each.
    #[test]
    fn a_wire_round_a_square_corner() {
        let corner = WireCorner::new(3.2, 0.5 * PI);
        assert!((corner.radius_mm - 4.8).abs() < 1e-12 && (corner.tangent_mm - 4.8).abs() < 1e-12);
        assert!((corner.arc_mm - 7.5398).abs() < 1e-4 && (corner.saves_mm() - 2.0602).abs() < 1e-4);
        assert!(WireCorner::new(3.2, 0.0).saves_mm().abs() < 1e-12);
    }

    fn edge(d: f64, t: f64, rule: WireRule) -> WireEdge {
        WireEdge { wire_diameter_mm: d, thickness_mm: t, rule }
    }

    #[test]
    fn a_wire_thinner_than_the_sheet_is_refused() {
        assert!(matches!(edge(0.8, 0.9, WireRule::default()).figures(), Err(RuleError::DoesNotFit { .. })));
        assert!(edge(f64::NAN, 0.9, WireRule::default()).figures().is_err());
    }

    #[test]
    fn a_curl_taller_than_the_piece_is_refused() {
        let edge = edge(6.35, 0.914, WireRule::default());
        assert!(matches!(edge.developed_mm(8.0), Err(RuleError::DoesNotFit { .. })));
        assert!(edge.developed_mm(60.0).is_ok());
    }

    #[test]
    fn a_trial_strip_replaces_the_rule_but_not_sense() {
        let trial = |allowance_mm| edge(3.2, 0.9, WireRule::TrialStrip { allowance_mm }).figures();
        assert_eq!(trial(9.3).unwrap().allowance_mm, 9.3);
        assert!(trial(2.0).is_err());
        assert!(trial(50.0).is_err());
    }
}
