//! Shop rules H1 to H7: common practice, no source; each is a setting with this default. H3 stands in `crown`, H9 in
//! `resistance_welding`, H10 and H11 in `wire_edge`.

use crate::near::near;
use handbook::ShopRules;
use handbook::shop_rules::mating_opening;

#[test]
fn h1_height_of_a_let_in_strip() {
    near(ShopRules::default().let_in_height(38.0).unwrap().value, 44.35, 1e-12);
}

#[test]
fn h2_spare_ends() {
    near(ShopRules::default().length_with_spare(600.0, 2).unwrap().value, 650.0, 1e-12);
    near(ShopRules::default().length_with_spare(600.0, 0).unwrap().value, 600.0, 1e-12);
}

#[test]
fn h4_step_depth() {
    near(ShopRules::default().step_depth(0.914).unwrap().value, 0.91, 0.5e-2);
}

#[test]
fn h5_bolted_flange_is_heavier() {
    let sheet_mm = ShopRules::default().flange_sheet(0.9).unwrap().value;
    near(sheet_mm, 1.2, 1e-12);
    near(sheet_mm / 0.9, 1.33, 0.5e-2);
}

#[test]
fn h6_opening_angles_add_up() {
    near(mating_opening(80f64.to_radians()).unwrap().value.to_degrees(), 100.0, 1e-9);
}

#[test]
fn h7_spacer() {
    let spacer_mm = ShopRules::default().spacer_mm;
    assert!((1.6..=2.0).contains(&spacer_mm));
}

/// Every default can be set by the shop, and a working says which rule it came from.
#[test]
fn a_setting_changes_its_figure() {
    let rules = ShopRules { above_bad_depth_mm: 10.0, spare_end_mm: 30.0, ..ShopRules::default() };
    let height = rules.let_in_height(38.0).unwrap();
    near(height.value, 48.0, 1e-12);
    assert_eq!(height.source.id, "H1");
    near(rules.length_with_spare(600.0, 1).unwrap().value, 630.0, 1e-12);
}
