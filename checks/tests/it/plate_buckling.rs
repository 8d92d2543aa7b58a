//! Linear buckling of plates: N10–N16 and W28 of the list of check values.
//!
//! Sources: Timoshenko and Gere, Theory of Elastic Stability (textbook factors k, from memory), with the recomputed values of
//! the list. The load is an inherent strain with the rim held in the plane, so the membrane forces are exactly uniform whatever the mesh;
//! for W28 it is shrinkage of a narrow strip in a panel that is free in its plane.

use crate::shells::{Cut, Grid, Line, about, along, grid, model};
use glam::DVec3;
use mesh::Skin;
use numerics::eigen::EigenSettings;
use numerics::{Cancel, Progress};
use std::f64::consts::{PI, TAU};
use weld::shell::{Buckling, Hold, InherentStrain, Loads, Sheet};

const SHEET: Sheet = Sheet { thickness_mm: 0.9, young_n_mm2: 210e3, poisson: 0.3 };

/// How a side of a plate is held normal to the sheet.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Free,
    Supported,
    Clamped,
}
use Side::{Clamped, Free, Supported};

fn bending_n_mm() -> f64 {
    SHEET.young_n_mm2 * SHEET.thickness_mm.powi(3) / (12.0 * (1.0 - SHEET.poisson * SHEET.poisson))
}

/// The strain that, hindered everywhere, gives the membrane forces −(x, y, shear), N/mm.
fn hindered(skin: &Skin, [x, y, shear]: [f64; 3]) -> Loads {
    let stiffness = SHEET.young_n_mm2 * SHEET.thickness_mm;
    let nu = SHEET.poisson;
    let strain = [(x - nu * y) / stiffness, (y - nu * x) / stiffness, 2.0 * (1.0 + nu) * shear / stiffness];
    let of = |triangle| InherentStrain { triangle, along: DVec3::X, strain };
    Loads { inherent: (0..skin.triangles.len() as u32).map(of).collect(), ..Loads::default() }
}

fn buckled(skin: &Skin, holds: Vec<Hold>, loads: &Loads, modes: usize) -> Buckling {
    let mut model = model(skin, SHEET, holds);
    let settings = EigenSettings { modes, ..EigenSettings::default() };
    let buckling = model.buckling(loads, &settings, &Progress::silent(), &Cancel::new()).unwrap();
    assert!(buckling.converged && buckling.modes.iter().all(|mode| mode.residual <= settings.tolerance));
    buckling
}

/// Holds of the sides s = 0, s = 1, w = 0, w = 1, all of them held in the plane.
fn sides(plate: &Grid, sides: [Side; 4]) -> Vec<Hold> {
    let lines = [Line::First, Line::Last, Line::Bottom, Line::Top];
    let mut holds = Vec::new();
    for (line, side) in lines.into_iter().zip(sides) {
        let (across, tangent) =
            if matches!(line, Line::First | Line::Last) { (DVec3::X, DVec3::Y) } else { (DVec3::Y, DVec3::X) };
        for node in plate.line(line) {
            holds.extend([along(node, DVec3::X), along(node, DVec3::Y)]);
            if side != Free {
                // w is nought along the side, so it does not turn about the direction across it
                holds.extend([along(node, DVec3::Z), about(node, across)]);
            }
            if side == Clamped {
                holds.push(about(node, tangent));
            }
        }
    }
    holds
}

/// Factors k of the first modes: N = k π² D / b².
fn factors(size: [f64; 2], across: [u32; 2], cut: Cut, held: [Side; 4], force: [f64; 3], modes: usize) -> Vec<f64> {
    let [a, b] = size;
    let plate = grid(across, cut, |s, w| DVec3::new(a * s, b * w, 0.0));
    let buckling = buckled(&plate.skin, sides(&plate, held), &hindered(&plate.skin, force), modes);
    buckling.modes.iter().map(|mode| mode.factor * b * b / (PI * PI * bending_n_mm())).collect()
}

#[track_caller]
fn within(got: f64, want: f64, share: f64, what: &str) {
    println!("{what}: {got:.4}, {want} in the list, {:+.2} %", 100.0 * (got / want - 1.0));
    assert!((got / want - 1.0).abs() <= share, "{what}: {got} for {want}");
}

/// N10 to N13, 32 × 32, regular and irregular: uniaxial, biaxial, shear; "recomputed" column. Within 1 %.
#[test]
fn n10_to_n13_square_plates() {
    let cases = [
        ("N10 SSSS uniaxial", Supported, [1.0, 0.0, 0.0], 4.0),
        ("N11 CCCC uniaxial", Clamped, [1.0, 0.0, 0.0], 10.0739),
        ("N12 SSSS biaxial", Supported, [1.0, 1.0, 0.0], 2.0),
        ("N12 CCCC biaxial", Clamped, [1.0, 1.0, 0.0], 5.3036),
        ("N13 SSSS shear", Supported, [0.0, 0.0, 1.0], 9.3245),
        ("N13 CCCC shear", Clamped, [0.0, 0.0, 1.0], 14.642),
    ];
    for (what, side, force, want) in cases {
        for cut in [Cut::Regular, Cut::Irregular(7)] {
            let k = factors([300.0; 2], [32; 2], cut, [side; 4], force, 1)[0];
            within(k, want, 0.01, &format!("{what}, {cut:?}"));
        }
    }
}

/// The second and third factor of a square under equal forces are both 5 (m² + n² for 1, 2 and 2, 1): a double mode is found twice.
#[test]
fn a_double_mode_is_found_twice() {
    let k = factors([300.0; 2], [24; 2], Cut::Regular, [Supported; 4], [1.0, 1.0, 0.0], 3);
    within(k[0], 2.0, 0.01, "SSSS biaxial, first");
    within(k[1], 5.0, 0.02, "second");
    within(k[2], 5.0, 0.02, "third");
}

/// Shear has a factor of either sign, equally far from 0; pulling has none.
#[test]
fn loads_reversed_and_loads_that_stretch() {
    let plate = grid([16; 2], Cut::Regular, |s, w| DVec3::new(300.0 * s, 300.0 * w, 0.0));
    let holds = sides(&plate, [Supported; 4]);
    // the diagonals of the mesh tell the two directions of shear apart by a little
    let shear = buckled(&plate.skin, holds.clone(), &hindered(&plate.skin, [0.0, 0.0, 1.0]), 1);
    let reversed = shear.reversed.as_ref().unwrap().factor;
    within(-reversed / shear.modes[0].factor, 1.0, 0.05, "shear reversed");
    let pulled = buckled(&plate.skin, holds, &hindered(&plate.skin, [-1.0, 0.0, 0.0]), 1);
    assert!(pulled.modes.is_empty() && pulled.margin().is_none());
    let k = -pulled.reversed.unwrap().factor * 300.0 * 300.0 / (PI * PI * bending_n_mm());
    within(k, 4.0, 0.02, "pulled, reversed");
}

/// A square on simple supports with a standing force across (half of what buckles it alone, pressing or pulling): one half wave along
/// needs Nx + Ny = 4 π² D/b², so the factor along is 2 or 6. One that has buckled across already has none.
#[test]
fn a_standing_force_takes_its_share() {
    let plate = grid([24; 2], Cut::Irregular(3), |s, w| DVec3::new(300.0 * s, 300.0 * w, 0.0));
    let model = model(&plate.skin, SHEET, sides(&plate, [Supported; 4]));
    let unit = PI * PI * bending_n_mm() / (300.0 * 300.0);
    // forces along x and y in the frames of the triangles
    let forces = |x: f64, y: f64| -> Vec<[f64; 3]> {
        let of = |frame: &weld::shell::Frame| {
            let [c, s] = [frame.axes[0].x, frame.axes[0].y];
            [x * c * c + y * s * s, x * s * s + y * c * c, (y - x) * c * s].map(|force| -force)
        };
        model.assembly().frames.iter().map(of).collect()
    };
    for (standing, want) in [(2.0, 2.0), (-2.0, 6.0)] {
        let (settings, silent, cancel) = (EigenSettings::default(), Progress::silent(), Cancel::new());
        let growing = forces(unit, 0.0);
        let found = model.buckling_beyond(&forces(0.0, standing * unit), &growing, &settings, &silent, &cancel);
        within(found.unwrap().unwrap().margin().unwrap(), want, 0.01, &format!("standing {standing}"));
        let buckled = model.buckling_beyond(&forces(0.0, 4.1 * unit), &growing, &settings, &silent, &cancel);
        assert_eq!(buckled.unwrap(), None);
    }
}

/// N14: long plates, loaded ends simply supported, sides as said; a/b 4, free side a/b 20, within 2 %. The factors are those of endless
/// plates; at a/b = 4 the textbook adds 4.0 (b/a)² (simply supported) to shear, which is 5 %, so shear is checked at a/b = 12.
#[test]
fn n14_long_plates() {
    let b = 150.0;
    let cases = [
        ("SS sides", [Supported; 2], 4.0, [64, 16], [1.0, 0.0, 0.0], 4.0),
        ("clamped sides", [Clamped; 2], 4.0, [96, 24], [1.0, 0.0, 0.0], 6.97),
        ("SS and free", [Supported, Free], 20.0, [160, 8], [1.0, 0.0, 0.0], 0.425),
        ("clamped and free", [Clamped, Free], 20.0, [240, 12], [1.0, 0.0, 0.0], 1.277),
        ("shear, SS", [Supported; 2], 12.0, [192, 16], [0.0, 0.0, 1.0], 5.34),
        ("shear, clamped", [Clamped; 2], 12.0, [240, 20], [0.0, 0.0, 1.0], 8.98),
    ];
    for (what, [bottom, top], long, across, force, want) in cases {
        let ends = if force[2] > 0.0 { bottom } else { Supported };
        let k = factors([long * b, b], across, Cut::Regular, [ends, ends, bottom, top], force, 1)[0];
        within(k, want, 0.02, &format!("N14 {what}, a/b {long}"));
    }
}

/// A disc: rings of 6, 12, 18 … nodes.
fn disc(radius: f64, rings: u32) -> (Skin, Vec<u32>) {
    let first = |ring: u32| if ring == 0 { 0 } else { 1 + 3 * ring * (ring - 1) };
    let mut skin = Skin { points_mm: vec![DVec3::ZERO], triangles: Vec::new() };
    for ring in 1..=rings {
        let (r, count) = (radius * f64::from(ring) / f64::from(rings), 6 * ring);
        let at = |i: u32| TAU * f64::from(i) / f64::from(count);
        skin.points_mm.extend((0..count).map(|i| DVec3::new(r * at(i).cos(), r * at(i).sin(), 0.0)));
        let outer = |i: u32| first(ring) + i % count;
        let inner = |i: u32| if ring == 1 { 0 } else { first(ring - 1) + i % (6 * (ring - 1)) };
        for sector in 0..6 {
            for i in 0..ring {
                let (out, within) = (sector * ring + i, sector * (ring - 1) + i);
                skin.triangles.push([inner(within), outer(out), outer(out + 1)]);
                if i + 1 < ring {
                    skin.triangles.push([inner(within), outer(out + 1), inner(within + 1)]);
                }
            }
        }
    }
    let rim = (first(rings)..first(rings + 1)).collect();
    (skin, rim)
}

/// N15, N16: disc of radius 150 under the same force in all directions; within 1 % with 24 rings.
///
/// The rim of a simply supported disc is held at its nodes alone: a polygon whose sides may not turn about their normal is another
/// plate, however many sides it has.
#[test]
fn n15_n16_discs() {
    let radius = 150.0;
    let (skin, rim) = disc(radius, 24);
    for (what, side, want) in [("N15 clamped", Clamped, 14.682), ("N15 SS", Supported, 4.1978)] {
        let mut holds: Vec<Hold> = rim.iter().flat_map(|&node| DVec3::AXES.map(|axis| along(node, axis))).collect();
        if side == Clamped {
            holds.extend(rim.iter().flat_map(|&node| [about(node, DVec3::X), about(node, DVec3::Y)]));
        }
        let force = buckled(&skin, holds, &hindered(&skin, [1.0, 1.0, 0.0]), 1).margin().unwrap();
        within(force * radius * radius / bending_n_mm(), want, 0.01, what);
        if side == Clamped {
            within(force / SHEET.thickness_mm, 10.16, 0.01, "N16, N/mm²");
        }
    }
}

/// Shrinkage force along the middle of a panel 300 wide at which it buckles, over the closed form 7379 N of W28.
fn shrinkage_ratio(length_mm: f64, along_count: u32) -> f64 {
    let (width, strip, rows) = (300.0, 6.0, 14);
    // two rows of triangles for the seam, the rest even
    let across = 2 * rows + 2;
    let place = |w: f64| {
        let line = w * f64::from(across) - f64::from(rows) - 1.0;
        let beyond = (line.abs() - 1.0) / f64::from(rows) * (0.5 * width - 0.5 * strip);
        if line.abs() <= 1.0 { 0.5 * strip * line } else { line.signum() * (0.5 * strip + beyond) }
    };
    let panel = grid([along_count, across], Cut::Regular, |s, w| DVec3::new(length_mm * s, place(w), 0.0));
    let mut holds = Vec::new();
    for line in [Line::First, Line::Last, Line::Bottom, Line::Top] {
        let normal = if matches!(line, Line::First | Line::Last) { DVec3::X } else { DVec3::Y };
        holds.extend(panel.line(line).into_iter().flat_map(|node| [along(node, DVec3::Z), about(node, normal)]));
    }
    // free in its plane: held against floating alone
    let (corner, other) = (panel.node(0, 0), panel.node(along_count, 0));
    holds.extend([along(corner, DVec3::X), along(corner, DVec3::Y), along(other, DVec3::Y)]);
    let strain = -7379.0 / (SHEET.young_n_mm2 * SHEET.thickness_mm * strip);
    let in_strip = |t: &u32| {
        let middle = panel.skin.corners(*t as usize).iter().sum::<DVec3>() / 3.0;
        middle.y.abs() < 0.5 * strip
    };
    let of = |triangle| InherentStrain { triangle, along: DVec3::X, strain: [strain, 0.0, 0.0] };
    let inherent: Vec<_> = (0..panel.skin.triangles.len() as u32).filter(in_strip).map(of).collect();
    assert_eq!(inherent.len(), 4 * along_count as usize);
    buckled(&panel.skin, holds, &Loads { inherent, ..Loads::default() }, 1).margin().unwrap()
}

/// W28: critical force of shrinkage along the middle of a panel 300 × 0.9, simply supported, free in its plane, at lengths 1800, 1200,
/// 600 and 300: 1.010, 1.026, 1.10 and 1.24 times the closed form 7379 N. Within 3 % at 1800, as asked; the others within 3 % of
/// their own value.
#[test]
fn w28_shrinkage_force_that_buckles() {
    for (length, count, ratio) in [(1800.0, 96, 1.010), (1200.0, 64, 1.026), (600.0, 32, 1.10), (300.0, 24, 1.24)] {
        let got = shrinkage_ratio(length, count);
        if length >= 1800.0 {
            within(got, 1.0, 0.03, "W28 length 1800, force over 7379 N");
        }
        within(got, ratio, 0.03, &format!("W28 length {length}, force over 7379 N"));
    }
}
