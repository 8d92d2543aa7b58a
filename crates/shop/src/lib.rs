//! Stock, machines, operations, minutes and price.

pub mod operation;
pub mod quote;
pub mod settings;

pub use operation::*;
pub use quote::*;
pub use settings::*;
