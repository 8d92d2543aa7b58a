//! The card: whose job it is, which vehicle, who fits it.

use super::{Pattern, Section};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
pub use weld::advice::{Kit, Skill};

/// A job: everything a person said or measured about one enquiry.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Job {
    /// Version of the file format; 1.
    pub format: u32,
    /// The shop's number for it ("26-014").
    pub number: String,
    /// What it is, in a few words.
    pub title: String,
    /// Unit of a bare number in this job.
    pub unit: units::LengthUnit,
    /// Country whose roadworthiness rules apply (ISO 3166-1 alpha-2), if known.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub country: String,
    /// Date the job was opened (YYYY-MM-DD); the calendar promise counts from it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub opened: String,
    /// Who asks.
    #[serde(default)]
    pub customer: Customer,
    /// Which vehicle.
    #[serde(default)]
    pub vehicle: Vehicle,
    /// Who will fit the piece.
    #[serde(default)]
    pub fitter: Fitter,
    /// What stands near the work; sets the cautions.
    #[serde(default)]
    pub near: Near,
    /// What a stock part, donor panel or new assembly would cost, if known.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub alternatives: Vec<Alternative>,
    /// Stops lifted, by whom and why.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lifted: Vec<LiftedStop>,
    /// Photos on this card, by content hash.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub photos: Vec<PhotoNote>,
    /// Sections.
    #[serde(default, rename = "section", skip_serializing_if = "Vec::is_empty")]
    pub sections: Vec<Section>,
    /// The patterns this job uses, kept with it so that a job is complete in itself.
    #[serde(default, rename = "pattern", skip_serializing_if = "Vec::is_empty")]
    pub patterns: Vec<Pattern>,
}

/// Who asks.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Customer {
    /// Name.
    pub name: String,
    /// Where a reply goes: post, telephone or mail, as written.
    pub contact: String,
    /// Unit the customer measures in; sheets are printed in it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<units::LengthUnit>,
    /// Paper the customer prints on.
    pub paper: Paper,
}

/// Paper size.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Paper {
    /// 210 × 297 mm.
    #[default]
    A4,
    /// 8 1/2 × 11 in.
    Letter,
}

/// Which vehicle.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Vehicle {
    /// What it is.
    pub name: String,
    /// Year or serial, free text.
    pub year: String,
    /// Notes.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub notes: String,
}

/// Who fits the piece, with what.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Fitter {
    /// Who, as printed ("museum volunteer").
    pub name: String,
    /// Skill.
    pub skill: Skill,
    /// Welding kit.
    pub kit: Kit,
    /// Has the machine a meter for current and voltage? Absent: not said, taken as none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub meter: Option<bool>,
    /// Gas of a gas-shielded machine. Absent: not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gas: Option<ShieldingGas>,
    /// Welding wire or filler rod at hand. Absent: not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wire: Option<units::Dimension>,
    /// Lowest current that the machine holds, A. Absent: not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least_current_a: Option<f64>,
    /// Current at which the fitter welds such sheet with TIG, A; with voltage and travel it takes the place of what is usual. Absent: not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub current_a: Option<f64>,
    /// Voltage of that arc, V. Absent: not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub voltage_v: Option<f64>,
    /// Travel along the seam, mm/s. Absent: not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub travel_mm_s: Option<f64>,
    /// Unit the fitter works in.
    pub unit: units::LengthUnit,
    /// Inch prints to the nearest 1/16, 1/32 or 1/64 when the unit is inches.
    pub inch_denominator: u32,
}

impl Default for Fitter {
    fn default() -> Self {
        Self {
            name: String::new(),
            skill: Skill::Volunteer,
            kit: Kit::GasShieldedWire,
            meter: None,
            gas: None,
            wire: None,
            least_current_a: None,
            current_a: None,
            voltage_v: None,
            travel_mm_s: None,
            unit: units::LengthUnit::Millimetre,
            inch_denominator: 32,
        }
    }
}

impl Fitter {
    /// Wire or rod at hand, mm; a bare number is millimetres, by which wire is sold. `None` when not said or no length.
    #[must_use]
    pub fn wire_mm(&self) -> Option<f64> {
        let reading = units::Reading { bare_unit: units::LengthUnit::Millimetre, ..units::Reading::default() };
        self.wire.as_ref()?.length_mm(&reading).ok()
    }
}

/// Gas that shields the weld.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ShieldingGas {
    /// Argon with some carbon dioxide.
    ArgonMix,
    /// Argon.
    Argon,
    /// Carbon dioxide.
    CarbonDioxide,
    /// None: flux-cored wire.
    None,
}

/// What stands near the work, as far as it is known.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Near {
    /// A fuel or gas tank or line within reach of heat or sparks.
    pub fuel: bool,
    /// A battery.
    pub battery: bool,
    /// The part is or touches a closed section (box, sill, tube).
    pub closed_section: bool,
    /// Wiring, trim, foam or sealer behind the panel.
    pub trim_behind: bool,
    /// Old paint, body solder or lagging not yet tested.
    pub old_paint: bool,
    /// Glass bonded near the weld.
    pub bonded_glass: bool,
    /// Within 300 mm of a mounting of steering, brakes, suspension, seat or belt.
    pub safety_mounting: bool,
    /// The piece carries a lid, door or spring load that must be supported.
    pub carries_load: bool,
}

/// Another way out, and its price.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Alternative {
    /// Stock part, donor panel, new assembly.
    pub what: AlternativeKind,
    /// Price as written, in the shop's currency ("340.00").
    pub price: String,
    /// Hours to fit it.
    #[serde(default)]
    pub fitting_hours: f64,
    /// Notes.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// Kind of alternative.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum AlternativeKind {
    /// A stock part.
    StockPart,
    /// A panel from another vehicle.
    DonorPanel,
    /// A new assembly.
    NewAssembly,
}

/// A stop that a person has lifted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LiftedStop {
    /// Key of the concern.
    pub concern: String,
    /// Its place, as in the concern.
    pub place: String,
    /// Who lifts it.
    pub name: String,
    /// Trade of a competent person; may be empty where the shop may lift it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub trade: String,
    /// Date (YYYY-MM-DD).
    pub date: String,
    /// Why.
    pub reason: String,
}

/// A photo on the card.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PhotoNote {
    /// Content hash (BLAKE3, hex) under which the store keeps it.
    pub hash: String,
    /// What it shows.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub caption: String,
}
