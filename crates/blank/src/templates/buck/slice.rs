//! A slice: its outline with top and slots.

use super::profile::Profile;
use super::slots::{OpenTo, Slot};
use super::{CardSettings, TemplateError};
use crate::templates::card::TEST_DEVIATION_MM;
use glam::{DVec2, DVec3};
use mesh::polygon::check_simple;
use mesh::sections::{ArcChain, ArcVertex, Fit, SectionPlane};
use serde::{Deserialize, Serialize};

/// Which way a slice stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Family {
    /// Standing across the base's x and running along its y; slots open to the base.
    Across,
    /// Running along the base's x; slots open to the top.
    Along,
}

impl Family {
    /// In words, so that no slice is taken for a sheet of the print (A1, B2).
    pub(super) fn name(self, index: usize) -> String {
        match self {
            Self::Across => format!("across {}", index + 1),
            Self::Along => format!("along {}", index + 1),
        }
    }

    /// Direction in which the slices follow one another.
    pub(super) fn spaced_along(self, base: &SectionPlane) -> DVec3 {
        match self {
            Self::Across => base.along(),
            Self::Along => base.up(),
        }
    }

    /// Frame of a slice: x as the position on the base that the other family is spaced along, y the height over the base.
    pub(super) fn plane(self, base: &SectionPlane, at_mm: f64) -> SectionPlane {
        let (across, runs) = match self {
            Self::Across => (base.along(), base.up()),
            Self::Along => (base.up(), base.along()),
        };
        // both directions are unit and square, so that this cannot fail
        SectionPlane::new(base.origin_mm() + across * at_mm, runs, base.normal()).unwrap_or(*base)
    }
}

/// A slice of a buck. Positions in the frame of its plane: x along the base, y the height over it, mm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Slice {
    /// "across 1", "along 3".
    pub name: String,
    /// Which way it stands.
    pub family: Family,
    /// Position of its middle along the base's x (across) or y (along), mm.
    pub at_mm: f64,
    /// Its middle plane in space.
    pub plane: SectionPlane,
    /// What is cut: closed, simple, anticlockwise, standing on y = 0.
    pub outline: ArcChain,
    /// The stretches of the top that touch, rising along x, between slots and bridges.
    pub touching: Vec<ArcChain>,
    /// The slots, rising along x.
    pub slots: Vec<Slot>,
    /// Most distance of the computed top from `touching`, mm.
    pub deviation_mm: f64,
}

/// Cuts a profile to its ends, takes the slots out and fits the top.
pub(super) fn shape(profile: &Profile, slots: &[Slot], card: &CardSettings) -> Result<Slice, TemplateError> {
    let mut slots = slots.to_vec();
    slots.sort_by(|a, b| a.at_mm.total_cmp(&b.at_mm));
    let top = top(profile, &slots);
    let mut touching = Vec::new();
    let mut deviation_mm = 0.0f64;
    // from the right end back to the left
    let mut vertices = base_line(profile, &slots);
    for part in top.iter().rev() {
        match part {
            Part::Touches(points) => {
                let fit = Fit::through(points, false, &card.curve).map_err(TemplateError::at(&profile.name))?;
                deviation_mm = deviation_mm.max(fit.deviation_mm);
                vertices.extend(fit.chain.reversed().vertices);
                touching.insert(0, fit.chain);
            }
            Part::Straight(points) => vertices.extend(points.iter().rev().copied().map(ArcVertex::straight)),
        }
    }
    // where a part begins in the point in which another ended, the step that leaves it counts
    vertices.dedup_by(|next, before| {
        let same = next.at_mm == before.at_mm;
        if same {
            before.bulge = next.bulge;
        }
        same
    });
    let outline = ArcChain { vertices, closed: true };
    check_simple(&outline.flattened_mm(TEST_DEVIATION_MM)).map_err(|clash| TemplateError::Crosses {
        place: profile.name.clone(),
        at_mm: clash.at_mm,
        accepted: "move the slice, or lower the base".to_owned(),
    })?;
    Ok(Slice {
        name: profile.name.clone(),
        family: profile.family,
        at_mm: profile.at_mm,
        plane: profile.plane,
        outline,
        touching,
        slots,
        deviation_mm,
    })
}

/// The base line from left to right, with the slots that are open to it.
fn base_line(profile: &Profile, slots: &[Slot]) -> Vec<ArcVertex> {
    let [from, to] = profile.ends_mm;
    let mut points = vec![DVec2::new(from, 0.0)];
    for slot in slots.iter().filter(|slot| slot.open_to == OpenTo::Base) {
        let (left, right) = (slot.at_mm - 0.5 * slot.width_mm, slot.at_mm + 0.5 * slot.width_mm);
        points.push(DVec2::new(left, 0.0));
        points.push(DVec2::new(left, slot.ends_at_mm));
        points.push(DVec2::new(right, slot.ends_at_mm));
        points.push(DVec2::new(right, 0.0));
    }
    points.push(DVec2::new(to, 0.0));
    points.into_iter().map(ArcVertex::straight).collect()
}

/// A part of the top, rising along x.
enum Part {
    Touches(Vec<DVec2>),
    Straight(Vec<DVec2>),
}

/// The top between the ends: stretches that touch, bridges under holes, slots that are open to it.
fn top(profile: &Profile, slots: &[Slot]) -> Vec<Part> {
    let [from, to] = profile.ends_mm;
    let cuts: Vec<&Slot> = slots.iter().filter(|slot| slot.open_to == OpenTo::Top).collect();
    let mut parts = Vec::new();
    for (i, stretch) in profile.stretches.iter().enumerate() {
        let (Some(first), Some(last)) = (stretch.first(), stretch.last()) else { continue };
        if let Some(bridge) = i.checked_sub(1).and_then(|before| profile.bridges_mm.get(before)) {
            let before = profile.stretches[i - 1].last().map_or(first.x, |point| point.x);
            let ends = [before.clamp(from, to), first.x.clamp(from, to)];
            for [left, right] in without_slots(ends, &cuts) {
                parts.push(Part::Straight([left, right].map(|x| DVec2::new(x, *bridge)).to_vec()));
            }
        }
        for [left, right] in without_slots([first.x.clamp(from, to), last.x.clamp(from, to)], &cuts) {
            let points = between(stretch, left, right);
            parts.push(if points.len() > 1 { Part::Touches(points) } else { Part::Straight(points) });
        }
    }
    for slot in cuts {
        let (left, right) = (slot.at_mm - 0.5 * slot.width_mm, slot.at_mm + 0.5 * slot.width_mm);
        let at = parts.iter().position(|part| part.starts_at() >= right - 1e-9).unwrap_or(parts.len());
        parts.insert(at, Part::Straight([left, right].map(|x| DVec2::new(x, slot.ends_at_mm)).to_vec()));
    }
    parts
}

impl Part {
    fn starts_at(&self) -> f64 {
        let (Self::Touches(points) | Self::Straight(points)) = self;
        points.first().map_or(f64::NEG_INFINITY, |point| point.x)
    }
}

/// An interval less the slots.
fn without_slots([from, to]: [f64; 2], slots: &[&Slot]) -> Vec<[f64; 2]> {
    let mut left = from;
    let mut rest = Vec::new();
    for slot in slots {
        let (a, b) = (slot.at_mm - 0.5 * slot.width_mm, slot.at_mm + 0.5 * slot.width_mm);
        if b <= left || a >= to {
            continue;
        }
        if a > left {
            rest.push([left, a]);
        }
        left = left.max(b);
    }
    if to > left {
        rest.push([left, to]);
    }
    rest
}

/// The points of a chain that rises along x between two positions on it, ends included.
fn between(chain: &[DVec2], from: f64, to: f64) -> Vec<DVec2> {
    let at = |x: f64| {
        let after = chain.partition_point(|point| point.x < x).clamp(1, chain.len() - 1);
        let (a, b) = (chain[after - 1], chain[after]);
        a.lerp(b, ((x - a.x) / (b.x - a.x)).clamp(0.0, 1.0))
    };
    let mut points = vec![at(from)];
    points.extend(chain.iter().copied().filter(|point| point.x > from && point.x < to));
    points.push(at(to));
    points
}
