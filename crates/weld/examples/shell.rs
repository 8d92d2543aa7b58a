//! Thin shells measured: `cargo run --release -p weld --example shell -- [plate|roof] [n …] [irregular]`.
//!
//! `n` rectangles each way, cut into two triangles each. One row a case: seconds of each step, unknowns, values of the factor,
//! error. The row `most memory` is that of the whole process: run one case at a time for its own. A grid of 90 has 50,000 unknowns,
//! one of 128 has 100,000. `benches/shell_side_by_side.py` runs it beside a reference program.

use glam::DVec3;
use numerics::Cancel;
use std::time::Instant;
use weld::WeldError;
use weld::shell::{Assembly, Hold, Loads, Sheet, Shell, Supports};

#[path = "../../../checks/tests/it/shells.rs"]
#[expect(clippy::unwrap_used, dead_code, reason = "fixtures of the checks, of which the example takes a part")]
mod shells;

use shells::{Cut, Grid, Line, about, along, everywhere, grid, symmetric};

/// A shell under a load whose deflection at one node is known.
struct Problem {
    grid: Grid,
    sheet: Sheet,
    holds: Vec<Hold>,
    loads: Loads,
    node: u32,
    expected: DVec3,
}

/// Square plate 400 × 400 × 0.9 mm on simple supports under uniform load, whole: 0.0040624·q·a⁴/D in the middle.
fn plate(n: u32, cut: Cut) -> Problem {
    let (side_mm, load_n_mm2) = (400.0, 1e-4);
    let grid = grid([n, n], cut, |s, w| DVec3::new(side_mm * s, side_mm * w, 0.0));
    let sheet = Sheet { thickness_mm: 0.9, young_n_mm2: 210e3, poisson: 0.3 };
    let mut holds = Vec::new();
    for (line, across) in
        [(Line::First, DVec3::X), (Line::Last, DVec3::X), (Line::Bottom, DVec3::Y), (Line::Top, DVec3::Y)]
    {
        holds.extend(grid.line(line).into_iter().flat_map(|node| [along(node, DVec3::Z), about(node, across)]));
    }
    let deflection = 0.004_062_4 * load_n_mm2 * f64::powi(side_mm, 4) / sheet.bending_n_mm();
    let loads = everywhere(&grid.skin, DVec3::Z * load_n_mm2);
    Problem { node: grid.node(n / 2, n / 2), sheet, holds, loads, grid, expected: DVec3::Z * deflection }
}

/// Scordelis–Lo roof, a quarter: 0.3006 down at the middle of the free edge.
fn roof(n: u32, cut: Cut) -> Problem {
    let grid = grid([n, n], cut, |s, w| {
        let angle = (40.0 * s).to_radians();
        DVec3::new(25.0 * angle.sin(), 25.0 * w, 25.0 * angle.cos())
    });
    let sheet = Sheet { thickness_mm: 0.25, young_n_mm2: 4.32e8, poisson: 0.0 };
    let mut holds = Vec::new();
    for node in grid.line(Line::Bottom) {
        holds.extend([along(node, DVec3::X), along(node, DVec3::Z), about(node, DVec3::Y)]);
    }
    holds.extend(grid.line(Line::Top).into_iter().flat_map(|node| symmetric(node, DVec3::Y)));
    holds.extend(grid.line(Line::First).into_iter().flat_map(|node| symmetric(node, DVec3::X)));
    let loads = everywhere(&grid.skin, DVec3::Z * -90.0);
    Problem { node: grid.node(n, n), sheet, holds, loads, grid, expected: DVec3::Z * -0.3006 }
}

/// Most memory this process has had, MB; 0 where the system does not tell.
fn most_memory_mb() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:")).unwrap_or_default();
    line.split_whitespace().next().and_then(|kib| kib.parse::<f64>().ok()).unwrap_or(0.0) * 1.024e-3
}

/// Solves a problem and returns its row.
fn solved(name: &str, problem: Problem) -> Result<String, WeldError> {
    let cancel = Cancel::new();
    let mut seconds = Vec::new();
    let mut last = Instant::now();
    let mut step = |last: &mut Instant| {
        seconds.push(last.elapsed().as_secs_f64());
        *last = Instant::now();
    };
    let shell = Shell { skin: problem.grid.skin, sheets: vec![problem.sheet], sheet_of: Vec::new() };
    let assembly = Assembly::new(shell, &Supports { holds: problem.holds })?;
    step(&mut last);
    let mut factor = assembly.analyse()?;
    step(&mut last);
    let mut values = assembly.elastic(&cancel)?;
    assembly.support(&mut values);
    step(&mut last);
    factor.factor(&values)?;
    step(&mut last);
    let mut unknowns = assembly.forces(&problem.loads)?;
    assembly.held.project(&mut unknowns);
    factor.solve(&mut unknowns)?;
    step(&mut last);
    let got = DVec3::from_slice(&unknowns[6 * problem.node as usize..]).dot(problem.expected.normalize());
    let error = 100.0 * (got / problem.expected.length() - 1.0);
    let whole: f64 = seconds.iter().sum();
    let steps: Vec<String> = seconds.iter().map(|s| format!("{s:.3}")).collect();
    Ok(format!(
        "| {name} | {} | {} | {whole:.3} | {:.0} | {:.2} | {error:+.3} |",
        assembly.unknowns(),
        steps.join(" | "),
        most_memory_mb(),
        factor.factor_values() as f64 / 1e6
    ))
}

fn main() -> Result<(), WeldError> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let mut sizes: Vec<u32> = words.iter().filter_map(|word| word.parse().ok()).collect();
    if sizes.is_empty() {
        sizes.extend([90, 128]);
    }
    let cut = if words.iter().any(|word| word == "irregular") { Cut::Irregular(1) } else { Cut::Regular };
    let named = |name: &str| words.iter().any(|word| word == name);
    println!(
        "| case | unknowns | room, s | order, s | assembly, s | factor, s | solve, s | whole, s | most memory, MB | factor, 1e6 values | error, % |"
    );
    println!("|---|---|---|---|---|---|---|---|---|---|---|");
    for n in sizes {
        for (name, problem) in [("plate", plate as fn(u32, Cut) -> Problem), ("roof", roof)] {
            if named(name) || !(named("plate") || named("roof")) {
                println!("{}", solved(name, problem(n, cut))?);
            }
        }
    }
    Ok(())
}
