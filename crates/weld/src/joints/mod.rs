//! One joint worked out for two sheets, and the order in which the trade puts its welds.
//!
//! [`design`] gathers what the handbook says about a form of joint: where the old sheet is cut, lap, step, holes, gap, filler.
//! [`habit`] numbers welds as a good welder would without any computing: middle first, ends, halfway between, the next far from
//! the last. Figures and places only; words for people are the handbook's and the job's.

mod design;
mod habit;

pub use design::{JointDesign, design};
pub use habit::{WeldEvent, WeldEventKind, habit};
