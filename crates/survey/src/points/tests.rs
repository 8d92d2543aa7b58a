use super::*;

fn dome_text() -> String {
    let mut text = "x, y, z\n# a dome over a slanting plane\n".to_owned();
    for i in -5..=5 {
        for j in -4..=4 {
            let (x, y) = (f64::from(30 * i), f64::from(30 * j));
            text += &format!("{x}, {y}; {}\n", 0.2 * x - (x * x + y * y) / 1000.0);
        }
    }
    text
}

#[test]
fn points_come_with_their_plane_the_outside_on_the_proud_side() {
    let measured = read(&dome_text(), &PointSettings::default()).unwrap();
    assert_eq!(measured.readings.len(), 99);
    assert_eq!(measured.readings[0].origin, Origin::Line(3));
    let frame = measured.frame;
    assert!(frame.outward.z > 0.9 && frame.along.x > 0.9, "{frame:?}");
    assert!((frame.along.cross(frame.across) - frame.outward).length() < 1e-12, "right-handed");
    let slanting = DVec3::new(-0.2, 0.0, 1.0).normalize();
    assert!(frame.outward.dot(slanting) > 0.9999, "{}", frame.outward);
    let area = mesh::polygon::signed_area_mm2(&measured.outline_mm);
    assert!(area > 300.0 * 240.0, "{area}: the hull, a little longer on the slanting plane");
    let dish = PointSettings { outward: Some(DVec3::NEG_Z), ..Default::default() };
    assert!(read(&dome_text(), &dish).unwrap().frame.outward.z < -0.9, "as told");
    let point = measured.readings[7];
    let back = frame.point_mm(point.u_mm, point.v_mm, point.height_mm);
    assert!((back.z - (0.2 * back.x - (back.x * back.x + back.y * back.y) / 1000.0)).abs() < 1e-9);
}

#[test]
fn a_reach_may_stand_on_each_line_and_the_unit_is_told() {
    let text = "0 0 0 0.01\n10 0 0 0.02\n0 10 0.5\n";
    let settings = PointSettings { unit_mm: Some(25.4), reach_mm: Some(0.3), ..Default::default() };
    let measured = read(text, &settings).unwrap();
    let reaches: Vec<f64> = measured.readings.iter().map(|reading| reading.reach_mm).collect();
    assert!((reaches[1] - 0.508).abs() < 1e-12 && reaches[2] == 0.3);
    assert!(measured.concerns.is_empty());
}

#[test]
fn bad_lines_are_named() {
    let refused = |text: &str, words: &[&str]| {
        let message = read(text, &PointSettings::default()).unwrap_err().to_string();
        words.iter().for_each(|word| assert!(message.contains(word), "{message}"));
    };
    refused("0 0 0\n100 0 NaN\n0 100 0\n", &["line 2", "z is NaN", "finite"]);
    refused("0 0 0\n100 0\n0 100 0\n", &["line 2", "2 numbers", "3 or 4"]);
    refused("0 0 0\n100 0 ten\n0 100 0\n", &["line 2", "z is \"ten\""]);
    refused("0 0 0\n100 0 0 -1\n0 100 0\n", &["line 2", "reach is -1", "more than 0"]);
    refused("0 0 0\n100 0 0\n", &["there are 2", "3 or more"]);
    refused("", &["there are 0"]);
    refused("0 0 0\n100 100 100\n200 200 200\n300 300 300\n", &["one line"]);
    refused("0 0 0\n4 0 0\n0 4 0\n2 2 0.1\n", &["4.00 mm long", "25.4 times too small"]);
    refused("0 0 0\n9000 0 0\n0 4 0\n", &["25.4 times too big"]);
    let bad = PointSettings { reach_mm: Some(f64::NAN), ..Default::default() };
    assert!(read("0 0 0\n100 0 0\n0 100 0\n", &bad).unwrap_err().to_string().contains("the reach is NaN"));
}

#[test]
fn points_beyond_the_limit_are_refused() {
    let text = "1 2 3\n".repeat(MOST_READINGS + 1);
    let message = read(&text, &PointSettings::default()).unwrap_err().to_string();
    assert!(message.contains("2000000 points"), "{message}");
    let skin = Skin { points_mm: vec![DVec3::ONE; MOST_READINGS + 1], triangles: Vec::new() };
    assert!(of_skin(&skin, &PointSettings::default()).unwrap_err().to_string().contains("at most 2000000"));
}

#[test]
fn the_faces_of_a_mesh_say_which_side_is_out() {
    let points_mm = vec![DVec3::ZERO, DVec3::X * 100.0, DVec3::new(100.0, 100.0, 0.0), DVec3::new(0.0, 100.0, 1.0)];
    let up = Skin { points_mm, triangles: vec![[0, 1, 2], [0, 2, 3]] };
    let down = Skin { triangles: vec![[0, 2, 1], [0, 3, 2]], ..up.clone() };
    let outward = |skin: &Skin| of_skin(skin, &PointSettings::default()).unwrap().frame.outward;
    assert!(outward(&up).z > 0.99 && outward(&down).z < -0.99);
    let loose = Skin { triangles: Vec::new(), ..up };
    assert_eq!(of_skin(&loose, &PointSettings::default()).unwrap().readings.len(), 4);
}
