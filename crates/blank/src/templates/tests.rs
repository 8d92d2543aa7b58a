//! Hammerforms against circles and straights; the rest is checked against true surfaces in `checks`.

use super::*;
use glam::{DVec2, DVec3};
use mesh::Skin;
use mesh::polygon::signed_area_mm2;
use std::f64::consts::{PI, TAU};

/// A ring from radius 60 to 100 over z = height(angle) at its outer edge, in `n` sectors over `sweep`.
fn ring(n: u32, sweep: f64, height: impl Fn(f64) -> f64) -> Skin {
    let whole = sweep >= TAU - 1e-9;
    let columns = if whole { n } else { n + 1 };
    let points = (0..columns).flat_map(|i| {
        let angle = sweep * f64::from(i) / f64::from(n);
        [(60.0, 0.0), (100.0, height(angle))].map(|(r, z)| (DVec2::from_angle(angle) * r).extend(z))
    });
    let at = |i: u32, outer: u32| 2 * (i % columns) + outer;
    let halves = (0..n).flat_map(|i| [[at(i, 0), at(i, 1), at(i + 1, 1)], [at(i, 0), at(i + 1, 1), at(i + 1, 0)]]);
    Skin { points_mm: points.collect(), triangles: halves.collect() }
}

fn outer_edge(n: u32, whole: bool) -> Vec<u32> {
    (0..=n).map(|i| 2 * (if whole { i % n } else { i }) + 1).collect()
}

fn order(edge: Vec<u32>, edge_runs: EdgeRuns) -> HammerformOrder {
    HammerformOrder {
        name: "form".into(),
        edge,
        edge_runs,
        plane: FormPlane::BestFit,
        inside_radius_mm: 2.0,
        thickness_mm: 0.9,
        out_of_plane_mm: 0.2,
    }
}

fn radii(chain: &mesh::sections::ArcChain) -> [f64; 2] {
    let radii = chain.flattened_mm(1e-3).into_iter().map(DVec2::length);
    radii.fold([f64::INFINITY, 0.0], |[low, high], r| [low.min(r), high.max(r)])
}

#[test]
fn a_round_flange_has_a_round_form() {
    let skin = ring(180, TAU, |_| 0.0);
    for turned in [false, true] {
        let mut edge = outer_edge(180, true);
        if turned {
            edge.reverse();
        }
        let form =
            hammerform(&skin, &order(edge.clone(), EdgeRuns::OutsideOfFlange), &CardSettings::default()).unwrap();
        assert!((form.plane.normal() - DVec3::Z).length() < 1e-9, "towards the outside");
        let (block, backing) = (radii(&form.block), radii(&form.backing));
        // side of the block at r − t, flat at r − t − R; both within the fit and the chords of 180 sides (0.015)
        assert!(block.iter().all(|r| (r - 99.1).abs() < 0.03), "{block:?}");
        assert!(backing.iter().all(|r| (r - 97.1).abs() < 0.03), "{backing:?}");
        assert!(signed_area_mm2(&form.block.flattened_mm(0.01)) > 0.0, "the block is inside: anticlockwise");
        assert!(form.block.vertices.len() <= 6, "{}", form.block.vertices.len());
        let at_bend = hammerform(&skin, &order(edge, EdgeRuns::AtBend), &CardSettings::default()).unwrap();
        assert!(radii(&at_bend.block).iter().all(|r| (r - 102.0).abs() < 0.03));
        assert!(radii(&at_bend.backing).iter().all(|r| (r - 100.0).abs() < 0.03));
        assert_eq!((at_bend.edge_radius_mm, at_bend.side_inset_mm, at_bend.flat_inset_mm), (2.0, -2.0, 0.0));
    }
    // the hole in the middle: the block is round it
    let hole: Vec<u32> = (0..=180).map(|i| 2 * (i % 180)).collect();
    let form = hammerform(&skin, &order(hole, EdgeRuns::OutsideOfFlange), &CardSettings::default()).unwrap();
    assert!(radii(&form.block).iter().all(|r| (r - 60.9).abs() < 0.03));
    assert!(signed_area_mm2(&form.block.flattened_mm(0.01)) < 0.0);
}

#[test]
fn a_part_of_the_edge_gets_a_straight_back() {
    let skin = ring(90, PI / 2.0, |_| 0.0);
    let form = hammerform(&skin, &order(outer_edge(90, false), EdgeRuns::OutsideOfFlange), &CardSettings::default());
    let form = form.unwrap();
    let outline = form.block.flattened_mm(0.01);
    assert!(mesh::polygon::check_simple(&outline).is_ok() && signed_area_mm2(&outline) > 0.0);
    // the curved side is 0.9 inside the edge, the block lies on the sheet's side of it
    let centre = form.plane.to_plane(DVec3::ZERO);
    let far = outline.iter().map(|p| p.distance(centre)).fold(0.0, f64::max);
    assert!((99.0..101.0).contains(&far), "{far}: the overrun leaves the circle a little");
    let on_arc = outline.iter().filter(|p| (p.distance(centre) - 99.1).abs() < 0.03).count();
    assert!(on_arc > 30, "{on_arc}");
    let middle = form.plane.to_plane(DVec3::new(60.0, 60.0, 0.0));
    assert!(mesh::polygon::contains(&outline, middle));
}

#[test]
fn a_straight_edge_takes_the_plane_of_the_skin_beside_it() {
    // a strip 40 wide that rises at 30° from a straight edge
    let rise = 30f64.to_radians();
    let points = (0..=10)
        .flat_map(|i| [0.0, 40.0].map(|w: f64| DVec3::new(20.0 * f64::from(i), w * rise.cos(), w * rise.sin())));
    let halves = (0..10u32).flat_map(|i| [[2 * i, 2 * i + 2, 2 * i + 3], [2 * i, 2 * i + 3, 2 * i + 1]]);
    let skin = Skin { points_mm: points.collect(), triangles: halves.collect() };
    let edge: Vec<u32> = (0..=10).map(|i| 2 * i).collect();
    let form = hammerform(&skin, &order(edge, EdgeRuns::AtBend), &CardSettings::default()).unwrap();
    assert!(form.plane.normal().distance(DVec3::new(0.0, -rise.sin(), rise.cos())) < 1e-9);
    assert!(form.out_of_plane_mm < 1e-9);
    assert!(form.block.vertices.len() <= 12, "straights and corners only");
}

#[test]
fn faulty_edges_are_named() {
    let settings = CardSettings::default();
    let wavy = ring(120, TAU, |angle| 1.5 * (3.0 * angle).sin());
    let refusal = |skin: &Skin, order: &HammerformOrder| hammerform(skin, order, &settings).unwrap_err();
    let out = refusal(&wavy, &order(outer_edge(120, true), EdgeRuns::AtBend));
    assert!(matches!(out, TemplateError::OutOfPlane { off_mm, .. } if (off_mm - 1.5).abs() < 0.01), "{out}");
    assert!(out.to_string().contains("0.2 mm is accepted"), "{out}");
    let flat = ring(120, TAU, |_| 0.0);
    assert!(matches!(refusal(&flat, &order(vec![1, 5], EdgeRuns::AtBend)), TemplateError::NotAnEdge { .. }));
    assert!(matches!(refusal(&flat, &order(vec![1, 99_999], EdgeRuns::AtBend)), TemplateError::NotAnEdge { .. }));
    assert!(matches!(refusal(&flat, &order(vec![1], EdgeRuns::AtBend)), TemplateError::OutOfRange { .. }));
    let mut nan = order(outer_edge(120, true), EdgeRuns::AtBend);
    nan.inside_radius_mm = f64::NAN;
    assert!(matches!(refusal(&flat, &nan), TemplateError::OutOfRange { .. }));
    let square_to_nothing =
        HammerformOrder { plane: FormPlane::SquareTo(DVec3::ZERO), ..order(outer_edge(120, true), EdgeRuns::AtBend) };
    assert!(matches!(refusal(&flat, &square_to_nothing), TemplateError::NotUsable { .. }));
    // a hole of radius 60 with a bend that wants 70 beyond it
    let hole: Vec<u32> = (0..=120).map(|i| 2 * (i % 120)).collect();
    let tight = HammerformOrder { inside_radius_mm: 50.0, ..order(hole, EdgeRuns::AtBend) };
    assert!(hammerform(&flat, &tight, &settings).is_ok(), "a block of radius 10 goes");
    let tiny = Skin { points_mm: flat.points_mm.iter().map(|p| *p * 0.5).collect(), triangles: flat.triangles.clone() };
    assert!(matches!(refusal(&tiny, &tight), TemplateError::Crosses { .. }), "a hole of radius 30 has no room for it");
}
