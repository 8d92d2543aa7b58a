//! Spot welds: nugget by a general criterion (seen); W41 an application data sheet of the RWMA / AWS C1.1 kind (seen); W43 chart
//! notes and ISO 14373 scope (seen). H9: common practice, no source.

use crate::near::near;
use handbook::ShopRules;
use handbook::joints::{JointKind, Sheets, joint, nugget, plug_hole, three_sheet_spot_pitch};

const fn sheets(front_mm: f64, back_mm: f64) -> Sheets {
    Sheets { front_mm, back_mm, load_bearing: false }
}

#[test]
fn w40_nugget() {
    for (t, wanted, least) in
        [(0.7, 4.18, 3.35), (0.8, 4.47, 3.58), (0.9, 4.74, 3.79), (1.0, 5.00, 4.00), (1.2, 5.48, 4.38)]
    {
        let [w, l] = nugget(t).unwrap();
        near(w.value, wanted, 0.5e-2);
        near(l.value, least, 0.5e-2);
    }
}

#[test]
fn w41_next_thicker_row() {
    for (inch, pitch, overlap, half_digit) in [(0.036, 19.0, 12.7, 0.5), (0.048, 22.0, 14.3, 0.5)] {
        let t = inch * 25.4;
        let figures = joint(JointKind::SteppedLapSpot, sheets(t, t), &ShopRules::default()).unwrap();
        near(figures.pitch_mm[0], pitch, half_digit);
        near(figures.overlap_mm, overlap, 0.05);
    }
    assert!(joint(JointKind::SteppedLapSpot, sheets(2.0, 2.0), &ShopRules::default()).is_err());
}

#[test]
fn w43_three_sheets_and_thickness_ratio() {
    near(three_sheet_spot_pitch(0.036 * 25.4).unwrap().value, 1.3 * 19.05, 1e-9);
    assert!(joint(JointKind::SteppedLapSpot, sheets(0.5, 1.5), &ShopRules::default()).is_ok());
    assert!(joint(JointKind::SteppedLapSpot, sheets(0.49, 1.5), &ShopRules::default()).is_err());
}

#[test]
fn h9_plug_holes() {
    let rules = ShopRules::default();
    near(plug_hole(sheets(0.9, 0.9), &rules).unwrap().value, 5.5, 1e-12);
    near(plug_hole(sheets(0.9, 1.2), &rules).unwrap().value, 7.0, 1e-12);
    near(plug_hole(Sheets { load_bearing: true, ..sheets(0.9, 0.9) }, &rules).unwrap().value, 7.0, 1e-12);
    let figures = joint(JointKind::SteppedLapPlug, sheets(0.9, 0.9), &rules).unwrap();
    assert_eq!(figures.pitch_mm, [25.0, 40.0]);
    // never the structural plug-weld rules, which would ask for 8.84 mm here (W45)
    assert!(figures.hole_mm.is_some_and(|hole| hole < 8.0));
}
