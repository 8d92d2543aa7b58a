//! Folded pieces: the flat folded up again by code of its own, channels of the handbook, sizes by hand.
//!
//! The folding below knows only the flat's report (outline, fold lines, allowance, radius, angle, way); it shares nothing
//! with the development nor with the shape in space that it is compared with.

use blank::folded::develop;
use blank::{Blank, BlankError, DevelopSettings, FaceUp, FlatFold};
use glam::{DQuat, DVec2, DVec3};
use handbook::bend::{Rule, TradeMetal};
use proptest::prelude::*;
use section::folded::{Folded, Layout, layout, tessellate};
use section::{
    Along, Base, CornerKind, Curl, EdgeFolds, EndCut, Hand, HemKind, MakeUp, On, Opening, OpeningShape, SectionError,
    Side,
};

fn flange(degrees: f64, inside_radius_mm: f64, width_mm: f64, turns: Side) -> MakeUp {
    MakeUp::Flange {
        bend_angle_rad: Along::Constant(degrees.to_radians()),
        inside_radius_mm,
        width_mm: Along::Constant(width_mm),
        turns,
        stand_off_mm: 0.0,
        relief: section::FlangeRelief::None,
    }
}

fn piece(corners: &[(f64, f64)], thickness_mm: f64, gap_mm: f64, edges: Vec<Vec<MakeUp>>) -> Folded {
    let meet = EndCut::Meet { gap_mm };
    Folded {
        name: "tray".into(),
        hand: Hand::Right,
        mirrored: false,
        face_up_is: Side::Inside,
        base: Base { corners_mm: corners.iter().map(|c| DVec2::from(*c)).collect() },
        corners: vec![CornerKind::Welded { relief_mm: None }; edges.len()],
        edges: edges.into_iter().map(|make_ups| EdgeFolds { make_ups, start_cut: meet, end_cut: meet }).collect(),
        thickness_mm,
        material: "dc04".into(),
        openings: vec![],
        reach_mm: 0.5,
    }
}

fn hole(name: &str, on: On, along_mm: f64, from_edge_mm: f64, diameter_mm: f64, half: Option<f64>) -> Opening {
    Opening {
        name: name.into(),
        on,
        along_mm,
        from_edge_mm,
        shape: OpeningShape::Round { diameter_mm },
        reach_mm: 0.25,
        half_clearance_mm: half,
    }
}

/// Rear step-well tray of the invented Wren 15, right hand, inside face up; x to the tray's right as seen from above with
/// the front edge towards the viewer.
///
/// Base 420 × 260 over the outside, 1.2 mm steel, inside radius 1.6 everywhere, all folds up.
/// Edge 1 front: 90°, 60 wide, with a return of 15 at 90° inward. Edge 3 rear: 75°, 45. Edge 2 and edge 4, sides: 90°, 60
/// wide, falling over the last 80 to 43.5 at the rear corner, where the rear flange stands 45·sin 75° = 43.47 high.
/// Corners welded, gap 0.5; relief by rule (3.2). Drain Ø 20 at (80, 60) on the base; M6 holes Ø 6.6 (half play 0.3) on
/// both sides, 130 along and 40 from the outer corner of the fold.
fn step_well_tray() -> Folded {
    let up = Side::Inside;
    let mut tray = piece(
        &[(0., 0.), (420., 0.), (420., 260.), (0., 260.)],
        1.2,
        0.5,
        vec![
            vec![flange(90., 1.6, 60., up), flange(90., 1.6, 15., up)],
            vec![flange(90., 1.6, 60., up)],
            vec![flange(75., 1.6, 45., up)],
            vec![flange(90., 1.6, 60., up)],
        ],
    );
    tray.name = "rear step-well tray".into();
    tray.openings = vec![
        hole("drain", On::Skin, 80., 60., 20., None),
        hole("mounting hole right", On::Fold { edge: 1, index: 0 }, 130., 40., 6.6, Some(0.3)),
        hole("mounting hole left", On::Fold { edge: 3, index: 0 }, 130., 40., 6.6, Some(0.3)),
    ];
    tray
}

/// Folds of one edge, from the base outward, found by their names.
fn chain_of(blank: &Blank, edge: usize) -> Vec<&FlatFold> {
    let suffix = format!("on edge {}", edge + 1);
    let mut chain: Vec<_> = blank.folds.iter().filter(|fold| fold.name.ends_with(&suffix)).collect();
    if let Some(first) = chain.iter().min_by(|a, b| spread(blank, a).total_cmp(&spread(blank, b))) {
        let from = first.tangent_near_mm[0];
        let out = outward(first);
        chain.sort_by(|a, b| (a.tangent_near_mm[0] - from).dot(out).total_cmp(&(b.tangent_near_mm[0] - from).dot(out)));
    }
    chain
}

/// Distance of a fold from the middle of the blank.
fn spread(blank: &Blank, fold: &FlatFold) -> f64 {
    let middle = blank.outline_mm.iter().sum::<DVec2>() / blank.outline_mm.len() as f64;
    (fold.tangent_near_mm[0] - middle).dot(outward(fold)).abs()
}

/// From the near to the far tangent line, square to both.
fn outward(fold: &FlatFold) -> DVec2 {
    let line = (fold.tangent_near_mm[1] - fold.tangent_near_mm[0]).normalize();
    let across = fold.tangent_far_mm[0] - fold.tangent_near_mm[0];
    (across - line * across.dot(line)).normalize()
}

/// Where a point of the flat, `height` above its lower face, comes to lie when the chain is folded, outermost fold first.
fn fold_up(chain: &[&FlatFold], flat: DVec2, height: f64, t: f64) -> DVec3 {
    let mut point = flat.extend(height);
    for fold in chain.iter().rev() {
        let out = outward(fold);
        let beyond = (flat - fold.tangent_near_mm[0]).dot(out);
        if beyond <= 0.0 {
            continue;
        }
        let wrapped = beyond.min(fold.allowance_mm[0]);
        let angle = fold.bend_angle_rad[0] * wrapped / fold.allowance_mm[0];
        let (axis_z, sign) = if fold.up { (t + fold.inside_radius_mm, 1.0) } else { (-fold.inside_radius_mm, -1.0) };
        let axis_point = fold.tangent_near_mm[0].extend(axis_z);
        let turn = DQuat::from_axis_angle(out.extend(0.0).cross(DVec3::Z), sign * angle);
        point = axis_point + turn * (point - out.extend(0.0) * wrapped - axis_point);
    }
    point
}

/// The reflected piece's flat lies with the other face up: lay the folded result back on its underside.
fn as_finished(folded: &Folded, p: DVec3) -> DVec3 {
    if folded.mirrored { DVec3::new(-p.x, p.y, folded.thickness_mm - p.z) } else { p }
}

/// Corners of every leg in space, both faces, from the section; near corners only where no relief hole takes them.
fn leg_corners(folded: &Folded, layout: &Layout, blank: &Blank) -> Vec<(usize, DVec3)> {
    let mut list = Vec::new();
    for (index, edge) in layout.edges.iter().enumerate() {
        let deepest = layout.relief_radii_mm(index).into_iter().fold(0.0, f64::max);
        for (at, part) in edge.parts.iter().enumerate() {
            let Some(leg) = &part.leg else { continue };
            let allowance = blank.folds.iter().find(|f| f.number == part.number).unwrap().allowance_mm[0];
            for corner in leg.outline_mm() {
                let further_bend = corner.y > 0.0 && at + 1 < edge.parts.len();
                if further_bend || (at == 0 && corner.y + allowance <= deepest + 1e-6) {
                    continue;
                }
                for height in [0.0, folded.thickness_mm] {
                    let p = edge.in_space(corner.x, leg.pose.straight(corner.y).at_height(height));
                    list.push((index, if folded.mirrored { DVec3::new(-p.x, p.y, p.z) } else { p }));
                }
            }
        }
    }
    list
}

/// Largest distance from a leg corner in space to the nearest corner of the folded-up outline.
fn worst_corner_mm(folded: &Folded, blank: &Blank) -> f64 {
    let layout = layout(folded).unwrap();
    let t = folded.thickness_mm;
    let corners = leg_corners(folded, &layout, blank);
    assert!(!corners.is_empty());
    let mut worst: f64 = 0.0;
    for edge in 0..layout.edges.len() {
        let chain = chain_of(blank, edge);
        let folded_up: Vec<DVec3> = blank
            .outline_mm
            .iter()
            .flat_map(|p| [0.0, t].map(|h| as_finished(folded, fold_up(&chain, *p, h, t))))
            .collect();
        for (_, corner) in corners.iter().filter(|(of, _)| *of == edge) {
            worst = worst.max(folded_up.iter().map(|p| p.distance(*corner)).fold(f64::INFINITY, f64::min));
        }
    }
    worst
}

#[test]
fn the_demo_tray_folds_up_to_its_shape_in_space() {
    for mirrored in [false, true] {
        let tray = Folded { mirrored, ..step_well_tray() };
        let blank = develop(&tray, &DevelopSettings::default()).unwrap();
        let worst = worst_corner_mm(&tray, &blank);
        assert!(worst < 0.01, "corner off by {worst} mm");
        for (opening, flat) in tray.openings.iter().zip(&blank.openings) {
            let edge = if let On::Fold { edge, .. } = opening.on { Some(edge) } else { None };
            let chain = edge.map_or(vec![], |edge| chain_of(&blank, edge));
            let want = tray.point_on(opening.on, opening.along_mm, opening.from_edge_mm).unwrap();
            let t = tray.thickness_mm;
            let [low, high] = [0.0, t].map(|h| as_finished(&tray, fold_up(&chain, flat.centre_mm, h, t)));
            let (under, up) = if mirrored { (high, low) } else { (low, high) };
            assert!(
                under.distance(want.underside_mm) < 0.01 && up.distance(want.face_up_mm) < 0.01,
                "{}",
                opening.name
            );
            assert!((up - under).angle_between(want.axis).to_degrees() < 0.01, "{}", opening.name);
        }
    }
}

/// Every corner of the folded-up outline outside the bends lies on the tessellated shape.
#[test]
fn the_folded_outline_lies_on_the_surface() {
    let tray = step_well_tray();
    let blank = develop(&tray, &DevelopSettings::default()).unwrap();
    let surface = tessellate(&tray, 0.005).unwrap();
    let chains: Vec<_> = (0..4).map(|edge| chain_of(&blank, edge)).collect();
    for point in &blank.outline_mm {
        let in_a_bend = blank.folds.iter().any(|fold| {
            let beyond = (*point - fold.tangent_near_mm[0]).dot(outward(fold));
            beyond > -1e-9 && beyond < fold.allowance_mm[0] - 1e-9
        });
        if in_a_bend {
            continue;
        }
        let nearest = chains
            .iter()
            .map(|chain| fold_up(chain, *point, 0.0, tray.thickness_mm))
            .flat_map(|p| surface.triangles.iter().map(move |triangle| (p, triangle)))
            .map(|(p, triangle)| {
                let [a, b, c] = triangle.map(|id| surface.points_mm[id.0 as usize]);
                distance_to_triangle(p, a, b, c)
            })
            .fold(f64::INFINITY, f64::min);
        assert!(nearest < 0.01, "({:.2}, {:.2}) is {nearest} mm off", point.x, point.y);
    }
}

fn distance_to_triangle(p: DVec3, a: DVec3, b: DVec3, c: DVec3) -> f64 {
    let normal = (b - a).cross(c - a);
    let inside = [(a, b), (b, c), (c, a)].iter().all(|(u, v)| (*v - *u).cross(p - *u).dot(normal) >= 0.0);
    if inside && normal.length() > 0.0 {
        return (p - a).dot(normal.normalize()).abs();
    }
    let to_side = |u: DVec3, v: DVec3| {
        let along = ((p - u).dot(v - u) / (v - u).length_squared()).clamp(0.0, 1.0);
        p.distance(u + (v - u) * along)
    };
    [(a, b), (b, c), (c, a)]
        .into_iter()
        .map(|(u, v)| to_side(u, v))
        .filter(|d| !d.is_nan())
        .fold(f64::INFINITY, f64::min)
}

fn extent(blank: &Blank) -> DVec2 {
    let low = blank.outline_mm.iter().copied().fold(DVec2::INFINITY, DVec2::min);
    blank.outline_mm.iter().copied().fold(DVec2::NEG_INFINITY, DVec2::max) - low
}

/// By hand, DIN 6935 (handbook 2.1), r 1.6, s 1.2: k = 0.65 + 0.5·lg(1.6/1.2) = 0.712469; neutral radius 1.6 + 1.2·k/2 = 2.027482.
/// 90°: v = 2·2.8 − π/2·2.027482 = 2.415239 (B6: 2.415). 75°: setback 2.8·tan 37.5° = 2.148516,
/// v = 2·2.148516 − 75/180·π·2.027482 = 1.643064.
/// Along y: 15 + 60 + 260 + 45 − 2·2.415239 − 1.643064 = 373.526458. Along x: 60 + 420 + 60 − 2·2.415239 = 535.169522.
/// Mounting hole right: x = 420 + 40 − 2.415239 = 457.584761, y = 130. Drain where it was.
#[test]
fn sizes_of_the_demo_tray_by_hand() {
    let blank = develop(&step_well_tray(), &DevelopSettings::default()).unwrap();
    let size = extent(&blank);
    assert!((size.x - 535.169_522).abs() < 2e-6 && (size.y - 373.526_458).abs() < 2e-6, "{size}");
    let place = |name: &str| blank.openings.iter().find(|opening| opening.name == name).unwrap().centre_mm;
    assert!(place("mounting hole right").distance(DVec2::new(457.584_761, 130.0)) < 2e-6);
    assert!(place("mounting hole left").distance(DVec2::new(-37.584_761, 130.0)) < 2e-6);
    assert_eq!(place("drain"), DVec2::new(80.0, 60.0));
    assert_eq!(blank.face_up, FaceUp::Inside);
    assert_eq!(blank.folds.len(), 5);
    // Two of three running dimensions of the right mounting hole: from the left edge of the flat, from its lowest edge.
    let from_left = blank.running_x.iter().find(|d| d.name == "mounting hole right").unwrap().from_datum_mm;
    assert!((from_left - (457.584_761 + 60.0 - 2.415_239)).abs() < 4e-6, "{from_left}");
}

fn channel(legs: [f64; 3], radius: f64, thickness: f64, rule: Rule) -> f64 {
    let [left, base, right] = legs;
    let up = Side::Inside;
    let u = piece(
        &[(0., 0.), (base, 0.), (base, 80.), (0., 80.)],
        thickness,
        0.0,
        vec![vec![], vec![flange(90., radius, right, up)], vec![], vec![flange(90., radius, left, up)]],
    );
    let settings = DevelopSettings { bend_rule: rule, ..DevelopSettings::default() };
    extent(&develop(&u, &settings).unwrap()).x
}

/// B12, derived: U 20/40/20 over the outside, t 0.9, R 1.5.
#[test]
fn b12_channel_by_three_rules() {
    let trade = Rule::TradeStraightLength { metal: TradeMetal::SoftSteelAluminium };
    for (rule, want) in [(Rule::Din6935, 76.188), (trade, 76.262), (Rule::AircraftEmpirical, 76.370)] {
        let got = channel([20., 40., 20.], 1.5, 0.9, rule);
        assert!((got - want).abs() < 0.5e-3, "{}: {got}", rule.name());
    }
}

/// B35 and B36, FAA-H-8083-31 ch. 4: U-channel 1.00/2.00/1.00 in, 0.040 in, R 0.16: total 3.758144 in by the formula,
/// less than the sum of the mold lines.
#[test]
fn b35_channel_of_the_airframe_handbook() {
    let inches = channel([25.4, 50.8, 25.4], 0.16 * 25.4, 0.040 * 25.4, Rule::AircraftEmpirical) / 25.4;
    assert!((inches - 3.758_144).abs() < 1e-6, "{inches}");
    assert!(inches < 4.0);
}

/// F1 to F3, FAA-H-8083-31 ch. 4, folding a box: 0.9 mm sheet, R 1.5: hole 3.2 mm, its centre where the inside bend tangent
/// lines cross, reaching 0.8 to 1.6 mm beyond them. The cut outline keeps every arc point 1.6 mm from that crossing.
#[test]
fn relief_holes_of_a_box() {
    let up = Side::Inside;
    let sides = (0..4).map(|_| vec![flange(90., 1.5, 30., up)]).collect();
    let open_box = piece(&[(0., 0.), (200., 0.), (200., 120.), (0., 120.)], 0.9, 0.3, sides);
    let blank = develop(&open_box, &DevelopSettings::default()).unwrap();
    // R + t in from both outer corners.
    let crossing = DVec2::new(2.4, 2.4);
    let on_hole = blank.outline_mm.iter().filter(|p| (p.distance(crossing) - 1.6).abs() < 1e-9).count();
    assert!(on_hole > 6, "{on_hole} points");
    assert!(blank.outline_mm.iter().all(|p| p.distance(crossing) > 1.6 - 1e-9));
}

/// Crossing of two sides by strict signs, written apart from the check inside the development.
fn is_simple(outline: &[DVec2]) -> bool {
    let side = |i: usize| (outline[i], outline[(i + 1) % outline.len()]);
    let turn = |a: DVec2, b: DVec2, c: DVec2| (b - a).perp_dot(c - a);
    (0..outline.len()).all(|i| {
        (i + 1..outline.len()).all(|j| {
            let ((a, b), (c, d)) = (side(i), side(j));
            !(turn(a, b, c) * turn(a, b, d) < 0.0 && turn(c, d, a) * turn(c, d, b) < 0.0)
        })
    })
}

fn area(outline: &[DVec2]) -> f64 {
    (0..outline.len()).map(|i| outline[i].perp_dot(outline[(i + 1) % outline.len()])).sum::<f64>() / 2.0
}

/// Sum of the triangles' areas as vectors: nothing where the surface is closed.
fn open_mm2(surface: &mesh::Surface) -> f64 {
    let corners = surface.triangles.iter().map(|triangle| triangle.map(|id| surface.points_mm[id.0 as usize]));
    corners.map(|[a, b, c]| (b - a).cross(c - a) / 2.0).sum::<DVec3>().length()
}

prop_compose! {
    /// A convex base of three to six corners with a flange on each edge or none, some with a return.
    fn any_tray()(
        count in 3usize..=6,
        size in 90.0..260.0f64,
        squash in 0.6..1.0f64,
        thickness in 0.7..1.6f64,
        gap in 0.0..1.0f64,
        down in any::<bool>(),
        mirrored in any::<bool>(),
        edges in prop::collection::vec((0.0..1.0f64, 60.0..120.0f64, 0.8..3.0f64, 8.0..55.0f64), 6),
    ) -> Folded {
        let corners: Vec<(f64, f64)> = (0..count)
            .map(|i| (std::f64::consts::TAU * i as f64 / count as f64).sin_cos())
            .map(|(sin, cos)| (size * cos, size * squash * sin))
            .collect();
        let turns = if down { Side::Outside } else { Side::Inside };
        let make_ups = edges.into_iter().take(count).map(|(kind, angle, radius, width)| match kind {
            k if k < 0.15 => vec![],
            k if k < 0.3 => vec![flange(angle, radius, width + 10.0, turns), flange(80.0, radius, 12.0, turns)],
            _ => vec![flange(angle, radius, width, turns)],
        });
        let tray = piece(&corners, thickness, gap, make_ups.collect());
        Folded { mirrored, ..tray }
    }
}

fn names_the_clash(error: &BlankError) -> bool {
    let words = error.to_string();
    match error {
        BlankError::Section(
            SectionError::LegsCollide { .. } | SectionError::ShorterThanBend { .. } | SectionError::EndCutsCross { .. },
        )
        | BlankError::Overlaps { .. } => words.contains("edge") || words.contains("base"),
        _ => false,
    }
}

fn any_turn() -> impl Strategy<Value = Side> {
    prop_oneof![3 => Just(Side::Inside), 1 => Just(Side::Outside)]
}

fn any_make_up() -> impl Strategy<Value = MakeUp> {
    let wrap = Curl::Geometry { wrap_rad: 1.5 * std::f64::consts::PI };
    let hem =
        |(width_mm, inside_radius_mm, turns)| MakeUp::Hem { width_mm, inside_radius_mm, hem: HemKind::Open, turns };
    prop_oneof![
        6 => (5.0..165.0f64, 0.0..6.0f64, 3.0..90.0f64, any_turn()).prop_map(|(a, r, w, turns)| flange(a, r, w, turns)),
        2 => (3.0..20.0f64, 0.1..2.0f64, any_turn()).prop_map(hem),
        1 => (1.0..8.0f64, any_turn()).prop_map(move |(wire_mm, turns)| MakeUp::Wired { wire_mm, curl: wrap, turns }),
        1 => (1.0..30.0f64).prop_map(|width_mm| MakeUp::Seam { width_mm }),
        1 => (0.0..5.0f64).prop_map(|trim_mm| MakeUp::Raw { trim_mm }),
    ]
}

fn any_cut() -> impl Strategy<Value = EndCut> {
    prop_oneof![
        3 => (0.0..3.0f64).prop_map(|gap_mm| EndCut::Meet { gap_mm }),
        1 => (-5.0..20.0f64).prop_map(|back_mm| EndCut::SetBack { back_mm }),
        1 => (-0.5..0.9f64).prop_map(|angle_rad| EndCut::Angle { angle_rad }),
    ]
}

prop_compose! {
    /// Anything a person could type: chains of any make-ups, any end cuts, a re-entrant base half of the time.
    fn anything()(
        re_entrant in any::<bool>(),
        notch in (20.0..180.0f64, 20.0..120.0f64),
        thickness in 0.5..2.5f64,
        edges in prop::collection::vec((prop::collection::vec(any_make_up(), 0..4), any_cut(), any_cut()), 6),
        relief in prop::option::of(0.0..12.0f64),
    ) -> Folded {
        let (x, y) = notch;
        let l_shape = [(0., 0.), (260., 0.), (260., y), (x, y), (x, 190.), (0., 190.)];
        let skew = [(0., 0.), (260., 10.), (240., 20. + y), (10., 150.)];
        let corners: &[(f64, f64)] = if re_entrant { &l_shape } else { &skew };
        let mut any = piece(corners, thickness, 0.3, vec![vec![]; corners.len()]);
        for (edge, (make_ups, start_cut, end_cut)) in any.edges.iter_mut().zip(edges) {
            *edge = EdgeFolds { make_ups, start_cut, end_cut };
        }
        any.corners = vec![CornerKind::Open { relief_mm: relief }; corners.len()];
        any
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_tray_is_one_simple_outline_that_folds_up_or_is_refused_by_name(tray in any_tray()) {
        match develop(&tray, &DevelopSettings::default()) {
            Ok(blank) => {
                prop_assert!(is_simple(&blank.outline_mm));
                prop_assert!(area(&blank.outline_mm) > 0.0);
                prop_assert!((area(&blank.outline_mm) - blank.area_mm2).abs() < 1e-6);
                if blank.folds.is_empty() {
                    return Ok(());
                }
                let worst = worst_corner_mm(&tray, &blank);
                prop_assert!(worst < 0.01, "corner off by {} mm", worst);
            }
            Err(error) => prop_assert!(names_the_clash(&error), "{}", error),
        }
    }

    #[test]
    fn anything_typed_is_one_simple_outline_or_a_named_fault(any in anything()) {
        match develop(&any, &DevelopSettings::default()) {
            Ok(blank) => {
                prop_assert!(is_simple(&blank.outline_mm));
                prop_assert!(blank.area_mm2 > 0.0 && blank.area_mm2.is_finite());
                let surface = tessellate(&any, 0.1).unwrap();
                prop_assert!(surface.points_mm.iter().all(|p| p.is_finite()));
                let open = open_mm2(&surface);
                prop_assert!(open < 1e-5, "surface open by {} mm²", open);
            }
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
    }

    #[test]
    fn mirroring_changes_nothing_but_the_hand(tray in any_tray()) {
        let other = Folded { mirrored: !tray.mirrored, ..tray.clone() };
        let settings = DevelopSettings::default();
        match (develop(&tray, &settings), develop(&other, &settings)) {
            (Ok(a), Ok(b)) => {
                prop_assert_ne!(a.face_up, b.face_up);
                prop_assert_eq!(&a.outline_mm, &b.outline_mm);
                prop_assert_eq!(a.area_mm2, b.area_mm2);
                prop_assert_eq!(&a.workings, &b.workings);
                prop_assert!(a.folds.iter().zip(&b.folds).all(|(a, b)| a.up != b.up && a.turns == b.turns));
                let (p, q) = (tessellate(&tray, 0.1).unwrap(), tessellate(&other, 0.1).unwrap());
                let reflected = |p: &DVec3| DVec3::new(-p.x, p.y, p.z);
                prop_assert!(p.points_mm.iter().zip(&q.points_mm).all(|(p, q)| reflected(p) == *q));
            }
            (Err(a), Err(b)) => prop_assert_eq!(a, b),
            (a, b) => prop_assert!(false, "one hand only: {:?} {:?}", a.is_ok(), b.is_ok()),
        }
    }
}

/// Found by the check above. The curl round a wire of 1 mm in sheet of 0.5 mm, three quarters round, is 1.5π·0.75 = 3.534 mm high
/// laid flat. A relief hole of 5.768 mm radius was cut to its full height all the same, 2.2 mm beyond the free edge, and the
/// surface stayed open by 0.054 mm²: the height of a hole was compared with legs alone, and a curl has none.
#[test]
fn a_relief_hole_higher_than_the_curl_beside_it_is_refused_by_name() {
    let wire = MakeUp::Wired {
        wire_mm: 1.0,
        curl: Curl::Geometry { wrap_rad: 1.5 * std::f64::consts::PI },
        turns: Side::Inside,
    };
    let shallow = flange(5.0, 0.0, 51.671_934_072_602_67, Side::Inside);
    let corners = [(0., 0.), (260., 10.), (240., 40.), (10., 150.)];
    let mut tray = piece(&corners, 0.5, 0.0, vec![vec![], vec![], vec![wire], vec![shallow]]);
    let with_relief = |tray: &Folded, diameter_mm: f64| Folded {
        corners: vec![CornerKind::Open { relief_mm: Some(diameter_mm) }; 4],
        ..tray.clone()
    };
    let asked = with_relief(&tray, 11.536_087_851_924_341);
    let Err(BlankError::Section(SectionError::ReliefThroughCurl { place, end, height_mm, radius_mm })) =
        develop(&asked, &DevelopSettings::default())
    else {
        panic!("not refused")
    };
    assert!(place.contains("edge 3") && end == "end", "{place} {end}");
    assert!((height_mm - 3.534_292).abs() < 1e-6 && (radius_mm - 5.768_044).abs() < 1e-6);
    // What the refusal says would be accepted: a hole lower than the curl, or the curl set back beyond the hole.
    let lower = with_relief(&tray, 2.0 * 3.53);
    tray.edges[2].end_cut = EndCut::SetBack { back_mm: 20.0 };
    for (made, radius) in [(lower, 3.53), (with_relief(&tray, 11.536_087_851_924_341), radius_mm)] {
        let surface = tessellate(&made, 0.1).unwrap();
        assert!(open_mm2(&surface) < 1e-6, "open by {} mm²", open_mm2(&surface));
        let blank = develop(&made, &DevelopSettings::default()).unwrap();
        assert!(is_simple(&blank.outline_mm));
        // Nothing of the outline lies inside the hole (its centre is 0.03 mm from the corner), nothing beyond the curl's free edge.
        let (corner, along) = (DVec2::new(10., 150.), (DVec2::new(10., 150.) - DVec2::new(240., 40.)).normalize());
        let highest = blank.outline_mm.iter().map(|p| (*p - corner).dot(-along.perp())).fold(0.0, f64::max);
        assert!((highest - height_mm).abs() < 1e-6, "{highest}");
        assert!(blank.outline_mm.iter().all(|p| p.distance(corner) > radius - 0.05));
    }
}

/// Most trays of the kind above can be made, so that the check above is about outlines and not about refusals.
#[test]
fn most_random_trays_can_be_made() {
    use proptest::strategy::ValueTree;
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let made = (0..200)
        .filter(|_| {
            let tray = any_tray().new_tree(&mut runner).unwrap().current();
            develop(&tray, &DevelopSettings::default()).is_ok()
        })
        .count();
    assert!(made > 120, "{made} of 200");
}
