use super::*;
use crate::{Face, Origin};
use std::fmt::Write as _;

/// A barrel measured at four stations, 300 mm long.
fn barrel() -> String {
    let mut text = "stations_format = 1\nreach = '0.4 mm'\n".to_owned();
    for station in [0, 100, 200, 300] {
        let _ = writeln!(text, "[[profiles]]\nstation = '{station} mm'\npoints = [");
        for across in [-80, -40, 0, 40, 80] {
            let _ = writeln!(text, "  ['{across} mm', '{} mm'],", f64::from(6400 - across * across) / 800.0);
        }
        text += "]\n";
    }
    text
}

#[track_caller]
fn refused(text: &str, words: &[&str]) {
    let message = read(text).unwrap_err().to_string();
    words.iter().for_each(|word| assert!(message.contains(word), "{message}"));
    assert!(!message.contains('\n'), "one line: {message}");
}

#[test]
fn a_file_is_read_with_its_outline_from_the_ends_of_the_profiles() {
    let measured = read(&barrel()).unwrap();
    assert_eq!(measured.readings.len(), 20);
    assert_eq!(measured.stations_mm, [0.0, 100.0, 200.0, 300.0]);
    assert_eq!(measured.face, Face::Outside);
    let reading = measured.readings[6];
    assert_eq!((reading.u_mm, reading.v_mm, reading.height_mm, reading.reach_mm), (100.0, -40.0, 6.0, 0.4));
    assert_eq!(reading.origin, Origin::Station { profile: 2, point: 2 });
    assert_eq!(mesh::polygon::signed_area_mm2(&measured.outline_mm), 300.0 * 160.0);
    assert!(measured.concerns.is_empty());
    assert_eq!(
        read(&barrel().replace("reach = '0.4 mm'", "")).unwrap().concerns.len(),
        1,
        "a reach nobody told is said"
    );
}

#[test]
fn lengths_are_read_as_the_shop_writes_them() {
    let inches = barrel().replace("stations_format = 1", "stations_format = 1\nunit = 'in'\nface = 'inside'");
    let inches = inches.replace("['80 mm', '0 mm']", "[3.25, '-1/16 in']").replace("'0.4 mm'", "0.02");
    let measured = read(&inches).unwrap();
    let last = measured.readings[4];
    assert!(
        (last.v_mm - 82.55).abs() < 1e-9
            && (last.height_mm + 1.5875).abs() < 1e-9
            && (last.reach_mm - 0.508).abs() < 1e-9
    );
    assert_eq!(measured.face, Face::Inside);
}

#[test]
fn an_outline_and_holes_are_read_whichever_way_they_run() {
    let shape = "outline = [[0, -70], [0, 70], [280, 70], [280, -70]]\nholes = [[[100, 0], [140, 0], [120, 30]]]\n";
    let measured = read(&barrel().replace("reach =", &(shape.to_owned() + "reach ="))).unwrap();
    assert_eq!(mesh::polygon::signed_area_mm2(&measured.outline_mm), 280.0 * 140.0);
    assert_eq!(measured.holes_mm.len(), 1);
    let with = |shape: &str| barrel().replace("reach =", &(shape.to_owned() + "\nreach ="));
    refused(&with("outline = [[0, 0], [100, 60], [100, 0], [0, 60]]"), &["outline", "meet near (50.0, 30.0)"]);
    refused(&with("outline = [[0, 0], [100, 0]]"), &["outline", "2 corners", "3 or more"]);
    refused(&with("holes = [[[500, 0], [540, 0], [520, 30]]]"), &["holes 1", "inside the outline"]);
    refused(
        &with("holes = [[[100, 0], [140, 0], [120, 30]], [[110, 5], [240, 5], [120, 10]]]"),
        &["holes 2", "another hole"],
    );
}

#[test]
fn bad_files_are_named_with_field_value_and_what_is_accepted() {
    refused("stations_format = 1\n", &["profiles", "there are 0", "3 or more"]);
    refused("stations_format = 2\n", &["stations_format", "it is 2", "1 is accepted"]);
    refused("stations_format = \n", &["line 1"]);
    refused(&barrel().replace("reach =", "colour ="), &["line 2", "colour"]);
    refused(
        &barrel().replace("'200 mm'", "'20 mm'"),
        &["profile 3 (station 20 mm)", "is 20 mm", "is at 100 mm", "grow"],
    );
    refused(&barrel().replacen("['0 mm', '8 mm']", "['0 mm', nan]", 1), &["NaN"]);
    refused(&barrel().replacen("['0 mm', '8 mm']", "['0 mm', 'deep']", 1), &["deep"]);
    refused(
        &barrel().replacen("['0 mm', '8 mm']", "['-60 mm', '8 mm']", 1),
        &["profile 1", "point 3 is at -60 mm", "-40 mm"],
    );
    refused(&barrel().replacen("reach = '0.4 mm'", "reach = '-1 mm'", 1), &["reach", "-1 mm"]);
    refused(&barrel().replacen("reach = '0.4 mm'", "reach = '90 mm'", 1), &["reach", "90 mm", "50"]);
}

#[test]
fn a_profile_that_runs_backwards_is_named() {
    let back = "[[profiles]]\nstation = '400 mm'\npoints = [['80 mm', 0], ['0 mm', 8], ['-80 mm', 0]]\n";
    refused(&(barrel() + back), &["profile 5 (station 400 mm)", "backwards"]);
}

#[test]
fn two_profiles_and_absurd_sizes_are_named() {
    let two: String =
        barrel().split_inclusive("[[profiles]]").take(3).collect::<String>().trim_end_matches("[[profiles]]").into();
    refused(&two, &["there are 2", "3 or more"]);
    // numbers without a unit, inches taken as millimetres
    let tiny = barrel().replace(" mm'", "").replace("'0.4", "0.4");
    let tiny =
        tiny.replace('\'', "").replace("station = 300", "station = 3.3").replace("station = 200", "station = 3.2");
    let tiny = tiny.replace("station = 100", "station = 3.1").replace("-80,", "-3,").replace("-40,", "-2,");
    let tiny = tiny.replace("[40,", "[2,").replace("[80,", "[3,");
    refused(&tiny, &["6.00 mm long", "25.4 times too small"]);
    let huge = barrel().replace("station = '300 mm'", "station = '300 in'").replace("'200 mm'", "'250 in'");
    assert!(read(&huge).is_ok(), "7.6 m is a long panel");
    refused(&huge.replace("'300 in'", "'700 in'"), &["25.4 times too big"]);
}
