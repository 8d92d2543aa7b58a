//! Flattening side by side: seconds, Newton steps, energy of each skin; `cargo bench -p benches --bench flatten -- 20000 100000`.
//!
//! Sizes (triangles) as arguments; words choose skins (`cap60`) and energies (`dirichlet`, `least-work`, `wheel-out`,
//! `gather-in`); `cancel` measures instead how long it takes to stop, `remesh` how long remeshing and decimation take. `--write=DIR` also writes each skin there as OBJ, for `benches/flatten_side_by_side.py`, which runs the reference
//! library on the same meshes. Processor seconds are those of this process: on a shared machine they tell more than the clock.

use blank::flatten::{FlattenSettings, Flow, ROUTE_WEIGHT, Route, flatten};
use mesh::remesh::RemeshSettings;
use mesh::{MeshError, Skin};
use numerics::{Cancel, Progress};
use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::Path;
use std::time::Instant;

#[path = "../../checks/tests/it/skins.rs"]
#[expect(clippy::unwrap_used, dead_code, reason = "fixtures of the checks, of which the bench takes a part")]
mod skins;

use skins::{Cut, cap, cone, cylinder, patch, saddle, torus, wheel_guard};

const SKINS: [&str; 8] = ["cap60", "cap85", "torus-dome", "torus-saddle", "wheel-guard", "saddle", "cylinder", "cone"];

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

/// User and system seconds of this process so far, in hundredths; 0 where the system does not tell.
fn processor_seconds() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after_name = stat.rsplit_once(')').map_or("", |(_, rest)| rest);
    let ticks: u64 = after_name.split_whitespace().skip(11).take(2).filter_map(|t| t.parse::<u64>().ok()).sum();
    ticks as f64 / 100.0
}

fn write_obj(path: &Path, skin: &Skin) -> std::io::Result<()> {
    let mut file = BufWriter::new(File::create(path)?);
    for p in &skin.points_mm {
        writeln!(file, "v {:?} {:?} {:?}", p.x, p.y, p.z)?;
    }
    for [a, b, c] in &skin.triangles {
        writeln!(file, "f {} {} {}", a + 1, b + 1, c + 1)?;
    }
    file.flush()
}

/// One run as a row of the table.
fn row(name: &str, skin: &Skin, energy: &str) -> String {
    let (start, processor) = (Instant::now(), processor_seconds());
    let flat = flatten(skin, &settings(energy), &Progress::silent(), &Cancel::new());
    let (seconds, processor) = (start.elapsed().as_secs_f64(), processor_seconds() - processor);
    let triangles = skin.triangles.len();
    let flat = match flat {
        Ok(flat) => flat,
        Err(fault) => return format!("| {name} | {triangles} | {energy} | {fault} |"),
    };
    let largest = flat.strains.iter().fold(0.0, |most: f64, s| most.max(s.effective));
    let steps = flat.iterations;
    format!(
        "| {name} | {triangles} | {energy} | {seconds:.2} | {processor:.2} | {} + {} | {:?} | {:.8e} | {largest:.4} | {:.6} |",
        steps.symmetric_dirichlet,
        steps.least_work,
        flat.ending,
        flat.energy,
        flat.flat_area_mm2 / flat.panel_area_mm2
    )
}

/// Seconds of a whole run, and the longest time from the wish to stop to the return, of nine wishes spread over a run.
fn stops_within(run: impl Fn(&Cancel)) -> (f64, f64) {
    let start = Instant::now();
    run(&Cancel::new());
    let whole = start.elapsed();
    let stops = (1..10).map(|tenth| {
        let cancel = Cancel::new();
        std::thread::scope(|scope| {
            let asked = scope.spawn(|| {
                std::thread::sleep(whole * tenth / 10);
                cancel.cancel();
                Instant::now()
            });
            run(&cancel);
            let back = Instant::now();
            asked.join().map_or(f64::NAN, |asked| back.saturating_duration_since(asked).as_secs_f64())
        })
    });
    (whole.as_secs_f64(), stops.fold(0.0, f64::max))
}

fn cancel_row(name: &str, skin: &Skin) -> String {
    let settings = settings("least-work");
    let (whole, longest) = stops_within(|cancel| {
        let _ = flatten(skin, &settings, &Progress::silent(), cancel);
    });
    format!("| {name} | {} | cancel | {whole:.2} s whole | stops within {longest:.3} s |", skin.triangles.len())
}

/// Triangles left and how far they lie off, mm.
type Done = Result<(usize, f64), MeshError>;

/// Remeshing to the mean edge and decimation to a tenth of a millimetre.
fn remesh_rows(name: &str, skin: &Skin) -> [String; 2] {
    let triangles = skin.triangles.len();
    // an equilateral triangle of edge e has the area √3/4·e²
    let edge_mm = (skin.area_mm2() / (0.433 * triangles as f64)).sqrt();
    let even = RemeshSettings::to_edge_mm(edge_mm);
    let timed = |what: String, run: &dyn Fn(&Cancel) -> Done| {
        let processor = processor_seconds();
        let done = run(&Cancel::new());
        let processor = processor_seconds() - processor;
        let (whole, longest) = stops_within(|cancel| {
            let _ = run(cancel);
        });
        match done {
            Ok((left, off_mm)) => format!(
                "| {name} | {triangles} | {what} | {whole:.2} | {processor:.2} | {left} triangles, {off_mm:.3} mm off | stops within {longest:.3} s |"
            ),
            Err(fault) => format!("| {name} | {triangles} | {what} | {fault} |"),
        }
    };
    let remesh = |cancel: &Cancel| {
        skin.remeshed(&even, &Progress::silent(), cancel).map(|done| (done.skin.triangles.len(), done.deviation_mm))
    };
    let decimate = |cancel: &Cancel| {
        skin.decimated(0.1, &Progress::silent(), cancel).map(|done| (done.skin.triangles.len(), done.deviation_mm))
    };
    [timed(format!("remesh to {edge_mm:.2} mm"), &remesh), timed("decimate to 0.1 mm".into(), &decimate)]
}

fn main() -> std::io::Result<()> {
    let all: Vec<String> = std::env::args().skip(1).collect();
    let directory = all.iter().find_map(|a| a.strip_prefix("--write="));
    let words: Vec<&str> = all.iter().map(String::as_str).filter(|a| !a.starts_with('-')).collect();
    let mut sizes: Vec<usize> = words.iter().filter_map(|a| a.parse().ok()).collect();
    if sizes.is_empty() {
        sizes.push(20_000);
    }
    let energies = ["dirichlet", "least-work", "wheel-out", "gather-in"];
    let chosen = |name: &str, among: &[&str]| !words.iter().any(|w| among.contains(w)) || words.contains(&name);
    println!(
        "| skin | triangles | energy of | s | processor s | steps | ending | energy | largest ε̄ | area flat/panel |"
    );
    println!("|---|---|---|---|---|---|---|---|---|---|");
    for n in sizes {
        for name in SKINS.into_iter().filter(|name| chosen(name, &SKINS)) {
            let skin = skin(name, n);
            if let Some(directory) = directory {
                write_obj(&Path::new(directory).join(format!("{name}_{}.obj", skin.triangles.len())), &skin)?;
            }
            if words.contains(&"cancel") {
                println!("{}", cancel_row(name, &skin));
                continue;
            }
            if words.contains(&"remesh") {
                remesh_rows(name, &skin).iter().for_each(|row| println!("{row}"));
                continue;
            }
            for energy in energies.into_iter().filter(|energy| chosen(energy, &energies)) {
                println!("{}", row(name, &skin, energy));
            }
        }
    }
    Ok(())
}
