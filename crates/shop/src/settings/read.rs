//! Reading and checking the shop's settings.

use super::{ShopSettings, operation_kinds};
use crate::ShopError;
use handbook::bend::{Bend, Rule, allowance};

/// A fault in the shop's settings, at its key.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("shop settings, {key}: {what}")]
pub struct SettingFault {
    /// Key ("money.margin_percent").
    pub key: String,
    /// What is wrong and what would be accepted.
    pub what: String,
}

impl ShopSettings {
    /// Reads settings from TOML; missing keys take their defaults, unknown keys are refused.
    ///
    /// # Errors
    /// [`ShopError::Read`] when the text is no TOML or has a key the program does not know; [`ShopError::Settings`] with
    /// every number outside its range.
    pub fn read_toml(text: &str) -> Result<Self, ShopError> {
        let settings: Self =
            toml::from_str(text).map_err(|error| ShopError::Read(error.to_string().trim().to_owned()))?;
        let faults = settings.faults();
        if faults.is_empty() { Ok(settings) } else { Err(ShopError::Settings(faults)) }
    }

    /// Writes settings as TOML.
    ///
    /// # Errors
    /// [`ShopError::Read`] when a value cannot be written.
    pub fn write_toml(&self) -> Result<String, ShopError> {
        toml::to_string_pretty(self).map_err(|error| ShopError::Read(error.to_string()))
    }

    /// Every number that is not finite or outside its range, and every amount that is no money.
    #[must_use]
    pub fn faults(&self) -> Vec<SettingFault> {
        let mut check = Check::default();
        check.money(self);
        check.calendar(self);
        check.rules(self);
        check.skins(self);
        check.machines(self);
        check.stock(self);
        check.bend(&self.bend);
        check.minutes(self);
        check.faults
    }
}

#[derive(Default)]
struct Check {
    faults: Vec<SettingFault>,
}

impl Check {
    fn fault(&mut self, key: impl Into<String>, what: impl Into<String>) {
        self.faults.push(SettingFault { key: key.into(), what: what.into() });
    }

    fn within(&mut self, key: impl Into<String>, got: f64, min: f64, max: f64, unit: &str) {
        if !(min..=max).contains(&got) {
            self.fault(key, format!("is {got} {unit}; {min} to {max} {unit} is accepted"));
        }
    }

    fn amount(&mut self, key: impl Into<String>, text: &str, settings: &ShopSettings) {
        if let Err(error) = crate::price::amount(text, settings.money.currency) {
            self.fault(key, error.to_string());
        }
    }

    fn money(&mut self, settings: &ShopSettings) {
        let money = &settings.money;
        self.within("money.overhead_percent", money.overhead_percent, 0.0, 1000.0, "%");
        self.within("money.margin_percent", money.margin_percent, 0.0, 95.0, "%");
        self.within("money.tax_percent", money.tax_percent, 0.0, 100.0, "%");
        self.within("money.parcel_up_to_mm", money.parcel_up_to_mm, 0.0, 10_000.0, "mm");
        self.within("money.shared_reach_percent", money.shared_reach_percent, 0.0, 100.0, "%");
        let amounts = [
            ("money.hour", &money.hour),
            ("money.packing", &money.packing),
            ("money.carriage_parcel", &money.carriage_parcel),
            ("money.carriage_long", &money.carriage_long),
        ];
        for (key, amount) in amounts {
            if let Some(text) = amount {
                self.amount(key, text, settings);
            }
        }
    }

    fn calendar(&mut self, settings: &ShopSettings) {
        let calendar = &settings.calendar;
        self.within("calendar.hours_per_week", calendar.hours_per_week, 1.0, 168.0, "h");
        self.within("calendar.backlog_hours", calendar.backlog_hours, 0.0, 20_000.0, "h");
        self.within("calendar.backlog_reach_percent", calendar.backlog_reach_percent, 0.0, 100.0, "%");
        if calendar.working_days.is_empty() {
            self.fault("calendar.working_days", "is empty; give at least one, as \"mon\"");
        }
        for (i, day) in calendar.shut.iter().enumerate() {
            if day.parse::<jiff::civil::Date>().is_err() {
                self.fault(format!("calendar.shut[{i}]"), format!("\"{day}\" is not a date; write YYYY-MM-DD"));
            }
        }
    }

    fn rules(&mut self, settings: &ShopSettings) {
        for fault in settings.rules.faults() {
            self.fault("rules", fault.to_string());
        }
        let allowances = &settings.allowances;
        let rows = [
            ("wire_within_mm", allowances.wire_within_mm, 0.0, 2.0, "mm"),
            ("sheet_within_mm", allowances.sheet_within_mm, 0.0, 0.5, "mm"),
            ("hole_reach_mm", allowances.hole_reach_mm, 0.0, 10.0, "mm"),
            ("least_trim_mm", allowances.least_trim_mm, 0.0, 50.0, "mm"),
            ("trim_in_reaches", allowances.trim_in_reaches, 0.0, 5.0, "× reach"),
            ("unproven_extra_mm", allowances.unproven_extra_mm.unwrap_or(0.0), 0.0, 500.0, "mm"),
            ("hem_radius_per_thickness", allowances.hem_radius_per_thickness, 0.0, 5.0, "× thickness"),
            ("blank_gap_mm", allowances.blank_gap_mm, 0.0, 100.0, "mm"),
            ("seam_within_mm", allowances.seam_within_mm, 0.0, 5.0, "mm"),
            ("sheet_border_mm", allowances.sheet_border_mm, 0.0, 100.0, "mm"),
        ];
        for (key, got, min, max, unit) in rows {
            self.within(format!("allowances.{key}"), got, min, max, unit);
        }
        for (i, trial) in allowances.wire_trials.iter().enumerate() {
            self.within(format!("allowances.wire_trials[{i}].wire_mm"), trial.wire_mm, 0.5, 25.0, "mm");
            self.within(format!("allowances.wire_trials[{i}].thickness_mm"), trial.thickness_mm, 0.2, 6.0, "mm");
            self.within(format!("allowances.wire_trials[{i}].allowance_mm"), trial.allowance_mm, 1.0, 100.0, "mm");
        }
    }

    /// Numbers of one skin's development; what hangs together with a piece is checked with it.
    fn skins(&mut self, settings: &ShopSettings) {
        let skins = &settings.skins;
        let rows = [
            ("route_weight", skins.route_weight, 0.1, 10_000.0, "times"),
            ("outline_tolerance_mm", skins.outline_tolerance_mm, 0.0, 5.0, "mm"),
            ("corner_gap_mm", skins.corner_gap_mm, 0.01, 10.0, "mm"),
            ("seam_margin_mm", skins.seam_margin_mm, 0.0, 1000.0, "mm"),
            ("seam_radius_mm", skins.seam_radius_mm, 0.0, 100_000.0, "mm"),
            ("gather.caution", skins.gather.caution, 0.0, 1.0, "of the length"),
            ("gather.stop", skins.gather.stop, skins.gather.caution, 1.0, "of the length"),
        ];
        for (key, got, min, max, unit) in rows {
            self.within(format!("skins.{key}"), got, min, max, unit);
        }
        for (i, own) in skins.wheel.iter().enumerate() {
            self.within(format!("skins.wheel.{i}.thickness_mm"), own.thickness_mm, 0.2, 6.0, "mm");
            self.within(
                format!("skins.wheel.{i}.passes_per_percent"),
                own.passes_per_percent,
                0.01,
                10_000.0,
                "passes",
            );
        }
    }

    fn machines(&mut self, settings: &ShopSettings) {
        let machines = &settings.machines;
        let mut rows: Vec<(&str, f64)> = Vec::new();
        if let Some(folder) = &machines.folder {
            rows.extend([
                ("folder.length_mm", folder.length_mm),
                ("folder.thickest_mm", folder.thickest_mm),
                ("folder.smallest_leg_mm", folder.smallest_leg_mm),
            ]);
            self.within("machines.folder.smallest_inside_radius_mm", folder.smallest_inside_radius_mm, 0.0, 50.0, "mm");
            self.within("machines.folder.largest_bend_angle_deg", folder.largest_bend_angle_deg, 1.0, 180.0, "°");
        }
        if let Some(roller) = &machines.joggle_roller {
            rows.extend([
                ("joggle_roller.throat_mm", roller.throat_mm),
                ("joggle_roller.deepest_mm", roller.deepest_mm),
                ("joggle_roller.thickest_mm", roller.thickest_mm),
            ]);
        }
        if let Some(shear) = &machines.shear {
            rows.extend([("shear.length_mm", shear.length_mm), ("shear.thickest_mm", shear.thickest_mm)]);
        }
        if let Some(wheel) = &machines.wheel {
            rows.extend([("wheel.throat_mm", wheel.throat_mm), ("wheel.thickest_mm", wheel.thickest_mm)]);
        }
        if let Some(rolls) = &machines.rolls {
            rows.extend([
                ("rolls.width_mm", rolls.width_mm),
                ("rolls.smallest_inside_radius_mm", rolls.smallest_inside_radius_mm),
            ]);
        }
        if let Some(shrinker) = &machines.shrinker {
            rows.extend([("shrinker.throat_mm", shrinker.throat_mm), ("shrinker.thickest_mm", shrinker.thickest_mm)]);
        }
        if let Some(Err(error)) = machines.weld_strip.as_ref().map(super::WeldStrip::factors) {
            self.fault("machines.weld_strip", error.to_string());
        }
        for (key, got) in rows {
            self.within(format!("machines.{key}"), got, 0.1, 20_000.0, "mm");
        }
    }

    fn stock(&mut self, settings: &ShopSettings) {
        for (i, sheet) in settings.sheets.iter().enumerate() {
            self.within(format!("sheet[{i}].thickness_mm"), sheet.thickness_mm, 0.2, 6.0, "mm");
            self.within(format!("sheet[{i}].width_mm"), sheet.width_mm, 10.0, 20_000.0, "mm");
            self.within(format!("sheet[{i}].length_mm"), sheet.length_mm, 10.0, 20_000.0, "mm");
            self.amount(format!("sheet[{i}].price"), &sheet.price, settings);
        }
        for (i, wire) in settings.wires.iter().enumerate() {
            self.within(format!("wire[{i}].diameter_mm"), wire.diameter_mm, 0.5, 25.0, "mm");
            self.within(format!("wire[{i}].metres"), wire.metres, 0.0, 1e6, "m");
            self.amount(format!("wire[{i}].price_per_metre"), &wire.price_per_metre, settings);
        }
        for (i, consumable) in settings.consumables.iter().enumerate() {
            self.within(format!("consumable[{i}].amount"), consumable.amount, 0.0, 1000.0, "");
            self.amount(format!("consumable[{i}].price"), &consumable.price, settings);
        }
    }

    fn bend(&mut self, rule: &Rule) {
        let tried = match rule {
            Rule::ShopCoupon(coupon) => coupon.k_factor().map(|_| ()),
            _ => allowance(&Bend { thickness_mm: 0.9, inside_radius_mm: 1.5, bend_angle_rad: 1.0 }, rule).map(|_| ()),
        };
        if let Err(error) = tried {
            self.fault("bend", error.to_string());
        }
    }

    fn minutes(&mut self, settings: &ShopSettings) {
        for (kind, model) in &settings.minutes {
            if !operation_kinds().any(|known| known == kind) {
                let known: Vec<&str> = operation_kinds().collect();
                self.fault(
                    format!("minutes.{kind}"),
                    format!("is no kind of operation; known are {}", known.join(", ")),
                );
            }
            let rows = [
                ("setup", model.setup, 0.0, 5000.0, "min"),
                ("each", model.each, 0.0, 5000.0, "min"),
                ("per_metre", model.per_metre, 0.0, 5000.0, "min/m"),
                ("per_square_metre", model.per_square_metre, 0.0, 5000.0, "min/m²"),
                ("low", model.low, 0.05, 1.0, "× likely"),
                ("high", model.high, 1.0, 20.0, "× likely"),
            ];
            for (key, got, min, max, unit) in rows {
                self.within(format!("minutes.{kind}.{key}"), got, min, max, unit);
            }
        }
        for (kind, factor) in &settings.learned {
            self.within(format!("learned.{kind}"), *factor, 0.05, 20.0, "×");
        }
    }
}
