//! A ring formed from one flat disc or annulus.

use super::concerns::{self, Verdict};
use super::map::Map;
use super::{RingError, RingSettings, ThicknessLaw, check_settings, forms, limit_of, report};
use crate::{Blank, DevelopSettings};
use handbook::forming_limit::{Forming, FormingLimit};
use handbook::{Grade, Working};
use section::Ring;
use section::ring::{LegKind, Meridian, RingPart};
use serde::{Deserialize, Serialize};

/// What keeps its size while a ring is formed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Held {
    /// The middle of a ring that is closed there.
    Axis,
    /// A flat leg, counted from 0: it lies between the boards.
    Leg(usize),
    /// The circle of the innermost edge.
    InnerEdge,
    /// The circle of the outermost edge.
    OuterEdge,
}

/// Strain of one circle of the sheet; true strains, flat to finished.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RingStrain {
    /// Leg or bend it lies in.
    pub part: RingPart,
    /// Length along the meridian from the innermost edge, mm.
    pub along_mm: f64,
    /// Finished distance from the axis, mm.
    pub finished_radius_mm: f64,
    /// Distance from the middle of the flat, mm.
    pub flat_radius_mm: f64,
    /// Hoop strain.
    pub hoop: f64,
    /// Strain along the meridian.
    pub meridian: f64,
    /// Thickness after forming, mm.
    pub thickness_mm: f64,
    /// Effective strain (von Mises).
    pub effective: f64,
    /// Limit of the larger in-plane strain there.
    pub limit: f64,
    /// Where it lies against the limit.
    pub state: Forming,
}

impl RingStrain {
    /// The larger of the two strains in the plane.
    #[must_use]
    pub fn major(&self) -> f64 {
        self.hoop.max(self.meridian)
    }

    /// Share gathered, engineering; 0 where nothing is.
    #[must_use]
    pub fn gathered(&self) -> f64 {
        (-self.hoop.exp_m1()).max(0.0)
    }
}

/// A circle with its size in the flat and finished, middle of the sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RingCircle {
    /// "inner edge", "bend 1, middle", "outer edge".
    pub name: String,
    /// Finished, mm.
    pub finished_diameter_mm: f64,
    /// In the flat, mm.
    pub flat_diameter_mm: f64,
    /// Engineering hoop strain: D/D0 − 1 (F9).
    pub strain: f64,
}

/// A ring as one formed blank.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OneBlank {
    /// The law used.
    pub law: ThicknessLaw,
    /// What keeps its size.
    pub held: Held,
    /// The same in words.
    pub held_words: String,
    /// Radius of the hole in the flat without trim, mm; `None` for a closed ring, or where there is no metal for it.
    pub inner_radius_mm: Option<f64>,
    /// Radius of the flat without trim, mm.
    pub outer_radius_mm: f64,
    /// Trim at the inner and at the outer edge, mm.
    pub trim_mm: [f64; 2],
    /// Circles of edges and bends.
    pub circles: Vec<RingCircle>,
    /// Strains along the meridian.
    pub strains: Vec<RingStrain>,
    /// Forming limit of the sheet.
    pub limit: FormingLimit,
    /// What the other laws give for the inner and the outer radius of the flat: least and largest, mm.
    pub by_other_laws_mm: [[f64; 2]; 2],
    /// Deepest ring of these plan sizes that one blank would make, mm from lowest to highest corner; only where this one is refused.
    pub deepest_mm: Option<f64>,
    /// Widest end leg that would be accepted, with its name; only where this one is refused for it.
    pub widest_mm: Option<(String, f64)>,
    /// Boards to form it over and between.
    pub forms: Vec<forms::RingForm>,
    /// The flat.
    pub blank: Blank,
    /// Figures with their working.
    pub workings: Vec<Working>,
}

impl OneBlank {
    /// True when nothing stops it.
    #[must_use]
    pub fn is_feasible(&self) -> bool {
        self.blank.concerns.iter().all(|concern| concern.grade != Grade::Stop)
    }

    /// The most stretched place.
    #[must_use]
    pub fn most_stretched(&self) -> Option<&RingStrain> {
        self.strains.iter().max_by(|a, b| a.major().total_cmp(&b.major()))
    }

    /// The most gathered place.
    #[must_use]
    pub fn most_gathered(&self) -> Option<&RingStrain> {
        self.strains.iter().max_by(|a, b| a.gathered().total_cmp(&b.gathered()))
    }

    /// Thinnest and thickest place after forming.
    #[must_use]
    pub fn thickness_mm(&self) -> [f64; 2] {
        let each = || self.strains.iter().map(|strain| strain.thickness_mm);
        [each().fold(f64::INFINITY, f64::min), each().fold(0.0, f64::max)]
    }
}

/// Steps between strain samples in each link.
const SAMPLES: u32 = 16;
/// Share of a link at which the strain on the axis is read.
const AXIS_SHARE: f64 = 1e-5;

/// Everything worked out for one choice of what is held.
pub(super) struct Formed<'a> {
    pub(super) ring: &'a Ring,
    pub(super) meridian: Meridian,
    pub(super) law: ThicknessLaw,
    pub(super) held: Held,
    pub(super) strains: Vec<RingStrain>,
    /// Radii of the flat at the inner and outer edge.
    pub(super) edges_mm: [f64; 2],
}

impl<'a> Formed<'a> {
    pub(super) fn new(ring: &'a Ring, law: ThicknessLaw, held: Held, limit: &FormingLimit) -> Result<Self, RingError> {
        let meridian = Meridian::of(ring)?;
        let map = Map::new(&meridian, law, held_at(&meridian, held));
        let mut strains = Vec::new();
        for (i, link) in meridian.links.iter().enumerate() {
            for k in 0..=SAMPLES {
                let mut along = link.length_mm * f64::from(k) / f64::from(SAMPLES);
                if link.at(along).x < 1e-9 {
                    // on the axis a circle has no size: its strain is that of a circle close by
                    along += AXIS_SHARE * link.length_mm * if k == 0 { 1.0 } else { -1.0 };
                }
                let (r, flat) = (link.at(along).x, map.flat_radius_mm(i, link, along));
                // metal that is not there has no strain
                if flat > 0.0 && r > 0.0 {
                    strains.push(strain(ring, law, limit, link.part, link.start_mm + along, [r, flat]));
                }
            }
        }
        let edges_mm = map.edges_mm();
        Ok(Self { ring, meridian, law, held, strains, edges_mm })
    }

    pub(super) fn map(&self) -> Map<'_> {
        Map::new(&self.meridian, self.law, held_at(&self.meridian, self.held))
    }
}

fn strain(
    ring: &Ring,
    law: ThicknessLaw,
    limit: &FormingLimit,
    part: RingPart,
    along_mm: f64,
    [r, flat]: [f64; 2],
) -> RingStrain {
    let hoop = (r / flat).ln();
    let meridian = -law.exponent() * hoop;
    let (major, minor) = (hoop.max(meridian), hoop.min(meridian));
    RingStrain {
        part,
        along_mm,
        finished_radius_mm: r,
        flat_radius_mm: flat,
        hoop,
        meridian,
        thickness_mm: ring.thickness_mm * (-hoop - meridian).exp(),
        effective: 2.0 / 3f64.sqrt() * (hoop * hoop + hoop * meridian + meridian * meridian).sqrt(),
        limit: limit.major_limit(minor),
        state: limit.forming(major, minor),
    }
}

/// Length along the meridian at which the circle keeps its size.
fn held_at(meridian: &Meridian, held: Held) -> f64 {
    match held {
        Held::Axis | Held::InnerEdge => 0.0,
        Held::OuterEdge => meridian.length_mm(),
        Held::Leg(leg) => {
            let link = meridian.links.iter().find(|link| link.part == RingPart::Leg(leg));
            link.map_or(0.0, |link| link.start_mm + 0.5 * link.length_mm)
        }
    }
}

/// What could be held: a flat leg that runs outwards, else the edges.
fn candidates(ring: &Ring) -> Vec<Held> {
    if ring.is_closed() {
        return vec![Held::Axis];
    }
    let outwards = |leg: usize| {
        ring.leg_kind(leg) == Some(LegKind::Flat)
            && ring.corners.get(leg).zip(ring.corners.get(leg + 1)).is_some_and(|(a, b)| b.radius_mm > a.radius_mm)
    };
    let legs: Vec<Held> = (0..ring.legs()).filter(|leg| outwards(*leg)).map(Held::Leg).collect();
    if legs.is_empty() { vec![Held::InnerEdge, Held::OuterEdge] } else { legs }
}

pub(super) fn develop(ring: &Ring, develop: &DevelopSettings, settings: &RingSettings) -> Result<OneBlank, RingError> {
    ring.check()?;
    check_settings(ring, settings, develop)?;
    let limit = limit_of(ring)?;
    let choices = match settings.held {
        Some(held) if !ring.is_closed() => vec![held],
        _ => candidates(ring),
    };
    let mut best: Option<(Formed<'_>, Verdict)> = None;
    for held in choices.iter().copied() {
        let formed = Formed::new(ring, settings.law, held, &limit)?;
        let verdict = Verdict::of(&formed, settings);
        if best.as_ref().is_none_or(|(_, other)| verdict.share < other.share) {
            best = Some((formed, verdict));
        }
    }
    let (formed, verdict) = match best {
        Some(found) => found,
        // candidates are never none; the inner edge stands for them all
        None => {
            let formed = Formed::new(ring, settings.law, Held::InnerEdge, &limit)?;
            let verdict = Verdict::of(&formed, settings);
            (formed, verdict)
        }
    };
    let others = ThicknessLaw::ALL.map(|law| Formed::new(ring, law, formed.held, &limit).map(|own| own.edges_mm));
    let mut by_other_laws_mm = [[f64::INFINITY, 0.0]; 2];
    for edges in others {
        let edges = edges?;
        for (range, edge) in by_other_laws_mm.iter_mut().zip(edges) {
            *range = [range[0].min(edge.max(0.0)), range[1].max(edge)];
        }
    }
    let accepted = if verdict.stops() {
        concerns::largest_accepted(&formed, &choices, settings, &limit)
    } else {
        Default::default()
    };
    let parts = report::Parts { formed: &formed, limit: &limit, settings, develop, by_other_laws_mm };
    let concerns = concerns::of_one_blank(&formed, &verdict, settings, (&limit, &accepted));
    report::one_blank(&parts, accepted, concerns)
}
