//! Shop rules H1 to H8, H13, H14: common practice, no source; each is a setting with this default. H3 stands in `crown`, H9 in
//! `resistance_welding`, H10 and H11 in `wire_edge`.

use crate::near::near;
use handbook::ShopRules;
use handbook::joints::{JointForm, Sheets};
use handbook::shop_rules::{HeatProcess, WIRE_WELD_THIN_SHEET, mating_opening};
use weld::joints::design;

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

/// Outside flush; the inside is faired with filler of one thickness.
#[test]
fn h4_filler_is_one_thickness_inside() {
    let sheets = Sheets { front_mm: 0.914, back_mm: 0.9, load_bearing: false };
    let own = design(JointForm::SteppedLapPlug, sheets, &ShopRules::default()).unwrap();
    near(own.step_mm, 0.91, 0.5e-2);
    near(own.filler_mm[0], 0.0, 0.0);
    near(own.filler_mm[1], 0.91, 0.5e-2);
}

#[test]
fn h8_lap_on_a_tube() {
    let sheets = Sheets { front_mm: 1.2, back_mm: 1.2, load_bearing: false };
    let own = design(JointForm::SheetToTube, sheets, &ShopRules::default()).unwrap();
    assert!((6.0..=12.0).contains(&own.lap_mm));
}

#[test]
fn h13_gas_shielded_wire() {
    let set = WIRE_WELD_THIN_SHEET;
    near(set.wire_mm, 0.6, 0.0);
    assert_eq!((set.gas_l_min, set.current_a), ([8.0, 12.0], [30.0, 50.0]));
    assert_eq!((set.voltage_v, set.dot_s), ([14.0, 17.0], [0.5, 1.0]));
}

#[test]
fn h14_heat_envelope() {
    for (process, net_j_mm) in [
        (HeatProcess::Tig, [50.0, 150.0]),
        (HeatProcess::WireInDots, [60.0, 160.0]),
        (HeatProcess::OxyAcetylene, [150.0, 400.0]),
    ] {
        assert_eq!(process.usual_net_j_mm(), net_j_mm);
    }
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
