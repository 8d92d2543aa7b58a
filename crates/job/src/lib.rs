//! The job file and `plan(job, shop)`: every stage in order.

pub mod file;
pub mod plan;
pub mod read;

pub use file::Job;
pub use plan::Plan;
pub use read::{
    JobErrors, read_json, read_pattern_toml, read_toml, schema, write_json, write_pattern_toml, write_toml,
};
