//! Named edges of finished pieces, against the tessellated shape (other code) and against sizes that can be done by hand.

use crate::{EXAMPLES, planned};
use glam::DVec3;
use job::plan::{PieceEdge, PiecePlan};
use mesh::nearest::Nearest;

const CHANNEL: &str = r#"
format = 1
number = "t"
title = "t"
unit = "millimetre"
[[section]]
id = "box"
title = "box end"
[section.joint]
kind = "bolted"
fixing = "bolt"
[[section.piece]]
kind = "folded"
name = "channel"
thickness = "1.2 mm"
material = "dc04"
face_up_is = "inside"
directions = "x runs rearward, y to the left"
base = [[0, 0], [180, 0], [180, 60], [0, 60]]
edge = [
  { edge = 0, make_ups = [{ make = "flange", opening = "90°", radius = 1, width = 40, turns = "inside" }] },
  { edge = 2, make_ups = [{ make = "flange", opening = "90°", radius = 1, width = 40, turns = "inside" }] },
]
"#;

fn edge<'a>(piece: &'a PiecePlan, name: &str) -> &'a PieceEdge {
    let names: Vec<&str> = piece.edges.iter().map(|edge| edge.name.as_str()).collect();
    piece.edges.iter().find(|edge| edge.name == name).unwrap_or_else(|| panic!("{name:?} is not among {names:?}"))
}

/// A channel 60 wide, 40 high and 180 long over the outside: legs stand at y = 0 and y = 60, the underside at z = 0.
#[test]
fn a_channel_has_the_edges_that_its_sizes_say() {
    let plan = planned(CHANNEL);
    let faults: Vec<_> = plan.all_faults().collect();
    assert!(faults.is_empty(), "{faults:?}");
    let piece = &plan.sections[0].pieces[0];
    for (name, length_mm, from, to, into, outward) in [
        ("edge 0", 180.0, [0., 0., 40.], [180., 0., 40.], DVec3::NEG_Z, DVec3::NEG_Y),
        ("edge 1", 60.0, [180., 0., 0.], [180., 60., 0.], DVec3::NEG_X, DVec3::NEG_Z),
        ("edge 2", 180.0, [180., 60., 40.], [0., 60., 40.], DVec3::NEG_Z, DVec3::Y),
        ("edge 3", 60.0, [0., 60., 0.], [0., 0., 0.], DVec3::X, DVec3::NEG_Z),
        ("edge 0 start", 40.0, [0., 0., 0.], [0., 0., 40.], DVec3::X, DVec3::NEG_Y),
        ("edge 0 end", 40.0, [180., 0., 0.], [180., 0., 40.], DVec3::NEG_X, DVec3::NEG_Y),
        ("edge 2 start", 40.0, [180., 60., 0.], [180., 60., 40.], DVec3::NEG_X, DVec3::Y),
    ] {
        let own = edge(piece, name);
        assert!((own.length_mm - length_mm).abs() < 1e-9, "{name}: {}", own.length_mm);
        for (point, wanted) in [(own.points[0], from), (*own.points.last().unwrap(), to)] {
            assert!(point.at_mm.distance(DVec3::from_array(wanted)) < 1e-9, "{name}: {point:?}");
            assert!(
                point.into_sheet.distance(into) < 1e-9 && point.outward.distance(outward) < 1e-9,
                "{name}: {point:?}"
            );
        }
    }
}

/// The triangles of a shape that have an area, with the points that they use.
fn without_loose_points(shape: &mesh::Surface) -> mesh::Skin {
    let mut place = std::collections::BTreeMap::new();
    let mut skin = mesh::Skin { points_mm: Vec::new(), triangles: Vec::new() };
    for corners in &shape.triangles {
        let at = |id: mesh::PointId| shape.points_mm[id.0 as usize];
        let [p, q, r] = corners.map(at);
        // where a built-up ring has a sharp corner its rows of points lie on one another
        if (q - p).cross(r - p).length() <= 1e-9 {
            continue;
        }
        let own = corners.map(|id| {
            *place.entry(id.0).or_insert_with(|| {
                skin.points_mm.push(at(id));
                skin.points_mm.len() as u32 - 1
            })
        });
        skin.triangles.push(own);
    }
    skin
}

/// Every edge of every demo strip and skin, and every rim of a folded piece, lies on the finished shape; its directions are
/// unit and square to one another; no name is there twice.
#[test]
fn edges_lie_on_the_finished_shape() {
    let mut looked_at = 0;
    for (name, text) in EXAMPLES {
        let plan = planned(text);
        // a ring that is built up is one ring for whoever joins it
        for piece in plan.sections.iter().flat_map(job::plan::SectionPlan::as_fitted) {
            let piece = piece.as_ref();
            let shape = without_loose_points(&piece.shape);
            let near = Nearest::new(&shape).unwrap();
            let mut names: Vec<&str> = piece.edges.iter().map(|edge| edge.name.as_str()).collect();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), piece.edges.len(), "{name}: {names:?}");
            for edge in &piece.edges {
                let folded_end = piece.kind == "folded" && (edge.name.ends_with("start") || edge.name.ends_with("end"));
                looked_at += 1;
                let last = edge.points.len() - 1;
                for (i, point) in edge.points.iter().enumerate() {
                    let off_mm = near.closest(point.at_mm).unwrap().at_mm.distance(point.at_mm);
                    // the corner of a skin beside a fold is the sharp one: (r + t)·(√2 − 1) off the rounded bend, more where
                    // two flanges meet with a relief between them
                    let corner = matches!(piece.kind.as_str(), "skin" | "folded") && (i == 0 || i == last);
                    let most_mm = if corner { 3.0 } else { 0.11 };
                    assert!(folded_end || off_mm < most_mm, "{name}, {}, {}: {off_mm}", piece.name, edge.name);
                    assert!(
                        (point.into_sheet.length() - 1.0).abs() < 1e-6 && (point.outward.length() - 1.0).abs() < 1e-6
                    );
                    let skew = point.into_sheet.dot(point.outward).abs();
                    assert!(skew < 0.02, "{name}, {}, {}: {skew}", piece.name, edge.name);
                }
                let chords: f64 = edge.points.windows(2).map(|p| p[0].at_mm.distance(p[1].at_mm)).sum();
                let closing = if edge.closed { edge.points[last].at_mm.distance(edge.points[0].at_mm) } else { 0.0 };
                let chords = chords + closing;
                assert!((edge.length_mm / chords - 1.0).abs() < 1e-3, "{name}, {}: {chords}", edge.name);
            }
        }
    }
    assert!(looked_at > 40, "{looked_at}");
}
