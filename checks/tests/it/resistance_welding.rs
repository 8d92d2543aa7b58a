//! Spot and plug welds: nugget by a general criterion (seen); W41, W42 an application data sheet of the RWMA / AWS C1.1 kind
//! (seen); W43 chart notes and ISO 14373 scope (seen); W44 ISO 14373 as a reprint gives it (seen); W45 AWS D1.1 and W46 AWS D1.3
//! (seen), arithmetic only; W47 a practice note of low authority (seen). H9: common practice, no source.

use crate::near::near;
use handbook::ShopRules;
use handbook::joints::structural_plug::{arc_plug_visible_mm, plate_plug_hole_mm, plate_plug_pitch_mm};
use handbook::joints::{
    JointForm, JointKind, Sheets, joint, nugget, other_practice_plug_hole, pile_up, plug_hole, spot_schedule,
    spot_settings, spot_settings_at_high_force, three_sheet_spot_pitch,
};
use weld::joints::design;

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

/// Nugget, pitch and overlap in inches, row by row as the table prints them.
#[test]
fn w41_rows() {
    for (inch, nugget, pitch, overlap) in [
        (0.031, 0.161, 0.5, 7.0 / 16.0),
        (0.040, 0.181, 0.75, 0.5),
        (0.050, 0.210, 0.875, 9.0 / 16.0),
        (0.062, 0.231, 1.0, 0.625),
    ] {
        let t = inch * 25.4;
        for kind in [JointKind::SteppedLapSpot, JointKind::PlainLapSpot] {
            let figures = joint(kind, sheets(t, t), &ShopRules::default()).unwrap();
            near(figures.pitch_mm[0] / 25.4, pitch, 1e-9);
            near(figures.overlap_mm / 25.4, overlap, 1e-9);
            let by_table = figures.workings.iter().find(|own| own.name == "nugget by the table").unwrap();
            assert_eq!(by_table.source.id, "W41");
            near(by_table.value / 25.4, nugget, 1e-9);
        }
    }
}

/// A pile of at most four times its thinnest sheet: 0.9 + 0.9 + 1.8 is just that, 0.9 + 0.9 + 1.9 is not.
#[test]
fn w43_pile_up() {
    near(pile_up(&[0.9, 0.9, 1.8]).unwrap().value, 3.6, 1e-12);
    let refused = pile_up(&[0.9, 0.9, 1.9]).unwrap_err().to_string();
    assert!(refused.contains("3.70 mm") && refused.contains("4 times"), "{refused}");
    assert!(pile_up(&[0.9]).is_err() && pile_up(&[]).is_err() && pile_up(&[0.9, f64::NAN]).is_err());
}

/// Butt gap 0 to t/2 of the thinner sheet.
#[test]
fn h13_butt_gap() {
    for (front, back, most) in [(0.9, 0.9, 0.45), (1.2, 0.8, 0.4)] {
        let figures = joint(JointKind::Butt, sheets(front, back), &ShopRules::default()).unwrap();
        let [least, widest] = figures.gap_mm.unwrap();
        near(least, 0.0, 0.0);
        near(widest, most, 1e-12);
        assert!(figures.workings.iter().any(|own| own.name == "gap" && own.source.id == "H13"));
    }
}

#[test]
fn w43_three_sheets_and_thickness_ratio() {
    near(three_sheet_spot_pitch(0.036 * 25.4).unwrap().value, 1.3 * 19.05, 1e-9);
    assert!(joint(JointKind::SteppedLapSpot, sheets(0.5, 1.5), &ShopRules::default()).is_ok());
    assert!(joint(JointKind::SteppedLapSpot, sheets(0.49, 1.5), &ShopRules::default()).is_err());
}

/// Pounds, cycles, ampere, pounds, as the table prints them.
#[test]
fn w42_schedule() {
    const POUND_N: f64 = 4.4482216152605; // exact, by the definition of the pound and of standard gravity
    for (inch, force, cycles, current, shear) in
        [(0.031, 326.0, 8.0, 8000.0, 530.0), (0.040, 412.0, 10.0, 8800.0, 812.0), (0.050, 554.0, 14.0, 9600.0, 1195.0)]
    {
        let row = spot_schedule(inch * 25.4).unwrap();
        near(row.force_n / POUND_N, force, 1e-9);
        near(row.cycles, cycles, 0.0);
        near(row.current_a, current, 0.0);
        near(row.shear_n / POUND_N, shear, 1e-9);
    }
    assert_eq!(spot_schedule(0.036 * 25.4), spot_schedule(0.040 * 25.4), "next thicker row");
    assert!(spot_schedule(1.5).is_err() && spot_schedule(f64::NAN).is_err());
}

#[test]
fn w44_settings() {
    for t in [0.8, 1.0] {
        let set = spot_settings(t).unwrap();
        near(set.tip_mm, 5.0, 0.0);
        assert_eq!((set.force_n, set.cycles_50_hz, set.current_ka), ([1400.0, 1500.0], [9.0, 12.0], [6.0, 8.0]));
    }
    let set = spot_settings(1.2).unwrap();
    assert_eq!((set.force_n, set.cycles_50_hz, set.current_ka), ([1600.0, 1800.0], [11.0, 15.0], [7.0, 9.0]));
    assert!(spot_settings(0.7).is_err() && spot_settings(1.3).is_err());
    for t in [0.8, 0.9, 1.0] {
        let hard = spot_settings_at_high_force(t).unwrap();
        assert_eq!((hard.force_n, hard.cycles_50_hz, hard.current_ka), ([1900.0, 2600.0], [7.0, 10.0], [7.0, 10.0]));
    }
    assert!(spot_settings_at_high_force(1.1).is_err(), "the row is for 0.8 to 1.0 mm");
}

/// Printed in inches: t 0.9 mm, least 8.84 mm and at most 12.0; pitch four diameters.
#[test]
fn w45_plate_plugs_as_arithmetic() {
    let [least, most] = plate_plug_hole_mm(0.9).unwrap();
    near(least, 8.84, 0.5e-2);
    near(most, 12.0, 0.5e-1);
    near(plate_plug_hole_mm(25.4).unwrap()[1], 2.25 * 25.4, 1e-9);
    near(plate_plug_pitch_mm(10.0).unwrap(), 40.0, 1e-12);
}

/// t 0.120 in, effective 0.375 in: the example prints a visible diameter of 0.793 in.
#[test]
fn w46_arc_plugs_as_arithmetic() {
    near(arc_plug_visible_mm(0.120 * 25.4, 0.375 * 25.4).unwrap() / 25.4, 0.793, 0.5e-3);
    assert!(arc_plug_visible_mm(0.9, 9.0).is_err(), "less than 3/8 in is no plug by that rule");
}

/// W45 and W46 are written for plate: over every joint, thickness and load, no figure of sheet under 2 mm is theirs.
#[test]
fn no_advice_for_sheet_under_2_mm_comes_from_w45_or_w46() {
    let rules = ShopRules::default();
    let mut seen = 0;
    for form in JointForm::ALL {
        for t in (10..40).map(|i| 0.05 * f64::from(i)) {
            for load_bearing in [false, true] {
                let Ok(own) = design(form, Sheets { load_bearing, ..sheets(t, t) }, &rules) else { continue };
                let all = own.workings.iter().chain(&own.figures.workings);
                assert!(all.clone().all(|working| !["W45", "W46"].iter().any(|id| working.source.id.contains(id))));
                if form.is_plugged() {
                    let hole = own.figures.hole_mm.unwrap();
                    let [plate, _] = plate_plug_hole_mm(t).unwrap();
                    assert!((5.0..=8.0).contains(&hole) && hole < plate, "{form:?} {t}: {hole}");
                    assert_eq!(own.figures.pitch_mm, [25.0, 40.0]);
                    seen += 1;
                }
            }
        }
    }
    assert!(seen > 100, "{seen}");
}

#[test]
fn w47_stands_beside_h9_and_is_not_followed() {
    near(other_practice_plug_hole().value, 7.5, 0.0);
    let figures = joint(JointKind::PlainLap, sheets(0.9, 0.9), &ShopRules::default()).unwrap();
    assert!(figures.workings.iter().any(|working| working.source.id == "W47"));
    assert!(figures.hole_mm.is_some_and(|hole| hole < 7.5));
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
