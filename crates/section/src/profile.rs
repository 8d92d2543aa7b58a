//! The whole cross-section at a station: make-ups of the finished edge, skin, make-ups of the cut edge, as one chain.
//!
//! Plane of a cross-section: first coordinate along o (outside), second along the way the strip runs (u, or −u where it
//! runs down). The direction of the chain is the angle from the second axis towards the first, so that a positive turn
//! goes towards the outside. The chain is walked along the outside face from the edge line both ways; every other face lies
//! at a depth below it, along the normal kept with each node. Values are jets by arc length of the edge line.
//!
//! An arc's inside radius is that of its concave face: a positive bend has it on the outside face, a negative one on the inside face.
//! Sharp turns without radius occur only at the two lines of a joggle (handbook F4); their normal is the mitre.

use crate::jet::Jet;
use crate::{Side, StripEdge};
use glam::DVec2;

/// What a link of the whole cross-section belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// Link of the skin, counted from 0 at the edge line.
    Skin {
        /// Which link.
        link: usize,
    },
    /// The bend of a flange, a curl or a hem.
    Bend {
        /// Which edge.
        edge: StripEdge,
        /// Which make-up of its chain, from 0.
        index: usize,
    },
    /// The flat leg of a make-up.
    Leg {
        /// Which edge.
        edge: StripEdge,
        /// Which make-up of its chain, from 0.
        index: usize,
    },
    /// The ramp of a joggle.
    Ramp {
        /// Which edge.
        edge: StripEdge,
        /// Which make-up of its chain, from 0.
        index: usize,
    },
}

/// Shape of a link at a station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// Straight, after a sharp turn (0 everywhere but at a joggle; positive towards the outside).
    Straight {
        /// Length, mm.
        length_mm: Jet,
        /// Turn before it, walking outward, rad.
        turn_rad: Jet,
    },
    /// Arc.
    Arc {
        /// Radius of its concave face, mm.
        inside_radius_mm: Jet,
        /// Turned from flat, positive towards the outside, rad.
        bend_rad: Jet,
    },
}

/// A link with what it belongs to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProfileLink {
    /// What it belongs to.
    pub part: Part,
    /// Its shape.
    pub shape: Shape,
}

/// A point of the chain on the outside face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Node {
    /// Along o and along the way the strip runs, mm.
    pub at_mm: [Jet; 2],
    /// Step towards the outside per mm of depth (unit, longer at a mitre).
    pub normal: [Jet; 2],
    /// Direction of the chain from finished to cut edge, rad from the way the strip runs, towards the outside.
    pub angle_rad: Jet,
}

/// The whole cross-section at one station, from the finished edge's last make-up to the cut edge's.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// Links in order.
    pub links: Vec<ProfileLink>,
    /// One more than links: the points between them and the two ends.
    pub nodes: Vec<Node>,
    /// Which node lies at the edge line (or at the tangent where its fold starts).
    pub anchor: usize,
    /// Sheet, mm.
    pub thickness_mm: f64,
}

impl Node {
    /// Point at a depth below the outside face, mm (0 outside face, t inside face).
    #[must_use]
    pub fn at_depth(&self, depth_mm: f64) -> [Jet; 2] {
        [self.at_mm[0] - self.normal[0] * depth_mm, self.at_mm[1] - self.normal[1] * depth_mm]
    }

    /// Point at a depth, values only: along o and along the way the strip runs.
    #[must_use]
    pub fn point(&self, depth_mm: f64) -> DVec2 {
        let [o, v] = self.at_depth(depth_mm);
        DVec2::new(o.value, v.value)
    }

    /// Unit direction of the chain: along o, along the way the strip runs.
    #[must_use]
    pub fn direction(&self) -> [Jet; 2] {
        [self.angle_rad.sin(), self.angle_rad.cos()]
    }

    fn plain(at_mm: [Jet; 2], angle_rad: Jet) -> Self {
        Self { at_mm, normal: [angle_rad.cos(), -angle_rad.sin()], angle_rad }
    }
}

impl Shape {
    /// A straight that goes on without a turn.
    #[must_use]
    pub fn straight(length_mm: Jet) -> Self {
        Self::Straight { length_mm, turn_rad: Jet::default() }
    }

    /// Radius at the outside face of an arc, mm.
    #[must_use]
    pub fn outside_radius_mm(inside_radius_mm: Jet, bend_rad: Jet, thickness_mm: f64) -> Jet {
        if bend_rad.value > 0.0 { inside_radius_mm } else { inside_radius_mm + thickness_mm }
    }

    /// Length along the outside face, mm.
    #[must_use]
    pub fn outside_length_mm(&self, thickness_mm: f64) -> Jet {
        match *self {
            Self::Straight { length_mm, .. } => length_mm,
            Self::Arc { inside_radius_mm, bend_rad } => {
                bend_rad.abs() * Self::outside_radius_mm(inside_radius_mm, bend_rad, thickness_mm)
            }
        }
    }
}

impl Profile {
    /// Joins the two walks: `forward` from the edge line to the cut edge, `backward` from the edge line outward over the finished edge.
    pub(crate) fn join(
        start: [Jet; 2],
        angle_rad: Jet,
        thickness_mm: f64,
        forward: Vec<ProfileLink>,
        backward: Vec<ProfileLink>,
    ) -> Self {
        let ahead = walk(start, angle_rad, thickness_mm, &forward);
        // Backward is the same walk in the plane reflected across o.
        let back = walk([start[0], -start[1]], -angle_rad, thickness_mm, &backward);
        let reflected = back.into_iter().skip(1).map(|node| Node {
            at_mm: [node.at_mm[0], -node.at_mm[1]],
            normal: [node.normal[0], -node.normal[1]],
            angle_rad: -node.angle_rad,
        });
        let mut nodes: Vec<Node> = reflected.collect();
        nodes.reverse();
        let anchor = nodes.len();
        nodes.extend(ahead);
        let links = backward.into_iter().rev().chain(forward).collect();
        Self { links, nodes, anchor, thickness_mm }
    }

    /// Only the outermost link of one edge: what lies beyond the seam of a split flange. Its inner end is the anchor.
    pub(crate) fn outermost(mut self, edge: StripEdge) -> Self {
        match edge {
            StripEdge::Finished => {
                self.links.truncate(1);
                self.nodes.truncate(2);
                self.anchor = 1;
            }
            StripEdge::Cut => {
                self.links.drain(..self.links.len().saturating_sub(1));
                self.nodes.drain(..self.nodes.len().saturating_sub(2));
                self.anchor = 0;
            }
        }
        self
    }

    /// Point of link `link` at a fraction of its length (0 at its node nearer the finished edge).
    #[must_use]
    pub fn inside_link(&self, link: usize, fraction: f64) -> Option<Node> {
        let (first, last) = (self.nodes.get(link)?, self.nodes.get(link + 1)?);
        if fraction <= 0.0 {
            return Some(*first);
        }
        if fraction >= 1.0 {
            return Some(*last);
        }
        Some(match self.links.get(link)?.shape {
            Shape::Straight { .. } => {
                let mix = |a: Jet, b: Jet| a * (1.0 - fraction) + b * fraction;
                let angle_rad = if link >= self.anchor { last.angle_rad } else { first.angle_rad };
                Node {
                    at_mm: [mix(first.at_mm[0], last.at_mm[0]), mix(first.at_mm[1], last.at_mm[1])],
                    normal: [mix(first.normal[0], last.normal[0]), mix(first.normal[1], last.normal[1])],
                    angle_rad,
                }
            }
            Shape::Arc { inside_radius_mm, bend_rad } => {
                arc_end(first.at_mm, first.angle_rad, inside_radius_mm, bend_rad * fraction, self.thickness_mm)
            }
        })
    }

    /// Length along the outside face from the anchor to node `node`, mm (negative on the finished edge's side).
    #[must_use]
    pub fn outside_mm(&self, node: usize) -> f64 {
        let length = |links: &[ProfileLink]| {
            links.iter().map(|link| link.shape.outside_length_mm(self.thickness_mm).value).sum::<f64>()
        };
        if node >= self.anchor {
            self.links.get(self.anchor..node).map_or(f64::NAN, length)
        } else {
            -self.links.get(node..self.anchor).map_or(f64::NAN, length)
        }
    }

    /// Polyline of the chain at a depth below the outside face, arcs in steps of at most 5°: along o, along the way the strip runs.
    #[must_use]
    pub fn polyline(&self, depth_mm: f64) -> Vec<DVec2> {
        let mut out: Vec<DVec2> = self.nodes.first().map(|node| node.point(depth_mm)).into_iter().collect();
        for (i, link) in self.links.iter().enumerate() {
            let steps = match link.shape {
                Shape::Straight { .. } => 1,
                Shape::Arc { bend_rad, .. } => steps_for(bend_rad.value),
            };
            for k in 1..=steps {
                if let Some(node) = self.inside_link(i, k as f64 / steps as f64) {
                    out.push(node.point(depth_mm));
                }
            }
        }
        out
    }
}

/// Steps of at most 5° for an arc.
pub(crate) fn steps_for(bend_rad: f64) -> usize {
    ((bend_rad.abs() / 5f64.to_radians()).ceil() as usize).clamp(1, 144)
}

fn walk(start: [Jet; 2], angle_rad: Jet, thickness_mm: f64, links: &[ProfileLink]) -> Vec<Node> {
    let mut node = Node::plain(start, angle_rad);
    let mut out = Vec::with_capacity(links.len() + 1);
    for link in links {
        match link.shape {
            Shape::Straight { length_mm, turn_rad } => {
                if turn_rad.value != 0.0 {
                    let half = node.angle_rad + turn_rad * 0.5;
                    let longer = Jet::constant(1.0) / (turn_rad * 0.5).cos();
                    node.normal = [half.cos() * longer, -half.sin() * longer];
                }
                out.push(node);
                let angle = node.angle_rad + turn_rad;
                let at = [node.at_mm[0] + length_mm * angle.sin(), node.at_mm[1] + length_mm * angle.cos()];
                node = Node::plain(at, angle);
            }
            Shape::Arc { inside_radius_mm, bend_rad } => {
                out.push(node);
                node = arc_end(node.at_mm, node.angle_rad, inside_radius_mm, bend_rad, thickness_mm);
            }
        }
    }
    out.push(node);
    out
}

/// End of an arc that starts at a point of the outside face: displacement `±ρ (cos a − cos(a+φ), sin(a+φ) − sin a)`.
fn arc_end(at: [Jet; 2], angle: Jet, inside_radius_mm: Jet, bend_rad: Jet, thickness_mm: f64) -> Node {
    let radius = Shape::outside_radius_mm(inside_radius_mm, bend_rad, thickness_mm);
    let signed = if bend_rad.value > 0.0 { radius } else { -radius };
    let end = angle + bend_rad;
    let at = [at[0] + signed * (angle.cos() - end.cos()), at[1] + signed * (end.sin() - angle.sin())];
    Node::plain(at, end)
}

/// Sign of a turn: positive towards the outside.
pub(crate) fn sign(turns: Side) -> f64 {
    match turns {
        Side::Outside => 1.0,
        Side::Inside => -1.0,
    }
}
