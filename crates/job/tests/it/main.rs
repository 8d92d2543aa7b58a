//! Tests of the job file and of the plan on the demo of the invented Wren 15.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

mod demo;

use job::Job;
use shop::ShopSettings;

const WREN15: &str = include_str!("../../../../examples/wren15.toml");
const SHOP: &str = include_str!("../../../../examples/shop.toml");

fn shop() -> ShopSettings {
    ShopSettings::read_toml(SHOP).unwrap()
}

fn wren15() -> Job {
    job::read_toml(WREN15).unwrap_or_else(|errors| panic!("{errors}"))
}
