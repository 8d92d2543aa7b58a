//! A line in space, written as one short text: `x,y,z x,y,z …` in mm to a tenth.

use super::THINNED_MM;
use glam::DVec3;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt::Write as _;

/// Points of a line in space, mm.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(into = "String", try_from = "String")]
#[schemars(with = "String")]
pub struct Chain {
    /// In order; a closed line ends where it begins.
    pub points_mm: Vec<DVec3>,
}

/// Why a text is no line.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("a point of a line in space is {got:?}; three numbers in mm, joined by commas, are accepted")]
pub struct ChainError {
    got: String,
}

impl Chain {
    /// The line with the points left out that lie within [`THINNED_MM`] of what stays, rounded as it is written.
    #[must_use]
    pub fn thinned(points_mm: &[DVec3]) -> Self {
        let off_mm = |a: usize, b: usize, i: usize| off_side_mm(points_mm[i], points_mm[a], points_mm[b]);
        let kept = mesh::thin::kept_within(points_mm.len(), THINNED_MM, off_mm);
        let rounded = |point: &DVec3| (*point * 10.0).round() / 10.0;
        Self {
            points_mm: points_mm.iter().zip(kept).filter(|(_, kept)| *kept).map(|(point, _)| rounded(point)).collect(),
        }
    }
}

fn off_side_mm(point: DVec3, a: DVec3, b: DVec3) -> f64 {
    let way = b - a;
    let share = if way == DVec3::ZERO { 0.0 } else { ((point - a).dot(way) / way.length_squared()).clamp(0.0, 1.0) };
    point.distance(a + share * way)
}

impl From<Chain> for String {
    fn from(chain: Chain) -> Self {
        let mut text = Self::new();
        for point in chain.points_mm {
            let gap = if text.is_empty() { "" } else { " " };
            // -0.0 is 0
            let [x, y, z] = (point + 0.0).to_array();
            let _ = write!(text, "{gap}{x},{y},{z}");
        }
        text
    }
}

impl TryFrom<String> for Chain {
    type Error = ChainError;

    fn try_from(text: String) -> Result<Self, ChainError> {
        let point = |word: &str| {
            let numbers: Vec<f64> =
                word.split(',').filter_map(|number| number.parse().ok()).filter(|n: &f64| n.is_finite()).collect();
            match (numbers.as_slice(), word.matches(',').count()) {
                ([x, y, z], 2) => Ok(DVec3::new(*x, *y, *z)),
                _ => Err(ChainError { got: word.to_owned() }),
            }
        };
        Ok(Self { points_mm: text.split_whitespace().map(point).collect::<Result<_, _>>()? })
    }
}
