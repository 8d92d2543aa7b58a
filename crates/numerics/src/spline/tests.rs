use super::*;

fn fitted(data: &[Datum], smoothing: Smoothing) -> SplineSurface {
    let grid = Grid::new([0.0, 0.0], [400.0, 300.0], [16, 12]).unwrap();
    fit(data, grid, smoothing, &Progress::silent(), &Cancel::new()).unwrap()
}

/// 9 × 8 places over the rectangle.
fn lattice(height: impl Fn([f64; 2]) -> f64, sigma: f64) -> Vec<Datum> {
    let places = (0..9).flat_map(|i| (0..8).map(move |j| [50.0 * f64::from(i), 300.0 / 7.0 * f64::from(j)]));
    places.map(|at| Datum { at, value: height(at), sigma }).collect()
}

fn dome([u, v]: [f64; 2]) -> f64 {
    (500.0f64.powi(2) - (u - 200.0).powi(2) - (v - 150.0).powi(2)).sqrt() - 450.0
}

#[test]
fn a_plane_is_met_exactly_and_goes_on() {
    let plane = |[u, v]: [f64; 2]| 1e4 + 0.3 * u - 0.7 * v;
    for smoothing in [Smoothing::CrossValidation, Smoothing::Discrepancy, Smoothing::Given(1e-3)] {
        let surface = fitted(&lattice(plane, 0.25), smoothing);
        for at in [[13.0, 17.0], [400.0, 300.0], [900.0, -500.0], [-1e3, 2e3]] {
            assert!((surface.value(at) - plane(at)).abs() < 1e-9, "{smoothing:?} at {at:?}: {}", surface.value(at));
        }
        assert!((surface.gradient([77.0, 600.0])[1] + 0.7).abs() < 1e-12);
    }
    let surface = fitted(&lattice(plane, 0.25), Smoothing::CrossValidation);
    assert!((2.99..3.2).contains(&surface.effective_unknowns()), "{}", surface.effective_unknowns());
}

/// Standard deviation of a plane through n readings at its centre: σ/√n.
#[test]
fn a_stiff_surface_has_the_reach_of_a_plane() {
    let surface = fitted(&lattice(|[u, _]| u, 0.5), Smoothing::Given(1e9));
    let sigma = surface.sigma([200.0, 150.0]);
    assert!((sigma - 0.5 / 72f64.sqrt()).abs() < 5e-5, "{sigma}");
}

#[test]
fn three_readings_give_their_plane_and_doubled_places_their_mean() {
    let datum = |u, v, value| Datum { at: [u, v], value, sigma: 0.2 };
    let three = [datum(0.0, 0.0, 1.0), datum(400.0, 0.0, 2.0), datum(0.0, 300.0, 5.0)];
    let surface = fitted(&three, Smoothing::CrossValidation);
    assert!((surface.value([400.0, 300.0]) - 6.0).abs() < 1e-7);
    let doubled: Vec<Datum> = three
        .iter()
        .flat_map(|d| [Datum { value: d.value - 0.1, ..*d }, Datum { value: d.value + 0.1, ..*d }])
        .collect();
    assert!((fitted(&doubled, Smoothing::CrossValidation).value([0.0, 0.0]) - 1.0).abs() < 1e-6);
}

#[test]
fn a_dome_is_met_beside_its_readings_and_goes_on_straight() {
    let surface = fitted(&lattice(dome, 0.05), Smoothing::CrossValidation);
    for at in [[111.0, 99.0], [205.0, 160.0], [333.0, 222.0]] {
        let miss = (surface.value(at) - dome(at)).abs();
        assert!(miss < 0.03 && miss < 2.0 * surface.sigma(at), "{at:?}: {miss} {}", surface.sigma(at));
    }
    let along = |u: f64| surface.value([u, 120.0]);
    assert!((along(500.0) - 2.0 * along(600.0) + along(700.0)).abs() < 1e-9);
    assert!((along(400.0 - 1e-6) - along(400.0 + 1e-6)).abs() < 1e-5, "no step at the end of the grid");
    assert!(surface.sigma([700.0, 120.0]) > 10.0 * surface.sigma([200.0, 120.0]), "little is known far outside");
}

#[test]
fn derivatives_are_those_of_the_surface() {
    let surface = fitted(&lattice(dome, 0.05), Smoothing::Given(0.1));
    let (at, h) = ([123.0, 77.0], 1e-3);
    let moved = |du: f64, dv: f64| [at[0] + du, at[1] + dv];
    let slope = (surface.value(moved(h, 0.0)) - surface.value(moved(-h, 0.0))) / (2.0 * h);
    assert!((slope - surface.gradient(at)[0]).abs() < 1e-7);
    let twist = (surface.gradient(moved(0.0, h))[0] - surface.gradient(moved(0.0, -h))[0]) / (2.0 * h);
    let [uu, uv, vv] = surface.second(at);
    assert!((twist - uv).abs() < 1e-7 && uu < -1e-3 && vv < -1e-3);
}

/// Readings that miss by their σ on average, told with ten times that: the discrepancy smooths more, cross-validation does not.
#[test]
fn cross_validation_does_not_trust_the_stated_size_of_errors() {
    let mut random = fastrand::Rng::with_seed(7);
    let mut wobble = || (0..12).map(|_| random.f64()).sum::<f64>() - 6.0;
    let noisy: Vec<Datum> =
        lattice(dome, 0.3).into_iter().map(|d| Datum { value: d.value + 0.3 * wobble(), ..d }).collect();
    let modest: Vec<Datum> = noisy.iter().map(|d| Datum { sigma: 3.0, ..*d }).collect();
    let at_crown = |data: &[Datum], smoothing| fitted(data, smoothing).value([200.0, 150.0]);
    let [honest, told] = [&noisy, &modest].map(|data| at_crown(data, Smoothing::CrossValidation));
    assert!((honest - told).abs() < 1e-6, "{honest} {told}");
    let flattened = at_crown(&modest, Smoothing::Discrepancy);
    assert!(flattened < told - 1.0, "{flattened} {told}");
    let surface = fitted(&noisy, Smoothing::CrossValidation);
    assert!((0.7..1.3).contains(&surface.scatter()), "{}", surface.scatter());
}

#[test]
fn what_cannot_be_fitted_is_named() {
    let grid = Grid::new([0.0, 0.0], [400.0, 300.0], [4, 4]).unwrap();
    let refused = |data: &[Datum], smoothing| {
        fit(data, grid, smoothing, &Progress::silent(), &Cancel::new()).unwrap_err().to_string()
    };
    let good = lattice(|_| 1.0, 0.1);
    assert!(refused(&good[..2], Smoothing::default()).contains("2 readings"));
    assert!(refused(&good[..8], Smoothing::default()).contains("one line"));
    assert!(refused(&good, Smoothing::Given(f64::NAN)).contains("NaN"));
    let changed = |change: fn(&mut Datum)| {
        let mut data = good.clone();
        change(&mut data[5]);
        refused(&data, Smoothing::default())
    };
    assert!(changed(|d| d.value = f64::NAN).contains("height of reading 5 is NaN"));
    assert!(changed(|d| d.at[1] = f64::INFINITY).contains("v of reading 5"));
    assert!(changed(|d| d.sigma = 0.0).contains("more than 0"));
    assert!(Grid::new([0.0, 0.0], [0.0, 1.0], [4, 4]).is_err() && Grid::new([0.0; 2], [1.0; 2], [0, 4]).is_err());
    let stopped = Cancel::new();
    stopped.cancel();
    let stopped = fit(&good, grid, Smoothing::default(), &Progress::silent(), &stopped);
    assert!(matches!(stopped, Err(SplineError::Cancelled(_))));
}
