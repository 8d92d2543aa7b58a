//! The job file and `plan(job, shop)`: every stage in order.

pub mod file;
pub mod phone;
pub mod plan;
pub mod read;
pub mod resolve;
pub mod worker;

pub use file::Job;
pub use phone::{PhoneAnswer, PhonePiece, telephone, telephone_with};
pub use plan::{Plan, Planner, plan};
pub use read::{
    JobErrors, hand_from_words, read_json, read_pattern_toml, read_toml, schema, take_meshes, write_json,
    write_pattern_toml, write_toml,
};
