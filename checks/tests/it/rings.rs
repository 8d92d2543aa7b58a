//! Rings from one blank and built up.
//!
//! S1–S8: Machinery's Handbook, blank diameters (S1, S3–S7, from memory); Sheet and Plate Metal Work ch. XXVIII (S2, seen); Hodgson,
//! working of sheet metals, fig. 271 (S8, seen); S11 Pappus (derived). F7–F9: geometry (derived). S30: Keeler & Brazier (from memory).
//! Three things are worked out here by another way: the volume of the solid of revolution by a line integral over its
//! section, the flats of built-up parts by laying triangle after triangle into the plane, the least-work blank by triangles.

use crate::axisymmetric::Problem;
use crate::near::near;
use crate::skins::{Cut, disc};
use blank::DevelopSettings;
use blank::flatten::{FlattenSettings, Flow, Route, flatten};
use blank::ring::{DevelopedRing, Held, OneBlank, RingPartFlat, RingSettings, SeamKind, ThicknessLaw, develop};
use glam::{DVec2, DVec3};
use handbook::Grade;
use mesh::Skin;
use numerics::{Cancel, Progress};
use proptest::prelude::*;
use section::ring::{LegKind, Meridian};
use section::{Face, Ring, RingCorner};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// A ring by the middle of its sheet: diameter, height, middle radius of the bend.
fn ring(thickness_mm: f64, corners: &[[f64; 3]]) -> Ring {
    let corner = |&[diameter, height_mm, middle]: &[f64; 3]| RingCorner {
        radius_mm: 0.5 * diameter,
        height_mm,
        inside_radius_mm: (middle - 0.5 * thickness_mm).max(0.0),
    };
    Ring {
        name: "ring".into(),
        thickness_mm,
        material: "dc04".into(),
        face: Face::Middle,
        corners: corners.iter().map(corner).collect(),
        leg_names: Vec::new(),
        holes: Vec::new(),
        reach_mm: 0.0,
    }
}

fn by(ring: &Ring, law: ThicknessLaw, held: Option<Held>) -> DevelopedRing {
    let settings = RingSettings { law, held, ..RingSettings::default() };
    develop(ring, &DevelopSettings::default(), &settings).unwrap()
}

fn one(ring: &Ring, law: ThicknessLaw, held: Option<Held>) -> OneBlank {
    by(ring, law, held).one_blank
}

/// Bodies with sharp corners, forty times as large in sheet of 0.2 mm: each square corner, rounded to 0.1 mm, shortens the meridian by
/// (2 − π/2)·0.1 mm at its radius r, which is 4·r·0.043/(40·D) in the diameter D printed: 0.0012 at the most, for one corner.
#[test]
fn s1_s2_s6_s7_s8_blanks_that_keep_their_area() {
    const LARGER: f64 = 40.0;
    let diameter = |meridian: &[[f64; 2]]| {
        let corners: Vec<[f64; 3]> = meridian.iter().map(|[d, h]| [LARGER * d, LARGER * h, 0.1]).collect();
        2.0 * one(&ring(0.2, &corners), ThicknessLaw::AreaKept, None).outer_radius_mm / LARGER
    };
    let rounded = 1.2e-3;
    near(diameter(&[[0.0, 0.0], [50.0, 0.0], [50.0, 30.0]]), 92.195, 0.5e-3 + rounded); // S1
    near(diameter(&[[0.0, 0.0], [24.0, 0.0], [24.0, 18.0]]), 2.0 * 24.0, rounded); // S2, inches
    near(diameter(&[[0.0, 0.0], [50.0, 0.0], [50.0, 30.0], [80.0, 30.0]]), 111.355, 0.5e-3 + 2.0 * rounded); // S6
    near(diameter(&[[0.0, 0.0], [50.0, 0.0], [80.0, 40.0]]), 116.650, 0.5e-3 + rounded); // S7
    near(diameter(&[[0.0, 0.0], [2.0, 0.0], [4.0, 2.5]]), 6.026, 0.5e-3 + rounded); // S8, inches
}

/// Spheres are a bend as large as the piece: exact, so half the last digit.
#[test]
fn s3_s4_s5_s11_spheres() {
    let flat = |corners: &[[f64; 3]]| one(&ring(0.2, corners), ThicknessLaw::AreaKept, None);
    near(2.0 * flat(&[[0.0, 0.0, 0.0], [100.0, 0.0, 50.0], [100.0, 50.0, 0.0]]).outer_radius_mm, 141.421, 0.5e-3); // S3
    near(2.0 * flat(&[[0.0, 0.0, 0.0], [100.0, 0.0, 50.0], [100.0, 90.0, 0.0]]).outer_radius_mm, 189.737, 0.5e-3); // S5
    for (half, rise, diameter) in [(100.0f64, 30.0f64, 208.806), (200.0, 20.0, 401.995)] {
        let radius = (half * half + rise * rise) / (2.0 * rise);
        let angle = (half / radius).asin();
        let tangent = radius * (0.5 * angle).tan();
        let rim = [2.0 * half, rise, 0.0];
        let blank = flat(&[[0.0, 0.0, 0.0], [2.0 * tangent, 0.0, radius], rim]);
        near(2.0 * blank.outer_radius_mm, diameter, 0.5e-3); // S4
        if rise == 20.0 {
            near(PI * blank.outer_radius_mm.powi(2), 126_920.3, 0.05); // S11
        }
    }
}

/// A flat with a flange on its round edge or round its hole; `width` is what F7 calls w: from the bend line in the flat. The bend's
/// middle radius of 0.1 mm makes the leg differ from it by (2·tan(N/2) − N)·0.1 mm.
fn flanged(line_radius: f64, width: f64, bend_deg: f64, hollow: bool) -> Ring {
    let angle = bend_deg.to_radians();
    let leg = width + (2.0 * (0.5 * angle).tan() - angle) * 0.1;
    let way = if hollow { -1.0 } else { 1.0 };
    let edge = [2.0 * (line_radius + way * leg * angle.cos()), -leg * angle.sin(), 0.0];
    let line = [2.0 * line_radius, 0.0, 0.1];
    if hollow {
        ring(0.2, &[edge, line, [2.0 * line_radius + 100.0, 0.0, 0.0]])
    } else {
        ring(0.2, &[[2.0 * line_radius - 60.0, 0.0, 0.0], line, edge])
    }
}

#[test]
fn f7_flange_on_a_curved_line() {
    for (radius, width, deg, stretch, shrink, half_digit) in [
        (200.0, 12.0, 90.0, 0.063_83, -0.056_60, 0.5e-5),
        (350.0, 15.0, 90.0, 0.044_78, -0.041_10, 0.5e-5),
        (60.0, 10.0, 90.0, 0.200, -0.142_9, 0.5e-4),
        (200.0, 12.0, 60.0, 0.031_91, -0.028_30, 3.5e-5), // the leg's 0.011 mm, turned by 60°
    ] {
        let edge = |hollow: bool| {
            let held = Some(Held::Leg(usize::from(hollow)));
            let made = one(&flanged(radius, width, deg, hollow), ThicknessLaw::MeridianKept, held);
            let circle = made.circles.iter().find(|c| c.name == if hollow { "inner edge" } else { "outer edge" });
            circle.unwrap().strain
        };
        near(edge(true), stretch, half_digit);
        near(edge(false), shrink, half_digit);
    }
}

/// The widest flange that is accepted is F8's for the limit of the sheet in plane strain (S30: n 0.21, t 0.9: 36.017 %).
#[test]
fn f8_s30_the_deepest_that_is_accepted() {
    let (radius, middle, e) = (60.0, 2.0, 0.360_17);
    let deep = ring(0.9, &[[120.0, -30.0, 0.0], [120.0, 0.0, middle], [200.0, 0.0, 0.0]]);
    let made = one(&deep, ThicknessLaw::MeridianKept, Some(Held::Leg(1)));
    assert!(!made.is_feasible());
    let rounded = (2.0 - FRAC_PI_2) * middle;
    near(made.deepest_mm.unwrap(), e * radius / (1.0 + e) + rounded, 2e-3);
    let (leg, widest) = made.widest_mm.clone().unwrap();
    assert_eq!(leg, "wall 1");
    near(widest, made.deepest_mm.unwrap(), 1e-4);
}

/// A hole of 40 mm flanged to 50 mm: 25 %. The depth that comes of it is 5 mm and what the bend saves.
#[test]
fn f9_flanged_hole() {
    let (middle, width) = (1.5, 5.0);
    let depth = width + (2.0 - FRAC_PI_2) * middle;
    let made = one(
        &ring(0.8, &[[50.0, -depth, 0.0], [50.0, 0.0, middle], [110.0, 0.0, 0.0]]),
        ThicknessLaw::MeridianKept,
        Some(Held::Leg(1)),
    );
    near(2.0 * made.inner_radius_mm.unwrap(), 40.0, 1e-9);
    near(made.circles.iter().find(|c| c.name == "inner edge").unwrap().strain, 0.25, 1e-9);
    near(made.outer_radius_mm, 55.0, 1e-9);
}

/// Volume of the formed sheet: π·∮ r² dz round the section whose faces lie half the thickness off the middle (Green; Pappus S11).
fn solid_mm3(ring: &Ring, made: &OneBlank) -> f64 {
    let meridian = Meridian::of(ring).unwrap();
    let (mut left, mut right) = (Vec::new(), Vec::new());
    for strain in &made.strains {
        let link = meridian.links.iter().find(|link| link.part == strain.part).unwrap();
        let along = strain.along_mm - link.start_mm;
        let (at, normal) = (link.at(along), link.normal(along));
        left.push(at + normal * (0.5 * strain.thickness_mm));
        right.push(at - normal * (0.5 * strain.thickness_mm));
    }
    let mut outline: Vec<DVec2> = right;
    outline.extend(left.into_iter().rev());
    let next = outline.iter().cycle().skip(1);
    // r² integrated exactly along a straight side
    outline.iter().zip(next).map(|(a, b)| PI * (a.x * a.x + a.x * b.x + b.x * b.x) / 3.0 * (b.y - a.y)).sum()
}

fn shapes() -> [Ring; 5] {
    [
        ring(1.0, &[[240.0, -12.0, 0.0], [268.0, -12.0, 2.5], [268.0, 0.0, 2.5], [320.0, 0.0, 0.0]]),
        ring(0.9, &[[60.0, 10.0, 0.0], [60.0, 0.0, 2.0], [140.0, 0.0, 3.0], [140.0, 15.0, 0.0]]),
        ring(1.2, &[[0.0, 0.0, 0.0], [160.0, 0.0, 4.0], [160.0, 20.0, 3.0], [200.0, 20.0, 0.0]]),
        ring(0.8, &[[0.0, 0.0, 0.0], [50.0, 0.0, 3.0], [80.0, 40.0, 0.0]]),
        ring(1.0, &[[300.0, 0.0, 0.0], [340.0, 0.0, 3.0], [352.0, 14.0, 3.0], [352.0, 30.0, 4.0], [320.0, 30.0, 0.0]]),
    ]
}

#[test]
fn the_thickness_law_integrates_back_to_the_volume_of_the_blank() {
    for shape in shapes() {
        for law in ThicknessLaw::ALL {
            let made = one(&shape, law, None);
            let inner = made.inner_radius_mm.unwrap_or(0.0);
            let blank = PI * (made.outer_radius_mm.powi(2) - inner * inner) * shape.thickness_mm;
            let solid = solid_mm3(&shape, &made);
            assert!((solid / blank - 1.0).abs() < 1e-3, "{law:?}: {solid} {blank} {:?}", shape.corners);
        }
    }
}

/// The check above notices a thickness that is not formed with the sheet.
#[test]
fn a_sheet_that_kept_its_thickness_would_not_have_the_volume() {
    let shape = &shapes()[0];
    let mut made = one(shape, ThicknessLaw::MeridianKept, None);
    made.strains.iter_mut().for_each(|strain| strain.thickness_mm = shape.thickness_mm);
    let inner = made.inner_radius_mm.unwrap();
    let blank = PI * (made.outer_radius_mm.powi(2) - inner * inner) * shape.thickness_mm;
    assert!((solid_mm3(shape, &made) / blank - 1.0).abs() > 3e-3);
}

/// Rulings of a leg of the finished part about the axis, `step` apart.
fn rulings(part: &RingPartFlat, step_rad: f64) -> Vec<[DVec3; 2]> {
    let [a, b] = part.radii_mm;
    let height = (part.width_mm.powi(2) - (b - a).powi(2)).max(0.0).sqrt();
    let n = (TAU / step_rad).round() as usize;
    let at = |radius: f64, z: f64, i: usize| {
        let angle = TAU * i as f64 / n as f64;
        DVec3::new(radius * angle.cos(), radius * angle.sin(), z)
    };
    (0..=n).map(|i| [at(a, 0.0, i), at(b, height, i)]).collect()
}

/// Lays the strip between rulings into the plane, triangle by triangle, from its three lengths each.
fn unrolled(rulings: &[[DVec3; 2]]) -> Vec<[DVec2; 2]> {
    let third = |p: DVec2, q: DVec2, from_p: f64, from_q: f64| {
        let base = p.distance(q);
        let x = (from_p * from_p - from_q * from_q + base * base) / (2.0 * base);
        let y = (from_p * from_p - x * x).max(0.0).sqrt();
        let along = (q - p) / base;
        p + along * x - along.perp() * y
    };
    let first = rulings[0][0].distance(rulings[0][1]);
    let mut out = vec![[DVec2::ZERO, DVec2::new(0.0, first)]];
    for pair in rulings.windows(2) {
        let [[a, b], [c, d]] = [pair[0], pair[1]];
        let [p, q] = out[out.len() - 1];
        let r = third(p, q, a.distance(c), b.distance(c));
        let s = third(r, q, c.distance(d), b.distance(d));
        out.push([r, s]);
    }
    out
}

fn area(outline: &[DVec2]) -> f64 {
    mesh::polygon::signed_area_mm2(outline).abs()
}

#[test]
fn d16_parts_against_an_independent_unroll() {
    let cones =
        ring(1.0, &[[100.0, 0.0, 0.0], [160.0, 0.0, 2.0], [230.0, 45.0, 2.0], [230.0, 80.0, 2.0], [150.0, 100.0, 0.0]]);
    let built = by(&cones, ThicknessLaw::MeridianKept, None).built_up;
    assert_eq!(
        built.parts.iter().map(|part| part.kind).collect::<Vec<_>>(),
        [LegKind::Flat, LegKind::Cone, LegKind::Wall, LegKind::Cone]
    );
    for part in &built.parts {
        // a chord of 0.05° is 3e-8 short of its arc
        let flat = unrolled(&rulings(part, 0.05f64.to_radians()));
        let mut outline: Vec<DVec2> = flat.iter().map(|[a, _]| *a).collect();
        outline.extend(flat.iter().rev().map(|[_, b]| *b));
        let exact = if part.kind == LegKind::Flat {
            // a full annulus overlaps nowhere, and its two end rulings coincide
            near(flat[0][0].distance(flat[flat.len() - 1][0]), 0.0, 1e-3);
            PI * (part.radii_mm[1].powi(2) - part.radii_mm[0].powi(2))
        } else {
            part.area_mm2
        };
        assert!((area(&outline) / exact - 1.0).abs() < 1e-6, "{}: {} {exact}", part.name, area(&outline));
        for [a, b] in &flat {
            near(a.distance(*b), part.width_mm, 1e-9 * part.width_mm);
        }
        let ends = |outline: &[DVec2]| {
            let size = |at: fn(&DVec2) -> f64| {
                let each = || outline.iter().map(at);
                each().fold(f64::NEG_INFINITY, f64::max) - each().fold(f64::INFINITY, f64::min)
            };
            size(|p| p.x).hypot(size(|p| p.y))
        };
        if part.kind == LegKind::Wall {
            near(ends(&outline), ends(&part.blank.outline_mm), 1e-3);
        }
        if let (LegKind::Cone, Some([low, high])) = (part.kind, part.flat_radii_mm) {
            // the chord from end ruling to end ruling, of both arcs
            let chord = |radius: f64| 2.0 * radius * (0.5 * part.sector_rad).sin();
            let got = [0, 1].map(|i| flat[0][i].distance(flat[flat.len() - 1][i]));
            let [small, large] = if part.radii_mm[0] < part.radii_mm[1] { got } else { [got[1], got[0]] };
            near(small, chord(low).abs(), 1e-3);
            near(large, chord(high).abs(), 1e-3);
            near(area(&part.blank.outline_mm), part.area_mm2, 2e-4 * part.area_mm2);
        }
    }
    for seam in built.seams.iter().filter(|seam| seam.kind == SeamKind::Corner) {
        let [a, b] = seam.edge_diameters_mm.unwrap();
        near(a, b, 1e-9);
        near(seam.length_mm, PI * a, 1e-9);
    }
}

/// A shallow pan: its least-work blank by triangles and by the radial minimum agree with each other, and lie within the three laws.
#[test]
fn a_least_work_blank_lies_within_the_thickness_laws() {
    let pan = ring(0.9, &[[0.0, 0.0, 0.0], [160.0, 0.0, 12.0], [184.0, 12.0, 12.0], [220.0, 12.0, 0.0]]);
    let meridian = Meridian::of(&pan).unwrap();
    let length = meridian.length_mm();
    let at = |s: f64| {
        let link = meridian.links.iter().rev().find(|link| link.start_mm <= s).unwrap();
        link.at((s - link.start_mm).min(link.length_mm))
    };
    let skin: Skin = disc(9600, Cut::Regular, |p| {
        let (place, around) = (at(p.length() * length), p.to_angle());
        DVec3::new(place.x * around.cos(), place.x * around.sin(), place.y)
    });
    let flow = Flow { strength_n_mm2: 550.0, hardening_exponent: 0.21 };
    let settings = FlattenSettings::least_work(flow, Route::LeastWork, 0.9);
    let flat = flatten(&skin, &settings, &Progress::silent(), &Cancel::new()).unwrap();
    let rim: Vec<DVec2> = flat.boundaries[0].iter().map(|i| flat.points_mm[*i as usize]).collect();
    let centre = rim.iter().sum::<DVec2>() / rim.len() as f64;
    let triangles = rim.iter().map(|p| p.distance(centre)).sum::<f64>() / rim.len() as f64;
    let radial = Problem { n: 0.21, wheel_out: 0.0, gather_in: 0.0 }.solve(length, 2000, |s| at(s).x);
    let radial = radial.radius[radial.radius.len() - 1];
    assert!((triangles / radial - 1.0).abs() < 1e-3, "{triangles} {radial}");
    let laws = ThicknessLaw::ALL.map(|law| one(&pan, law, None).outer_radius_mm);
    let (low, high) = (laws.iter().copied().fold(f64::INFINITY, f64::min), laws.iter().copied().fold(0.0, f64::max));
    println!(
        "pan, outer radius of the blank: laws {laws:.3?}, least work {triangles:.3} (triangles), {radial:.3} (radial)"
    );
    assert!(radial > low && radial < high, "{laws:?} {radial}");
}

fn any_ring() -> impl Strategy<Value = Ring> {
    let leg = (0..3u8, 1.0..60.0f64, 1.0..60.0f64, any::<bool>());
    (prop::collection::vec(leg, 1..5), 0.0..200.0f64, any::<bool>(), 0.3..2.0f64, 0.5..4.0f64).prop_map(
        |(legs, start, closed, thickness, bend)| {
            let mut at = DVec2::new(if closed { 0.0 } else { start }, 0.0);
            let mut corners = vec![[2.0 * at.x, at.y, bend]];
            for (kind, out, up, turned) in legs {
                let way = match kind {
                    0 => DVec2::new(out, 0.0),
                    1 => DVec2::new(0.0, up),
                    _ => DVec2::new(out, up),
                };
                at += if turned && kind == 0 && at.x > out + 5.0 && !closed { DVec2::new(-out, 0.0) } else { way };
                corners.push([2.0 * at.x, at.y, bend]);
            }
            ring(thickness, &corners)
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, ..ProptestConfig::default() })]

    /// Any chain gives a flat with sound figures or a fault that names what is wrong; a way that cannot be made carries a stop; the
    /// volume is kept; the flat grows outwards all along.
    #[test]
    fn random_rings_are_developed_or_refused_by_name(shape in any_ring()) {
        match develop(&shape, &DevelopSettings::default(), &RingSettings::default()) {
            Err(fault) => prop_assert!(fault.to_string().len() > 20 && !fault.to_string().contains("NaN"), "{fault}"),
            Ok(made) => {
                let one = &made.one_blank;
                let flat: Vec<f64> = one.strains.iter().map(|strain| strain.flat_radius_mm).collect();
                prop_assert!(flat.windows(2).all(|pair| pair[1] >= pair[0] - 1e-9), "{flat:?}");
                prop_assert!(one.strains.iter().all(|s| s.thickness_mm.is_finite() && s.thickness_mm > 0.0));
                if one.is_feasible() {
                    let inner = one.inner_radius_mm.unwrap_or(0.0);
                    let blank = PI * (one.outer_radius_mm.powi(2) - inner * inner);
                    let pieces: f64 = Meridian::of(&shape).unwrap().links.iter().map(|link| {
                        let own: Vec<_> = one.strains.iter().filter(|s| s.part == link.part).collect();
                        own.windows(2).map(|p| {
                            let mean = |f: fn(&blank::ring::RingStrain) -> f64| 0.5 * (f(p[0]) + f(p[1]));
                            TAU * mean(|s| s.finished_radius_mm * s.thickness_mm) * (p[1].along_mm - p[0].along_mm)
                        }).sum::<f64>()
                    }).sum();
                    // trapezia over sixteenths of a link; a closed ring's first circle lies a sixteenth from the axis
                    prop_assert!((pieces / (shape.thickness_mm * blank) - 1.0).abs() < 2e-2, "{pieces} {blank}");
                    prop_assert!(one.most_stretched().is_none_or(|s| s.major() <= s.limit + 1e-12));
                }
                if let Some(deepest) = one.deepest_mm {
                    prop_assert!(deepest <= shape.height_mm() + 1e-9);
                    prop_assert!(one.blank.concerns.iter().any(|c| c.grade == Grade::Stop));
                }
                for part in &made.built_up.parts {
                    prop_assert!(mesh::polygon::check_simple(&part.blank.outline_mm).is_ok());
                    prop_assert!(part.blank.area_mm2 > 0.0);
                }
            }
        }
    }
}

/// Bad input of the issue: a step deeper than its blank, a flange past its limit, a wall over a hole smaller than the sheet, no number.
#[test]
fn bad_input_is_named_with_what_would_be_accepted() {
    let deep = ring(1.0, &[[60.0, -45.0, 0.0], [60.0, 0.0, 3.0], [160.0, 0.0, 0.0]]);
    let made = one(&deep, ThicknessLaw::MeridianKept, None);
    let stop = made.blank.concerns.iter().find(|c| c.key == "ring-deeper-than-blank").unwrap();
    assert!(stop.grade == Grade::Stop && stop.what_to_do.contains("deep instead of 45.0 mm"), "{stop:?}");
    let wide = ring(1.0, &[[200.0, 0.0, 0.0], [240.0, 0.0, 3.0], [240.0, 40.0, 0.0]]);
    let made = one(&wide, ThicknessLaw::MeridianKept, None);
    let stop = made.blank.concerns.iter().find(|c| c.key == "ring-gathering").unwrap();
    assert!(stop.what_to_do.contains("wall 2") && stop.what_to_do.contains("built up"), "{stop:?}");
    let tiny = ring(1.0, &[[1.5, -5.0, 0.0], [1.5, 0.0, 0.5], [40.0, 0.0, 0.0]]);
    let said = tiny.check().unwrap_err().to_string();
    assert!(said.contains("opening inside wall 1") && said.contains("between 1 and"), "{said}");
    for i in 0..3 {
        let mut lost = shapes()[0].clone();
        match i {
            0 => lost.thickness_mm = f64::NAN,
            1 => lost.corners[1].height_mm = f64::INFINITY,
            _ => lost.corners[2].inside_radius_mm = -1.0,
        }
        assert!(lost.check().is_err());
    }
}
