//! Warp heights over the spread of the shrinkage.

use crate::shrinkage::Range;
use serde::Serialize;

/// Warp height for the least, the middle and the most of the shrinkage, mm; none where no shape was found in which the panel rests.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Heights {
    /// At the least of the shrinkage.
    pub low: Option<f64>,
    /// At its middle.
    pub middle: Option<f64>,
    /// At its most.
    pub high: Option<f64>,
}

impl Heights {
    pub(super) const fn of([low, middle, high]: [Option<f64>; 3]) -> Self {
        Self { low, middle, high }
    }

    const fn three(self) -> [Option<f64>; 3] {
        [self.low, self.middle, self.high]
    }

    /// The range, where the panel rests at all three.
    #[must_use]
    pub fn all(self) -> Option<Range> {
        Some(Range::of_three([self.low?, self.middle?, self.high?]))
    }

    /// How much higher than another, each at the least, the middle and the most of its shrinkage; none where one of the six is not known.
    #[must_use]
    pub fn above(self, other: Self) -> Option<Range> {
        let [low, middle, high] = [(self.low, other.low), (self.middle, other.middle), (self.high, other.high)];
        let less = |(own, other): (Option<f64>, Option<f64>)| Some(own? - other?);
        Some(Range::of_three([less(low)?, less(middle)?, less(high)?]))
    }

    /// In words, to so many decimals of a millimetre.
    #[must_use]
    pub fn words(self, decimals: usize) -> String {
        if let Some(Range { low, middle, high }) = self.all() {
            return format!("{middle:.decimals$} mm ({low:.decimals$} to {high:.decimals$})");
        }
        let known: Vec<f64> = self.three().into_iter().flatten().collect();
        let least = known.iter().copied().reduce(f64::min);
        let most = known.iter().copied().reduce(f64::max);
        let Some((least, most)) = least.zip(most) else { return "no resting shape that was found".to_owned() };
        let rests = if known.len() == 1 {
            format!("{least:.decimals$} mm")
        } else {
            format!("{least:.decimals$} to {most:.decimals$} mm")
        };
        format!("{rests} where it rests, for part of the spread no resting shape was found")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_height_that_was_not_found_is_neither_none_nor_another_one() {
        let whole = Heights::of([Some(1.0), Some(2.0), Some(4.0)]);
        assert_eq!(whole.words(1), "2.0 mm (1.0 to 4.0)");
        assert_eq!(whole.above(Heights::of([Some(0.5); 3])), Some(Range { low: 0.5, middle: 1.5, high: 3.5 }));
        let part = Heights::of([Some(1.0), None, None]);
        assert_eq!((part.all(), whole.above(part)), (None, None));
        assert!(part.words(1).starts_with("1.0 mm where it rests"), "{}", part.words(1));
        let none = Heights::of([None; 3]).words(1);
        assert!(none.contains("no resting shape") && !none.contains('0'), "{none}");
    }
}
