use super::*;
use crate::shell::large::rotation::turn;
use glam::DQuat;

const SHEET: Sheet = Sheet { thickness_mm: 0.9, young_n_mm2: 210e3, poisson: 0.3 };
const CORNERS: [DVec3; 3] = [DVec3::new(1.0, 2.0, -1.0), DVec3::new(7.0, 3.5, 2.0), DVec3::new(2.5, 9.0, 4.0)];

fn still() -> Still {
    Still::new(&Frame::of(CORNERS).unwrap(), &SHEET, [0.0; 3])
}

/// A state far away with small strains (size `strain`) and small rotations of the nodes against the frame.
fn state(strain: f64) -> ([DVec3; 3], [DQuat; 3]) {
    let far = turn(DVec3::new(1.1, -0.7, 2.0));
    let mut random = fastrand::Rng::with_seed(4);
    let mut small = || DVec3::new(random.f64() - 0.5, random.f64() - 0.5, random.f64() - 0.5) * strain;
    let corners = CORNERS.map(|p| far * (p + 6.0 * small()) + DVec3::new(30.0, -5.0, 2.0));
    let nodes = [0; 3].map(|_| far * turn(3.0 * small()));
    (corners, nodes)
}

fn of(still: &Still, corners: [DVec3; 3], nodes: [DQuat; 3]) -> Moved {
    still.moved(corners, nodes.map(DMat3::from_quat)).unwrap()
}

fn energy(still: &Still, moved: &Moved) -> f64 {
    let stiffness = &still.stiffness;
    (0..18)
        .map(|a| {
            let half: f64 = 0.5 * (0..18).map(|b| stiffness[a][b] * moved.left[b]).sum::<f64>();
            moved.left[a] * (half - still.inherent[a])
        })
        .sum()
}

/// Moves one unknown in the axes of the mesh.
fn nudged(corners: [DVec3; 3], nodes: [DQuat; 3], unknown: usize, by: f64) -> ([DVec3; 3], [DQuat; 3]) {
    let (mut corners, mut nodes) = (corners, nodes);
    let axis = DVec3::AXES[unknown % 3] * by;
    if unknown % 6 < 3 {
        corners[unknown / 6] += axis;
    } else {
        nodes[unknown / 6] = turn(axis) * nodes[unknown / 6];
    }
    (corners, nodes)
}

fn mesh_forces(still: &Still, corners: [DVec3; 3], nodes: [DQuat; 3]) -> Eighteen {
    let moved = of(still, corners, nodes);
    let on_left = still.forces(&moved.left);
    element::from_local(&moved.frame, &moved.forces_on_corners(&on_left))
}

fn with_inherent() -> Still {
    Still::new(&Frame::of(CORNERS).unwrap(), &SHEET, [-1e-3, 4e-4, 2e-4])
}

#[test]
fn a_rigid_motion_leaves_nothing() {
    let (corners, nodes) = state(0.0);
    let moved = of(&still(), corners, nodes);
    assert!(moved.left.iter().all(|v| v.abs() < 1e-13), "{:?}", moved.left);
}

#[test]
fn what_is_left_does_not_depend_on_the_numbering() {
    let (corners, nodes) = state(1e-3);
    let moved = of(&still(), corners, nodes);
    let other = Still::new(&Frame::of([CORNERS[1], CORNERS[2], CORNERS[0]]).unwrap(), &SHEET, [0.0; 3]);
    let turned = of(&other, [corners[1], corners[2], corners[0]], [nodes[1], nodes[2], nodes[0]]);
    let one = energy(&still(), &moved);
    assert!((energy(&other, &turned) / one - 1.0).abs() < 1e-12);
}

#[test]
fn forces_are_the_derivative_of_the_energy() {
    let still = with_inherent();
    let (corners, nodes) = state(0.02);
    let got = mesh_forces(&still, corners, nodes);
    let largest = got.iter().fold(0.0, |most: f64, f| most.max(f.abs()));
    for (unknown, got) in got.iter().enumerate() {
        let h = 1e-5;
        let at = |h: f64| {
            let (corners, nodes) = nudged(corners, nodes, unknown, h);
            energy(&still, &of(&still, corners, nodes))
        };
        let want = (at(h) - at(-h)) / (2.0 * h);
        assert!((got - want).abs() < 1e-6 * largest, "{unknown}: {got} for {want}");
    }
}

/// The part left out goes with the strain: halving the strain halves the relative difference.
#[test]
fn the_tangent_is_the_derivative_of_the_forces() {
    for (strain, allowed) in [(1e-4, 1e-8), (1e-2, 1e-5)] {
        let still = still();
        let (corners, nodes) = state(strain);
        let moved = of(&still, corners, nodes);
        let on_left = still.forces(&moved.left);
        let tangent = element::to_mesh(&moved.frame, &moved.tangent(&still, &on_left));
        let largest = tangent.iter().flatten().fold(0.0, |most: f64, k| most.max(k.abs()));
        let mut worst = 0.0f64;
        for column in 0..18 {
            let h = 1e-6;
            let at = |h: f64| {
                let (corners, nodes) = nudged(corners, nodes, column, h);
                mesh_forces(&still, corners, nodes)
            };
            let (ahead, behind) = (at(h), at(-h));
            for (row, values) in tangent.iter().enumerate() {
                worst = worst.max((values[column] - (ahead[row] - behind[row]) / (2.0 * h)).abs());
            }
        }
        assert!(worst < allowed * largest, "strain {strain}: {worst} of {largest}");
    }
}
