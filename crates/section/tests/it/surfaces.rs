//! Tessellated strips: closed, facing outward, as large as the sheet, openings cut out.

use crate::strip_fixtures::{LAP, arch_line, arch_pattern, flange, gutter_pair, plain};
use glam::DVec3;
use mesh::SheetFace;
use section::{On, Opening, OpeningShape, Runs, Strip, StripEdge, cut_to_height, tessellate};

fn check(strip: &Strip) -> mesh::Surface {
    let surface = tessellate(strip, 0.05).unwrap();
    surface.validate().unwrap();
    assert!(surface.is_closed(), "{} has a free edge", strip.name);
    assert!(surface.volume_mm3() > 0.0, "{} is inside out", strip.name);
    surface
}

#[test]
fn strips_of_all_kinds_are_closed_and_face_outward() {
    check(&plain(arch_line(), DVec3::Y, 0.2, 50.0));
    check(&Strip { runs: Runs::Down, ..plain(arch_line(), DVec3::Y, 0.2, 50.0) });
    let arch = check(&cut_to_height(&arch_pattern(), 90.0, vec![LAP]).unwrap());
    assert!(arch.tags.iter().any(|tag| tag.part == "wire") && arch.tags.iter().any(|tag| tag.part == "lap"));
    assert!(arch.lines.iter().any(|line| line.name == "lap: step line"));
    for strip in gutter_pair().strips().unwrap() {
        check(&strip);
    }
}

/// Volume of a plain annulus strip: area × thickness, its outside face on the edge line's plane.
#[test]
fn volume_of_an_annulus_strip_is_area_times_thickness() {
    let strip = plain(arch_line(), DVec3::Y, 0.0, 50.0);
    let surface = tessellate(&strip, 0.001).unwrap();
    let sweep = 120f64.to_radians();
    let area = 0.5 * sweep * (450f64.powi(2) - 400f64.powi(2)).abs();
    let inner = 0.5 * sweep * (400f64.powi(2) - 350f64.powi(2));
    let volume = surface.volume_mm3() / 0.9;
    assert!((volume / area - 1.0).abs() < 1e-4 || (volume / inner - 1.0).abs() < 1e-4, "{volume} {area} {inner}");
}

#[test]
fn openings_are_cut_out_of_both_faces() {
    let mut strip = plain(arch_line(), DVec3::Y, 0.0, 50.0);
    strip.finished_edge = vec![flange(90.0, 20.0)];
    let area = |strip: &Strip| check(strip).area_mm2(|tag| tag.face == SheetFace::Outside);
    let whole = area(&strip);
    strip.openings = [(On::Skin, 30.0), (On::StripMakeUp { edge: StripEdge::Finished, index: 0 }, 11.0)]
        .map(|(on, from_edge_mm)| Opening {
            name: "hole".into(),
            on,
            along_mm: 200.0,
            from_edge_mm,
            shape: OpeningShape::Round { diameter_mm: 10.0 },
            reach_mm: 0.2,
            half_clearance_mm: None,
        })
        .to_vec();
    let holes = 2.0 * 25.0 * std::f64::consts::PI;
    let missing = whole - area(&strip);
    assert!((missing / holes - 1.0).abs() < 0.02, "{missing} for {holes}");
}

/// Property: the other hand is the reflection, same faces outward, same sizes.
#[test]
fn mirrored_strip_is_the_reflection() {
    let strip = cut_to_height(&arch_pattern(), 90.0, vec![LAP]).unwrap();
    let (own, other) = (check(&strip), check(&Strip { mirrored: true, ..strip }));
    assert!((own.volume_mm3() - other.volume_mm3()).abs() < 1e-6 * own.volume_mm3());
    for (a, b) in own.points_mm.iter().zip(&other.points_mm) {
        assert_eq!(DVec3::new(a.x, -a.y, a.z), *b);
    }
}

/// No triangle reaches from a hole in a flange over its bend: faces beside each other never meet as sharply as flange and skin do.
#[test]
fn triangles_follow_the_bend_of_a_flange_with_holes() {
    for strip in gutter_pair().strips().unwrap() {
        let surface = tessellate(&strip, 0.05).unwrap();
        let mut normals = std::collections::BTreeMap::<_, Vec<DVec3>>::new();
        for (index, triangle) in surface.triangles.iter().enumerate() {
            if surface.tags[usize::from(surface.tag_of[index])].face != SheetFace::Outside {
                continue;
            }
            let [a, b, c] = surface.corners(index).unwrap();
            let normal = (b - a).cross(c - a).normalize();
            for (from, to) in [(0, 1), (1, 2), (2, 0)] {
                let (i, j) = (triangle[from].0, triangle[to].0);
                normals.entry((i.min(j), i.max(j))).or_default().push(normal);
            }
        }
        for pair in normals.values().filter(|pair| pair.len() == 2) {
            assert!(pair[0].dot(pair[1]) > 45f64.to_radians().cos(), "{}", strip.name);
        }
    }
}
