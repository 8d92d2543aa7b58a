//! The job file and `plan(job, shop)`: every stage in order.

pub mod file;
pub mod plan;
