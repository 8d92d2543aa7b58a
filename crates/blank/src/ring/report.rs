//! The flats of a ring in the form that every flat has.

use super::concerns::Accepted;
use super::one_blank::{Formed, Held, OneBlank, RingCircle};
use super::seams::part_name;
use super::{RingError, RingSettings, forms};
use crate::{
    Blank, CheckDimension, DevelopSettings, FaceUp, FlatFold, FlatMark, FlatOpening, FoldKind, HoleFinish,
    LengthwiseLine, Loop, MarkKind, hole_finish,
};
use glam::DVec2;
use handbook::forming_limit::FormingLimit;
use handbook::{Concern, Source, Working};
use section::ring::RingPart;
use section::{OpeningShape, Ring, Side};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Hoop strain beyond which a hole in the flat would not come out round: drilled after forming.
const ROUND_WITHIN: f64 = 0.002;

/// What the report of one blank is written from.
pub(super) struct Parts<'a> {
    pub(super) formed: &'a Formed<'a>,
    pub(super) limit: &'a FormingLimit,
    pub(super) settings: &'a RingSettings,
    pub(super) develop: &'a DevelopSettings,
    pub(super) by_other_laws_mm: [[f64; 2]; 2],
}

/// An outline with its inner opening.
pub(super) struct Flat {
    pub(super) outline_mm: Loop,
    /// Middle of a round flat.
    pub(super) centre_mm: DVec2,
    pub(super) hole_mm: Option<f64>,
}

impl Flat {
    pub(super) fn annulus(inner_mm: f64, outer_mm: f64, tolerance_mm: f64) -> Self {
        let centre_mm = DVec2::splat(outer_mm);
        let hole_mm = (inner_mm > 0.0).then_some(2.0 * inner_mm);
        Self { outline_mm: circle(centre_mm, outer_mm, tolerance_mm), centre_mm, hole_mm }
    }

    pub(super) fn rectangle(length_mm: f64, width_mm: f64) -> Self {
        let corner = |x: f64, y: f64| DVec2::new(x, y);
        let outline_mm =
            vec![corner(0.0, 0.0), corner(length_mm, 0.0), corner(length_mm, width_mm), corner(0.0, width_mm)];
        Self { outline_mm, centre_mm: DVec2::ZERO, hole_mm: None }
    }

    /// A sector about the upright, its box at the origin.
    pub(super) fn sector([low, high]: [f64; 2], angle_rad: f64, tolerance_mm: f64) -> Self {
        let arc = |radius: f64, from: f64, to: f64| -> Vec<DVec2> {
            let steps = chords(radius, tolerance_mm, (to - from).abs());
            let at = |i: usize| from + (to - from) * i as f64 / steps as f64;
            (0..=steps).map(|i| DVec2::from_angle(at(i)) * radius).collect()
        };
        let (from, to) = (FRAC_PI_2 - 0.5 * angle_rad, FRAC_PI_2 + 0.5 * angle_rad);
        let mut outline_mm = arc(high, from, to);
        if low > 0.0 {
            outline_mm.extend(arc(low, to, from))
        } else {
            outline_mm.push(DVec2::ZERO)
        }
        let corner = outline_mm.iter().copied().fold(DVec2::INFINITY, DVec2::min);
        outline_mm.iter_mut().for_each(|point| *point -= corner);
        Self { outline_mm, centre_mm: -corner, hole_mm: None }
    }
}

/// Where the apex of a sector made by [`Flat::sector`] lies: below the middle of its outer arc.
pub(super) fn sector_apex(high_mm: f64, outline: &[DVec2], angle_rad: f64) -> DVec2 {
    // the outline starts at the right end of the outer arc
    let first = outline.first().copied().unwrap_or_default();
    first - DVec2::from_angle(FRAC_PI_2 - 0.5 * angle_rad) * high_mm
}

fn chords(radius_mm: f64, tolerance_mm: f64, angle_rad: f64) -> usize {
    let step = 2.0 * (1.0 - (tolerance_mm / radius_mm.max(1e-3)).min(0.5)).acos();
    (angle_rad / step).ceil().clamp(2.0, 20_000.0) as usize
}

/// A circle as a closed outline, anticlockwise, its corners on the circle.
pub(super) fn circle(centre: DVec2, radius_mm: f64, tolerance_mm: f64) -> Loop {
    let quarter = chords(radius_mm, tolerance_mm, FRAC_PI_2).max(6);
    let n = 4 * quarter;
    (0..n).map(|i| centre + DVec2::from_angle(TAU * i as f64 / n as f64) * radius_mm).collect()
}

/// The same as a line that ends where it starts.
fn round_line(centre: DVec2, radius_mm: f64, tolerance_mm: f64) -> Vec<DVec2> {
    let mut line = circle(centre, radius_mm, tolerance_mm);
    line.extend(line.first().copied());
    line
}

fn bare(ring: &Ring, name: &str, outline_mm: Loop) -> Blank {
    let area_mm2 = mesh::polygon::signed_area_mm2(&outline_mm);
    Blank {
        piece: name.to_owned(),
        material: ring.material.clone(),
        thickness_mm: ring.thickness_mm,
        face_up: FaceUp::Outside,
        outline_mm,
        openings: Vec::new(),
        folds: Vec::new(),
        marks: Vec::new(),
        area_mm2,
        stations: Vec::new(),
        lengthwise: Vec::new(),
        crown: None,
        wires: Vec::new(),
        check_dimensions: Vec::new(),
        running_x: Vec::new(),
        running_y: Vec::new(),
        trim_mm: 0.0,
        concerns: Vec::new(),
        workings: Vec::new(),
    }
}

fn middle_opening(name: &str, centre_mm: DVec2, diameter_mm: f64, why: String) -> FlatOpening {
    FlatOpening {
        name: name.into(),
        centre_mm,
        diameter_mm: Some(diameter_mm),
        cut_diameter_mm: Some(diameter_mm),
        outline_mm: None,
        finish: HoleFinish::FullSize,
        why,
        along_mm: 0.0,
        from_edge_mm: 0.0,
    }
}

/// Holes of the ring in a flat whose middle lies at `centre`; `flat_radius` gives their distance from it.
fn holes(
    ring: &Ring,
    develop: &DevelopSettings,
    centre: DVec2,
    flat_radius: impl Fn(f64, usize) -> Option<(f64, f64)>,
) -> Vec<FlatOpening> {
    let mut out = Vec::new();
    for hole in &ring.holes {
        let at = DVec2::new(hole.along_mm, hole.from_edge_mm);
        let (OpeningShape::Round { diameter_mm }, Some(leg)) = (&hole.shape, ring.flat_leg_at(at.length())) else {
            continue;
        };
        let Some((radius, strain)) = flat_radius(at.length(), leg) else { continue };
        let (mut finish, mut why) =
            hole_finish(hole.reach_mm, hole.half_clearance_mm, Some(*diameter_mm), develop.pilot_hole_mm);
        if strain.abs() > ROUND_WITHIN && finish == HoleFinish::FullSize {
            finish = HoleFinish::Pilot;
            why = format!("the metal there moves by {:.1} % as it is formed: pilot, opened afterwards", 100.0 * strain);
        }
        out.push(FlatOpening {
            name: hole.name.clone(),
            centre_mm: centre + at.normalize_or_zero() * radius,
            diameter_mm: Some(*diameter_mm),
            cut_diameter_mm: finish.cut_diameter_mm(Some(*diameter_mm), develop.pilot_hole_mm),
            outline_mm: None,
            finish,
            why,
            along_mm: hole.along_mm,
            from_edge_mm: hole.from_edge_mm,
        });
    }
    out
}

fn opening_area(openings: &[FlatOpening]) -> f64 {
    openings.iter().filter_map(|opening| opening.cut_diameter_mm).map(|mm| 0.25 * PI * mm * mm).sum()
}

/// The flat of a part of a built-up ring; holes where `leg` is the flat leg they lie in.
pub(super) fn of_part(ring: &Ring, name: &str, flat: Flat, develop: &DevelopSettings, leg: Option<usize>) -> Blank {
    let mut blank = bare(ring, name, flat.outline_mm);
    if let Some(hole_mm) = flat.hole_mm {
        blank.openings.push(middle_opening("middle", flat.centre_mm, hole_mm, "cut to the line".into()));
    }
    let own = holes(ring, develop, flat.centre_mm, |radius, of| (Some(of) == leg).then_some((radius, 0.0)));
    blank.openings.extend(own);
    blank.area_mm2 -= opening_area(&blank.openings);
    blank.check_dimensions = check_dimensions(ring, develop);
    blank
}

pub(super) fn one_blank(parts: &Parts<'_>, accepted: Accepted, concerns: Vec<Concern>) -> Result<OneBlank, RingError> {
    let Parts { formed, limit, settings, develop, by_other_laws_mm } = parts;
    let ring = formed.ring;
    let [inner, outer] = formed.edges_mm;
    let trim_mm = trims(parts);
    let outer_cut = outer.max(0.1) + trim_mm[1];
    let inner_radius_mm = (!ring.is_closed() && inner > 0.0).then_some(inner);
    let inner_cut = inner_radius_mm.map_or(0.0, |inner| (inner - trim_mm[0]).max(0.0));
    let tolerance = develop.sampling_tolerance_mm;
    let flat = Flat::annulus(inner_cut, outer_cut, tolerance);
    let centre = flat.centre_mm;
    let mut blank = bare(ring, &ring.name, flat.outline_mm);
    if let Some(hole_mm) = flat.hole_mm {
        let why =
            format!("becomes ⌀{:.1} mm once formed and trimmed (middle of the sheet)", 2.0 * first_radius(formed));
        // formed, it is as wide as the ring's own opening
        let finished_mm = Some(2.0 * first_radius(formed));
        let middle = middle_opening("middle", centre, hole_mm, why);
        blank.openings.push(FlatOpening { diameter_mm: finished_mm, ..middle });
    }
    let own = holes(ring, develop, centre, |radius, leg| in_flat(formed, radius, leg));
    blank.openings.extend(own);
    blank.area_mm2 -= opening_area(&blank.openings);
    let circles = circles(formed);
    blank.folds = folds(formed, centre, tolerance);
    blank.marks = marks(parts, centre, trim_mm);
    blank.lengthwise = circles.iter().map(lengthwise).collect();
    blank.check_dimensions = check_dimensions(ring, develop);
    blank.trim_mm = trim_mm[0].max(trim_mm[1]);
    blank.concerns = concerns;
    let workings = workings_with_laws(workings(parts, &circles, inner_radius_mm), settings, by_other_laws_mm);
    blank.workings.clone_from(&workings);
    Ok(OneBlank {
        law: formed.law,
        held: formed.held,
        held_words: held_words(ring, formed.held),
        inner_radius_mm,
        outer_radius_mm: outer,
        trim_mm,
        circles,
        strains: formed.strains.clone(),
        limit: (*limit).clone(),
        by_other_laws_mm: *by_other_laws_mm,
        deepest_mm: accepted.deepest_mm,
        widest_mm: accepted.widest_mm,
        forms: forms::forms(ring, &formed.meridian),
        blank,
        workings,
    })
}

fn workings_with_laws(mut workings: Vec<Working>, settings: &RingSettings, ranges: &[[f64; 2]; 2]) -> Vec<Working> {
    for (name, [low, high]) in ["inner", "outer"].into_iter().zip(ranges) {
        if *high > *low + 1e-6 {
            let working = Working::new(
                format!("spread of the {name} radius of the flat between thickness laws"),
                high - low,
                "mm",
                "largest − least over the three laws",
                Source::geometry("F7, S1–S8"),
            );
            workings.push(working.with("p", "exponent of the law used", settings.law.exponent(), ""));
        }
    }
    workings
}

fn first_radius(formed: &Formed<'_>) -> f64 {
    formed.meridian.links.first().map_or(0.0, |link| link.from_mm.x)
}

/// Trim at the inner and outer edge: none where the edge keeps its size; else the shop's, and enough for every law.
fn trims(parts: &Parts<'_>) -> [f64; 2] {
    let formed = parts.formed;
    let strained = |strain: Option<&super::RingStrain>| strain.is_some_and(|s| s.hoop.abs() > ROUND_WITHIN);
    let [inner, outer] = formed.edges_mm;
    let [in_range, out_range] = parts.by_other_laws_mm;
    let mut trim = [0.0; 2];
    if !formed.ring.is_closed() && strained(formed.strains.first()) {
        trim[0] = parts.settings.trim_mm.max(inner - in_range[0]).min(inner.max(0.0));
    }
    if strained(formed.strains.last()) {
        trim[1] = parts.settings.trim_mm.max(out_range[1] - outer);
    }
    trim
}

/// Distance from the middle of the flat, and engineering hoop strain, of a finished distance from the axis in a flat leg.
fn in_flat(formed: &Formed<'_>, radius_mm: f64, leg: usize) -> Option<(f64, f64)> {
    let map = formed.map();
    let (i, link) = formed.meridian.links.iter().enumerate().find(|(_, link)| link.part == RingPart::Leg(leg))?;
    let along = (radius_mm - link.from_mm.x) * link.along.x.signum();
    let flat = map.flat_radius_mm(i, link, along);
    (flat > 0.0).then(|| (flat, radius_mm / flat - 1.0))
}

fn circles(formed: &Formed<'_>) -> Vec<RingCircle> {
    let map = formed.map();
    let mut out = Vec::new();
    let mut push = |name: String, finished: f64, flat: f64| {
        if flat > 0.0 && finished > 1e-9 {
            out.push(RingCircle {
                name,
                finished_diameter_mm: 2.0 * finished,
                flat_diameter_mm: 2.0 * flat,
                strain: finished / flat - 1.0,
            });
        }
    };
    let links = &formed.meridian.links;
    for (i, link) in links.iter().enumerate() {
        if i == 0 {
            push("inner edge".into(), link.from_mm.x, map.flat_radius_mm(0, link, 0.0));
        }
        if matches!(link.part, RingPart::Bend(_)) {
            let middle = 0.5 * link.length_mm;
            let name = format!("{}, middle", part_name(formed.ring, link.part));
            push(name, link.at(middle).x, map.flat_radius_mm(i, link, middle));
        }
        if i + 1 == links.len() {
            push("outer edge".into(), link.to_mm.x, map.flat_radius_mm(i, link, link.length_mm));
        }
    }
    out
}

fn lengthwise(circle: &RingCircle) -> LengthwiseLine {
    LengthwiseLine {
        name: circle.name.clone(),
        in_piece_mm: PI * circle.finished_diameter_mm,
        in_flat_mm: PI * circle.flat_diameter_mm,
        strain_percent: [100.0 * circle.strain; 2],
        mm_per_100_mm: 100.0 * circle.strain,
        held: circle.strain.abs() < 1e-9,
    }
}

fn folds(formed: &Formed<'_>, centre: DVec2, tolerance_mm: f64) -> Vec<FlatFold> {
    let map = formed.map();
    let ring = formed.ring;
    let mut out = Vec::new();
    for (i, link) in formed.meridian.links.iter().enumerate() {
        let RingPart::Bend(bend) = link.part else { continue };
        let at = [0.0, 0.5 * link.length_mm, link.length_mm].map(|along| map.flat_radius_mm(i, link, along));
        if at.iter().any(|radius| *radius <= 0.0) {
            continue;
        }
        let line = |radius: f64| round_line(centre, radius, tolerance_mm);
        let inside = ring.corners.get(bend).map_or(0.0, |corner| corner.inside_radius_mm);
        let angle = link.turn_rad.abs();
        let up = link.turn_rad > 0.0;
        out.push(FlatFold {
            name: format!("bend {bend}: {} to {}", ring.leg_name(bend.saturating_sub(1)), ring.leg_name(bend)),
            number: out.len() + 1,
            kind: FoldKind::Fold,
            up,
            turns: if up { Side::Outside } else { Side::Inside },
            tangent_near_mm: line(at[0]),
            tangent_far_mm: line(at[2]),
            centre_mm: line(at[1]),
            sight_mm: Vec::new(),
            bend_angle_rad: [angle; 2],
            inside_radius_mm: inside,
            allowance_mm: [at[2] - at[0]; 2],
            setback_mm: [(inside + ring.thickness_mm) * (0.5 * angle).tan(); 2],
            k_factor: 0.5,
            rule: "middle of the sheet".into(),
            fold_to_rad: None,
        });
    }
    out
}

fn marks(parts: &Parts<'_>, centre: DVec2, trim_mm: [f64; 2]) -> Vec<FlatMark> {
    let tolerance = parts.develop.sampling_tolerance_mm;
    let [inner, outer] = parts.formed.edges_mm;
    let mut out = Vec::new();
    for (trim, radius, name) in [(trim_mm[0], inner, "inner"), (trim_mm[1], outer, "outer")] {
        if trim > 0.0 && radius > 0.0 {
            out.push(FlatMark {
                kind: MarkKind::TrimLine,
                line_mm: round_line(centre, radius, tolerance),
                label: format!("{name} trim line ⌀{:.1}, about: trim after forming", 2.0 * radius),
            });
        }
    }
    out
}

fn held_words(ring: &Ring, held: Held) -> String {
    match held {
        Held::Axis => "the middle keeps its size, clamped on the form".into(),
        Held::Leg(leg) => format!("{} keeps its size, clamped between the boards", ring.leg_name(leg)),
        Held::InnerEdge => "the inner edge keeps its size".into(),
        Held::OuterEdge => "the outer edge keeps its size".into(),
    }
}

/// Diameters and heights of the corners of the face that was measured.
fn check_dimensions(ring: &Ring, develop: &DevelopSettings) -> Vec<CheckDimension> {
    let class = develop.tolerance_class;
    let face = match ring.face {
        section::Face::Outside => "outside face",
        section::Face::Middle => "middle of the sheet",
        section::Face::Inside => "inside face",
    };
    let mut out = Vec::new();
    let reach = (ring.reach_mm > 0.0).then_some(ring.reach_mm);
    let mut push = |name: String, nominal: f64| out.extend(CheckDimension::linear(name, nominal, class, reach));
    let last = ring.corners.len().saturating_sub(1);
    for (i, corner) in ring.corners.iter().enumerate().filter(|(_, corner)| corner.radius_mm > 0.0) {
        let name = match i {
            0 => "diameter of the inner edge".to_owned(),
            i if i == last => "diameter of the outer edge".to_owned(),
            i => format!("diameter at corner {i}, {} to {}", ring.leg_name(i - 1), ring.leg_name(i)),
        };
        push(format!("{name}, {face}"), 2.0 * corner.radius_mm);
    }
    for leg in 0..ring.legs() {
        let ends = ring.corners.get(leg).zip(ring.corners.get(leg + 1));
        let height = ends.map_or(0.0, |(a, b)| (a.height_mm - b.height_mm).abs());
        if height > 1e-9 {
            push(format!("height of {}, {face}", ring.leg_name(leg)), height);
        }
    }
    out
}

fn workings(parts: &Parts<'_>, circles: &[RingCircle], inner_radius_mm: Option<f64>) -> Vec<Working> {
    let formed = parts.formed;
    let law = formed.law;
    let formula = match law {
        super::ThicknessLaw::MeridianKept => "R = Rh + (s − sh)",
        super::ThicknessLaw::FreeEdge => "R^(3/2) = Rh^(3/2) + 3/2·∫√r ds",
        super::ThicknessLaw::AreaKept => "R² = Rh² + 2·∫r ds",
    };
    let source = || match law {
        super::ThicknessLaw::MeridianKept => Source::geometry("F7"),
        super::ThicknessLaw::FreeEdge => Source::geometry(""),
        super::ThicknessLaw::AreaKept => Source::geometry("S11"),
    };
    let mut out =
        vec![Working::new("outer radius of the flat, without trim", formed.edges_mm[1], "mm", formula, source()).with(
            "s",
            "length of the meridian, middle of the sheet",
            formed.meridian.length_mm(),
            "mm",
        )];
    if let Some(inner) = inner_radius_mm {
        out.push(Working::new("radius of the hole in the flat, without trim", inner, "mm", formula, source()));
    }
    for circle in circles.iter().filter(|circle| circle.strain.abs() > 1e-9) {
        out.push(
            Working::new(
                format!("strain of the {}", circle.name),
                100.0 * circle.strain,
                "%",
                "D/D0 − 1",
                Source::geometry("F9"),
            )
            .with("D", "diameter finished, middle of the sheet", circle.finished_diameter_mm, "mm")
            .with("D0", "diameter in the flat", circle.flat_diameter_mm, "mm"),
        );
    }
    let each = || formed.strains.iter().map(|strain| strain.thickness_mm);
    for (name, value) in [
        ("thinnest place after forming", each().fold(f64::INFINITY, f64::min)),
        ("thickest place after forming", each().fold(0.0, f64::max)),
    ] {
        out.push(
            Working::new(name, value, "mm", "t0·(R/r)^(1−p)", Source::geometry("constant volume"))
                .with("t0", "thickness before", formed.ring.thickness_mm, "mm")
                .with("p", "exponent of the thickness law", law.exponent(), ""),
        );
    }
    out.push(parts.limit.working.clone());
    out
}
