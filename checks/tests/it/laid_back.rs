//! Templates and bucks cut from a mesh and laid back on the true surface.
//!
//! The surfaces have closed forms (sphere, torus: distance by geometry; saddle: nearest point by Newton's method), so that nothing of
//! the program stands on the other side of the comparison. Agreement asked for: 0.05 mm, of which the mesh may take the sagitta
//! of its chords and the curve its tolerance of 0.02 mm.

use crate::skins::{Cut, cap, patch, saddle, torus};
use blank::templates::buck::{Buck, BuckOrder, BuckSettings, Spacing, buck, check_assembly};
use blank::templates::{
    CardSettings, CheckingTemplate, Datum, FacedSkin, MarkKind, Points, StationOrder, TemplateError, checking_template,
};
use glam::{DVec2, DVec3};
use mesh::Skin;
use mesh::polygon::contains;
use mesh::sections::{FitSettings, SectionPlane};
use section::{Face, Hand};

const AGREES_MM: f64 = 0.05;
const THICKNESS_MM: f64 = 0.9;

/// Signed distance of a point from a true surface, positive on its outside.
type Distance = Box<dyn Fn(DVec3) -> f64>;

struct Shape {
    name: &'static str,
    skin: Skin,
    distance: Distance,
    /// A point over the middle and a direction outward there.
    middle: DVec3,
    outward: DVec3,
}

fn sphere_distance(p: DVec3) -> f64 {
    p.length() - 400.0
}

/// Tube of radius 60 about the circle of radius 330 in the plane z = 0.
fn torus_distance(p: DVec3) -> f64 {
    DVec2::new(DVec2::new(p.x, p.y).length() - 330.0, p.z).length() - 60.0
}

/// z = (x² − y²)/600, outside up: the foot of the normal by Newton's method on the two parameters.
fn saddle_distance(p: DVec3) -> f64 {
    let (mut x, mut y) = (p.x, p.y);
    for _ in 0..50 {
        let height = (x * x - y * y) / 600.0 - p.z;
        let (fx, fy) = (x / 300.0, -y / 300.0);
        // gradient and Hessian of half the squared distance
        let (gx, gy) = (x - p.x + height * fx, y - p.y + height * fy);
        let (hxx, hyy, hxy) = (1.0 + fx * fx + height / 300.0, 1.0 + fy * fy - height / 300.0, fx * fy);
        let det = hxx * hyy - hxy * hxy;
        x -= (gx * hyy - gy * hxy) / det;
        y -= (gy * hxx - gx * hxy) / det;
    }
    let foot = DVec3::new(x, y, (x * x - y * y) / 600.0);
    let normal = DVec3::new(-x / 300.0, y / 300.0, 1.0).normalize();
    (p - foot).dot(normal)
}

/// The mesh with its triangles turned where they face inward.
fn facing(skin: Skin, outward: DVec3) -> Skin {
    let total: DVec3 = (0..skin.triangles.len()).map(|t| skin.double_area_normal(t)).sum();
    if total.dot(outward) > 0.0 {
        return skin;
    }
    Skin { triangles: skin.triangles.iter().map(|&[a, b, c]| [a, c, b]).collect(), points_mm: skin.points_mm }
}

/// Edges of about 5 mm: sagittas of 0.01 to 0.03 mm.
fn shapes(cut: Cut) -> Vec<Shape> {
    let quarter = DVec3::new(1.0, 1.0, 0.0).normalize();
    let fine = |name, skin: Skin, distance: Distance, middle, outward| Shape {
        name,
        skin: facing(skin, outward),
        distance,
        middle,
        outward,
    };
    vec![
        fine("cap", cap(400.0, 0.6, 20_000, cut), Box::new(sphere_distance), DVec3::Z * 400.0, DVec3::Z),
        fine(
            "torus, dome side",
            patch([612.0, 125.0], 30_000, cut, torus(0.0)),
            Box::new(torus_distance),
            quarter * 390.0,
            quarter,
        ),
        fine(
            "torus, saddle side",
            patch([424.0, 125.0], 22_000, cut, torus(180.0)),
            Box::new(torus_distance),
            quarter * 270.0,
            -quarter,
        ),
        fine("saddle", patch([300.0, 300.0], 20_000, cut, saddle), Box::new(saddle_distance), DVec3::ZERO, DVec3::Z),
    ]
}

fn settings() -> CardSettings {
    CardSettings { curve: FitSettings { tolerance_mm: 0.02, chord_error_mm: 0.03 }, ..CardSettings::default() }
}

fn order(plane: SectionPlane, half_mm: f64) -> StationOrder {
    let datum = |name: &str, x: f64| Datum { name: name.into(), at_mm: plane.to_space(DVec2::new(x, 0.0)) };
    StationOrder {
        name: "template 1".into(),
        station: "station 120".into(),
        plane,
        datums: [datum("hole a", -half_mm), datum("hole b", half_mm)],
        hand: Some(Hand::Right),
    }
}

/// Planes through the outward direction, turned round it and moved aside, as far as each surface goes.
fn planes(shape: &Shape) -> Vec<SectionPlane> {
    let across = shape.outward.any_orthonormal_vector();
    let turns = [0.0f64, 0.7, 1.9, 2.7];
    let plane = |(i, turn): (usize, &f64)| {
        let along = across * turn.cos() + shape.outward.cross(across) * turn.sin();
        let aside = shape.outward.cross(along) * (12.0 * i as f64);
        SectionPlane::new(shape.middle + aside, along, shape.outward).unwrap()
    };
    turns.iter().enumerate().map(plane).collect()
}

/// Worst distance of the touching edge from the surface moved by `offset_mm`.
fn off(template: &CheckingTemplate, distance: &Distance, offset_mm: f64) -> f64 {
    let points = template.touching.iter().flat_map(|chain| chain.flattened_mm(1e-4));
    points.map(|p| (distance(template.plane.to_space(p)) - offset_mm).abs()).fold(0.0, f64::max)
}

#[test]
fn templates_laid_back_on_the_true_surface_agree() {
    for cut in [Cut::Regular, Cut::Jittered(7)] {
        for shape in shapes(cut) {
            for (touches, offset_mm) in [(Face::Outside, 0.0), (Face::Inside, -THICKNESS_MM)] {
                let faced = FacedSkin::new(&shape.skin, Face::Outside, THICKNESS_MM, touches, 0.0).unwrap();
                for plane in planes(&shape) {
                    let template = checking_template(&faced, &order(plane, 20.0), &settings()).unwrap();
                    let worst = off(&template, &shape.distance, offset_mm);
                    assert!(worst < AGREES_MM, "{} {touches:?}: {worst:.4} mm", shape.name);
                    // a template of the other face would be noticed
                    assert!(off(&template, &shape.distance, -THICKNESS_MM - offset_mm) > 0.8);
                    sound_card(&shape, &template, touches);
                }
            }
        }
    }
}

/// Outline closed and simple with the card on the side away from the sheet, marks on it, few steps.
fn sound_card(shape: &Shape, template: &CheckingTemplate, touches: Face) {
    let outline = template.outline.flattened_mm(0.01);
    assert!(mesh::polygon::check_simple(&outline).is_ok());
    assert!(mesh::polygon::signed_area_mm2(&outline) > 0.0);
    let steps: usize = template.touching.iter().map(|chain| chain.vertices.len() - 1).sum();
    assert!(steps <= 24, "{}: {steps} steps", shape.name);
    // 90 with 15 round it
    let width = template.back_mm[0].distance(template.back_mm[1]);
    assert_eq!(template.hand_hole.is_some(), width > 120.0, "{}: {width}", shape.name);
    let hole = template.hand_hole.clone().unwrap_or_default();
    assert!(hole.flattened_mm(0.1).iter().all(|p| contains(&outline, *p)));
    assert_eq!(template.marks.iter().filter(|mark| mark.kind == MarkKind::SectionEnd).count(), 2);
    let station = template.marks.iter().find(|mark| mark.kind == MarkKind::Station).unwrap();
    let way = station.line_mm[1] - station.line_mm[0];
    let along = (template.back_mm[0] - template.back_mm[1]).normalize();
    assert!(way.normalize().dot(along).abs() < 1e-9 && way.length() > 59.9, "square to the back, down to the edge");
    let behind = (shape.distance)(template.plane.to_space(station.line_mm[0] + way.normalize() * 20.0));
    assert!(if touches == Face::Outside { behind > 15.0 } else { behind < -15.0 }, "{}: {behind}", shape.name);
    assert_eq!(template.datums.len(), 2);
    assert!(template.datums.iter().all(|datum| datum.off_plane_mm.abs() < 1e-9));
    let apart = template.datums[0].along_mm - template.datums[1].along_mm;
    assert!(apart.abs() <= 40.0 + 1e-9 && apart.abs() > 30.0);
}

#[test]
fn the_label_says_front_up_hand_and_face() {
    let shape = shapes(Cut::Regular).remove(0);
    let faced = FacedSkin::new(&shape.skin, Face::Outside, THICKNESS_MM, Face::Inside, 0.0).unwrap();
    // across the vehicle, seen from the rear: x of the card to the right (−y), up is up; along × up = −y × z = −x
    let plane = SectionPlane::new(DVec3::Z * 400.0, -DVec3::Y, DVec3::Z).unwrap();
    let template = checking_template(&faced, &order(plane, 20.0), &settings()).unwrap();
    assert_eq!((template.label.front, template.label.up), (Points::OtherFace, Points::Along(DVec2::Y)));
    let lines = template.label.lines().join("; ");
    for words in [
        "template 1",
        "station 120",
        "RIGHT hand",
        "inside face",
        "face without letters looks to the front",
        "arrow up",
    ] {
        assert!(lines.contains(words), "{words} in {lines}");
    }
}

/// A cap less the triangles whose middle lies within a circle about x = 100.
fn holed_cap() -> Skin {
    let whole = cap(400.0, 0.6, 20_000, Cut::Regular);
    let keep = |t: &usize| {
        let c = whole.corners(*t).iter().sum::<DVec3>() / 3.0;
        DVec2::new(c.x - 100.0, c.y).length() > 30.0
    };
    let mut number = vec![u32::MAX; whole.points_mm.len()];
    let mut points_mm = Vec::new();
    let triangles = (0..whole.triangles.len()).filter(keep).map(|t| {
        whole.triangles[t].map(|old| {
            if number[old as usize] == u32::MAX {
                number[old as usize] = points_mm.len() as u32;
                points_mm.push(whole.points_mm[old as usize]);
            }
            number[old as usize]
        })
    });
    let triangles = triangles.collect();
    Skin { points_mm, triangles }
}

#[test]
fn a_template_bridges_a_hole_and_marks_its_edges() {
    let faced = FacedSkin::new(&holed_cap(), Face::Outside, THICKNESS_MM, Face::Outside, 0.0).unwrap();
    let plane = SectionPlane::new(DVec3::Z * 400.0, DVec3::X, DVec3::Z).unwrap();
    let template = checking_template(&faced, &order(plane, 20.0), &settings()).unwrap();
    assert_eq!((template.touching.len(), template.other_lines), (2, 0));
    assert_eq!(template.marks.iter().filter(|mark| mark.kind == MarkKind::HoleEdge).count(), 2);
    let distance: Distance = Box::new(sphere_distance);
    assert!(off(&template, &distance, 0.0) < AGREES_MM);
    // over the hole the card keeps clear of where the sheet would be
    let outline = template.outline.flattened_mm(0.01);
    let over = outline.iter().filter(|p| (p.x - 100.0).abs() < 20.0 && p.y < 0.0);
    assert!(over.clone().all(|p| sphere_distance(plane.to_space(*p)) > 3.0));
}

#[test]
fn bad_stations_are_named() {
    let shape = shapes(Cut::Regular).remove(0);
    let faced = FacedSkin::new(&shape.skin, Face::Outside, THICKNESS_MM, Face::Inside, 0.0).unwrap();
    let middle = SectionPlane::new(DVec3::Z * 400.0, DVec3::X, DVec3::Z).unwrap();
    let refusal = |order: &StationOrder, card: &CardSettings| checking_template(&faced, order, card).unwrap_err();
    let missed = SectionPlane::new(DVec3::new(0.0, 300.0, 400.0), DVec3::X, DVec3::Z).unwrap();
    assert!(matches!(refusal(&order(missed, 20.0), &settings()), TemplateError::Section { .. }));
    let level = SectionPlane::new(DVec3::Z * 390.0, DVec3::X, DVec3::Y).unwrap();
    assert!(matches!(refusal(&order(level, 20.0), &settings()), TemplateError::Closes { .. }));
    let beside = SectionPlane::new(DVec3::new(500.0, 0.0, 400.0), DVec3::X, DVec3::Z).unwrap();
    assert!(matches!(refusal(&order(beside, 20.0), &settings()), TemplateError::Beyond { .. }));
    let message = refusal(&order(middle, 300.0), &settings()).to_string();
    assert!(message.contains("hole a lies at") && message.contains("runs from 0 to"), "{message}");
    let mut nan = order(middle, 20.0);
    nan.datums[1].at_mm.y = f64::NAN;
    assert!(matches!(refusal(&nan, &settings()), TemplateError::NotUsable { .. }));
    let shallow = CardSettings { depth_mm: 30.0, ..settings() };
    assert!(matches!(refusal(&order(middle, 20.0), &shallow), TemplateError::OutOfRange { .. }));
    let thick = FacedSkin::new(&shape.skin, Face::Outside, f64::NAN, Face::Inside, 0.0);
    assert!(matches!(thick, Err(TemplateError::OutOfRange { .. })));
    let small = cap(40.0, 1.2, 2_000, Cut::Regular);
    let deep = FacedSkin::new(&small, Face::Outside, 0.9, Face::Inside, 60.0);
    assert!(matches!(deep, Err(TemplateError::TurnsOver { .. })), "a buck for a ball of radius 40 under 60 mm of felt");
}

fn base_below(shape: &Shape, depth_mm: f64, turn: f64) -> SectionPlane {
    let across = shape.outward.any_orthonormal_vector();
    let along = across * turn.cos() + shape.outward.cross(across) * turn.sin();
    SectionPlane::new(shape.middle - shape.outward * depth_mm, along, shape.outward.cross(along)).unwrap()
}

/// Signed distance of the tops from the inside face, over the whole thickness of the board: the highest must lie on it.
fn tops(buck: &Buck, distance: &Distance, offset_mm: f64) -> [f64; 2] {
    let mut range = [f64::INFINITY, f64::NEG_INFINITY];
    for slice in &buck.slices {
        for point in slice.touching.iter().flat_map(|chain| chain.flattened_mm(1e-4)) {
            let over_board = (-6..=6).map(|i| {
                let at = slice.plane.moved(f64::from(i) / 12.0 * buck.settings.board_mm);
                distance(at.to_space(point)) - offset_mm
            });
            let nearest = over_board.fold(f64::NEG_INFINITY, f64::max);
            range = [range[0].min(nearest), range[1].max(nearest)];
        }
    }
    range
}

fn goes_together(buck: &Buck) {
    let (s, assembly) = (&buck.settings, check_assembly(buck));
    assert!(assembly.interference_mm < 1e-6, "{}", assembly.interference_mm);
    assert!(assembly.base_gap_mm < 1e-12);
    assert_eq!(assembly.meetings.len(), buck.slices.iter().map(|slice| slice.slots.len()).sum::<usize>() / 2);
    for meeting in &assembly.meetings {
        let name = format!("{} {}", meeting.a, meeting.b);
        assert!((meeting.seat_gap_mm - s.seat_clearance_mm).abs() < 1e-9, "{name} {}", meeting.seat_gap_mm);
        for gap in meeting.side_gap_mm {
            assert!((gap - 0.5 * s.slot_clearance_mm).abs() < 1e-9, "{name} {gap}");
        }
        assert!((meeting.meets_at_share - 0.5).abs() < 0.01, "{name} {}", meeting.meets_at_share);
    }
}

#[test]
fn bucks_go_together_and_carry_the_sheet() {
    for shape in shapes(Cut::Regular) {
        for turn in [0.0, 0.2] {
            let faced = FacedSkin::new(&shape.skin, Face::Outside, THICKNESS_MM, Face::Inside, 0.0).unwrap();
            let pitch = Spacing::Pitch(48.0);
            let order = BuckOrder { base: base_below(&shape, 260.0, turn), across: pitch.clone(), along: pitch };
            let made = buck(&faced, &order, &BuckSettings::default(), &settings()).unwrap();
            assert!(made.slices.len() >= 6, "{}: {}", shape.name, made.slices.len());
            goes_together(&made);
            let [least, most] = tops(&made, &shape.distance, -THICKNESS_MM);
            assert!(least > -AGREES_MM && most < AGREES_MM, "{}: {least:.4} to {most:.4}", shape.name);
            for slice in &made.slices {
                let outline = slice.outline.flattened_mm(0.01);
                assert!(mesh::polygon::signed_area_mm2(&outline) > 0.0);
                assert!(slice.outline.vertices.len() < 140, "{} {}", slice.name, slice.outline.vertices.len());
            }
        }
    }
}

#[test]
fn a_buck_under_felt_and_a_cradle_outside() {
    let shape = shapes(Cut::Regular).remove(0);
    let pitch = Spacing::Pitch(80.0);
    let felt = FacedSkin::new(&shape.skin, Face::Outside, THICKNESS_MM, Face::Inside, 3.0).unwrap();
    let order = BuckOrder { base: base_below(&shape, 260.0, 0.0), across: pitch.clone(), along: pitch.clone() };
    let made = buck(&felt, &order, &BuckSettings::default(), &settings()).unwrap();
    let [least, most] = tops(&made, &shape.distance, -THICKNESS_MM - 3.0);
    assert!(least > -AGREES_MM && most < AGREES_MM, "{least} {most}");
    // face down in a cradle: the base lies outside the sheet
    let outside = FacedSkin::new(&shape.skin, Face::Outside, THICKNESS_MM, Face::Outside, 0.0).unwrap();
    let base = SectionPlane::new(DVec3::Z * 500.0, DVec3::X, -DVec3::Y).unwrap();
    let cradle = BuckOrder { base, across: pitch.clone(), along: pitch.clone() };
    let made = buck(&outside, &cradle, &BuckSettings::default(), &settings()).unwrap();
    goes_together(&made);
    let inside: Distance = Box::new(|p| -sphere_distance(p));
    let [least, most] = tops(&made, &inside, 0.0);
    assert!(least > -AGREES_MM && most < AGREES_MM, "{least} {most}");
    assert!(matches!(
        buck(&outside, &order, &BuckSettings::default(), &settings()),
        Err(TemplateError::WrongSide { .. })
    ));
}

#[test]
fn a_buck_leaves_a_hole_of_the_skin_free() {
    let faced = FacedSkin::new(&holed_cap(), Face::Outside, THICKNESS_MM, Face::Inside, 0.0).unwrap();
    let base = SectionPlane::new(DVec3::Z * 200.0, DVec3::X, DVec3::Y).unwrap();
    let at = |positions: &[f64]| Spacing::At(positions.to_vec());
    let order = BuckOrder { base, across: at(&[-100.0, -30.0, 40.0, 105.0]), along: at(&[-90.0, 0.0, 90.0]) };
    let made = buck(&faced, &order, &BuckSettings::default(), &settings()).unwrap();
    goes_together(&made);
    let distance: Distance = Box::new(sphere_distance);
    let [least, most] = tops(&made, &distance, -THICKNESS_MM);
    assert!(least > -AGREES_MM && most < AGREES_MM, "{least} {most}");
    let along = made.slices.iter().find(|slice| slice.name == "along 2").unwrap();
    let outline = along.outline.flattened_mm(0.01);
    let under_hole = along.plane.to_plane(DVec3::new(85.0, 0.0, 0.0)).x;
    let here = |height: f64| contains(&outline, DVec2::new(under_hole, height));
    assert!(here(170.0) && !here(184.0), "cut back under the hole by the relief");
}

#[test]
fn a_misplaced_slice_is_noticed() {
    let shape = shapes(Cut::Regular).remove(0);
    let faced = FacedSkin::new(&shape.skin, Face::Outside, THICKNESS_MM, Face::Inside, 0.0).unwrap();
    let pitch = Spacing::Pitch(80.0);
    let order = BuckOrder { base: base_below(&shape, 260.0, 0.0), across: pitch.clone(), along: pitch };
    let mut made = buck(&faced, &order, &BuckSettings::default(), &settings()).unwrap();
    goes_together(&made);
    made.slices[1].at_mm += 1.0;
    assert!(check_assembly(&made).interference_mm > 20.0, "the board stands in the wall of the slots");
}

#[test]
fn bad_bucks_are_named() {
    let shape = shapes(Cut::Regular).remove(0);
    let faced = FacedSkin::new(&shape.skin, Face::Outside, THICKNESS_MM, Face::Inside, 0.0).unwrap();
    let base = base_below(&shape, 260.0, 0.0);
    let good = BuckSettings::default();
    let refusal = |base, a: Spacing, settings_: &BuckSettings| {
        let order = BuckOrder { base, across: a, along: Spacing::Pitch(80.0) };
        buck(&faced, &order, settings_, &settings()).unwrap_err()
    };
    let close = refusal(base, Spacing::Pitch(20.0), &good);
    assert!(matches!(close, TemplateError::TooClose { need_mm, .. } if (need_mm - 24.4).abs() < 1e-9), "{close}");
    assert!(matches!(refusal(base, Spacing::At(vec![0.0, 11.0]), &good), TemplateError::TooClose { .. }));
    assert!(matches!(refusal(base, Spacing::At(vec![0.0, 400.0]), &good), TemplateError::SliceBeyond { .. }));
    assert!(matches!(refusal(base, Spacing::At(vec![f64::NAN, 0.0]), &good), TemplateError::SliceBeyond { .. }));
    assert!(matches!(refusal(base, Spacing::At(Vec::new()), &good), TemplateError::OutOfRange { .. }));
    assert!(matches!(refusal(base, Spacing::Pitch(f64::NAN), &good), TemplateError::OutOfRange { .. }));
    let near = refusal(base_below(&shape, 100.0, 0.0), Spacing::Pitch(80.0), &good);
    assert!(matches!(near, TemplateError::TooLow { .. }) && near.to_string().contains("lower the base by"), "{near}");
    // lowered by what it asks for, it goes
    if let TemplateError::TooLow { lower_mm, .. } = near {
        let order = BuckOrder {
            base: base_below(&shape, 100.0 + 3.0 * lower_mm, 0.0),
            across: Spacing::Pitch(80.0),
            along: Spacing::Pitch(80.0),
        };
        assert!(buck(&faced, &order, &good, &settings()).is_ok());
    }
    let thin = BuckSettings { board_mm: f64::INFINITY, ..good };
    assert!(matches!(refusal(base, Spacing::Pitch(80.0), &thin), TemplateError::OutOfRange { .. }));
    // a base on edge: the cap lies in two layers over it or overhangs
    let on_edge = SectionPlane::new(DVec3::new(0.0, -300.0, 330.0), DVec3::X, -DVec3::Z).unwrap();
    let layers = refusal(on_edge, Spacing::Pitch(80.0), &good);
    assert!(matches!(layers, TemplateError::Overhangs { .. } | TemplateError::WrongSide { .. }), "{layers}");
}
