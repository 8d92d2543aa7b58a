//! Forming limit S30 (Keeler & Brazier 1975 / NADDRG, from memory) with the margin S31 (a practitioner's rule, seen), and what a
//! flattened cap says in the words of the shop (S20–S22, derived).

use crate::near::near;
use crate::skins::{Cut, cap};
use blank::flatten::shop_terms::{GatherLimits, bands, concerns, edge_forming};
use blank::flatten::{FlatSkin, FlattenSettings, Flow, ROUTE_WEIGHT, Route, flatten};
use handbook::Grade;
use handbook::forming_limit::{Forming, FormingLimit, LimitMetal};
use mesh::Skin;
use numerics::{Cancel, Progress};

fn fld0_percent(thickness_mm: f64, n: f64) -> f64 {
    100.0 * FormingLimit::new(thickness_mm, n, LimitMetal::LowCarbonSteel).unwrap().fld0
}

#[test]
fn s30_fld0() {
    for (t, n, printed) in
        [(0.9, 0.21, 36.02), (0.9, 0.18, 30.87), (0.9, 0.16, 27.44), (0.8, 0.18, 29.66), (1.2, 0.22, 40.26)]
    {
        near(fld0_percent(t, n), printed, 0.5e-2);
    }
    near(fld0_percent(0.9, 0.21), 36.017, 1e-3);
    let limit = FormingLimit::new(0.9, 0.21, LimitMetal::LowCarbonSteel).unwrap();
    near(limit.major_limit(0.0), 0.3076, 0.5e-4);
}

/// 36.0 → 26.0.
#[test]
fn s31_warning_ten_points_under() {
    let limit = FormingLimit::new(0.9, 0.21, LimitMetal::LowCarbonSteel).unwrap();
    near(limit.major_warning(0.0).exp_m1(), 0.260, 0.5e-3);
    assert_eq!(limit.forming(1.255f64.ln(), 0.0), Forming::Safe);
    assert_eq!(limit.forming(1.265f64.ln(), 0.0), Forming::Near);
    assert_eq!(limit.forming(1.365f64.ln(), 0.0), Forming::Beyond);
}

fn run(skin: &Skin, route: Route) -> FlatSkin {
    let settings = FlattenSettings::least_work(Flow { strength_n_mm2: 550.0, hardening_exponent: 0.21 }, route, 0.9);
    flatten(skin, &settings, &Progress::silent(), &Cancel::new()).unwrap()
}

fn rim(skin: &Skin, flat: &FlatSkin) -> f64 {
    let mut chain = flat.boundaries[0].clone();
    chain.push(chain[0]);
    edge_forming(skin, flat, "rim", &chain, true).unwrap().gather_mm_per_100_mm
}

/// S22: a cap with its arcs kept gathers 0.6609 mm per 100 mm at the rim; gathering in comes near it, wheeling out needs far less.
#[test]
fn s22_gather_at_the_rim_in_shop_words() {
    let skin = cap(1010.0, (200.0f64 / 1010.0).asin(), 2400, Cut::Regular);
    let gathered = rim(&skin, &run(&skin, Route::GatherIn { weight: 100.0 }));
    near(gathered, 0.6609, 0.02 * 0.6609);
    let wheeled = rim(&skin, &run(&skin, Route::WheelOut { weight: ROUTE_WEIGHT }));
    assert!((0.0..0.5 * gathered).contains(&wheeled), "{wheeled} {gathered}");
}

/// S21: with the rim held the area is raised by 1.00 % on average; the bands add up to the whole blank.
#[test]
fn s21_mean_raise_of_a_wheeled_cap() {
    let skin = cap(1010.0, (200.0f64 / 1010.0).asin(), 2400, Cut::Regular);
    let flat = run(&skin, Route::WheelOut { weight: 1000.0 });
    let bands = bands(&skin, &flat, 0.0025);
    let area: f64 = bands.iter().map(|band| band.flat_area_mm2).sum();
    let raise: f64 = bands.iter().map(|band| band.flat_area_mm2 * band.mean_raise).sum::<f64>() / area;
    assert!((area / flat.flat_area_mm2 - 1.0).abs() < 1e-9, "{area}");
    near(raise, 0.0100, 0.0005);
    assert!(bands.len() > 3, "the middle is raised more than the rim: {}", bands.len());
}

/// A deep dome is refused on either route, a shallow one passes.
#[test]
fn deep_domes_are_stopped() {
    let grades = |angle_deg: f64, route| {
        let flat = run(&cap(200.0, f64::to_radians(angle_deg), 1000, Cut::Regular), route);
        let limit = FormingLimit::new(0.9, 0.21, LimitMetal::LowCarbonSteel).unwrap();
        let found = concerns(&flat, &limit, GatherLimits::default());
        found.into_iter().map(|concern| (concern.key, concern.grade)).collect::<Vec<_>>()
    };
    let wheel = Route::WheelOut { weight: ROUTE_WEIGHT };
    let gather = Route::GatherIn { weight: ROUTE_WEIGHT };
    assert_eq!(grades(15.0, Route::LeastWork), []);
    assert!(grades(80.0, wheel).contains(&("skin-forming-limit".to_owned(), Grade::Stop)));
    assert!(grades(80.0, gather).contains(&("skin-gathering".to_owned(), Grade::Stop)));
    assert!(grades(45.0, gather).contains(&("skin-gathering".to_owned(), Grade::Caution)));
}
