//! Whole cross-sections: where make-ups put the metal.

use crate::strip_fixtures::{LAP, arch_line, arch_pattern, flange, gutter_pair, plain, wired};
use glam::{DVec2, DVec3};
use section::{EdgeLine, HemKind, Lean, MakeUp, Part, Runs, Side, StripEdge, Swept, cut_to_height};

fn straight() -> EdgeLine {
    EdgeLine::straight(DVec3::ZERO, DVec3::new(600.0, 0.0, 0.0)).unwrap()
}

/// Up a line running forward on the left side: t = x, o = y, u = z.
#[test]
fn frame_of_a_line_running_forward_on_the_left_points_up() {
    let strip = plain(straight(), DVec3::Y, 0.0, 50.0);
    let frame = Swept::new(&strip).unwrap().frame(10.0);
    assert_eq!((frame.t, frame.o, frame.u), (DVec3::X, DVec3::Y, DVec3::Z));
}

#[test]
fn sharp_outer_corner_of_a_flange_is_the_edge_line() {
    for bend in [60.0, 90.0, 120.0] {
        let mut strip = plain(straight(), DVec3::Y, 0.0, 50.0);
        strip.finished_edge = vec![flange(bend, 20.0)];
        let profile = Swept::new(&strip).unwrap().profile(100.0, Lean::After);
        // Nodes: free edge, fold (flange side), fold (skin side), cut edge.
        let [free, _, skin_side, cut] = [0, 1, 2, 3].map(|i| profile.nodes[i].point(0.0));
        assert!((cut - DVec2::new(0.0, 50.0)).length() < 1e-12);
        let setback = 2.4 * (bend.to_radians() / 2.0).tan();
        assert!((skin_side - DVec2::new(0.0, setback)).length() < 1e-12);
        // The flange's outside face runs from the apex, 20 mm, turned to the inside from straight down.
        let (sin, cos) = bend.to_radians().sin_cos();
        assert!((free - DVec2::new(-20.0 * sin, -20.0 * cos)).length() < 1e-12, "{bend}: {free}");
    }
}

#[test]
fn wire_stands_half_its_diameter_and_the_sheet_below_the_edge_line() {
    let mut strip = plain(straight(), DVec3::Y, 0.0, 50.0);
    strip.finished_edge = vec![wired(6.4)];
    let swept = Swept::new(&strip).unwrap();
    let lowest = swept.profile(0.0, Lean::After).polyline(0.0).iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    assert!((lowest + 3.2 + 0.9).abs() < 0.01, "{lowest}");
    assert!((swept.below_edge_line_mm() - 4.1).abs() < 1e-12);
    let centre = swept.wire_centre(StripEdge::Finished, 0, 300.0, Lean::After).unwrap().value;
    assert!(centre.distance(DVec3::new(300.0, -0.9 - 3.2, 0.0)) < 1e-12);
}

#[test]
fn joggle_steps_inward_by_its_depth_and_is_as_wide_as_its_lap() {
    let mut strip = plain(straight(), DVec3::Y, 0.0, 50.0);
    strip.cut_edge = vec![LAP];
    let profile = Swept::new(&strip).unwrap().profile(0.0, Lean::After);
    let last = profile.nodes.last().unwrap();
    assert!((last.point(0.0) - DVec2::new(-0.9, 65.0)).length() < 1e-12);
    // The inside face steps by as much.
    assert!((last.point(0.9) - DVec2::new(-1.8, 65.0)).length() < 1e-12);
}

#[test]
fn a_flange_can_end_in_a_hem_or_a_wire() {
    let hem = MakeUp::Hem { width_mm: 6.0, inside_radius_mm: 0.5, hem: HemKind::Open, turns: Side::Inside };
    for last in [hem, wired(3.2)] {
        let mut strip = plain(arch_line(), DVec3::Y, 0.1, 50.0);
        strip.finished_edge = vec![flange(80.0, 25.0), last];
        let swept = Swept::new(&strip).unwrap();
        let bends = swept.parts().iter().filter(|part| matches!(part, Part::Bend { .. })).count();
        assert_eq!(bends, 2);
    }
}

#[test]
fn pattern_is_cut_at_the_taped_height_at_every_station() {
    let pattern = arch_pattern();
    let strip = cut_to_height(&pattern, 90.0, vec![LAP]).unwrap();
    let swept = Swept::new(&strip).unwrap();
    for i in 0..=65 {
        let station = 75.0 + 10.0 * f64::from(i);
        assert!((swept.skin_height_mm(station) - 90.0).abs() < 2e-3, "{}", swept.skin_height_mm(station));
    }
    // Piece height = cut height + lap, along the outside face.
    let profile = swept.profile(400.0, Lean::After);
    let lap: f64 = profile.links.iter().rev().take(2).map(|link| link.shape.outside_length_mm(0.9).value).sum();
    assert!((lap - (15.0 - 4.5 + 4.5f64.hypot(0.9))).abs() < 1e-12);
}

/// The contact direction and the openings, measured in space from the finished strips.
#[test]
fn pair_flanges_lie_half_the_spacer_from_the_contact_plane() {
    let pair = gutter_pair();
    let strips = pair.strips().unwrap();
    for (strip, member) in strips.iter().zip(&pair.members) {
        let swept = Swept::new(strip).unwrap();
        for station in [0.0, 133.0, 400.0] {
            let frame = swept.frame(station);
            let contact = pair.contact_angle_rad.at(station);
            let along = -frame.o * contact.cos() + frame.u * contact.sin();
            let side = if member.runs == Runs::Up { 1.0 } else { -1.0 };
            let away = frame.t.cross(along).normalize() * side;
            let jets = swept.frame_jet(station, Lean::After);
            let profile = swept.profile(station, Lean::After);
            let at = |node: usize| swept.point(&jets, &profile.nodes[node], 0.0).value - frame.origin_mm;
            // Free edge and fold tangent of the flange's outer face stand half the spacer off, on the member's own side.
            let signs = [0, 1].map(|node| at(node).dot(away));
            assert!(signs.iter().all(|d| (d.abs() - 0.9).abs() < 1e-9), "{signs:?}");
            assert!(signs[0] * at(3).dot(away) > 0.0, "flange and skin lie on the same side of the contact plane");
            assert!((at(0).dot(along) - 18.0).abs() < 1e-9);
            let opening = (at(0) - at(1)).angle_between(at(3) - at(2));
            assert!((opening - member.opening_angle_rad.at(station)).abs() < 1e-9);
        }
    }
}
