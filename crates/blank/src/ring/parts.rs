//! A ring built up: every leg a part of its own with its exact flat, seams at the corners.
//!
//! A flat leg is cut as an annulus (or disc), a wall as a strip rolled to a cylinder, a cone as a sector of an annulus (D-rules of
//! handbook section 4: true lengths on the middle of the sheet). Parts touch along the corner of their inside faces. Rolled parts are
//! developed at the middle of the sheet, which is the neutral line where the radius is more than five thicknesses (DIN 6935, k = 1).

use super::seams::{Corner, RingSeam, SeamKind, corner};
use super::{RingError, RingSettings, check_settings, concerns, report};
use crate::{Blank, DevelopSettings, FlatMark, MarkKind};
use glam::DVec2;
use handbook::{Grade, Source, Working};
use section::Ring;
use section::ring::LegKind;
use serde::{Deserialize, Serialize};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// One part of a built-up ring.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RingPartFlat {
    /// Leg, counted from 0.
    pub leg: usize,
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: LegKind,
    /// Finished distance from the axis of its two edges, middle of the sheet, inner end of the chain first, mm.
    pub radii_mm: [f64; 2],
    /// Width along the meridian, mm.
    pub width_mm: f64,
    /// Radii of its flat, smaller first: of the annulus, or of the sector from the cone's apex; `None` for a strip.
    pub flat_radii_mm: Option<[f64; 2]>,
    /// Angle of a sector; a full turn for an annulus, 0 for a strip.
    pub sector_rad: f64,
    /// Area of the middle of its sheet, holes not taken off, mm².
    pub area_mm2: f64,
    /// The flat.
    pub blank: Blank,
}

/// A ring as parts with seams.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BuiltUp {
    /// Parts from the innermost outwards.
    pub parts: Vec<RingPartFlat>,
    /// Seams: corners first, then closing seams.
    pub seams: Vec<RingSeam>,
    /// Figures with their working.
    pub workings: Vec<Working>,
}

impl BuiltUp {
    /// True when nothing stops it.
    #[must_use]
    pub fn is_feasible(&self) -> bool {
        self.parts.iter().flat_map(|part| &part.blank.concerns).all(|concern| concern.grade != Grade::Stop)
    }

    /// Length of all seams, mm.
    #[must_use]
    pub fn seam_mm(&self) -> f64 {
        self.seams.iter().map(|seam| seam.length_mm).sum()
    }
}

pub(super) fn develop(ring: &Ring, develop: &DevelopSettings, settings: &RingSettings) -> Result<BuiltUp, RingError> {
    ring.check()?;
    check_settings(ring, settings, develop)?;
    // sharp corners in the middle of the sheet: the bends of a formed ring have no place here
    let mut sharp = ring.clone();
    sharp.corners.iter_mut().for_each(|corner| corner.inside_radius_mm = 0.0);
    let middle = section::ring::middle_corners(&sharp)?;
    let corners: Vec<Option<Corner>> = (0..middle.len()).map(|i| corner(&sharp, &middle, i)).collect();
    let at = |i: usize| corners.get(i).copied().flatten();
    let mut parts = Vec::new();
    for (leg, pair) in middle.windows(2).enumerate() {
        let [a, b] = pair else { continue };
        let along = (*b - *a).normalize_or_zero();
        let ends = [
            *a + along * at(leg).map_or(0.0, |corner| corner.back_mm),
            *b - along * at(leg + 1).map_or(0.0, |corner| corner.back_mm),
        ];
        parts.push(part(ring, leg, ends, develop)?);
    }
    let mut seams = Vec::new();
    for (i, pair) in parts.windows(2).enumerate() {
        let ([inner, outer], Some(corner)) = (pair, at(i + 1)) else { continue };
        // each finished part's own edge on the face that touches
        let half = 0.5 * ring.thickness_mm * corner.turn_rad.signum();
        let edge = |part: &RingPartFlat, end: usize| {
            let way = middle.get(part.leg).zip(middle.get(part.leg + 1)).map_or(DVec2::X, |(a, b)| *b - *a);
            2.0 * (part.radii_mm.get(end).copied().unwrap_or(0.0) + way.normalize_or_zero().perp().x * half)
        };
        seams.push(corner.seam([inner.name.clone(), outer.name.clone()], [edge(inner, 1), edge(outer, 0)]));
    }
    seams.extend(parts.iter().filter(|part| part.kind != LegKind::Flat).map(|part| RingSeam {
        name: format!("{}, closing seam", part.name),
        kind: SeamKind::Closing,
        between: [part.name.clone(), part.name.clone()],
        length_mm: part.width_mm,
        diameter_mm: None,
        edge_diameters_mm: None,
        turn_rad: 0.0,
    }));
    if let Some(first) = parts.first_mut() {
        first.blank.concerns.extend(concerns::of_built_up(ring));
    }
    let workings = seams.iter().map(seam_working).collect();
    Ok(BuiltUp { parts, seams, workings })
}

fn seam_working(seam: &RingSeam) -> Working {
    let name = format!("length of the seam {}", seam.name);
    match seam.diameter_mm {
        Some(diameter) => Working::new(name, seam.length_mm, "mm", "π·D", Source::geometry("D16")).with(
            "D",
            "diameter at which the parts touch",
            diameter,
            "mm",
        ),
        None => Working::new(name, seam.length_mm, "mm", "width of the part", Source::geometry("D16")),
    }
}

fn part(ring: &Ring, leg: usize, ends: [DVec2; 2], develop: &DevelopSettings) -> Result<RingPartFlat, RingError> {
    let [a, b] = ends;
    let radii_mm = [a.x, b.x];
    let (low, high) = (a.x.min(b.x), a.x.max(b.x));
    let width_mm = a.distance(b);
    let kind = ring.leg_kind(leg).unwrap_or(LegKind::Cone);
    let name = ring.leg_name(leg);
    let tolerance = develop.sampling_tolerance_mm;
    let blank_name = format!("{}, {name}", ring.name);
    let (flat_radii_mm, sector_rad, area_mm2, mut blank) = match kind {
        LegKind::Flat => {
            let annulus = report::Flat::annulus(low, high, tolerance);
            let blank = report::of_part(ring, &blank_name, annulus, develop, Some(leg));
            (Some([low, high]), TAU, PI * (high * high - low * low), blank)
        }
        LegKind::Wall => {
            let length = TAU * a.x;
            let strip = report::Flat::rectangle(length, width_mm);
            (None, 0.0, length * width_mm, report::of_part(ring, &blank_name, strip, develop, None))
        }
        LegKind::Cone => {
            let sine = (high - low) / width_mm;
            let radii = [low / sine, high / sine];
            let angle = TAU * sine;
            let area = 0.5 * angle * (radii[1] * radii[1] - radii[0] * radii[0]);
            let sector = report::Flat::sector(radii, angle, tolerance);
            (Some(radii), angle, area, report::of_part(ring, &blank_name, sector, develop, None))
        }
    };
    blank.marks.extend(quarters(kind, radii_mm, width_mm, flat_radii_mm, sector_rad, &blank.outline_mm));
    blank.workings.extend(workings(&name, kind, radii_mm, width_mm, flat_radii_mm, sector_rad));
    Ok(RingPartFlat { leg, name, kind, radii_mm, width_mm, flat_radii_mm, sector_rad, area_mm2, blank })
}

fn workings(
    name: &str,
    kind: LegKind,
    radii: [f64; 2],
    width: f64,
    flat: Option<[f64; 2]>,
    sector_rad: f64,
) -> Vec<Working> {
    let source = || Source::geometry("D16");
    match (kind, flat) {
        (LegKind::Flat, Some([low, high])) => vec![
            Working::new(format!("{name}: width of the annulus"), width, "mm", "r2 − r1", source())
                .with("r1", "inner radius", low, "mm")
                .with("r2", "outer radius", high, "mm"),
        ],
        (LegKind::Cone, Some([low, high])) => {
            vec![
                Working::new(
                    format!("{name}: angle of the sector"),
                    sector_rad.to_degrees(),
                    "°",
                    "360·(r2 − r1)/w",
                    source(),
                )
                .with("r1", "smaller radius, middle of the sheet", radii[0].min(radii[1]), "mm")
                .with("r2", "larger radius", radii[0].max(radii[1]), "mm")
                .with("w", "slant width", width, "mm"),
                Working::new(format!("{name}: outer radius of the sector"), high, "mm", "r2·w/(r2 − r1)", source())
                    .with("inner", "inner radius of the sector", low, "mm"),
            ]
        }
        _ => vec![Working::new(format!("{name}: length of the strip"), TAU * radii[0], "mm", "2π·r", source()).with(
            "r",
            "radius, middle of the sheet",
            radii[0],
            "mm",
        )],
    }
}

/// Marks that divide a rolled part in four, so that it goes on round its neighbour without creeping.
fn quarters(
    kind: LegKind,
    radii: [f64; 2],
    width: f64,
    flat: Option<[f64; 2]>,
    sector_rad: f64,
    outline: &[DVec2],
) -> Vec<FlatMark> {
    let mark = |i: u32, line: [DVec2; 2]| FlatMark {
        kind: MarkKind::EndLine,
        line_mm: line.to_vec(),
        label: format!("quarter {i}"),
    };
    match (kind, flat) {
        (LegKind::Wall, _) => {
            let x = |i: u32| TAU * radii[0] * f64::from(i) / 4.0;
            (1..4).map(|i| mark(i, [DVec2::new(x(i), 0.0), DVec2::new(x(i), width)])).collect()
        }
        (LegKind::Cone, Some([low, high])) => {
            let apex = report::sector_apex(high, outline, sector_rad);
            let way = |i: u32| DVec2::from_angle(FRAC_PI_2 - 0.5 * sector_rad + sector_rad * f64::from(i) / 4.0);
            (1..4).map(|i| mark(i, [apex + way(i) * low, apex + way(i) * high])).collect()
        }
        _ => Vec::new(),
    }
}
