//! Tables and rules of the trade with their sources, and the working of every figure.
//!
//! One module is one chapter. Every constant stands here once, with its [`Source`]; every rule returns its figures
//! together with the [`Working`] by which a person can check them. Ids such as "B3" or "H1" name the entry of the
//! project's list of check values.
//!
//! Conventions: millimetres, newtons per square millimetre, radians. A *bend angle* is turned from flat (0 flat,
//! π folded back); an *opening angle* lies between the faces. A radius is the inside radius unless its name says else.
//! Does not know: pieces, jobs, prices. A rule says what it returns for the numbers it is given.

pub mod bend;
pub mod cautions;
pub mod concern;
pub mod crown;
pub mod edges;
pub mod error;
pub mod forming_limit;
pub mod gauges;
pub mod holes;
pub mod joints;
pub mod materials;
pub mod min_radius;
pub mod rule_of_road;
pub mod rust;
pub mod shop_rules;
pub mod springback;
pub mod tolerances;
pub mod welding;
pub mod working;

pub use concern::{Concern, Grade, LiftedBy};
pub use error::RuleError;
pub use shop_rules::ShopRules;
pub use working::{Given, Source, SourceKind, Working};
