//! What every shell must do: no energy in rigid motions, constant strains and curvatures exactly, whatever the mesh and its place.

use super::*;
use crate::WeldError;
use numerics::{Cancel, Progress};

const SHEET: Sheet = Sheet { thickness_mm: 0.9, young_n_mm2: 210e3, poisson: 0.3 };

fn tilted() -> [DVec3; 3] {
    [DVec3::new(1.0, 2.0, -1.0), DVec3::new(7.0, 3.5, 2.0), DVec3::new(2.5, 9.0, 4.0)]
}

#[test]
fn a_rigid_motion_takes_no_force() {
    let corners = tilted();
    let stiffness = element::stiffness(corners, &SHEET).unwrap();
    let largest = stiffness.iter().flatten().fold(0.0, |most: f64, k| most.max(k.abs()));
    for turn in [DVec3::ZERO, DVec3::new(0.3, -0.7, 0.4)] {
        let motion: Vec<f64> = corners
            .iter()
            .flat_map(|&corner| [DVec3::new(0.2, 0.5, -0.3) + turn.cross(corner), turn])
            .flat_map(|three| three.to_array())
            .collect();
        for row in &stiffness {
            let force: f64 = row.iter().zip(&motion).map(|(k, u)| k * u).sum();
            assert!(force.abs() < 1e-13 * largest * 10.0, "{force}");
        }
    }
    for (a, row) in stiffness.iter().enumerate() {
        for (b, value) in row.iter().enumerate() {
            assert!((value - stiffness[b][a]).abs() < 1e-14 * largest);
        }
    }
}

fn strip(across: u32, along: u32, place: impl Fn(f64, f64) -> DVec3, sheet: Sheet) -> Shell {
    let mut skin = mesh::Skin { points_mm: Vec::new(), triangles: Vec::new() };
    for j in 0..=across {
        for i in 0..=along {
            skin.points_mm.push(place(f64::from(i) / f64::from(along), f64::from(j) / f64::from(across)));
        }
    }
    let row = along + 1;
    for j in 0..across {
        for i in 0..along {
            let at = j * row + i;
            skin.triangles.extend([[at, at + 1, at + row + 1], [at, at + row + 1, at + row]]);
        }
    }
    Shell { skin, sheets: vec![sheet], sheet_of: Vec::new() }
}

/// Felippa 2003: a beam of one row of rectangles bends in its plane like a beam, ν = 0, rectangles of slenderness 1 to 64.
#[test]
fn a_slender_beam_bends_in_its_plane() {
    for slender in [1.0, 8.0, 64.0] {
        let (depth, along) = (2.0, 4);
        let length = depth * slender * f64::from(along);
        let sheet = Sheet { poisson: 0.0, ..SHEET };
        let shell = strip(1, along, |x, y| DVec3::new(length * x, depth * (y - 0.5), 0.0), sheet);
        let hold = |node, axis| Hold { node, axis, rotation: false, spring: None };
        let supports = Supports {
            holds: vec![
                hold(0, DVec3::X),
                hold(5, DVec3::X),
                hold(0, DVec3::Y),
                hold(0, DVec3::Z),
                hold(4, DVec3::Z),
                hold(9, DVec3::Z),
            ],
        };
        let mut model = LinearModel::new(shell, &supports, &Progress::silent(), &Cancel::new()).unwrap();
        // a couple at the free end, with the moments that belong to it at the corners
        let couple = 100.0;
        let loads = Loads {
            at_nodes: vec![(4, DVec3::X * couple, DVec3::ZERO), (9, DVec3::X * -couple, DVec3::ZERO)],
            ..Loads::default()
        };
        let deflection = model.solve(&loads).unwrap();
        let inertia = sheet.thickness_mm * depth.powi(3) / 12.0;
        let expected = couple * depth * length * length / (2.0 * sheet.young_n_mm2 * inertia);
        let got = 0.5 * (deflection.displacement_mm(4).y + deflection.displacement_mm(9).y);
        // the two forces are not the linear stress of the end: that disturbs the last rectangle, which counts at slenderness 1
        let allowed = 0.06 / (slender * slender);
        assert!((got / expected - 1.0).abs() < allowed, "slenderness {slender}: {}", got / expected);
    }
}

fn failure(shell: Shell, holds: Vec<Hold>) -> WeldError {
    LinearModel::new(shell, &Supports { holds }, &Progress::silent(), &Cancel::new()).unwrap_err()
}

#[test]
fn what_is_no_shell_is_refused_by_name() {
    let flat = |sheet| strip(2, 2, |x, y| DVec3::new(10.0 * x, 10.0 * y, 0.0), sheet);
    for thickness_mm in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let fault = failure(flat(Sheet { thickness_mm, ..SHEET }), Vec::new());
        assert!(matches!(fault, WeldError::OutOfRange { name: "thickness in mm", .. }), "{fault}");
    }
    let fault = failure(flat(Sheet { poisson: 0.5, ..SHEET }), Vec::new());
    assert!(matches!(fault, WeldError::OutOfRange { name: "Poisson's ratio", .. }), "{fault}");
    let mut shell = flat(SHEET);
    shell.skin.points_mm[4].y = f64::NAN;
    assert_eq!(failure(shell, Vec::new()), WeldError::NotFinite { what: "point", index: 4 });
    let mut shell = flat(SHEET);
    shell.skin.points_mm[4] = DVec3::new(0.0, 0.0, 0.0);
    assert!(matches!(failure(shell, Vec::new()), WeldError::Degenerate { .. }));
    let mut shell = flat(SHEET);
    shell.skin.triangles[0][1] = 99;
    assert_eq!(failure(shell, Vec::new()), WeldError::NoSuch { what: "point", got: 99, count: 9 });
    let bad = Hold { node: 0, axis: DVec3::ZERO, rotation: false, spring: None };
    assert!(matches!(failure(flat(SHEET), vec![bad]), WeldError::NoDirection { index: 0, .. }));
    let soft = Hold { axis: DVec3::X, spring: Some(-1.0), ..bad };
    assert!(matches!(failure(flat(SHEET), vec![soft]), WeldError::OutOfRange { .. }));
    let off = Hold { node: 9, axis: DVec3::X, ..bad };
    assert!(matches!(failure(flat(SHEET), vec![off]), WeldError::NoSuch { got: 9, .. }));
}

/// Two parts, one held: the other is named. One part that nothing holds: computed as free, without reactions, and said so.
#[test]
fn a_torn_panel_is_named_and_a_free_one_is_computed() {
    let place = |x: f64, y: f64| DVec3::new(30.0 * x, 20.0 * y, 4.0 * x * x);
    let mut torn = strip(2, 3, place, SHEET);
    let other = strip(2, 3, |x, y| place(x, y) + DVec3::new(0.0, 50.0, 0.0), SHEET).skin;
    let nodes = torn.skin.points_mm.len() as u32;
    torn.skin.points_mm.extend(&other.points_mm);
    torn.skin.triangles.extend(other.triangles.iter().map(|t| t.map(|node| node + nodes)));
    let fixed = |node| {
        [false, true].map(|rotation| DVec3::AXES.map(|axis| Hold { node, axis, rotation, spring: None })).concat()
    };
    let fault = failure(torn.clone(), fixed(0));
    assert!(matches!(fault, WeldError::Torn { parts: 2, at_mm } if at_mm.y > 50.0), "{fault}");
    let both = Supports { holds: [fixed(0), fixed(nodes)].concat() };
    assert!(LinearModel::new(torn, &both, &Progress::silent(), &Cancel::new()).unwrap().concerns().is_empty());

    let free = strip(2, 3, place, SHEET);
    let mut model = LinearModel::new(free, &Supports::default(), &Progress::silent(), &Cancel::new()).unwrap();
    assert_eq!(model.concerns()[0].key, "shell-free");
    let pull = DVec3::new(3.0, 1.0, 2.0);
    let between = place(1.0, 1.0) - place(0.0, 0.0);
    let loads = Loads { at_nodes: vec![(0, -pull, DVec3::ZERO), (11, pull, -between.cross(pull))], ..Loads::default() };
    let deflection = model.solve(&loads).unwrap();
    let reactions = model.reactions(&deflection, &loads).unwrap();
    assert_eq!(model.assembly().held.added.len(), 6);
    assert!(reactions.iter().all(|r| r.force_n.length() < 1e-9 && r.moment_n_mm.length() < 1e-8), "{reactions:?}");
}

/// A hold along a slanted axis is exact, and the reactions balance the load; a spring takes force over stiffness.
#[test]
fn slanted_holds_and_springs() {
    let shell = strip(4, 6, |x, y| DVec3::new(30.0 * x, 20.0 * y, 4.0 * x * x), SHEET);
    let slanted = DVec3::new(1.0, 2.0, 2.0) / 3.0;
    let mut holds = Vec::new();
    for node in [0, 7, 14, 21, 28] {
        holds.push(Hold { node, axis: slanted, rotation: false, spring: None });
        holds.push(Hold { node, axis: DVec3::new(2.0, 1.0, -2.0) / 3.0, rotation: false, spring: Some(50.0) });
        holds.push(Hold { node, axis: DVec3::new(2.0, -2.0, 1.0) / 3.0, rotation: false, spring: Some(70.0) });
    }
    let mut model =
        LinearModel::new(shell, &Supports { holds: holds.clone() }, &Progress::silent(), &Cancel::new()).unwrap();
    let loads = Loads { at_nodes: vec![(34, DVec3::new(0.1, -0.2, 0.3), DVec3::ZERO)], ..Loads::default() };
    let deflection = model.solve(&loads).unwrap();
    let reactions = model.reactions(&deflection, &loads).unwrap();
    let sum: DVec3 = reactions.iter().map(|r| r.force_n).sum();
    assert!((sum + loads.at_nodes[0].1).length() < 1e-9, "{sum}");
    for hold in &holds {
        let moved = deflection.displacement_mm(hold.node as usize).dot(hold.axis);
        let reaction = reactions.iter().find(|r| r.node == hold.node).unwrap().force_n.dot(hold.axis);
        match hold.spring {
            None => assert!(moved.abs() < 1e-15, "{moved}"),
            Some(stiffness) => assert!((reaction + stiffness * moved).abs() < 1e-9, "{reaction} {moved}"),
        }
    }
}

/// A sheet that is free takes a uniform inherent strain without a force anywhere, on any mesh.
#[test]
fn a_free_sheet_takes_a_uniform_strain() {
    let mut random = fastrand::Rng::with_seed(3);
    let turn = glam::DQuat::from_euler(glam::EulerRot::XYZ, 0.4, -0.9, 1.3);
    let mut shell = strip(6, 8, |x, y| DVec3::new(80.0 * x, 60.0 * y, 0.0), SHEET);
    for point in &mut shell.skin.points_mm {
        *point = turn * (*point + DVec3::new(random.f64() - 0.5, random.f64() - 0.5, 0.0) * 5.0);
    }
    let along = turn * DVec3::new(0.8, 0.6, 0.0);
    let strain = [2e-3, -1e-3, 5e-4];
    let inherent = (0..shell.skin.triangles.len() as u32).map(|triangle| InherentStrain { triangle, along, strain });
    let loads = Loads { inherent: inherent.collect(), ..Loads::default() };
    let points = shell.skin.points_mm.clone();
    let mut model = LinearModel::new(shell, &Supports::default(), &Progress::silent(), &Cancel::new()).unwrap();
    let deflection = model.solve(&loads).unwrap();
    let (a, b) = (along, turn * DVec3::new(-0.6, 0.8, 0.0));
    for (i, p) in points.iter().enumerate() {
        for (j, q) in points.iter().enumerate().take(i) {
            let (d, u) = (*p - *q, deflection.displacement_mm(i) - deflection.displacement_mm(j));
            let (x, y) = (d.dot(a), d.dot(b));
            // lengthening of the line between two points: small strains have d·u = d·ε·d
            let expected = strain[0] * x * x + strain[1] * y * y + strain[2] * x * y;
            assert!((d.dot(u) - expected).abs() < 1e-10 * d.length_squared(), "{} {expected}", d.dot(u));
        }
    }
}

/// A sheet that is free and loses width along a line, straight or not, follows as two halves and bears no force anywhere, on any mesh:
/// exactly what [`RestShift`] is for. The same loss laid as a mean strain of the triangles would press on their drilling rotations.
#[test]
fn a_free_sheet_that_loses_width_along_a_line_bears_no_force() {
    let mut random = fastrand::Rng::with_seed(5);
    let mut shell = strip(6, 8, |x, y| DVec3::new(80.0 * x, 60.0 * y, 0.0), SHEET);
    for point in &mut shell.skin.points_mm {
        *point += DVec3::new(random.f64() - 0.5, random.f64() - 0.5, 0.0) * 5.0;
    }
    // the fifth column of points is the line; triangles on its left lose 0.3 mm, on its right 0.2 mm
    let on_line = |node: u32| node % 9 == 4;
    let (left, right) = (DVec3::new(0.3, 0.1, 0.0), DVec3::new(-0.2, 0.05, 0.0));
    let shift = |(triangle, corners): (usize, &[u32; 3])| {
        let by = if corners.iter().any(|node| node % 9 < 4) { left } else { right };
        let corners_mm = corners.map(|node| if on_line(node) { by } else { DVec3::ZERO });
        RestShift { triangle: triangle as u32, corners_mm }
    };
    let shifts = shell.skin.triangles.iter().enumerate().map(shift).collect();
    let points = shell.skin.points_mm.clone();
    let loads = Loads { shifts, ..Loads::default() };
    let (model, deflection) = solved(shell, Vec::new(), &loads);
    let forces = model.assembly().membrane_forces_n_mm(&deflection, &loads).unwrap();
    assert!(forces.iter().flatten().all(|force| force.abs() < 1e-7), "E·t is {}", 210e3 * 0.9);
    // the ends came nearer by what was lost, however the whole may have turned
    let by = deflection.displacement_mm(0) - deflection.displacement_mm(8);
    assert!(((points[0] - points[8]).dot(by - (right - left))).abs() < 1e-9, "{by}");
}

fn solved(shell: Shell, holds: Vec<Hold>, loads: &Loads) -> (LinearModel, Deflection) {
    let mut model = LinearModel::new(shell, &Supports { holds }, &Progress::silent(), &Cancel::new()).unwrap();
    let deflection = model.solve(loads).unwrap();
    (model, deflection)
}

fn all_held(nodes: usize) -> Vec<Hold> {
    let six = |node| {
        [false, true].map(|rotation| DVec3::AXES.map(|axis| Hold { node, axis, rotation, spring: None })).concat()
    };
    (0..nodes as u32).flat_map(six).collect()
}

/// Hindered everywhere, a uniform strain e both ways gives the stress −E·e/(1 − ν), in every sheet by its own thickness.
#[test]
fn a_hindered_strain_is_all_stress() {
    let thick = Sheet { thickness_mm: 2.0, ..SHEET };
    let mut shell = strip(3, 4, |x, y| DVec3::new(40.0 * x, 30.0 * y, 5.0 * y), SHEET);
    shell.sheets.push(thick);
    shell.sheet_of = (0..24).map(|triangle| u16::from(triangle >= 12)).collect();
    let strain = [1e-3, 1e-3, 0.0];
    let inherent = (0..24).map(|triangle| InherentStrain { triangle, along: DVec3::new(1.0, 2.0, 0.0), strain });
    let loads = Loads { inherent: inherent.collect(), ..Loads::default() };
    let (model, deflection) = solved(shell, all_held(20), &loads);
    assert!(deflection.unknowns.iter().all(|value| value.abs() < 1e-15));
    for (triangle, of) in model.resultants(&deflection, &loads).unwrap().iter().enumerate() {
        let sheet = model.assembly().shell.sheet(triangle);
        let expected = -SHEET.young_n_mm2 * 1e-3 / (1.0 - SHEET.poisson) * sheet.thickness_mm;
        assert!(
            (of.membrane_n_mm[0] / expected - 1.0).abs() < 1e-12
                && (of.membrane_n_mm[1] / expected - 1.0).abs() < 1e-12
        );
        assert!(of.membrane_n_mm[2].abs() < 1e-9 && of.face_stress_n_mm2(sheet)[0][2].abs() < 1e-9);
    }
}

/// Held square to the sheet along its rim only: the rest is computed as free, and squeezing it along its length takes no reaction.
#[test]
fn what_the_supports_leave_free_is_computed_as_free() {
    let shell = strip(4, 6, |x, y| DVec3::new(60.0 * x, 40.0 * y, 0.0), SHEET);
    let rim = (0..35).filter(|node| node % 7 % 6 == 0 || node / 7 % 4 == 0);
    let holds: Vec<Hold> = rim.map(|node| Hold { node, axis: DVec3::Z, rotation: false, spring: None }).collect();
    let loads = Loads {
        at_nodes: vec![(14, DVec3::X * 50.0, DVec3::ZERO), (20, DVec3::X * -50.0, DVec3::ZERO)],
        ..Loads::default()
    };
    let (model, deflection) = solved(shell, holds, &loads);
    assert_eq!((model.assembly().held.added.len(), model.concerns()[0].key.as_str()), (3, "shell-partly-free"));
    let reactions = model.reactions(&deflection, &loads).unwrap();
    assert!(reactions.iter().all(|r| r.force_n.length() < 1e-10), "{reactions:?}");
    let squeezed = (deflection.displacement_mm(14) - deflection.displacement_mm(20)).x;
    assert!(squeezed > 0.0, "{squeezed}");
}

/// A sheet folded along a line is smoothed beside the fold and not across it.
#[test]
fn nothing_is_smoothed_across_a_fold() {
    let shell = strip(4, 8, |x, y| DVec3::new(40.0 * (x - 0.5).min(0.0), 20.0 * y, 40.0 * (x - 0.5).max(0.0)), SHEET);
    let nodes = shell.skin.points_mm.len();
    let loads = Loads::default();
    let (model, deflection) = solved(shell, all_held(nodes), &loads);
    let smoothed = model.assembly().smoothed(&model.resultants(&deflection, &loads).unwrap());
    for (node, at) in smoothed.iter().enumerate() {
        assert_eq!(at.is_none(), node % 9 == 4, "node {node}");
    }
}

#[test]
fn loads_that_are_none_are_named_and_the_work_stops() {
    let shell = strip(2, 2, |x, y| DVec3::new(10.0 * x, 10.0 * y, 0.0), SHEET);
    let (mut model, _) = solved(shell.clone(), Vec::new(), &Loads::default());
    let mut fails = |loads: Loads| model.solve(&loads).unwrap_err();
    let force = |node, force| Loads { at_nodes: vec![(node, force, DVec3::ZERO)], ..Loads::default() };
    assert_eq!(fails(force(9, DVec3::X)), WeldError::NoSuch { what: "the loaded point", got: 9, count: 9 });
    assert!(matches!(fails(force(0, DVec3::NAN)), WeldError::NotFinite { .. }));
    let per_area = Loads { per_area: vec![(8, DVec3::Z)], ..Loads::default() };
    assert_eq!(fails(per_area), WeldError::NoSuch { what: "the loaded triangle", got: 8, count: 8 });
    let inherent =
        |along, strain| Loads { inherent: vec![InherentStrain { triangle: 0, along, strain }], ..Loads::default() };
    assert!(matches!(fails(inherent(DVec3::Z, [0.0; 3])), WeldError::NoDirection { .. }));
    assert!(matches!(fails(inherent(DVec3::X, [f64::INFINITY; 3])), WeldError::NotFinite { .. }));
    let cancel = Cancel::new();
    cancel.cancel();
    let stopped = LinearModel::new(shell, &Supports::default(), &Progress::silent(), &cancel).unwrap_err();
    assert_eq!(stopped, WeldError::Cancelled(numerics::Cancelled));
}
