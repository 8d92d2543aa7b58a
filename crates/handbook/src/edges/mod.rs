//! Edges of thin sheet: what each takes from the flat, and what it does to the metal.

pub mod flange;
pub mod hem;
pub mod joggle;
pub mod relief;
pub mod wire;

pub use flange::{BendLine, CurvedFlange, FlangeStrain};
pub use hem::{Hem, HemFigures};
pub use joggle::{Joggle, JoggleFigures, Ramp};
pub use relief::ReliefHole;
pub use wire::{WireCorner, WireEdge, WireFigures, WireRule};
