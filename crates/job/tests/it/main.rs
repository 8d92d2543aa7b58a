//! Tests of the job file and of the plan on the demo of the invented Wren 15.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

mod assembly;
mod bad_input;
mod demo;
mod edges;
mod fitting;
mod in_place;
mod joints;
mod made_up_ends;
mod phone;
mod purity;
mod reading;
mod rings;
mod ruled;
mod sets;
mod skins;
mod stops;
mod tubes;
mod worker;

use job::Job;
use job::plan::{Plan, SectionPlan};
use shop::ShopSettings;

const WREN15: &str = include_str!("../../../../examples/wren15.toml");
const ENQUIRY: &str = include_str!("../../../../examples/wren15-enquiry.toml");
const SHOP: &str = include_str!("../../../../examples/shop.toml");

const DOME: &str = include_str!("../../../../examples/dome-corner.toml");
const LADDER: &str = include_str!("../../../../examples/ladder-tube.toml");
const LADDER_FOOT: &str = include_str!("../../../../examples/ladder-foot.toml");
const LOCKER: &str = include_str!("../../../../examples/locker-door.toml");
const RINGS: &str = include_str!("../../../../examples/ventilator-ring.toml");

/// Every example job.
const EXAMPLES: [(&str, &str); 18] = [
    ("wren15", WREN15),
    ("wren15-enquiry", ENQUIRY),
    ("arch-edge", include_str!("../../../../examples/arch-edge.toml")),
    ("gutter-flanges", include_str!("../../../../examples/gutter-flanges.toml")),
    ("step-well", include_str!("../../../../examples/step-well.toml")),
    ("dome-corner", DOME),
    ("ladder-tube", LADDER),
    ("ladder-foot", LADDER_FOOT),
    ("lamp-panel", include_str!("../../../../examples/lamp-panel.toml")),
    ("roof-funnel", ruled::FUNNEL),
    ("ventilator-ring", RINGS),
    ("boxed-end", include_str!("../../../../examples/boxed-end.toml")),
    ("gutter-end", include_str!("../../../../examples/gutter-end.toml")),
    ("arch-lip", include_str!("../../../../examples/arch-lip.toml")),
    ("door-corner", include_str!("../../../../examples/door-corner.toml")),
    ("panel-corner", include_str!("../../../../examples/panel-corner.toml")),
    ("locker-door", LOCKER),
    ("skin-patterns", include_str!("../../../../examples/skin-patterns.toml")),
];

fn shop() -> ShopSettings {
    ShopSettings::read_toml(SHOP).unwrap()
}

fn read(text: &str) -> Job {
    job::read_toml(text).unwrap_or_else(|errors| panic!("{errors}"))
}

fn wren15() -> Job {
    read(WREN15)
}

/// The demo with a piece of its text replaced; the text must be there.
fn changed(pairs: &[(&str, &str)]) -> String {
    pairs.iter().fold(WREN15.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "the demo has no {from:?}");
        text.replace(from, to)
    })
}

fn section<'a>(plan: &'a Plan, id: &str) -> &'a SectionPlan {
    plan.sections.iter().find(|section| section.id == id).unwrap()
}

fn planned(text: &str) -> Plan {
    job::plan(&read(text), &shop())
}
