//! Comparison with a printed value.

/// Asserts that `got` lies within `tolerance` of the printed value.
#[track_caller]
pub fn near(got: f64, printed: f64, tolerance: f64) {
    // a hair beyond the half digit, because a printed value may itself be a rounded half
    let allowed = tolerance * (1.0 + 1e-6) + 1e-12;
    assert!((got - printed).abs() <= allowed, "got {got}, printed {printed} ± {tolerance}");
}

#[test]
#[should_panic(expected = "printed 1.9")]
fn a_wrong_value_is_noticed() {
    near(1.96, 1.9, 0.05);
}

#[test]
#[should_panic(expected = "printed 1.9")]
fn nan_is_noticed() {
    near(f64::NAN, 1.9, 0.05);
}
