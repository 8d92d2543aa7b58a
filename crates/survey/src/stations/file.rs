//! The file as it is written.

use crate::Face;
use serde::Deserialize;
use units::{Dimension, LengthUnit};

/// A place (along, across) or a point of a profile (across, height).
pub(super) type Pair = [Dimension; 2];

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Stations {
    pub stations_format: u32,
    /// What was measured; for people.
    #[serde(default, rename = "name")]
    pub _name: String,
    #[serde(default)]
    pub unit: Unit,
    #[serde(default)]
    pub face: Face,
    pub reach: Option<Dimension>,
    pub outline: Option<Vec<Pair>>,
    #[serde(default)]
    pub holes: Vec<Vec<Pair>>,
    #[serde(default)]
    pub profiles: Vec<Profile>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Profile {
    pub station: Dimension,
    pub reach: Option<Dimension>,
    pub points: Vec<Pair>,
}

#[derive(Debug, Clone, Copy, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Unit {
    #[default]
    Mm,
    Cm,
    M,
    In,
}

impl Unit {
    pub fn length_unit(self) -> LengthUnit {
        match self {
            Self::Mm => LengthUnit::Millimetre,
            Self::Cm => LengthUnit::Centimetre,
            Self::M => LengthUnit::Metre,
            Self::In => LengthUnit::Inch,
        }
    }
}
