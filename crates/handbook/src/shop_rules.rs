//! Shop rules: habits of the trade without a published source, each a setting with its default.
//!
//! Every field names its entry (H1 to H14). A shop changes a value once and every figure follows; the working of a
//! figure then still names the rule, with the value used.

use crate::error::{RuleError, positive_size, size, thickness, within};
use crate::working::{Source, Working};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// How the wire of a wired edge ends at the end of the piece (H10); the customer is asked.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "wire_end", rename_all = "snake_case")]
pub enum WireEnd {
    /// Not said yet.
    #[default]
    Ask,
    /// Stands out past the sheet, usually 25 to 40 mm.
    StandsOut {
        /// How far.
        length_mm: f64,
    },
    /// Ends with the sheet.
    Flush,
    /// Ends short of the sheet, so that the old wire enters.
    Short {
        /// How far.
        length_mm: f64,
    },
}

impl WireEnd {
    /// What this end adds to the wire (negative when it ends short); none while it has not been said.
    pub const fn adds_mm(self) -> Option<f64> {
        match self {
            Self::Ask => None,
            Self::StandsOut { length_mm } => Some(length_mm),
            Self::Flush => Some(0.0),
            Self::Short { length_mm } => Some(-length_mm),
        }
    }
}

/// The shop's rules.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct ShopRules {
    /// H1: height of a let-in edge strip above the proven bad depth.
    pub above_bad_depth_mm: f64,
    /// H2: spare length at each free end.
    pub spare_end_mm: f64,
    /// H3: highest strip that is folded and rolled without asking for its crown.
    pub highest_strip_mm: f64,
    /// H3, S24: crown strain up to which a strip springs to shape.
    pub springs_to_shape_strain: f64,
    /// S24: crown strain from which a strip wants a wheeled skin.
    pub wants_a_skin_strain: f64,
    /// F6: run of a joggle's ramp over its depth, 4 to 6.
    pub joggle_run_over_depth: f64,
    /// H5: steps of the stock list by which a bolted flange is heavier than the skin, 0 to 3.
    pub flange_steps_heavier: u8,
    /// H5: sheets that the shop stocks, thin to thick.
    pub stock_sheets_mm: Vec<f64>,
    /// H7: spacer between mating flanges.
    pub spacer_mm: f64,
    /// H8: lap of the old wall of a tube under its patch, 6 to 12 mm.
    pub tube_patch_lap_mm: f64,
    /// H9: plug hole in outer skin of 0.8 to 1.0 mm.
    pub plug_hole_skin_mm: f64,
    /// H9: plug hole where it bears load or one sheet is at least 1.2 mm.
    pub plug_hole_heavy_mm: f64,
    /// H9: pitch of plugs, least and most.
    pub plug_pitch_mm: [f64; 2],
    /// H10: how wires end when nothing is said on the job.
    pub wire_end: WireEnd,
    /// H10: usual length of wire that stands out.
    pub wire_stands_out_mm: f64,
    /// H12: how far a let-in corner reaches back from the edge, least and most.
    pub corner_reach_mm: [f64; 2],
    /// Overlap of a bonded lap.
    pub bonded_lap_mm: f64,
    /// Pilot hole where a hole is drilled through its mate.
    pub pilot_hole_mm: f64,
    /// Wrap of a wired edge until a trial strip is rolled, degrees (F15).
    pub wire_wrap_deg: f64,
}

impl Default for ShopRules {
    fn default() -> Self {
        Self {
            above_bad_depth_mm: 6.35,
            spare_end_mm: 25.0,
            highest_strip_mm: 200.0,
            springs_to_shape_strain: crate::crown::SPRINGS_TO_SHAPE,
            wants_a_skin_strain: crate::crown::WANTS_A_SKIN,
            joggle_run_over_depth: crate::edges::joggle::DEFAULT_RAMP_OVER_DEPTH,
            flange_steps_heavier: 2,
            stock_sheets_mm: vec![0.7, 0.8, 0.9, 1.0, 1.2, 1.5, 2.0],
            spacer_mm: 1.8,
            tube_patch_lap_mm: 9.0,
            plug_hole_skin_mm: 5.5,
            plug_hole_heavy_mm: 7.0,
            plug_pitch_mm: [25.0, 40.0],
            wire_end: WireEnd::Ask,
            wire_stands_out_mm: 32.0,
            corner_reach_mm: [75.0, 150.0],
            bonded_lap_mm: 25.0,
            pilot_hole_mm: 3.0,
            wire_wrap_deg: 270.0,
        }
    }
}

impl ShopRules {
    /// Every setting that lies outside its range; none when all are usable.
    pub fn faults(&self) -> Vec<RuleError> {
        let [least_pitch, most_pitch] = self.plug_pitch_mm;
        let [least_reach, most_reach] = self.corner_reach_mm;
        let mut checks = vec![
            within("height above the bad depth", self.above_bad_depth_mm, 0.0, 100.0, "mm"),
            within("spare length at a free end", self.spare_end_mm, 0.0, 300.0, "mm"),
            within("highest strip", self.highest_strip_mm, 10.0, 1000.0, "mm"),
            within("strain that springs to shape", self.springs_to_shape_strain, 0.0, 0.01, ""),
            within("strain that wants a skin", self.wants_a_skin_strain, self.springs_to_shape_strain, 0.1, ""),
            within("joggle run over depth", self.joggle_run_over_depth, 1.0, 20.0, "× depth"),
            within("steps heavier of a bolted flange", f64::from(self.flange_steps_heavier), 0.0, 3.0, ""),
            within("spacer", self.spacer_mm, 0.0, 20.0, "mm"),
            within("tube patch lap", self.tube_patch_lap_mm, 3.0, 50.0, "mm"),
            within("plug hole in skin", self.plug_hole_skin_mm, 3.0, 10.0, "mm"),
            within("plug hole, heavy", self.plug_hole_heavy_mm, self.plug_hole_skin_mm, 12.0, "mm"),
            within("least plug pitch", least_pitch, 10.0, 200.0, "mm"),
            within("most plug pitch", most_pitch, least_pitch, 200.0, "mm"),
            within("wire that stands out", self.wire_stands_out_mm, 0.0, 300.0, "mm"),
            within("least corner reach", least_reach, 10.0, 500.0, "mm"),
            within("most corner reach", most_reach, least_reach, 500.0, "mm"),
            within("bonded lap", self.bonded_lap_mm, 10.0, 100.0, "mm"),
            within("pilot hole", self.pilot_hole_mm, 1.0, 6.0, "mm"),
            within("wire wrap", self.wire_wrap_deg, 90.0, 360.0, "°"),
            match self.wire_end {
                WireEnd::StandsOut { length_mm } | WireEnd::Short { length_mm } => {
                    within("wire end", length_mm, 0.0, 300.0, "mm")
                }
                WireEnd::Ask | WireEnd::Flush => Ok(0.0),
            },
        ];
        let mut before_mm = 0.0;
        for &sheet_mm in &self.stock_sheets_mm {
            checks.push(within("stock sheet, thin to thick", sheet_mm, before_mm + 0.05, 12.0, "mm"));
            before_mm = sheet_mm;
        }
        checks.into_iter().filter_map(Result::err).collect()
    }

    /// Height of a let-in edge strip: proven bad depth and 6.35 mm, no higher (H1).
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`].
    pub fn let_in_height(&self, proven_bad_depth_mm: f64) -> Result<Working, RuleError> {
        let bad_mm = positive_size("proven bad depth", proven_bad_depth_mm)?;
        Ok(practice("height of the strip", bad_mm + self.above_bad_depth_mm, "mm", "proven bad depth + above", "H1")
            .with("bad", "proven bad depth", bad_mm, "mm")
            .with("above", "height above it", self.above_bad_depth_mm, "mm"))
    }

    /// How far a let-in corner reaches back from its edge, against the shop's least and most (H12).
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`].
    pub fn let_in_corner(&self, reach_mm: f64) -> Result<(CornerReach, Working), RuleError> {
        let reach = positive_size("reach of the let-in corner", reach_mm)?;
        let [least, most] = self.corner_reach_mm;
        let verdict = match reach {
            reach if reach < least => CornerReach::Short,
            reach if reach > most => CornerReach::Long,
            _ => CornerReach::Usual,
        };
        let working = practice("reach of the let-in corner", reach, "mm", "from the edge back to the cut", "H12")
            .with("least", "least reach", least, "mm")
            .with("most", "most reach", most, "mm");
        Ok((verdict, working))
    }

    /// Length of a piece with its spare at `free_ends` free ends (H2).
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`].
    pub fn length_with_spare(&self, run_mm: f64, free_ends: u8) -> Result<Working, RuleError> {
        let run_mm = positive_size("run of the repair", run_mm)?;
        let ends = within("free ends", f64::from(free_ends), 0.0, 2.0, "")?;
        let length_mm = run_mm + ends * self.spare_end_mm;
        Ok(practice("length with spare ends", length_mm, "mm", "run + ends·spare", "H2")
            .with("run", "run of the repair", run_mm, "mm")
            .with("ends", "free ends", ends, "")
            .with("spare", "spare length at each", self.spare_end_mm, "mm"))
    }

    /// Depth of a step: the thickness of the old sheet, so that the outside faces are flush (H4). The same depth is
    /// faired with filler inside.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`].
    pub fn step_depth(&self, old_sheet_mm: f64) -> Result<Working, RuleError> {
        let t = thickness(old_sheet_mm)?;
        Ok(practice("step depth", t, "mm", "thickness of the old sheet", "H4").with("t", "old sheet", t, "mm"))
    }

    /// Sheet for a bolted flange on a skin: some steps of the stock list heavier, at most three times the skin (H5, W43).
    ///
    /// # Errors
    /// [`RuleError::DoesNotFit`] when the shop stocks nothing so heavy.
    pub fn flange_sheet(&self, skin_mm: f64) -> Result<Working, RuleError> {
        let skin = thickness(skin_mm)?;
        const SAME_SHEET_MM: f64 = 0.03; // 20 swg (0.914) is a 0.9 mm sheet
        let heavier = self.stock_sheets_mm.iter().copied().filter(|sheet| *sheet > skin + SAME_SHEET_MM);
        let steps = usize::from(self.flange_steps_heavier);
        let sheet_mm = if steps == 0 { Some(skin) } else { heavier.take(steps).last() };
        let sheet_mm = sheet_mm.filter(|sheet| *sheet <= crate::joints::LARGEST_THICKNESS_RATIO * skin);
        let sheet_mm = sheet_mm.ok_or_else(|| RuleError::DoesNotFit {
            what: format!("no stock sheet is heavier than {skin} mm and at most three times as heavy"),
            need: "add a sheet to the shop's stock list".to_owned(),
        })?;
        Ok(practice("sheet of the bolted flange", sheet_mm, "mm", "steps heavier than the skin", "H5")
            .with("skin", "skin", skin, "mm")
            .with("steps", "steps of the stock list", f64::from(self.flange_steps_heavier), ""))
    }
}

/// How far a let-in corner reaches back from its edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CornerReach {
    /// Less than the shop's least.
    Short,
    /// As is usual.
    Usual,
    /// More than the shop's most.
    Long,
}

/// Opening angle (between the faces, rad) of the flange that mates with one of this opening angle, under skins that run
/// on smoothly: the two add to 180° (H6).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn mating_opening(opening_angle_rad: f64) -> Result<Working, RuleError> {
    let opening = within("opening angle (between the faces)", opening_angle_rad, 0.0, PI, "rad")?;
    Ok(practice("opening angle of the mate", PI - opening, "rad", "π − opening angle", "H6").with(
        "β",
        "opening angle",
        opening,
        "rad",
    ))
}

/// Length of a wire along its own centre line with both its ends (H10).
///
/// # Errors
/// [`RuleError::DoesNotFit`] while an end has not been said, or when nothing is left.
pub fn wire_length(centre_line_mm: f64, ends: [WireEnd; 2]) -> Result<Working, RuleError> {
    let run_mm = size("centre line of the wire", centre_line_mm)?;
    let [Some(start_mm), Some(end_mm)] = ends.map(WireEnd::adds_mm) else {
        return Err(RuleError::DoesNotFit {
            what: "it has not been said how the wire ends".to_owned(),
            need: "ask: stands out 25 to 40 mm, flush, or short so that the old wire enters".to_owned(),
        });
    };
    let length_mm = run_mm + start_mm + end_mm;
    if length_mm <= 0.0 {
        return Err(RuleError::DoesNotFit {
            what: format!("the wire would be {length_mm:.1} mm long"),
            need: "let its ends be shorter than the wire".to_owned(),
        });
    }
    Ok(practice("length of the wire", length_mm, "mm", "centre line + what stands out", "H10")
        .with("L", "centre line", run_mm, "mm")
        .with("e₁", "at the start", start_mm, "mm")
        .with("e₂", "at the end", end_mm, "mm"))
}

/// Starting values for gas-shielded wire welding of 0.8 to 1.0 mm sheet (H13, common practice, an estimate).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WireWeldSettings {
    /// Welding wire.
    pub wire_mm: f64,
    /// Argon and carbon dioxide, litres a minute.
    pub gas_l_min: [f64; 2],
    /// Current.
    pub current_a: [f64; 2],
    /// Voltage.
    pub voltage_v: [f64; 2],
    /// Length of one dot.
    pub dot_s: [f64; 2],
}

/// H13 for 0.8 to 1.0 mm sheet.
pub const WIRE_WELD_THIN_SHEET: WireWeldSettings = WireWeldSettings {
    wire_mm: 0.6,
    gas_l_min: [8.0, 12.0],
    current_a: [30.0, 50.0],
    voltage_v: [14.0, 17.0],
    dot_s: [0.5, 1.0],
};

/// Welding process, as far as its heat goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum HeatProcess {
    /// Tungsten inert gas.
    Tig,
    /// Gas-shielded wire in dots, averaged over the seam.
    WireInDots,
    /// Oxy-acetylene.
    OxyAcetylene,
}

impl HeatProcess {
    /// Usual net heat on 0.9 mm sheet, J per mm of seam (H14); outside it is a caution, never a refusal.
    pub const fn usual_net_j_mm(self) -> [f64; 2] {
        match self {
            Self::Tig => [50.0, 150.0],
            Self::WireInDots => [60.0, 160.0],
            Self::OxyAcetylene => [150.0, 400.0],
        }
    }
}

fn practice(name: &'static str, value: f64, unit: &'static str, formula: &'static str, id: &'static str) -> Working {
    Working::new(name, value, unit, formula, Source::common_practice(id))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_defaults_are_usable_and_a_file_may_leave_out_any() {
        assert_eq!(ShopRules::default().faults(), []);
        let rules: ShopRules = toml::from_str("spare_end_mm = 30.0").unwrap();
        assert_eq!(rules, ShopRules { spare_end_mm: 30.0, ..ShopRules::default() });
        assert!(toml::from_str::<ShopRules>("spare_ends_mm = 30.0").is_err());
        let text = toml::to_string(&ShopRules::default()).unwrap();
        assert_eq!(toml::from_str::<ShopRules>(&text).unwrap(), ShopRules::default());
    }

    #[test]
    fn let_in_corners_reach_back_as_is_usual() {
        let rules = ShopRules::default();
        for (reach_mm, verdict) in [
            (74.9, CornerReach::Short),
            (75.0, CornerReach::Usual),
            (150.0, CornerReach::Usual),
            (150.1, CornerReach::Long),
        ] {
            assert_eq!(rules.let_in_corner(reach_mm).unwrap().0, verdict);
        }
        assert!(rules.let_in_corner(f64::NAN).is_err());
    }

    #[test]
    fn every_fault_is_named() {
        let rules = ShopRules {
            spare_end_mm: f64::NAN,
            spacer_mm: -1.0,
            stock_sheets_mm: vec![0.9, 0.8],
            ..ShopRules::default()
        };
        assert_eq!(rules.faults().len(), 3);
    }

    #[test]
    fn an_unsaid_wire_end_is_asked_for() {
        assert!(wire_length(600.0, [WireEnd::Ask, WireEnd::Flush]).is_err());
        assert!(wire_length(10.0, [WireEnd::Short { length_mm: 20.0 }, WireEnd::Flush]).is_err());
    }

    #[test]
    fn a_flange_heavier_than_stock_is_refused() {
        assert!(ShopRules::default().flange_sheet(2.0).is_err());
        assert_eq!(ShopRules::default().flange_sheet(0.9144).unwrap().value, 1.2);
        assert_eq!(ShopRules { flange_steps_heavier: 1, ..ShopRules::default() }.flange_sheet(0.9).unwrap().value, 1.0);
    }
}
