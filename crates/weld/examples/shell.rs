//! Thin shells measured: `cargo run --release -p weld --example shell -- [plate|roof|buckling] [n …] [irregular]`.
//!
//! `n` rectangles each way, cut into two triangles each. One row a case: seconds of each step, unknowns, values of the factor,
//! error. The row `most memory` is that of the whole process: run one case at a time for its own. A grid of 90 has 50,000 unknowns,
//! one of 128 has 100,000. `benches/shell_side_by_side.py` runs it beside a reference program.

use glam::DVec3;
use numerics::cholesky::Cholesky;
use numerics::eigen::{self, EigenSettings};
use numerics::{Cancel, Progress};
use std::f64::consts::PI;
use std::time::Instant;
use weld::WeldError;
use weld::shell::{Assembly, Deflection, Hold, Loads, Sheet, Shell, Supports};

#[path = "../../../checks/tests/it/shells.rs"]
#[expect(clippy::unwrap_used, dead_code, reason = "fixtures of the checks, of which the example takes a part")]
mod shells;

use shells::{Cut, Grid, Line, about, along, everywhere, grid, symmetric};

/// A shell under a load of which one figure is known.
struct Problem {
    grid: Grid,
    sheet: Sheet,
    holds: Vec<Hold>,
    loads: Loads,
    expected: Expected,
}

enum Expected {
    /// Displacement of a node along this vector, which is as long as it.
    Displacement(u32, DVec3),
    /// Factor by which the load grows until the shell buckles.
    Factor(f64),
}

const SIDE_MM: f64 = 400.0;
const STEEL: Sheet = Sheet { thickness_mm: 0.9, young_n_mm2: 210e3, poisson: 0.3 };

/// Square plate 400 × 400 × 0.9 mm on simple supports.
fn on_supports(n: u32, cut: Cut) -> (Grid, Vec<Hold>) {
    let grid = grid([n, n], cut, |s, w| DVec3::new(SIDE_MM * s, SIDE_MM * w, 0.0));
    let mut holds = Vec::new();
    for (line, across) in
        [(Line::First, DVec3::X), (Line::Last, DVec3::X), (Line::Bottom, DVec3::Y), (Line::Top, DVec3::Y)]
    {
        holds.extend(grid.line(line).into_iter().flat_map(|node| [along(node, DVec3::Z), about(node, across)]));
    }
    (grid, holds)
}

/// The plate under uniform load, whole: 0.0040624·q·a⁴/D in the middle.
fn plate(n: u32, cut: Cut) -> Problem {
    let load_n_mm2 = 1e-4;
    let (grid, holds) = on_supports(n, cut);
    let deflection = 0.004_062_4 * load_n_mm2 * f64::powi(SIDE_MM, 4) / STEEL.bending_n_mm();
    let loads = everywhere(&grid.skin, DVec3::Z * load_n_mm2);
    let expected = Expected::Displacement(grid.node(n / 2, n / 2), DVec3::Z * deflection);
    Problem { sheet: STEEL, holds, loads, grid, expected }
}

/// The plate pressed along x by 1 N/mm, free to move in its plane: buckles at 4 π² D/b².
fn buckling(n: u32, cut: Cut) -> Problem {
    let (grid, mut holds) = on_supports(n, cut);
    let (corner, next) = (grid.node(0, 0), grid.node(n, 0));
    holds.extend([along(corner, DVec3::X), along(corner, DVec3::Y), along(next, DVec3::Y)]);
    let mut loads = Loads::default();
    for (line, push) in [(Line::First, DVec3::X), (Line::Last, -DVec3::X)] {
        let nodes = grid.line(line);
        for pair in nodes.windows(2) {
            let half = 0.5 * grid.skin.points_mm[pair[0] as usize].distance(grid.skin.points_mm[pair[1] as usize]);
            loads.at_nodes.extend(pair.iter().map(|&node| (node, push * half, DVec3::ZERO)));
        }
    }
    let expected = Expected::Factor(4.0 * PI * PI * STEEL.bending_n_mm() / (SIDE_MM * SIDE_MM));
    Problem { sheet: STEEL, holds, loads, grid, expected }
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
    let expected = Expected::Displacement(grid.node(n, n), DVec3::Z * -0.3006);
    Problem { sheet, holds, loads, grid, expected }
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
    let error = 100.0
        * match problem.expected {
            Expected::Displacement(node, expected) => {
                DVec3::from_slice(&unknowns[6 * node as usize..]).dot(expected.normalize()) / expected.length() - 1.0
            }
            Expected::Factor(expected) => {
                least_factor(&assembly, &mut factor, &Deflection { unknowns }, &problem.loads)? / expected - 1.0
            }
        };
    step(&mut last);
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

/// Least factor by which loads buckle, the deflection under them being known.
fn least_factor(
    assembly: &Assembly,
    factor: &mut Cholesky,
    deflection: &Deflection,
    loads: &Loads,
) -> Result<f64, WeldError> {
    let cancel = Cancel::new();
    let mut values = assembly.geometric(&assembly.membrane_forces_n_mm(deflection, loads)?, &cancel)?;
    values.iter_mut().for_each(|value| *value = -*value);
    let apply = |x: &[f64], y: &mut [f64]| assembly.pattern.multiply(&values, x, y);
    let modes = eigen::least_factors(factor, apply, &EigenSettings::default(), &Progress::silent(), &cancel)?;
    Ok(modes.positive.first().map_or(f64::NAN, |mode| mode.factor))
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
        for (name, problem) in [("plate", plate as fn(u32, Cut) -> Problem), ("roof", roof), ("buckling", buckling)] {
            if named(name) || !["plate", "roof", "buckling"].into_iter().any(named) {
                println!("{}", solved(name, problem(n, cut))?);
            }
        }
    }
    Ok(())
}
