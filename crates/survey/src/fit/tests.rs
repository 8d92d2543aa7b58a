use super::*;
use crate::stations;
use handbook::Grade;
use std::fmt::Write as _;

/// Stations of a crowned panel, heights to a tenth; `change` may spoil some of them.
fn stations(change: impl Fn(usize, usize, f64) -> (f64, f64)) -> Measured {
    let mut text = "stations_format = 1\nreach = '0.5 mm'\n".to_owned();
    for (i, station) in (0..8).map(|i: usize| (i, 60.0 * i as f64)) {
        let _ = writeln!(text, "[[profiles]]\nstation = {station}\npoints = [");
        for (j, across) in (0..11).map(|j| (j, 30.0 * j as f64 - 150.0)) {
            let (u, v) = (station - 210.0, across + 20.0);
            let height = 60.0 - u * u / 1200.0 - v * v / 800.0 + u * v * v / 4e5;
            let tremor = 0.1 * ((7 * i + 3 * j) % 5) as f64 - 0.2;
            let (across, height) = {
                let (sign, height) = change(i, j, height + tremor);
                (sign * across, height)
            };
            let _ = writeln!(text, "[{across:.1}, {height:.1}],");
        }
        text += "]\n";
    }
    stations::read(&text).unwrap()
}

fn fitted(measured: Measured) -> SurfaceFit {
    fit(measured, &FitSettings::default(), &Progress::silent(), &Cancel::new()).unwrap()
}

fn only(fit: &SurfaceFit) -> &Concern {
    assert_eq!(fit.concerns.len(), 1, "{:#?}", fit.concerns);
    &fit.concerns[0]
}

#[test]
fn a_good_survey_raises_no_concern_and_tells_its_residuals() {
    let fit = fitted(stations(|_, _, height| (1.0, height)));
    assert!(fit.concerns.is_empty(), "{:#?}", fit.concerns);
    assert!(fit.rms_mm() < 0.2 && fit.rms_mm() > 0.05, "{}", fit.rms_mm());
    let furthest = fit.residuals_mm()[fit.furthest()].abs();
    assert!(fit.residuals_mm().iter().all(|residual| residual.abs() <= furthest) && furthest < 0.5);
    let middle = fit.evaluate(210.0, -20.0);
    assert!((middle.at_mm.z - 60.0).abs() < middle.reach_mm && middle.reach_mm < 0.4, "{middle:?}");
    assert!(middle.normal.z > 0.999);
    let [tight, wide] = fit.crown_radii_mm(210.0, -20.0);
    assert!((tight - 400.0).abs() < 40.0 && (wide - 600.0).abs() < 90.0, "{tight} {wide}");
}

#[test]
fn a_profile_in_the_wrong_unit_is_named_with_its_likely_cause() {
    let spoiled = |of: usize, change: fn(f64) -> (f64, f64)| {
        fitted(stations(move |i, _, height| if i == of { change(height) } else { (1.0, height) }))
    };
    let inches = spoiled(3, |height| (1.0, height / 25.4));
    let concern = inches.concerns.iter().find(|concern| concern.key == "profile-off").unwrap();
    assert!(
        concern.place.contains("profile 4 (station 180.0 mm)") && concern.why.contains("read in inches"),
        "{concern:?}"
    );
    let sign = spoiled(5, |height| (1.0, -height));
    let concern = sign.concerns.iter().find(|concern| concern.key == "profile-off").unwrap();
    assert!(concern.place.contains("profile 6") && concern.why.contains("wrong sign"), "{concern:?}");
    let datum = spoiled(2, |height| (1.0, height + 12.0));
    let concern = datum.concerns.iter().find(|concern| concern.key == "profile-off").unwrap();
    assert!(concern.place.contains("profile 3") && concern.why.contains("too low"), "{concern:?}");
}

/// A profile typed in inches is tens of millimetres off and stops the work; 3 mm off are a caution; few readings are said to be few.
#[test]
fn a_gross_slip_is_a_stop_and_a_small_one_a_caution() {
    let grades = |off: f64| {
        let fit = fitted(stations(move |i, j, height| (1.0, if (i, j) == (4, 6) { height + off } else { height })));
        fit.concerns.iter().map(|concern| concern.grade).max()
    };
    assert_eq!(grades(8.8), Some(Grade::Stop));
    assert_eq!(grades(2.5), Some(Grade::Caution));
    for slip in [25.4, 1.3] {
        let fit = fitted(stations(move |i, _, height| (1.0, if i == 3 { height / slip } else { height })));
        let gravest = &fit.concerns[0];
        assert!(gravest.grade == Grade::Stop && gravest.place.contains("profile 4"), "{slip}: {gravest:#?}");
        assert!(gravest.what_to_do.contains("measure it again") && gravest.lifted_by.is_some());
    }
    let few = stations::read(
        "stations_format = 1\nreach = '0.5 mm'\n[[profiles]]\nstation = 0\npoints = [[0, 0], [200, 5]]\n[[profiles]]\nstation = 100\n\
         points = [[0, 3], [200, 9]]\n[[profiles]]\nstation = 200\npoints = [[0, 1], [200, 6]]\n",
    );
    let few = fitted(few.unwrap());
    assert!(few.concerns.iter().any(|own| own.key == "too-few-readings" && own.what.contains("6 readings; 12")));
}

#[test]
fn a_single_misreading_is_named_with_its_likely_cause() {
    let spoiled = |change: fn(f64) -> f64| {
        fitted(stations(move |i, j, height| (1.0, if (i, j) == (4, 6) { change(height) } else { height })))
    };
    let sign = spoiled(|height| -height);
    let concern = sign.concerns.iter().find(|concern| concern.key == "reading-off").unwrap();
    assert!(concern.place.contains("station 240.0 mm, point 7") && concern.why.contains("sign"), "{concern:?}");
    let off = spoiled(|height| height + 3.0);
    let concern = only(&off);
    assert!(concern.place.contains("point 7") && concern.why.contains("no simple slip"), "{concern:?}");
    let largest = off.measured.place(&off.measured.readings[off.furthest()]);
    assert!(largest.contains("station 240.0 mm, point 7"), "{largest}");
}

#[test]
fn digits_that_changed_places_are_tried() {
    // 55.8 written as 58.5: found by the pair, not by sign or point
    let spoiled = fitted(stations(|i, j, height| (1.0, if (i, j) == (2, 4) { swap_last(height) } else { height })));
    let concern = only(&spoiled);
    assert!(concern.why.contains("changed places"), "{concern:?}");
}

/// 54.3 → 53.4, and the like.
fn swap_last(height: f64) -> f64 {
    let tenths = (10.0 * height).round() as i64;
    (tenths / 100 * 100 + tenths % 10 * 10 + tenths / 10 % 10) as f64 / 10.0
}

#[test]
fn stopping_is_heard() {
    let cancel = Cancel::new();
    cancel.cancel();
    let stopped = fit(stations(|_, _, h| (1.0, h)), &FitSettings::default(), &Progress::silent(), &cancel);
    assert!(matches!(stopped, Err(SurveyError::Cancelled(_))));
}
