//! Wired edges. F12: trade course notes (seen); F13: a trade examination question (seen); F14: Sheet and Plate Metal Work,
//! "Allowance for wiring" (seen); F15, F16, G5b: geometry. H10, H11: common practice, no source.

use crate::near::near;
use handbook::edges::wire::{DEFAULT_WRAP_RAD, WireEdge, WireRule, diameter_from_curl};
use handbook::gauges::nearest_edge_bar;
use handbook::shop_rules::{WireEnd, wire_length};
use std::f64::consts::TAU;

fn edge(wire_diameter_mm: f64, thickness_mm: f64, rule: WireRule) -> WireEdge {
    WireEdge { wire_diameter_mm, thickness_mm, rule }
}

fn allowance_mm(wire_diameter_mm: f64, thickness_mm: f64, rule: WireRule) -> f64 {
    edge(wire_diameter_mm, thickness_mm, rule).figures().unwrap().allowance_mm
}

#[test]
fn f12_f13_f14_published_rules() {
    near(allowance_mm(3.2, 0.9, WireRule::TwoAndAHalfWires), 8.0, 1e-12);
    near(allowance_mm(3.2, 0.9, WireRule::TwoAndAHalfWiresAndSheet), 8.9, 1e-12);
    near(allowance_mm(3.2, 0.9, WireRule::TwoWiresAndFourSheets), 10.0, 1e-12);
    near(allowance_mm(25.4 / 4.0, 25.4 / 16.0, WireRule::TwoWiresAndFourSheets) / 25.4, 0.75, 1e-9);
}

#[test]
fn f15_geometry() {
    let figures = edge(3.2, 0.9, WireRule::default()).figures().unwrap();
    near(figures.allowance_mm, 9.660, 0.5e-3);
    near(figures.finished_diameter_mm, 5.0, 1e-12);
    near(figures.wrap_rad.to_degrees(), 270.0, 1e-9);
    near(allowance_mm(3.2, 0.9, WireRule::Geometry { wrap_rad: TAU }), 12.881, 0.5e-3);
}

#[test]
fn f16_wrap_angle_that_each_rule_means() {
    let wrap_deg = |d, t, rule| edge(d, t, rule).figures().unwrap().wrap_rad.to_degrees();
    near(wrap_deg(3.2, 0.9, WireRule::TwoAndAHalfWires), 223.5933, 0.5e-4);
    near(wrap_deg(3.2, 0.9, WireRule::TwoAndAHalfWiresAndSheet), 248.7, 0.05);
    near(wrap_deg(3.2, 0.9, WireRule::TwoWiresAndFourSheets), 279.5, 0.05);
    near(wrap_deg(7.2, 0.9, WireRule::TwoAndAHalfWires), 254.6, 0.05);
    near(wrap_deg(7.2, 0.9, WireRule::TwoWiresAndFourSheets), 254.6, 0.05);
    // thin limit of rule A, 5 rad: reached as t/d falls, here t/d = 1/400, which leaves 286.5/(1 + 1/400)
    near(wrap_deg(40.0, 0.1, WireRule::TwoAndAHalfWires), 286.479 / 1.0025, 0.05);
}

/// X6: the published rules disagree; 2.5·d and 2·d + 4·t agree only at d = 8·t. The default is geometry at 270°, and every
/// figure stands beside it.
#[test]
fn x6_all_four_figures_stand_side_by_side() {
    let figures = edge(3.2, 0.9, WireRule::default()).figures().unwrap();
    near(figures.rule_a_mm, 8.0, 1e-12);
    near(figures.rule_b_mm, 8.9, 1e-12);
    near(figures.rule_c_mm, 10.0, 1e-12);
    near(figures.geometry_270_mm, 9.660, 0.5e-3);
    near(DEFAULT_WRAP_RAD.to_degrees(), 270.0, 1e-9);
    assert!(figures.workings.len() >= 5);
    let difference = |d: f64| {
        let figures = edge(d, 0.9, WireRule::default()).figures().unwrap();
        figures.rule_a_mm - figures.rule_c_mm
    };
    near(difference(7.2), 0.0, 1e-12);
    assert!(difference(7.0) < 0.0 && difference(7.4) > 0.0);
}

#[test]
fn g5b_round_bar() {
    let figures = edge(6.35, 0.914, WireRule::default()).figures().unwrap();
    near(figures.rule_a_mm, 15.88, 0.5e-2);
    near(figures.rule_b_mm, 16.79, 0.5e-2);
    near(figures.rule_c_mm, 16.36, 0.5e-2);
    near(figures.allowance_mm, 17.12, 0.5e-2);
    for (name, mm) in [("3/16 in bar", 4.763), ("1/4 in bar", 6.350), ("5/16 in bar", 7.938)] {
        let bar = nearest_edge_bar(mm).unwrap();
        assert_eq!(bar.name, name);
        near(bar.diameter_mm, mm, 0.5e-3);
    }
}

/// The finished height is over the wire; the wrap is laid off from the tangent where it starts. Independent route: walk
/// the middle line of the finished edge from the top of the skin, straight down to the tangent and once round by 270°.
#[test]
fn developed_height_follows_the_middle_line() {
    let (d, t, height) = (6.35, 0.914, 60.0);
    let centre_height = d / 2.0 + t; // centre of the wire above the lowest outside point
    let rho = d / 2.0 + t / 2.0;
    let steps = 200_000;
    let mut walked = height - centre_height;
    let point = |i: u32| {
        let angle = 1.5 * std::f64::consts::PI * f64::from(i) / f64::from(steps);
        (rho * angle.cos(), -rho * angle.sin())
    };
    for i in 0..steps {
        let ((x0, y0), (x1, y1)) = (point(i), point(i + 1));
        walked += (x1 - x0).hypot(y1 - y0);
    }
    let lowest = (0..=steps).map(|i| point(i).1).fold(0.0, f64::min) - t / 2.0 + centre_height;
    near(lowest, 0.0, 1e-6);
    near(edge(d, t, WireRule::default()).developed_mm(height).unwrap(), walked, 1e-6);
}

#[test]
fn h10_wire_with_its_ends() {
    let out = WireEnd::StandsOut { length_mm: 30.0 };
    near(wire_length(600.0, [out, WireEnd::Flush]).unwrap().value, 630.0, 1e-12);
    near(wire_length(600.0, [out, WireEnd::Short { length_mm: 20.0 }]).unwrap().value, 610.0, 1e-12);
    assert!(wire_length(600.0, [WireEnd::Ask, out]).unwrap_err().to_string().contains("ask"));
    let usual = handbook::ShopRules::default().wire_stands_out_mm;
    assert!((25.0..=40.0).contains(&usual));
}

#[test]
fn h11_wire_size_from_the_curl() {
    let d = diameter_from_curl(8.2, 0.914).unwrap().value;
    near(d, 6.37, 0.5e-2);
    assert_eq!(nearest_edge_bar(d).unwrap().name, "1/4 in bar");
}
