//! The working of a figure: formula, inputs, source.
//!
//! Every calculation of the project returns its number together with a [`Working`], so that the reader can
//! check it by hand. A working is data: it is shown by the web app, printed on demand and written to JSON.

use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// Where a formula or a value comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Source {
    /// What kind of authority it is.
    pub kind: SourceKind,
    /// Author, title, section or table, as printed to a reader.
    pub text: Cow<'static, str>,
    /// Id in the project's handbook of check values ("B3", "H1"), where there is one.
    pub id: Cow<'static, str>,
}

/// What kind of authority stands behind a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SourceKind {
    /// A published standard.
    Standard,
    /// A textbook, handbook, paper or government text.
    Text,
    /// Follows from geometry or arithmetic alone.
    Geometry,
    /// A rule of the trade: common practice, no source.
    CommonPractice,
    /// Set by the shop.
    ShopSetting,
    /// Measured on this job or by this shop.
    Measured,
}

impl Source {
    /// A published standard.
    pub const fn standard(text: &'static str, id: &'static str) -> Self {
        Self::of(SourceKind::Standard, text, id)
    }
    /// A textbook, handbook, paper or government text.
    pub const fn text(text: &'static str, id: &'static str) -> Self {
        Self::of(SourceKind::Text, text, id)
    }
    /// Geometry or arithmetic alone.
    pub const fn geometry(id: &'static str) -> Self {
        Self::of(SourceKind::Geometry, "geometry", id)
    }
    /// A rule of the trade without a published source.
    pub const fn common_practice(id: &'static str) -> Self {
        Self::of(SourceKind::CommonPractice, "common practice, no source", id)
    }
    /// A value the shop has set.
    pub const fn shop_setting(text: &'static str) -> Self {
        Self::of(SourceKind::ShopSetting, text, "")
    }
    /// A value measured on this job or by this shop.
    pub const fn measured(text: &'static str) -> Self {
        Self::of(SourceKind::Measured, text, "")
    }
    const fn of(kind: SourceKind, text: &'static str, id: &'static str) -> Self {
        Self { kind, text: Cow::Borrowed(text), id: Cow::Borrowed(id) }
    }
}

/// One input of a [`Working`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Given {
    /// Symbol used in the formula.
    pub symbol: Cow<'static, str>,
    /// What it is.
    pub name: Cow<'static, str>,
    /// Its value in `unit`.
    pub value: f64,
    /// Unit of the value ("mm", "rad", "°", "min", "" for a pure number).
    pub unit: Cow<'static, str>,
}

/// The trail of one figure: what it is, its value, the formula, what went in, and where the formula is from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Working {
    /// What the figure is ("developed width at station 120 mm").
    pub name: Cow<'static, str>,
    /// The figure.
    pub value: f64,
    /// Its unit.
    pub unit: Cow<'static, str>,
    /// The formula as a person would write it, in the symbols of `inputs`.
    pub formula: Cow<'static, str>,
    /// What went in.
    pub inputs: Vec<Given>,
    /// Where the formula is from.
    pub source: Source,
    /// The ± of the figure (two standard deviations) in the same unit, where it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach: Option<f64>,
}

impl Working {
    /// Starts a working without inputs or reach.
    pub fn new(
        name: impl Into<Cow<'static, str>>,
        value: f64,
        unit: impl Into<Cow<'static, str>>,
        formula: impl Into<Cow<'static, str>>,
        source: Source,
    ) -> Self {
        Self {
            name: name.into(),
            value,
            unit: unit.into(),
            formula: formula.into(),
            inputs: Vec::new(),
            source,
            reach: None,
        }
    }

    /// Adds one input.
    #[must_use]
    pub fn with(
        mut self,
        symbol: impl Into<Cow<'static, str>>,
        name: impl Into<Cow<'static, str>>,
        value: f64,
        unit: impl Into<Cow<'static, str>>,
    ) -> Self {
        self.inputs.push(Given { symbol: symbol.into(), name: name.into(), value, unit: unit.into() });
        self
    }

    /// States the reach of the figure, in its own unit.
    #[must_use]
    pub fn reach(mut self, reach: f64) -> Self {
        self.reach = Some(reach);
        self
    }
}
