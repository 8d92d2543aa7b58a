//! Round tubes: girth, mitres, elbows, saddles, flattened ends (geometry; handbook D1, D6–D13, F20).
//!
//! The flat is held against an unrolling that shares nothing with the program: lines of the tube are cut with the other body by
//! halving, lengths and areas are summed by quadrature. Saddles are rolled up again and their edge measured from the other tube.

use crate::near::near;
use blank::flatten::{FlattenSettings, flatten};
use blank::tube::elbow::{ElbowOrder, elbow};
use blank::tube::wrap::{self, WrapLineKind, WrapSettings};
use blank::tube::{DevelopedTube, develop};
use blank::{DevelopSettings, FaceUp};
use glam::{DMat3, DVec2, DVec3};
use handbook::bend::{Bend, Rule, allowance, tube_bend_walls};
use mesh::{SheetFace, Skin};
use numerics::{Cancel, Progress};
use section::tube::{
    Cover, LongSeam, OldTube, Saddle, TabHole, Tube, TubeCut, TubeEnd, Wall, flattened_shape, tessellate,
};
use section::{Hand, On, Opening, OpeningShape};
use std::f64::consts::{PI, TAU};

fn end(name: &str, cut: TubeCut, wall: Wall) -> TubeEnd {
    TubeEnd { name: name.into(), cut, wall }
}

fn square(name: &str) -> TubeEnd {
    end(name, TubeCut::Square, Wall::Middle)
}

fn mitre(angle_deg: f64, longest_deg: f64) -> TubeCut {
    TubeCut::Mitre { angle_rad: angle_deg.to_radians(), longest_at_rad: longest_deg.to_radians() }
}

fn saddle(main_mm: f64, angle_deg: f64, closed_deg: f64, offset_mm: f64) -> TubeCut {
    TubeCut::Saddle(Saddle {
        main_outside_diameter_mm: main_mm,
        axis_angle_rad: angle_deg.to_radians(),
        closed_at_rad: closed_deg.to_radians(),
        offset_mm,
    })
}

fn tube(diameter_mm: f64, thickness_mm: f64, length_mm: f64, ends: [TubeEnd; 2]) -> Tube {
    Tube {
        name: "tube".into(),
        hand: Hand::Left,
        mirrored: false,
        to_vehicle: DMat3::IDENTITY,
        outside_diameter_mm: diameter_mm,
        thickness_mm,
        material: "dc04".into(),
        length_mm,
        ends,
        cover: Cover::Whole { seam_at_rad: 0.0, seam: LongSeam::Butt { gap_mm: 0.0 } },
        over: None,
        openings: Vec::new(),
        reach_mm: 0.0,
    }
}

fn within(chord_mm: f64) -> DevelopSettings {
    DevelopSettings { sampling_tolerance_mm: chord_mm, ..DevelopSettings::default() }
}

fn developed(tube: &Tube) -> DevelopedTube {
    develop(tube, &DevelopSettings::default()).unwrap()
}

fn refused(tube: &Tube) -> String {
    develop(tube, &DevelopSettings::default()).unwrap_err().to_string()
}

/// D1: girth of a cylinder of 100 mm outside in 0.9 mm sheet, neutral line in the middle: π·(D − t); along the outside and the inside for comparison.
#[test]
fn d1_cylinder_girth() {
    let bend = Bend { thickness_mm: 0.9, inside_radius_mm: 49.1, bend_angle_rad: TAU };
    let girth_mm = |k_factor| allowance(&bend, &Rule::NeutralLine { k_factor }).unwrap().allowance_mm;
    near(girth_mm(0.5), 311.332, 0.5e-3);
    near(girth_mm(0.0), 308.504, 0.5e-3);
    // the outside lies as far beyond the middle as the inside lies within it
    near(2.0 * girth_mm(0.5) - girth_mm(0.0), 314.159, 0.5e-3);
    // DIN's k is 1 for so wide a radius: the same middle line
    near(allowance(&bend, &Rule::Din6935).unwrap().allowance_mm, 311.332, 0.5e-3);
    // and so is the flat of the tube itself, 200 mm long, with a lap of 12 mm when one is asked for
    let mut piece = tube(100.0, 0.9, 200.0, [square("foot"), square("head")]);
    let width = |piece: &Tube| developed(piece).blank.outline_mm.iter().map(|p| p.y).fold(0.0, f64::max);
    near(width(&piece), 311.332, 0.5e-3);
    piece.cover = Cover::Whole { seam_at_rad: 0.0, seam: LongSeam::Lap { lap_mm: 12.0 } };
    near(width(&piece), 323.332, 0.5e-3);
    piece.cover = Cover::Part { from_rad: 0.3, girth_rad: 0.5 * PI, corner_radius_mm: 0.0 };
    near(width(&piece), 311.332 / 4.0, 0.5e-3);
}

/// Depths of an end at equal parts of the girth.
fn depths(developed: &DevelopedTube, end: usize) -> Vec<f64> {
    developed.ordinates[end].rows.iter().map(|row| row.depth_mm).collect()
}

/// D6: plane at 45° through a tube of 100 mm, parts of 30°; D7's rise at 22.5°: depths on the outside.
#[test]
fn d6_mitre_ordinates() {
    let printed = [
        (45.0, [0.0, 6.699, 25.0, 50.0, 75.0, 93.301, 100.0], 0.5e-3),
        (22.5, [0.0, 2.775, 10.355, 20.711, 31.066, 38.647, 41.421], 0.5e-3),
    ];
    for (angle, values, half_digit) in printed {
        let piece = tube(100.0, 0.9, 300.0, [square("foot"), end("head", mitre(angle, 0.0), Wall::Outside)]);
        let got = depths(&developed(&piece), 1); // parts of 15°
        for (i, value) in values.iter().enumerate() {
            near(got[2 * i], *value, half_digit);
            // back up the other side
            near(got[24 - 2 * i], *value, half_digit);
        }
        // x on a paper of no thickness: D·f/2
        let paper = WrapSettings { paper_mm: 0.0, ..WrapSettings::default() };
        near(wrap::of_end(&piece, 1, 100.0, &paper).unwrap().girth_mm, 314.159, 0.5e-3);
    }
}

/// D7, D8: elbows of 100 mm, three pieces to 90°, 150 mm to the centre line (trade manuals, from memory; recomputed).
#[test]
fn d7_d8_elbow() {
    let order = ElbowOrder {
        name: "elbow".into(),
        outside_diameter_mm: 100.0,
        thickness_mm: 0.9,
        material: "dc04".into(),
        angle_rad: 0.5 * PI,
        pieces: 3,
        centre_radius_mm: 150.0,
    };
    let found = elbow(&order).unwrap();
    let figures: Vec<f64> = found.workings.iter().map(|working| working.value).collect();
    for (got, (printed, half)) in
        figures.iter().zip([(22.5, 0.05), (41.421, 0.5e-3), (82.843, 0.5e-3), (124.264, 0.5e-3), (165.685, 0.5e-3)])
    {
        near(*got, printed, half);
    }
    // the middle piece itself is as long as the table says along throat and back
    let flat = developed(&found.piece);
    let length = |angle: f64| {
        let find =
            |end: usize| flat.ordinates[end].rows.iter().find(|row| (row.angle_rad - angle).abs() < 1e-9).unwrap().x_mm;
        find(1) - find(0)
    };
    near(length(PI), 82.843, 0.5e-3);
    near(length(0.0), 165.685, 0.5e-3);
    // an elbow of two pieces has no middle: each is square at one end and half as long (D8 halved, by hand at 45°: 150, 100, 200)
    let two = elbow(&ElbowOrder { pieces: 2, ..order.clone() }).unwrap();
    near(two.mitre_rad.to_degrees(), 45.0, 1e-9);
    for (working, want) in two.workings.iter().skip(2).zip([100.0, 150.0, 200.0]) {
        assert!(working.name.starts_with("end piece"), "{}", working.name);
        near(working.value, want, 1e-9);
    }
    assert_eq!(two.piece.ends[1].cut, TubeCut::Square);
    near(two.piece.length_mm, 150.0, 1e-9);
    // a bend tighter than the tube is refused
    let tight = elbow(&ElbowOrder { centre_radius_mm: 49.0, ..order }).unwrap_err().to_string();
    assert!(tight.contains("centre radius of the elbow is 49 mm"), "{tight}");
}

fn reach(main_radius: f64, radius: f64, angle_deg: f64, offset: f64, f_deg: f64) -> f64 {
    let TubeCut::Saddle(saddle) = saddle(2.0 * main_radius, angle_deg, 0.0, offset) else { unreachable!() };
    saddle.reach_mm(radius, f_deg.to_radians())
}

/// D9: square saddle of 25 on 50; D10: equal tubes; D11: 19.05 on 25.4 at 60°; D12: without offset it is D9 (derived).
#[test]
fn d9_to_d12_saddles() {
    for (i, (z, depth)) in
        [(50.0, 0.0), (48.4123, 1.5877), (45.0694, 4.9306), (43.3013, 6.6987)].into_iter().enumerate()
    {
        let got = reach(50.0, 25.0, 90.0, 0.0, 30.0 * i as f64);
        near(got, z, 0.5e-4);
        near(50.0 - got, depth, 0.5e-4);
        near(reach(50.0, 25.0, 90.0, 1e-12, 30.0 * i as f64), z, 0.5e-4);
    }
    for (i, depth) in [0.0, 6.699, 25.0, 50.0].into_iter().enumerate() {
        near(50.0 - reach(50.0, 50.0, 90.0, 0.0, 30.0 * i as f64), depth, 0.5e-3);
    }
    for (i, z) in [40.3279, 36.7141, 27.7997, 19.3996, 16.8012, 17.6641, 18.3309].into_iter().enumerate() {
        near(reach(25.4, 19.05, 60.0, 0.0, 30.0 * i as f64), z, 0.5e-4);
    }
    // D9 again, out of the flat: the inside of the branch is the wall that D13 names
    let piece = tube(51.0, 0.5, 200.0, [square("foot"), end("head", saddle(100.0, 90.0, 0.0, 0.0), Wall::Inside)]);
    let rows = depths(&developed(&piece), 1);
    for (i, z) in [50.0, 48.4123, 45.0694, 43.3013].into_iter().enumerate() {
        // the piece is longest where the main tube falls away, at 90°
        near(rows[i], z - 43.3013, 1e-4);
    }
}

/// Station at which a line of the tube, at `radius` and `angle`, comes to the main tube's outside: by halving from far off.
fn line_meets_main(piece: &Tube, index: usize, radius: f64, angle: f64) -> f64 {
    let TubeCut::Saddle(cut) = piece.ends[index].cut else { panic!("no saddle") };
    let (datum, inward) = if index == 0 { (0.0, 1.0) } else { (piece.length_mm, -1.0) };
    // main tube's axis through the point beside the datum; `closed` looks along it as far as the angle allows
    let closed = DVec3::new(0.0, cut.closed_at_rad.cos(), cut.closed_at_rad.sin());
    let beside = DVec3::new(0.0, (cut.closed_at_rad + 0.5 * PI).cos(), (cut.closed_at_rad + 0.5 * PI).sin());
    let away = DVec3::X * inward;
    let main_axis = away * cut.axis_angle_rad.cos() + closed * cut.axis_angle_rad.sin();
    let through = DVec3::X * datum - beside * cut.offset_mm;
    let off = |station: f64| {
        let point = DVec3::new(station, radius * angle.cos(), radius * angle.sin()) - through;
        (point - main_axis * point.dot(main_axis)).length() - 0.5 * cut.main_outside_diameter_mm
    };
    // the distance of a line's points from another line has one least place: it is inside, far along the branch is outside
    let (mut low, mut high) = (datum - 2000.0, datum + 2000.0);
    for _ in 0..120 {
        let (a, b) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        if off(a) < off(b) { high = b } else { low = a }
    }
    let mut inside = 0.5 * (low + high);
    assert!(off(inside) < 1e-9, "the line misses the main tube by {}", off(inside));
    let mut outside = inside + inward * 5000.0;
    assert!(off(outside) > 0.0);
    for _ in 0..200 {
        let half = 0.5 * (inside + outside);
        if off(half) < 0.0 { inside = half } else { outside = half }
    }
    0.5 * (inside + outside)
}

fn saddles() -> Vec<Tube> {
    let case = |d, t, main, angle, closed, offset, wall| {
        tube(d, t, 400.0, [end("foot", saddle(main, angle, closed, offset), wall), square("head")])
    };
    let mut far = tube(
        32.0,
        1.5,
        320.0,
        [end("foot", mitre(30.0, 75.0), Wall::Middle), end("head", saddle(42.0, 55.0, 200.0, 3.0), Wall::Inside)],
    );
    far.cover = Cover::Whole { seam_at_rad: 1.1, seam: LongSeam::Lap { lap_mm: 10.0 } };
    vec![
        case(50.0, 1.0, 100.0, 90.0, 0.0, 0.0, Wall::Inside),
        case(38.1, 1.6, 50.8, 60.0, 0.0, 0.0, Wall::Inside),
        case(32.0, 1.5, 60.0, 90.0, 40.0, 12.0, Wall::Inside),
        case(32.0, 1.5, 60.0, 35.0, -70.0, -14.0, Wall::Inside),
        case(32.0, 1.5, 60.0, 145.0, 130.0, 9.0, Wall::Outside),
        // as wide as its main tube: the cut runs out to the middle on both sides
        case(42.0, 1.5, 42.0, 90.0, 10.0, 0.0, Wall::Inside),
        case(42.0, 1.5, 42.0, 70.0, 10.0, 0.0, Wall::Outside),
        case(25.0, 0.8, 200.0, 90.0, 0.0, 87.5, Wall::Outside),
        far,
    ]
}

/// The flat rolled up at the neutral radius and offset to the wall that D13 names: that wall's edge lies on the other tube's outside,
/// within 1e-6 mm at the computed points and 0.02 mm between them.
#[test]
fn d13_saddles_rolled_up_again_lie_on_the_main_tube() {
    for (case, piece) in saddles().iter().enumerate() {
        let flat = developed(piece);
        let neutral = 0.5 * (piece.outside_diameter_mm - piece.thickness_mm);
        let Cover::Whole { seam_at_rad, .. } = piece.cover else { panic!("whole tubes only") };
        for (index, own) in piece.ends.iter().enumerate() {
            let TubeCut::Saddle(cut) = own.cut else { continue };
            let wall = match own.wall {
                Wall::Inside => 0.5 * piece.outside_diameter_mm - piece.thickness_mm,
                Wall::Outside => 0.5 * piece.outside_diameter_mm,
                Wall::Middle => neutral,
            };
            let (datum, inward) = if index == 0 { (0.0, 1.0) } else { (piece.length_mm, -1.0) };
            let closed = DVec3::new(0.0, cut.closed_at_rad.cos(), cut.closed_at_rad.sin());
            let beside = DVec3::new(0.0, -cut.closed_at_rad.sin(), cut.closed_at_rad.cos());
            let main_axis = inward * DVec3::X * cut.axis_angle_rad.cos() + closed * cut.axis_angle_rad.sin();
            let through = DVec3::X * datum - beside * cut.offset_mm;
            let off = |p: DVec2| {
                let angle = seam_at_rad + p.y / neutral;
                let point = DVec3::new(p.x + flat.datum_mm, wall * angle.cos(), wall * angle.sin()) - through;
                ((point - main_axis * point.dot(main_axis)).length() - 0.5 * cut.main_outside_diameter_mm).abs()
            };
            // edges of the flat in order: first side, far end, second side, start end
            let edge = &flat.edges[if index == 0 { 3 } else { 1 }].points_mm;
            assert!(edge.len() > 20, "case {case}: {} points", edge.len());
            for pair in edge.windows(2) {
                assert!(off(pair[0]) < 1e-6 && off(pair[1]) < 1e-6, "case {case} at {}: {:e}", pair[0], off(pair[0]));
                for i in 1..20 {
                    let between = pair[0].lerp(pair[1], f64::from(i) / 20.0);
                    assert!(off(between) < 0.02, "case {case} at {between}: {}", off(between));
                }
            }
        }
    }
}

/// Station of an end on a line of the tube, found without the program's formulas.
fn numerical_end(piece: &Tube, index: usize, angle: f64) -> f64 {
    let own = &piece.ends[index];
    let radius = piece.radius_mm(own.wall);
    let (datum, inward) = if index == 0 { (0.0, 1.0) } else { (piece.length_mm, -1.0) };
    match own.cut {
        TubeCut::Saddle(_) => line_meets_main(piece, index, radius, angle),
        TubeCut::Mitre { angle_rad, longest_at_rad } => {
            // plane through the axis at the datum; its normal leans towards the longest side
            let longest = DVec3::new(0.0, longest_at_rad.cos(), longest_at_rad.sin());
            let normal = DVec3::X * angle_rad.cos() + inward * longest * angle_rad.sin();
            let point = DVec3::new(0.0, radius * angle.cos(), radius * angle.sin());
            (DVec3::X * datum - point).dot(normal) / normal.x
        }
        _ => datum,
    }
}

/// Rulings of the flat against lines cut by halving, to 1e-9 of their length; area against a quadrature round the girth, to 1e-6.
#[test]
fn flats_agree_with_a_numerical_unrolling() {
    for (case, piece) in saddles().iter().enumerate() {
        let flat = develop(piece, &within(1e-5)).unwrap();
        let radius = 0.5 * (piece.outside_diameter_mm - piece.thickness_mm);
        let Cover::Whole { seam_at_rad, seam } = piece.cover else { panic!("whole tubes only") };
        let lap = if let LongSeam::Lap { lap_mm } = seam { lap_mm } else { 0.0 };
        // rulings at the points of the outline itself
        for index in [0, 1] {
            let edge = &flat.edges[if index == 0 { 3 } else { 1 }].points_mm;
            for p in edge.iter().step_by((edge.len() / 60).max(1)) {
                let there = numerical_end(piece, index, seam_at_rad + p.y / radius);
                let got = p.x + flat.datum_mm;
                assert!((got - there).abs() < 1e-9 * piece.length_mm, "case {case}: {got} and {there}");
            }
        }
        // composite Gauss quadrature of the length of the ruling; kinks lie at the quarters from the closed side
        let length = |angle: f64| numerical_end(piece, 1, angle) - numerical_end(piece, 0, angle);
        let mut breaks: Vec<f64> = piece
            .ends
            .iter()
            .filter_map(|own| match own.cut {
                TubeCut::Saddle(cut) => Some(cut.closed_at_rad),
                _ => None,
            })
            .flat_map(|closed| (-9..=9).map(move |k| closed + f64::from(k) * 0.5 * PI))
            .collect();
        let (from, to) = (seam_at_rad, seam_at_rad + TAU + lap / radius);
        breaks.retain(|angle| *angle > from && *angle < to);
        breaks.extend([from, to]);
        breaks.sort_by(f64::total_cmp);
        let area: f64 = breaks.windows(2).map(|pair| radius * gauss(pair[0], pair[1], &length)).sum();
        let got = flat.blank.area_mm2;
        assert!((got / area - 1.0).abs() < 1e-6, "case {case}: {got} and {area}");
    }
}

/// Gauss–Legendre, five points on each of 24 parts.
fn gauss(from: f64, to: f64, value: &impl Fn(f64) -> f64) -> f64 {
    const NODES: [(f64, f64); 5] = [
        (0.0, 128.0 / 225.0),
        (0.538_469_310_105_683_1, 0.478_628_670_499_366_47),
        (-0.538_469_310_105_683_1, 0.478_628_670_499_366_47),
        (0.906_179_845_938_664, 0.236_926_885_056_189_08),
        (-0.906_179_845_938_664, 0.236_926_885_056_189_08),
    ];
    const PARTS: u32 = 24;
    let half = 0.5 * (to - from) / f64::from(PARTS);
    (0..PARTS)
        .map(|part| {
            let middle = from + half * f64::from(2 * part + 1);
            half * NODES.iter().map(|(x, weight)| weight * value(middle + half * x)).sum::<f64>()
        })
        .sum()
}

/// Against the flattening of skins, on a mesh along the rulings of 0.25° a step: area to 1e-6, rulings to 1e-9.
#[test]
fn flats_agree_with_the_flattening_of_skins() {
    const STEPS: u32 = 1440;
    for piece in [&saddles()[1], &saddles()[3]] {
        let radius = 0.5 * (piece.outside_diameter_mm - piece.thickness_mm);
        let flat = develop(piece, &within(1e-5)).unwrap();
        let mut skin = Skin::default();
        for i in 0..=STEPS {
            let angle = TAU * f64::from(i) / f64::from(STEPS);
            for index in [0, 1] {
                let station = numerical_end(piece, index, angle);
                skin.points_mm.push(DVec3::new(station, radius * angle.cos(), radius * angle.sin()));
            }
        }
        for i in 0..STEPS {
            let [a, b, c, d] = [2 * i, 2 * i + 1, 2 * i + 2, 2 * i + 3];
            skin.triangles.extend([[a, c, b], [b, c, d]]);
        }
        let found =
            flatten(&skin, &FlattenSettings::symmetric_dirichlet(), &Progress::silent(), &Cancel::new()).unwrap();
        let area = found.flat_area_mm2;
        assert!((flat.blank.area_mm2 / area - 1.0).abs() < 1e-6, "{} and {area}", flat.blank.area_mm2);
        for i in (0..=STEPS as usize).step_by(90) {
            let there = found.points_mm[2 * i].distance(found.points_mm[2 * i + 1]);
            let angle = TAU * i as f64 / f64::from(STEPS);
            let got = piece.cut_station_mm(1, angle) - piece.cut_station_mm(0, angle);
            assert!((got - there).abs() < 1e-9 * there, "{got} and {there}");
        }
    }
}

/// A wrapped paper: girth π·(D + p), and its line rolled up at the outside is the cut's line.
#[test]
fn wrapped_papers_carry_the_cut_to_the_outside() {
    let piece = &saddles()[2];
    let paper = wrap::of_end(piece, 0, 32.0, &WrapSettings::default()).unwrap();
    near(paper.girth_mm, PI * 32.1, 1e-9);
    let cut = paper.lines.iter().find(|line| line.kind == WrapLineKind::Cut).unwrap();
    let right = paper.size_mm.x - WrapSettings::default().border_mm;
    let deepest = cut.points_mm.iter().map(|p| p.x).fold(0.0, f64::max);
    near(deepest, right, 0.02);
    let deepest_station = numerical_end(piece, 0, deepest_angle(piece));
    for p in &cut.points_mm {
        // printed face out and the tube running to the right: angles run down the paper
        let angle = 1.25 * PI + (paper.girth_mm - p.y) / (0.5 * 32.1);
        let there = numerical_end(piece, 0, angle) - deepest_station;
        near(p.x - right, there, 0.03);
    }
    // the other hand is the paper turned over
    let other = Tube { mirrored: true, ..piece.clone() };
    let turned = wrap::of_end(&other, 0, 32.0, &WrapSettings::default()).unwrap();
    let line = turned.lines.iter().find(|line| line.kind == WrapLineKind::Cut).unwrap();
    for (a, b) in cut.points_mm.iter().zip(&line.points_mm) {
        assert!((a.x - b.x).abs() < 1e-9 && (a.y + b.y - paper.girth_mm).abs() < 1e-9);
    }
    assert_eq!(developed(piece).blank.face_up, FaceUp::Inside);
    assert_eq!(developed(&other).blank.face_up, FaceUp::Outside);
}

fn deepest_angle(piece: &Tube) -> f64 {
    let all = (0..3600).map(|i| TAU * f64::from(i) / 3600.0);
    all.max_by(|a, b| numerical_end(piece, 0, *a).total_cmp(&numerical_end(piece, 0, *b))).unwrap()
}

/// H8: the old wall is cut 6 to 12 mm short of the patch edge, all round; the shop's own lap is used.
#[test]
fn h8_window_under_a_patch() {
    let mut patch = tube(35.0, 1.5, 120.0, [square("lower"), square("upper")]);
    patch.cover = Cover::Part { from_rad: -0.25 * TAU, girth_rad: 0.4 * TAU, corner_radius_mm: 8.0 };
    patch.over = Some(OldTube { outside_diameter_mm: 32.0, lap_mm: 9.0 });
    let paper = wrap::of_window(&patch, &WrapSettings::default()).unwrap().unwrap();
    let points = |kind| &paper.lines.iter().find(|line| line.kind == kind).unwrap().points_mm;
    let (edge, cut) = (points(WrapLineKind::PieceEdge), points(WrapLineKind::Cut));
    near(mesh::polygon::signed_area_mm2(edge).abs(), 120.0 * 0.4 * PI * 32.1 - (4.0 - PI) * 64.0 * 16.05 / 16.75, 0.5);
    // from the cut line to the edge of the patch, by the rule on paper: 9 mm, more at the round corners
    for p in cut {
        let short = mesh::polygon::distance_to_sides_mm(edge, *p);
        assert!(mesh::polygon::contains(edge, *p) && (6.0..=12.0).contains(&short), "{p}: {short}");
    }
    let concerns = &developed(&patch).blank.concerns;
    assert!(concerns.iter().all(|concern| concern.key != "tube-patch-corner"), "{concerns:?}");
    assert!(
        wrap::of_window(&tube(35.0, 1.5, 120.0, [square("a"), square("b")]), &WrapSettings::default())
            .unwrap()
            .is_none()
    );
}

/// F20: ideal bend of a tube of 25 mm at 75 mm: walls 0.857 t and 1.200 t (derived).
#[test]
fn f20_walls_of_a_tube_bend() {
    let [outer, inner] = tube_bend_walls(1.0, 25.0, 75.0).unwrap().map(|working| working.value);
    near(outer, 0.857, 0.5e-3);
    near(inner, 1.200, 0.5e-3);
    assert!(tube_bend_walls(1.0, 25.0, 12.5).is_err() && tube_bend_walls(1.0, f64::NAN, 75.0).is_err());
}

/// A flattened end keeps its girth: twice its straight and one full round of the wall (geometry); and what is drawn in space closes.
#[test]
fn flattened_ends_keep_their_girth() {
    let cut = TubeCut::Flattened {
        flat_mm: 40.0,
        transition_mm: 48.0,
        face_at_rad: 0.0,
        hole: Some(TabHole { diameter_mm: 9.0, from_tip_mm: 18.0 }),
    };
    let mut piece = tube(32.0, 1.5, 300.0, [end("foot", cut, Wall::Middle), square("head")]);
    piece.cover = Cover::Whole { seam_at_rad: 0.8, seam: LongSeam::Butt { gap_mm: 0.0 } };
    let shape = flattened_shape(&piece, 48.0);
    // girth of the middle of the wall: two straights, two half circles of t/2
    near(2.0 * (shape.width_mm - 3.0) + PI * 1.5, PI * 30.5, 1e-9);
    near(shape.width_mm, 0.5 * PI * 29.0 + 3.0, 1e-9);
    let flat = developed(&piece);
    near(flat.blank.outline_mm.iter().map(|p| p.x).fold(0.0, f64::max), 300.0 + 48f64.hypot(14.5) - 48.0, 1e-9);
    let surface = tessellate(&piece, 0.05).unwrap();
    surface.validate().unwrap();
    // the tip is as wide as the table says and two sheets thick
    let tip: Vec<DVec3> = surface.points_mm.iter().filter(|p| p.x < 39.0).copied().collect();
    let span = |pick: fn(&DVec3) -> f64| {
        tip.iter().map(pick).fold(f64::NEG_INFINITY, f64::max) - tip.iter().map(pick).fold(f64::INFINITY, f64::min)
    };
    near(span(|p| p.z), shape.width_mm, 0.05);
    near(span(|p| p.y), 3.0, 0.05);
    assert_eq!(flat.blank.openings.len(), 2);
    assert!(flat.blank.concerns.iter().any(|concern| concern.key == "tube-flattened-tip"));
    piece.cover = Cover::Whole { seam_at_rad: 0.5 * PI, seam: LongSeam::Butt { gap_mm: 0.0 } };
    assert!(developed(&piece).blank.concerns.iter().any(|concern| concern.key == "tube-seam-in-fold"));
}

/// The shape in space: closed, outward, its volume the wall's (Pappus), its faces on their cylinders; the other hand is its reflection.
#[test]
fn tubes_in_space_enclose_the_walls_volume() {
    let mut piece = tube(32.0, 1.5, 200.0, [end("foot", mitre(30.0, 20.0), Wall::Middle), square("head")]);
    piece.openings = vec![Opening {
        name: "drain".into(),
        on: On::Skin,
        along_mm: 80.0,
        from_edge_mm: 16.0 * PI,
        shape: OpeningShape::Round { diameter_mm: 8.0 },
        reach_mm: 0.5,
        half_clearance_mm: None,
    }];
    let flat = developed(&piece);
    for mirrored in [false, true] {
        let surface = tessellate(&Tube { mirrored, ..piece.clone() }, 0.01).unwrap();
        surface.validate().unwrap();
        assert!(surface.is_closed());
        // the middle's area times the wall; chords cut a little off both faces
        let volume = surface.volume_mm3();
        assert!((volume / (flat.blank.area_mm2 * 1.5) - 1.0).abs() < 2e-3, "{volume}");
        for (face, radius) in [(SheetFace::Outside, 16.0), (SheetFace::Inside, 14.5)] {
            let tag = surface.tags.iter().position(|tag| tag.face == face).unwrap();
            for (t, own) in surface.triangles.iter().zip(&surface.tag_of) {
                if usize::from(*own) != tag {
                    continue;
                }
                let corners = t.map(|id| surface.points_mm[id.0 as usize]);
                let middle = (corners[0] + corners[1] + corners[2]) / 3.0;
                let from_axis = middle.y.hypot(middle.z);
                assert!(from_axis <= radius + 1e-9 && from_axis > radius - 0.05, "{face:?}: {from_axis}");
            }
        }
    }
}

/// A round hole is the one a straight pin passes: its rim rolled up at the inside lies on the pin.
#[test]
fn a_wide_hole_passes_its_pin() {
    let mut piece = tube(32.0, 1.5, 200.0, [square("foot"), square("head")]);
    piece.openings = vec![Opening {
        name: "cross pin".into(),
        on: On::Skin,
        along_mm: 80.0,
        from_edge_mm: 16.0 * PI,
        shape: OpeningShape::Round { diameter_mm: 16.0 },
        reach_mm: 0.1,
        half_clearance_mm: None,
    }];
    let flat = developed(&piece);
    let rim = flat.blank.openings[0].outline_mm.as_ref().unwrap();
    for p in rim {
        let angle = p.y / 15.25;
        // the pin stands on the zero line's far side: its axis is −y
        near((p.x - 80.0).hypot(14.5 * angle.sin()), 8.0, 1e-6);
    }
    let across = rim.iter().map(|p| p.y).fold(0.0, f64::max) - PI * 15.25;
    assert!(across > 8.5, "{across}");
}

/// Bad input is named with what would be accepted.
#[test]
fn bad_tubes_are_named() {
    let base = || tube(32.0, 1.5, 200.0, [square("foot"), square("head")]);
    let with = |change: &dyn Fn(&mut Tube)| {
        let mut piece = base();
        change(&mut piece);
        refused(&piece)
    };
    let cases: Vec<(String, &str, &str)> = vec![
        (with(&|t| t.thickness_mm = 16.0), "leaves no bore", "below 16.00 mm"),
        (with(&|t| t.thickness_mm = f64::NAN), "the wall of tube is NaN", "between 0.2 and 12"),
        (with(&|t| t.outside_diameter_mm = f64::INFINITY), "the outside diameter of tube is inf", "between 4 and 2000"),
        (with(&|t| t.length_mm = -1.0), "the length of tube is -1", "between 2 and"),
        (
            with(&|t| t.ends[0].cut = saddle(30.0, 90.0, 0.0, 0.0)),
            "is wider than the tube of 30.0 mm",
            "the other tube must be 32.0 mm at least",
        ),
        (
            with(&|t| t.ends[1].cut = saddle(60.0, 90.0, 0.0, 20.0)),
            "20.0 mm beside the middle",
            "an offset up to 14.0 mm either way, or a main tube of 72.0 mm at least",
        ),
        (
            with(&|t| {
                t.length_mm = 60.0;
                t.ends[1].cut = mitre(80.0, 0.0);
            }),
            "runs past the foot",
            "or mitre it to ",
        ),
        (with(&|t| t.ends[1].cut = mitre(95.0, 0.0)), "the mitre from square at the head", "between 0 and 80"),
        (
            with(&|t| {
                t.length_mm = 30.0;
                t.ends[0].cut = saddle(60.0, 40.0, 0.0, 0.0);
            }),
            "cross near",
            "make the tube ",
        ),
        (
            with(&|t| {
                t.ends[0].cut = TubeCut::Flattened {
                    flat_mm: 30.0,
                    transition_mm: 30.0,
                    face_at_rad: 0.0,
                    hole: Some(TabHole { diameter_mm: 60.0, from_tip_mm: 15.0 }),
                }
            }),
            "the hole in the flat at the foot",
            "between 1 and",
        ),
        (
            with(&|t| {
                t.openings = vec![Opening {
                    name: "drain".into(),
                    on: On::Skin,
                    along_mm: 50.0,
                    from_edge_mm: 1.0,
                    shape: OpeningShape::Round { diameter_mm: 6.0 },
                    reach_mm: 0.1,
                    half_clearance_mm: None,
                }]
            }),
            "drain at station 50.0 mm",
            "the long seam at 0°",
        ),
        (
            with(&|t| t.over = Some(OldTube { outside_diameter_mm: 32.0, lap_mm: 9.0 })),
            "its inside is 29.00 mm",
            "35.00 mm or more goes over it",
        ),
        (
            with(&|t| t.cover = Cover::Part { from_rad: 0.0, girth_rad: 3.0 * TAU, corner_radius_mm: 0.0 }),
            "the girth of the patch",
            "between 5 and 355",
        ),
    ];
    for (message, what, accepted) in cases {
        assert!(message.contains(what) && message.contains(accepted), "{message}");
        assert!(!message.contains('\n'), "{message}");
    }
    // a mitre that is just accepted is what the message offers
    let message = with(&|t| {
        t.length_mm = 60.0;
        t.ends[1].cut = mitre(80.0, 0.0);
    });
    let offered: f64 = message.split("mitre it to ").nth(1).unwrap().split('°').next().unwrap().parse().unwrap();
    let mut piece = base();
    piece.length_mm = 60.0;
    piece.ends[1].cut = mitre(offered, 0.0);
    assert!(develop(&piece, &DevelopSettings::default()).is_ok(), "{offered}");
    piece.ends[1].cut = mitre(offered + 0.2, 0.0);
    assert!(develop(&piece, &DevelopSettings::default()).is_err(), "{offered}");
}
