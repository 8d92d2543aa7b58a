//! What holds the shell, made ready: directions that are held fast, springs, and what must be held besides so that nothing floats.
//!
//! A part that could still move as a rigid body is given the fewest further holds, on nodes far apart: they take no force
//! unless the loads push the part along, so a free panel under loads in equilibrium is computed as free.

use super::{Hold, Shell, Supports, parts};
use crate::error::WeldError;
use glam::{DMat3, DVec3};
use handbook::{Concern, Grade};
use std::collections::BTreeMap;

/// Share of a unit motion below which a rigid motion counts as not held.
const HARDLY: f64 = 1e-6;

/// Holds fast by node, and springs.
#[derive(Debug, Clone)]
pub struct Held {
    /// Node → number in `free`; `u32::MAX` where nothing is held fast.
    of_node: Vec<u32>,
    /// Projections on the displacements and on the rotations that are free.
    free: Vec<[DMat3; 2]>,
    /// Springs to the ground.
    pub springs: Vec<Spring>,
    /// Holds that were added because a part could move as a rigid body.
    pub added: Vec<Hold>,
    /// What the reader must know.
    pub concerns: Vec<Concern>,
}

/// A spring to the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spring {
    /// Node.
    pub node: u32,
    /// Unit vector.
    pub axis: DVec3,
    /// About the axis instead of along it.
    pub rotation: bool,
    /// N/mm or N·mm/rad.
    pub stiffness: f64,
}

impl Held {
    /// Makes the supports of a shell ready.
    ///
    /// # Errors
    /// Holds on points that are not there, axes without direction, springs that are not positive; [`WeldError::Torn`] when there are
    /// several parts and one of them nothing holds.
    pub fn new(shell: &Shell, supports: &Supports) -> Result<Self, WeldError> {
        let points = &shell.skin.points_mm;
        let mut holds = checked(supports, points.len())?;
        let part_of = parts::parts(shell);
        let (added, concerns) = steadied(points, &part_of, &holds)?;
        holds.extend(&added);
        let mut axes: BTreeMap<u32, [Vec<DVec3>; 2]> = BTreeMap::new();
        for hold in holds.iter().filter(|hold| hold.spring.is_none()) {
            let held = &mut axes.entry(hold.node).or_default()[usize::from(hold.rotation)];
            let beyond = beyond(hold.axis, held);
            // an axis within a hair of those already held adds nothing
            if let Some(axis) = beyond.try_normalize().filter(|_| beyond.length() > 1e-9) {
                held.push(axis);
            }
        }
        for (node, _) in part_of.iter().enumerate().filter(|(_, part)| **part == parts::LOOSE) {
            axes.insert(node as u32, [DVec3::AXES.to_vec(), DVec3::AXES.to_vec()]);
        }
        let mut of_node = vec![u32::MAX; points.len()];
        let mut free = Vec::with_capacity(axes.len());
        for (node, held) in &axes {
            of_node[*node as usize] = free.len() as u32;
            free.push([projection(&held[0]), projection(&held[1])]);
        }
        let spring = |hold: &Hold| {
            hold.spring.map(|stiffness| Spring { node: hold.node, axis: hold.axis, rotation: hold.rotation, stiffness })
        };
        Ok(Self { of_node, free, springs: holds.iter().filter_map(spring).collect(), added, concerns })
    }

    /// Projections on the free displacements and rotations of a node; none when all are free.
    #[must_use]
    pub fn projection(&self, node: u32) -> Option<&[DMat3; 2]> {
        self.free.get(self.of_node[node as usize] as usize)
    }

    /// Nodes at which something is held fast.
    pub fn nodes(&self) -> impl Iterator<Item = u32> + '_ {
        (0..self.of_node.len() as u32).filter(|&node| self.of_node[node as usize] != u32::MAX)
    }

    /// Takes from six numbers a node what points along held directions.
    pub fn project(&self, unknowns: &mut [f64]) {
        for node in self.nodes() {
            let Some(free) = self.projection(node) else { continue };
            let at = super::UNKNOWNS * node as usize;
            for (free, three) in free.iter().zip(unknowns[at..at + super::UNKNOWNS].chunks_exact_mut(3)) {
                three.copy_from_slice(&(*free * DVec3::from_slice(three)).to_array());
            }
        }
    }
}

/// Holds with axes of unit length.
fn checked(supports: &Supports, points: usize) -> Result<Vec<Hold>, WeldError> {
    let check = |(index, hold): (usize, &Hold)| {
        if hold.node as usize >= points {
            return Err(WeldError::NoSuch { what: "the held point", got: hold.node as usize, count: points });
        }
        if let Some(got) = hold.spring.filter(|k| !(*k > 0.0 && k.is_finite())) {
            let need = "it must be above 0; leave it out to hold fast";
            return Err(WeldError::OutOfRange { name: "stiffness of a support", got, need });
        }
        let axis = hold.axis.try_normalize().ok_or(WeldError::NoDirection { what: "axis of hold", index })?;
        Ok(Hold { axis, ..*hold })
    };
    supports.holds.iter().enumerate().map(check).collect()
}

/// Part of a direction beyond those of an orthonormal set.
fn beyond(axis: DVec3, held: &[DVec3]) -> DVec3 {
    // twice is enough to leave nothing but rounding
    (0..2).fold(axis, |axis, _| held.iter().fold(axis, |left, held| left - *held * held.dot(left)))
}

/// Projection on what is square to an orthonormal set; exactly zero when the set is whole.
fn projection(held: &[DVec3]) -> DMat3 {
    if held.len() >= 3 {
        return DMat3::ZERO;
    }
    held.iter()
        .fold(DMat3::IDENTITY, |free, axis| free - DMat3::from_cols(*axis * axis.x, *axis * axis.y, *axis * axis.z))
}

/// A rigid motion seen from the middle of a part: translation, and rotation times the part's size.
type Motion = [f64; 6];

/// Rigid motions that are held, as an orthonormal set.
#[derive(Default)]
struct Span(Vec<Motion>);

impl Span {
    fn beyond(&self, motion: Motion) -> Motion {
        let mut left = motion;
        for _ in 0..2 {
            for held in &self.0 {
                let share: f64 = left.iter().zip(held).map(|(a, b)| a * b).sum();
                left.iter_mut().zip(held).for_each(|(a, b)| *a -= share * b);
            }
        }
        left
    }

    /// Takes motions, always the one farthest from those taken, until all are held or none is left; returns their places.
    fn take(&mut self, motions: &[Motion]) -> Vec<usize> {
        let mut taken = Vec::new();
        while self.0.len() < 6 {
            let rest = motions.iter().map(|&motion| self.beyond(motion)).map(|left| (length(&left), left)).enumerate();
            let far = rest.fold(None, |best: Option<(usize, (f64, Motion))>, next| match best {
                Some(best) if best.1.0 >= next.1.0 => Some(best),
                _ => Some(next),
            });
            let Some((at, (size, left))) = far.filter(|(_, (size, _))| *size > HARDLY) else { break };
            self.0.push(left.map(|value| value / size));
            taken.push(at);
        }
        taken
    }
}

fn length(motion: &Motion) -> f64 {
    motion.iter().map(|value| value * value).sum::<f64>().sqrt()
}

/// The part of a shell seen as one rigid body.
struct Body {
    points: Vec<u32>,
    middle: DVec3,
    size: f64,
}

impl Body {
    fn motion(&self, hold: &Hold, at: DVec3) -> Motion {
        let (along, about) = if hold.rotation {
            (DVec3::ZERO, hold.axis)
        } else {
            (hold.axis, (at - self.middle).cross(hold.axis) / self.size)
        };
        let motion = [along.x, along.y, along.z, about.x, about.y, about.z];
        let size = length(&motion);
        motion.map(|value| value / size)
    }

    /// Candidates for further holds: three nodes far apart, along, across and square to the plane through them.
    fn candidates(&self, points: &[DVec3]) -> Vec<Hold> {
        let at = |node: u32| points[node as usize];
        let farthest = |how_far: &dyn Fn(DVec3) -> f64| {
            self.points.iter().copied().fold(None, |best: Option<u32>, node| match best {
                Some(best) if how_far(at(best)) >= how_far(at(node)) => Some(best),
                _ => Some(node),
            })
        };
        let Some(a) = farthest(&|p| p.distance_squared(self.middle)) else { return Vec::new() };
        let Some(b) = farthest(&|p| p.distance_squared(at(a))) else { return Vec::new() };
        let along = (at(b) - at(a)).normalize_or(DVec3::X);
        let Some(c) = farthest(&|p| (p - at(a)).reject_from_normalized(along).length_squared()) else {
            return Vec::new();
        };
        let across = (at(c) - at(a)).reject_from_normalized(along).normalize_or(along.any_orthonormal_vector());
        let axes = [along, across, along.cross(across)];
        let hold = |node, axis| Hold { node, axis, rotation: false, spring: None };
        [a, b, c].into_iter().flat_map(|node| axes.map(|axis| hold(node, axis))).collect()
    }
}

/// Holds to be added so that no part moves as a rigid body, and what to say about it.
fn steadied(points: &[DVec3], part_of: &[u32], holds: &[Hold]) -> Result<(Vec<Hold>, Vec<Concern>), WeldError> {
    let mut bodies: BTreeMap<u32, Body> = BTreeMap::new();
    for (node, &part) in part_of.iter().enumerate().filter(|(_, part)| **part != parts::LOOSE) {
        let body = bodies.entry(part).or_insert_with(|| Body { points: Vec::new(), middle: DVec3::ZERO, size: 0.0 });
        body.points.push(node as u32);
    }
    let mut of_part: BTreeMap<u32, Vec<&Hold>> = BTreeMap::new();
    for hold in holds {
        of_part.entry(part_of[hold.node as usize]).or_default().push(hold);
    }
    let (parts, mut added, mut concerns) = (bodies.len(), Vec::new(), Vec::new());
    for (part, body) in &mut bodies {
        let count = body.points.len() as f64;
        let at = |node: &u32| points[*node as usize];
        body.middle = body.points.iter().map(at).sum::<DVec3>() / count;
        let spread = body.points.iter().map(|node| at(node).distance_squared(body.middle)).sum::<f64>() / count;
        body.size = spread.sqrt();
        let mut held = Span::default();
        let motions: Vec<Motion> = of_part
            .get(part)
            .map(|holds| holds.iter().map(|hold| body.motion(hold, at(&hold.node))).collect())
            .unwrap_or_default();
        held.take(&motions);
        let before = held.0.len();
        if before == 6 {
            continue;
        }
        if before == 0 && parts > 1 {
            return Err(WeldError::Torn { parts, at_mm: body.middle });
        }
        let candidates = body.candidates(points);
        let motions: Vec<Motion> = candidates.iter().map(|hold| body.motion(hold, at(&hold.node))).collect();
        added.extend(held.take(&motions).into_iter().map(|taken| candidates[taken]));
        concerns.push(floating(body.middle, 6 - before));
    }
    Ok((added, concerns))
}

/// What to say of a part that can move as a rigid body in `ways` ways.
fn floating(middle: DVec3, ways: usize) -> Concern {
    let (key, what) = if ways == 6 {
        ("shell-free", "Nothing holds the panel: it is computed as free.".to_owned())
    } else {
        (
            "shell-partly-free",
            format!("The supports leave the panel free to move in {ways} of 6 ways: it is computed as free there."),
        )
    };
    Concern {
        key: key.into(),
        grade: Grade::Caution,
        place: format!("panel around ({:.0}, {:.0}, {:.0}) mm", middle.x, middle.y, middle.z),
        what,
        why: "A free panel warps more than one that flanges, neighbours or clamps hold.".into(),
        what_to_do: "Say which edges are held, or take the figures as those of a loose panel.".into(),
        lifted_by: None,
        source: String::new(),
    }
}
