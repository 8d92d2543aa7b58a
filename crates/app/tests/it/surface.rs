//! `soundmetal surface` as a person runs it.

use super::command_line::{assert_refused, json, near, run, table_row};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

fn example() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/roof-dome-corner.stations.toml")
}

/// Points of a sphere of radius 500 in inches, scattered by a lattice of two steps.
fn ball_in_inches() -> String {
    let mut text = "x,y,z\n".to_owned();
    for i in -9..=9 {
        for j in -7..=7 {
            let (x, y) = (20.0 * f64::from(i), 20.0 * f64::from(j) + 3.0 * f64::from(i % 2));
            let z = (250_000.0 - x * x - y * y).sqrt();
            let _ = writeln!(text, "{:.5},{:.5},{:.5}", x / 25.4, y / 25.4, z / 25.4);
        }
    }
    text
}

#[test]
fn the_roof_corner_becomes_a_mesh_with_its_reach() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("corner.ply");
    let (stations, mesh) = (example(), out.to_str().unwrap().to_owned());
    let stations = stations.to_str().unwrap();
    let figures = json(&["surface", stations, "-o", &mesh, "--edge", "15 mm", "--json"]);
    assert_eq!(figures["stations"], 10);
    assert_eq!(figures["concerns"].as_array().unwrap().len(), 0, "{}", figures["concerns"]);
    // written to half a millimetre with an error of 0.2: residuals about 0.25, none beyond three reaches
    let rms = figures["residual_rms_mm"].as_f64().unwrap();
    assert!((0.1..0.35).contains(&rms), "{rms}");
    assert!(figures["residual_largest_mm"].as_f64().unwrap().abs() < 1.5);
    assert!(figures["reach_largest_mm"].as_f64().unwrap() < 1.5);
    let text = std::fs::read_to_string(&out).unwrap();
    assert!(text.starts_with("ply") && text.contains("property double reach_mm") && text.contains("outside face"));
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1, "nothing half-written is left");
    let flat = json(&[
        "flatten",
        &mesh,
        "--thickness",
        "0.9 mm",
        "--face",
        "outside",
        "--energy",
        "symmetric-dirichlet",
        "--json",
    ]);
    assert!(flat.is_object(), "the mesh can be flattened");
    let table = run(&["surface", stations, "-o", &mesh, "--edge", "30 mm"]);
    let table = String::from_utf8(table.stdout).unwrap();
    assert!(
        table.contains("residual, root mean square")
            && table.contains("reach of the surface")
            && table.contains("--face outside")
    );
}

#[test]
fn points_in_inches_become_a_ball_in_mm() {
    let folder = tempfile::tempdir().unwrap();
    let points = folder.path().join("points.csv");
    std::fs::write(&points, ball_in_inches()).unwrap();
    let points = points.to_str().unwrap();
    for name in ["ball.obj", "ball.stl"] {
        let out = folder.path().join(name).to_str().unwrap().to_owned();
        let figures = json(&[
            "surface",
            points,
            "-o",
            &out,
            "--points-unit",
            "in",
            "--reach",
            "0.1 mm",
            "--edge",
            "20 mm",
            "--json",
        ]);
        near(&figures["crown_radii_middle_mm"][0], 500.0, 10.0);
        near(&figures["crown_radii_middle_mm"][1], 500.0, 10.0);
        assert!(figures["triangles"].as_u64().unwrap() > 500);
    }
}

#[test]
fn bad_surveys_are_refused_in_one_line() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out.ply").to_str().unwrap().to_owned();
    let file = |name: &str, text: &str| {
        let path = folder.path().join(name);
        std::fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let stations = example();
    let stations = stations.to_str().unwrap();
    assert_refused(&["surface", stations, "-o", "out.step"], ".ply, .stl or .obj");
    assert_refused(&["surface", stations, "-o", &out, "--smoothing", "lots"], "--smoothing is lots");
    assert_refused(&["surface", stations, "-o", &out, "--edge", "0"], "the edge is 0");
    assert_refused(&["surface", stations, "-o", &out, "--edge", "wide"], "--edge");
    assert_refused(&["surface", stations, "-o", &out, "--tolerance", "0"], "the tolerance is 0");
    assert_refused(&["surface", stations, "-o", &out, "--reach", "1 mm"], "belong to points");
    assert_refused(&["surface", "no-such.stations.toml", "-o", &out], "cannot be read");
    let two = file("two.toml", "stations_format = 1\n[[profiles]]\nstation = 0\npoints = [[0, 0], [100, 1]]\n");
    assert_refused(&["surface", &two, "-o", &out], "3 or more are accepted");
    let line = file("line.txt", "0 0 0\n100 100 0\n200 200 0\n");
    assert_refused(&["surface", &line, "-o", &out], "one line");
    let small = file("small.txt", "0 0 0\n10 0 0\n0 9 0\n9 9 1\n");
    assert_refused(&["surface", &small, "-o", &out], "--points-unit");
    assert!(!Path::new(&out).exists(), "nothing was written");
}

/// A height read 45 mm off is a stop: no mesh that looks good is left, and one that is asked for all the same is refused by what cuts.
#[test]
fn a_mesh_with_a_slip_is_kept_back_and_refused() {
    let folder = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string(example()).unwrap();
    let slip = text.replacen("[80, 49.5]", "[80, 94.5]", 1);
    assert_ne!(slip, text);
    let [stations, out] = ["slip.toml", "slip.ply"].map(|name| folder.path().join(name));
    std::fs::write(&stations, slip).unwrap();
    let args = ["surface", stations.to_str().unwrap(), "-o", out.to_str().unwrap(), "--edge", "30 mm"];
    let output = run(&args);
    let words = String::from_utf8(output.stdout).unwrap();
    assert_eq!(output.status.code(), Some(3), "{words}");
    assert!(!out.exists() && words.contains("is not written") && !words.contains("soundmetal flatten"), "{words}");
    let output = run(&[&args[..], &["--anyway"]].concat());
    assert_eq!(output.status.code(), Some(3));
    assert!(out.exists());
    assert_refused(&["flatten", out.to_str().unwrap(), "--thickness", "0.9 mm"], "not to be cut from");
}

/// The face that the file says is taken without the option, and said; another one in the option is a caution.
#[test]
fn flatten_takes_the_face_from_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("corner.ply");
    let (stations, mesh) = (example(), out.to_str().unwrap());
    run(&["surface", stations.to_str().unwrap(), "-o", mesh, "--edge", "30 mm"]);
    let flat = |face: &[&str]| json(&[&["flatten", mesh, "--thickness", "0.9 mm", "--json"], face].concat());
    let (own, outside, middle) = (flat(&[]), flat(&["--face", "outside"]), flat(&["--face", "middle"]));
    assert_eq!(own["flat_area_mm2"], outside["flat_area_mm2"]);
    assert_eq!((own["face"].as_str(), own["face_known"].as_str()), (Some("outside"), Some("as its file says")));
    assert!(own["flat_area_mm2"].as_f64().unwrap() < middle["flat_area_mm2"].as_f64().unwrap());
    assert_eq!(middle["concerns"][0]["key"], "mesh-face");
    // five corners, five edges, each with its own figure
    assert_eq!(own["edges"].as_array().unwrap().len(), 5, "{}", own["edges"]);
    assert!(own["nearest_limit"]["margin"].as_f64().unwrap() > 0.1);
}

#[test]
fn the_table_of_a_surface_is_in_inches_where_they_are_asked() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("corner.ply");
    let (stations, mesh) = (example(), out.to_str().unwrap().to_owned());
    let args = ["surface", stations.to_str().unwrap(), "-o", &mesh, "--edge", "1 1/4", "--unit", "in"];
    let figures = json(&[&args[..], &["--json"]].concat());
    near(&figures["edge_mm"], 31.75, 1e-9);
    let table = String::from_utf8(run(&args).stdout).unwrap();
    for (name, key) in
        [("residual, root mean square", "residual_rms_mm"), ("reach of the surface, largest ±", "reach_largest_mm")]
    {
        let (value, unit) = table_row(&table, name);
        assert_eq!(unit, "in", "{table}");
        near(&figures[key], 25.4 * value, 0.001);
    }
    let (value, unit) = table_row(&table, "area");
    assert_eq!(unit, "in²", "{table}");
    near(&figures["area_mm2"], 25.4 * 25.4 * value, 0.001);
}
