//! Flattening side by side: seconds, Newton steps, energy of each skin; `cargo bench -p benches --bench flatten -- 20000 100000`.
//!
//! Sizes (triangles) as arguments; words choose skins (`cap60`) and energies (`dirichlet`, `least-work`, `wheel-out`,
//! `gather-in`). The symmetric Dirichlet energies stand beside those of the reference library on its own jittered meshes.

use blank::flatten::{FlattenSettings, Flow, ROUTE_WEIGHT, Route, flatten};
use mesh::Skin;
use numerics::{Cancel, Progress};
use std::time::Instant;

#[path = "../../checks/tests/it/skins.rs"]
#[expect(clippy::unwrap_used, reason = "fixtures of the checks")]
mod skins;

use skins::{Cut, cap, cone, cylinder, patch, saddle, torus, wheel_guard};

/// Skins with the energy minus 4 that the reference reached at 100k triangles.
const SKINS: [(&str, Option<f64>); 8] = [
    ("cap60", Some(2.614e-2)),
    ("cap85", None),
    ("torus-dome", Some(1.937e-3)),
    ("torus-saddle", Some(3.287e-3)),
    ("wheel-guard", Some(4.833e-3)),
    ("saddle", Some(1.360e-3)),
    ("cylinder", Some(8e-12)),
    ("cone", Some(8e-12)),
];

fn skin(name: &str, n: usize) -> Skin {
    let cut = Cut::Jittered(1);
    let turn = std::f64::consts::PI;
    match name {
        "cap60" => cap(200.0, turn / 3.0, n, cut),
        "cap85" => cap(200.0, 85f64.to_radians(), n, cut),
        "torus-dome" => patch([330.0 * 0.5 * turn * 1.13, 40.0 * turn], n, cut, torus(0.0)),
        "torus-saddle" => patch([330.0 * 0.5 * turn * 0.87, 40.0 * turn], n, cut, torus(180.0)),
        "wheel-guard" => patch([1060.0, 205.0], n, cut, wheel_guard),
        "saddle" => patch([330.0, 330.0], n, cut, saddle),
        "cylinder" => patch([100.0 * turn, 400.0], n, cut, cylinder),
        _ => patch([442.0, 400.0], n, cut, cone),
    }
}

fn settings(name: &str) -> FlattenSettings {
    let flow = Flow { strength_n_mm2: 550.0, hardening_exponent: 0.21 };
    let work = |route| FlattenSettings::least_work(flow, route, 0.9);
    match name {
        "least-work" => work(Route::LeastWork),
        "wheel-out" => work(Route::WheelOut { weight: ROUTE_WEIGHT }),
        "gather-in" => work(Route::GatherIn { weight: ROUTE_WEIGHT }),
        _ => FlattenSettings::symmetric_dirichlet(),
    }
}

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with('-')).collect();
    let mut sizes: Vec<usize> = arguments.iter().filter_map(|a| a.parse().ok()).collect();
    if sizes.is_empty() {
        sizes.push(20_000);
    }
    let chosen = |name: &str, among: &[&str]| {
        let any = arguments.iter().any(|a| among.contains(&a.as_str()));
        !any || arguments.iter().any(|a| a == name)
    };
    let names = SKINS.map(|(name, _)| name);
    let energies = ["dirichlet", "least-work", "wheel-out", "gather-in"];
    println!("| skin | triangles | energy of | s | steps | ending | energy | reference at 100k | largest ε̄ | area flat/panel |");
    println!("|---|---|---|---|---|---|---|---|---|---|");
    for n in sizes {
        for (name, reference) in SKINS.into_iter().filter(|(name, _)| chosen(name, &names)) {
            let skin = skin(name, n);
            for energy in energies.into_iter().filter(|energy| chosen(energy, &energies)) {
                let start = Instant::now();
                let flat = flatten(&skin, &settings(energy), &Progress::silent(), &Cancel::new());
                let seconds = start.elapsed().as_secs_f64();
                let Ok(flat) = flat.map_err(|fault| println!("| {name} | {n} | {energy} | {fault} |")) else { continue };
                let reference = reference.filter(|_| energy == "dirichlet").map_or(String::new(), |e| format!("{e:.3e}"));
                let largest = flat.strains.iter().fold(0.0, |most: f64, s| most.max(s.effective));
                let steps = flat.iterations;
                println!(
                    "| {name} | {} | {energy} | {seconds:.2} | {} + {} | {:?} | {:.6e} | {reference} | {largest:.4} | {:.6} |",
                    skin.triangles.len(),
                    steps.symmetric_dirichlet,
                    steps.least_work,
                    flat.ending,
                    flat.energy,
                    flat.flat_area_mm2 / flat.panel_area_mm2
                );
            }
        }
    }
}
