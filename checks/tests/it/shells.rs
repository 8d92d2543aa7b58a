//! Thin shells for the checks: grids of triangles, usual supports, a solved case.

use glam::DVec3;
use mesh::Skin;
use numerics::{Cancel, Progress};
use weld::shell::{Deflection, Hold, LinearModel, Loads, Reaction, Resultants, Sheet, Shell, Supports};

/// How a grid is cut into triangles.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cut {
    /// Every rectangle along the same diagonal.
    Regular,
    /// Diagonals at random, nodes moved by up to a quarter of their spacing but for those on the rim and on the two middle lines.
    Irregular(u64),
}

/// A grid of `across[0]` × `across[1]` rectangles, `place`(s, w) with s and w from 0 to 1.
#[derive(Debug, Clone)]
pub struct Grid {
    pub skin: Skin,
    pub across: [u32; 2],
}

pub fn grid(across: [u32; 2], cut: Cut, place: impl Fn(f64, f64) -> DVec3) -> Grid {
    let [along, up] = across;
    let mut random = fastrand::Rng::with_seed(if let Cut::Irregular(seed) = cut { seed } else { 0 });
    let mut share = |i: u32, n: u32| {
        let moved = 0.5 * (random.f64() - 0.5);
        let fixed = i == 0 || i == n || 2 * i == n || cut == Cut::Regular;
        (f64::from(i) + if fixed { 0.0 } else { moved }) / f64::from(n)
    };
    let mut skin = Skin { points_mm: Vec::new(), triangles: Vec::new() };
    for j in 0..=up {
        for i in 0..=along {
            let (s, w) = (share(i, along), share(j, up));
            skin.points_mm.push(place(s, w));
        }
    }
    for j in 0..up {
        for i in 0..along {
            let a = j * (along + 1) + i;
            let (b, c, d) = (a + 1, a + along + 2, a + along + 1);
            let other = cut != Cut::Regular && random.bool();
            skin.triangles.extend(if other { [[a, b, d], [b, c, d]] } else { [[a, b, c], [a, c, d]] });
        }
    }
    Grid { skin, across }
}

impl Grid {
    pub fn node(&self, i: u32, j: u32) -> u32 {
        j * (self.across[0] + 1) + i
    }

    /// Nodes of the lines i = 0, i = last, j = 0, j = last.
    pub fn line(&self, which: Line) -> Vec<u32> {
        let [along, up] = self.across;
        match which {
            Line::First => (0..=up).map(|j| self.node(0, j)).collect(),
            Line::Last => (0..=up).map(|j| self.node(along, j)).collect(),
            Line::Bottom => (0..=along).map(|i| self.node(i, 0)).collect(),
            Line::Top => (0..=along).map(|i| self.node(i, up)).collect(),
        }
    }
}

/// A side of a grid: s = 0, s = 1, w = 0, w = 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Line {
    First,
    Last,
    Bottom,
    Top,
}

pub fn along(node: u32, axis: DVec3) -> Hold {
    Hold { node, axis, rotation: false, spring: None }
}

pub fn about(node: u32, axis: DVec3) -> Hold {
    Hold { node, axis, rotation: true, spring: None }
}

/// Everything held.
pub fn clamped(node: u32) -> Vec<Hold> {
    DVec3::AXES.iter().flat_map(|&axis| [along(node, axis), about(node, axis)]).collect()
}

/// On a plane of symmetry square to `normal`.
pub fn symmetric(node: u32, normal: DVec3) -> Vec<Hold> {
    let (a, b) = normal.any_orthonormal_pair();
    vec![along(node, normal), about(node, a), about(node, b)]
}

/// A shell with its factor.
pub fn model(skin: &Skin, sheet: Sheet, holds: Vec<Hold>) -> LinearModel {
    let shell = Shell { skin: skin.clone(), sheets: vec![sheet], sheet_of: Vec::new() };
    LinearModel::new(shell, &Supports { holds }, &Progress::silent(), &Cancel::new()).unwrap()
}

/// A shell under a load.
pub struct Case {
    pub model: LinearModel,
    pub loads: Loads,
    pub deflection: Deflection,
}

impl Case {
    pub fn new(skin: &Skin, sheet: Sheet, holds: Vec<Hold>, loads: Loads) -> Self {
        let mut model = model(skin, sheet, holds);
        let deflection = model.solve(&loads).unwrap();
        Self { model, loads, deflection }
    }

    pub fn resultants(&self) -> Vec<Resultants> {
        self.model.resultants(&self.deflection, &self.loads).unwrap()
    }

    pub fn reactions(&self) -> Vec<Reaction> {
        self.model.reactions(&self.deflection, &self.loads).unwrap()
    }
}

/// The same load per area everywhere.
pub fn everywhere(skin: &Skin, per_area: DVec3) -> Loads {
    Loads { per_area: (0..skin.triangles.len() as u32).map(|t| (t, per_area)).collect(), ..Loads::default() }
}

/// A force at one node.
pub fn force_at(node: u32, force: DVec3) -> Loads {
    Loads { at_nodes: vec![(node, force, DVec3::ZERO)], ..Loads::default() }
}
