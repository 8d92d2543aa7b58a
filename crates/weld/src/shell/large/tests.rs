use super::*;
use crate::WeldError;
use crate::shell::{Hold, InherentStrain, Loads, Sheet, Supports};
use numerics::{Cancel, Cancelled, Progress};

/// A strip 100 × 10 of 20 × 2 rectangles.
fn strip() -> Shell {
    let mut skin = mesh::Skin { points_mm: Vec::new(), triangles: Vec::new() };
    for j in 0..=2 {
        skin.points_mm.extend((0..=20).map(|i| DVec3::new(5.0 * f64::from(i), 5.0 * f64::from(j), 0.0)));
    }
    for at in (0..2u32).flat_map(|j| (0..20).map(move |i| 21 * j + i)) {
        skin.triangles.extend([[at, at + 1, at + 22], [at, at + 22, at + 21]]);
    }
    Shell { skin, sheets: vec![Sheet { thickness_mm: 0.9, young_n_mm2: 210e3, poisson: 0.3 }], sheet_of: Vec::new() }
}

fn held_at(nodes: impl IntoIterator<Item = u32>) -> Supports {
    let all = |node| DVec3::AXES.map(|axis| [false, true].map(|rotation| Hold { node, axis, rotation, spring: None }));
    Supports { holds: nodes.into_iter().flat_map(all).flatten().collect() }
}

fn run(shell: &Shell, supports: &Supports, loads: &Loads, settings: &Settings) -> Result<Bent, WeldError> {
    solve(shell, supports, loads, settings, &Progress::silent(), &Cancel::new())
}

fn tip_load(force: f64) -> Loads {
    Loads { at_nodes: vec![(41, DVec3::new(0.0, 0.0, force), DVec3::ZERO)], ..Loads::default() }
}

/// Small loads: the linear solution.
#[test]
fn a_small_load_is_linear() {
    let (shell, supports, loads) = (strip(), held_at([0, 21, 42]), tip_load(1e-3));
    let bent = run(&shell, &supports, &loads, &Settings { first_step: 1.0, ..Settings::default() }).unwrap();
    let mut linear = crate::shell::LinearModel::new(shell, &supports, &Progress::silent(), &Cancel::new()).unwrap();
    let deflection = linear.solve(&loads).unwrap();
    let want = deflection.displacement_mm(41).z;
    assert!(bent.ending == Ending::Converged && bent.history[0].stable && !bent.history[0].fell);
    assert!((bent.displacement_mm[41].z / want - 1.0).abs() < 1e-6, "{} for {want}", bent.displacement_mm[41].z);
}

/// A free sheet takes a uniform shrinkage without force and moves as a whole by nothing else; the run is the same bits twice.
#[test]
fn a_free_sheet_shrinks_freely() {
    let shell = strip();
    let shrinkage = |triangle| InherentStrain { triangle, along: DVec3::X, strain: [-1e-3, -1e-3, 0.0] };
    let loads = Loads { inherent: (0..80).map(shrinkage).collect(), ..Loads::default() };
    let bent = run(&shell, &Supports::default(), &loads, &Settings::default()).unwrap();
    assert_eq!(bent.ending, Ending::Converged);
    let size = |points: &[DVec3]| points[0].distance(points[62]);
    let moved: Vec<DVec3> = shell.skin.points_mm.iter().zip(&bent.displacement_mm).map(|(p, u)| *p + *u).collect();
    assert!((size(&moved) / size(&shell.skin.points_mm) - 0.999).abs() < 1e-9);
    assert!(bent.membrane_n_mm.iter().flatten().all(|force| force.abs() < 1e-6), "no force in it");
    assert_eq!(bent, run(&shell, &Supports::default(), &loads, &Settings::default()).unwrap());
}

#[test]
fn settings_that_make_no_sense_are_named() {
    let (shell, supports, loads) = (strip(), held_at([0, 21, 42]), tip_load(1.0));
    for settings in [
        Settings { shares: vec![0.5, 0.5], ..Settings::default() },
        Settings { shares: vec![f64::NAN], ..Settings::default() },
        Settings { shares: Vec::new(), ..Settings::default() },
        Settings { first_step: 0.0, ..Settings::default() },
        Settings { tolerance: f64::NAN, ..Settings::default() },
    ] {
        assert!(matches!(run(&shell, &supports, &loads, &settings), Err(WeldError::OutOfRange { .. })), "{settings:?}");
    }
    let watched = Settings { watched: vec![900], ..Settings::default() };
    assert!(matches!(run(&shell, &supports, &loads, &watched), Err(WeldError::NoSuch { got: 900, .. })));
}

#[test]
fn asked_to_stop_it_stops_at_the_next_step() {
    let (shell, supports, loads) = (strip(), held_at([0, 21, 42]), tip_load(60.0));
    let cancel = Cancel::new();
    let flag = cancel.clone();
    let progress = Progress::new(move |step| {
        if step.share > 0.2 {
            flag.cancel()
        }
    });
    let stopped = solve(&shell, &supports, &loads, &Settings::default(), &progress, &cancel);
    assert_eq!(stopped.unwrap_err(), WeldError::Cancelled(Cancelled));
}
