//! `soundmetal flatten` as a person runs it.

use super::command_line::{assert_refused, json, near, run};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Rings and sectors of the cap.
const RINGS: usize = 24;
const SECTORS: usize = 72;

/// Spherical cap of handbook S20: half-width 200, rise 20, so radius 1010; as points and triangles.
fn cap() -> (Vec<[f64; 3]>, Vec<[usize; 3]>) {
    cap_of(RINGS, SECTORS)
}

/// The same cut into so many rings and sectors.
pub fn cap_of(rings: usize, sectors: usize) -> (Vec<[f64; 3]>, Vec<[usize; 3]>) {
    let (radius, half_angle) = (1010.0, (200.0f64 / 1010.0).asin());
    let mut points = vec![[0.0, 0.0, radius]];
    for ring in 1..=rings {
        let polar = half_angle * ring as f64 / rings as f64;
        for sector in 0..sectors {
            let around = std::f64::consts::TAU * sector as f64 / sectors as f64;
            let [along, up] = [radius * polar.sin(), radius * polar.cos()];
            points.push([along * around.cos(), along * around.sin(), up]);
        }
    }
    let at = |ring: usize, sector: usize| if ring == 0 { 0 } else { 1 + (ring - 1) * sectors + sector % sectors };
    let mut triangles = Vec::new();
    for ring in 0..rings {
        for sector in 0..sectors {
            triangles.push([at(ring, sector), at(ring + 1, sector), at(ring + 1, sector + 1)]);
            if ring > 0 {
                triangles.push([at(ring, sector), at(ring + 1, sector + 1), at(ring, sector + 1)]);
            }
        }
    }
    (points, triangles)
}

pub fn obj(points: &[[f64; 3]], triangles: &[[usize; 3]]) -> String {
    let mut text = String::new();
    for [x, y, z] in points {
        writeln!(text, "v {x} {y} {z}").unwrap();
    }
    for triangle in triangles {
        let [a, b, c] = triangle.map(|point| point + 1);
        writeln!(text, "f {a} {b} {c}").unwrap();
    }
    text
}

fn written(folder: &Path, name: &str, text: &str) -> PathBuf {
    let path = folder.join(name);
    std::fs::write(&path, text).unwrap();
    path
}

/// Handbook S21 and S22: a blank that is only stretched keeps its rim (radius 200), one that is only gathered keeps its arcs
/// (201.331); least work lies between.
#[test]
fn the_routes_of_a_cap_lie_between_its_rim_and_its_arc() {
    let folder = tempfile::tempdir().unwrap();
    let (points, triangles) = cap();
    let mesh = written(folder.path(), "cap.obj", &obj(&points, &triangles));
    let of = |route: &[&str]| {
        let mut args = vec!["flatten", mesh.to_str().unwrap(), "--thickness", "0.9 mm", "--material", "dc04", "--json"];
        args.extend(route);
        json(&args)
    };
    let stretched = of(&["--route", "wheel-out", "--weight", "10000"]);
    let gathered = of(&["--route", "gather-in", "--weight", "10000"]);
    let least = of(&[]);
    // the rim has 72 corners, so that its width is short by up to 1 − cos 2.5° of it
    near(&stretched["flat_size_mm"][0], 399.8, 0.3);
    near(&gathered["flat_size_mm"][0], 402.46, 0.3);
    let width = least["flat_size_mm"][0].as_f64().unwrap();
    assert!(width > 400.2 && width < 402.2, "{width}");
    // S22: a gathered rim is short by 0.6609 %, on the edge as a whole
    near(&gathered["edges"][0]["gather_mm_per_100_mm"], 0.6609, 0.01);
    // S21: mean area ratio 1.0100 of a blank that is only stretched
    near(&stretched["finished_area_mm2"], stretched["flat_area_mm2"].as_f64().unwrap() * 1.01, 80.0);
}

/// Half a thickness of offset makes the radius of the middle smaller by its share, 0.45 of 1010, but for the tilt of the rim's
/// facets: half a facet, 0.004 rad, times 0.45 mm at either side.
#[test]
fn a_mesh_of_the_outside_face_gives_a_smaller_blank() {
    let folder = tempfile::tempdir().unwrap();
    let (points, triangles) = cap();
    let mesh = written(folder.path(), "cap.obj", &obj(&points, &triangles));
    let width = |face: &str| {
        let flat = json(&["flatten", mesh.to_str().unwrap(), "--thickness", "0.9", "--face", face, "--json"]);
        flat["flat_size_mm"][0].as_f64().unwrap()
    };
    let (middle, outside, inside) = (width("middle"), width("outside"), width("inside"));
    assert!((outside / middle - (1.0 - 0.45 / 1010.0)).abs() < 2e-5, "{outside} {middle}");
    assert!((inside / middle - (1.0 + 0.45 / 1010.0)).abs() < 2e-5, "{inside} {middle}");
}

#[test]
fn the_flat_is_written_in_the_order_of_the_mesh() {
    let folder = tempfile::tempdir().unwrap();
    let (points, triangles) = cap();
    let mesh = written(folder.path(), "cap.obj", &obj(&points, &triangles));
    let [flat, dxf, svg] = ["flat.obj", "flat.dxf", "flat.svg"].map(|name| folder.path().join(name));
    let output = run(&[
        "flatten",
        mesh.to_str().unwrap(),
        "--thickness",
        "20 swg",
        "--out-mesh",
        flat.to_str().unwrap(),
        "--dxf",
        dxf.to_str().unwrap(),
        "--svg",
        svg.to_str().unwrap(),
    ]);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let words = String::from_utf8(output.stdout).unwrap();
    assert!(words.contains("outer edge") && words.contains("leave (within") && words.contains("0.91 mm"), "{words}");
    let flat = std::fs::read_to_string(flat).unwrap();
    assert_eq!(flat.lines().filter(|line| line.starts_with("v ")).count(), points.len());
    let faces: Vec<&str> = flat.lines().filter(|line| line.starts_with("f ")).collect();
    let [a, b, c] = triangles[100].map(|point| point + 1);
    assert_eq!(faces.len(), triangles.len());
    assert_eq!(faces[100], format!("f {a} {b} {c}"));
    assert!(std::fs::read_to_string(dxf).unwrap().contains("LWPOLYLINE"));
    assert!(std::fs::read_to_string(svg).unwrap().contains("class=\"layer cut"));
}

#[test]
fn bad_meshes_and_settings_are_named() {
    let folder = tempfile::tempdir().unwrap();
    let (points, triangles) = cap();
    let refused = |name: &str, text: &str, words: &str| {
        let mesh = written(folder.path(), name, text);
        assert_refused(&["flatten", mesh.to_str().unwrap(), "--thickness", "0.9"], words);
    };
    let inches: Vec<[f64; 3]> = points.iter().map(|point| point.map(|x| x / 25.4)).collect();
    refused("inches.obj", &obj(&inches, &triangles), "--mesh-unit");
    let mut flipped = triangles.clone();
    flipped[300].swap(0, 1);
    refused("flipped.obj", &obj(&points, &flipped), "face different ways");
    let mut twice = triangles.clone();
    twice.push(triangles[300]);
    refused("three.obj", &obj(&points, &twice), "edge");
    refused("nan.obj", &obj(&points, &triangles).replacen("v 0 0 1010", "v NaN 0 1010", 1), "not finite");
    let ring = |from: usize, to: usize| triangles.iter().filter(move |t| t.iter().all(|p| (from..to).contains(p)));
    let apart: Vec<[usize; 3]> = ring(0, 1 + 4 * SECTORS).chain(ring(1 + 8 * SECTORS, points.len())).copied().collect();
    let used: Vec<[f64; 3]> = points.clone();
    refused("apart.obj", &obj(&used, &apart), "point");
    refused("empty.obj", "", "no point");
    refused("mesh.step", "", ".ply");
    let mesh = written(folder.path(), "cap.obj", &obj(&points, &triangles));
    let mesh = mesh.to_str().unwrap();
    assert_refused(&["flatten", mesh, "--thickness", "0"], "--thickness");
    assert_refused(&["flatten", mesh, "--thickness", "0.9", "--material", "tin"], "dc04");
    assert_refused(&["flatten", mesh, "--thickness", "0.9", "--flow", "550"], "--flow");
    assert_refused(&["flatten", mesh, "--thickness", "0.9", "--flow", "550,2"], "hardening exponent");
    assert_refused(&["flatten", mesh, "--thickness", "0.9", "--weight", "3"], "--weight");
    assert_refused(&["flatten", "nowhere.ply", "--thickness", "0.9"], "nowhere.ply");
}

/// What a seam saves stands in the words of the shop, and lengths in the unit that is asked.
#[test]
fn seams_and_sizes_are_told_in_the_words_and_the_unit_of_the_shop() {
    let folder = tempfile::tempdir().unwrap();
    let (points, triangles) = cap_of(10, 36);
    let mesh = written(folder.path(), "cap.obj", &obj(&points, &triangles));
    let table = |unit: &str| {
        let args = ["flatten", mesh.to_str().unwrap(), "--thickness", "20 swg", "--seams", "--unit", unit];
        String::from_utf8(run(&args).stdout).unwrap()
    };
    let (metric, inches) = (table("mm"), table("in"));
    let line = |table: &str, name: &str| table.lines().find(|own| own.starts_with(name)).unwrap().to_owned();
    for table in [&metric, &inches] {
        let seam = line(table, "seam 1");
        for said in ["most raised", "most gathered", "least margin under the forming limit", " J instead of "] {
            assert!(seam.contains(said), "{said}: {seam}");
        }
    }
    // the cap is 400 mm wide
    assert!(line(&metric, "sheet").contains("0.91 mm") && line(&inches, "sheet").contains("0.0360 in"), "{inches}");
    let first = |line: &str, from: usize| -> f64 {
        line.get(from..).unwrap().split_whitespace().find_map(|word| word.parse().ok()).unwrap()
    };
    let (wide_mm, wide_in) = (first(&line(&metric, "flat"), 4), first(&line(&inches, "flat"), 4));
    assert!((wide_mm - 25.4 * wide_in).abs() < 0.07 && (wide_mm - 401.0).abs() < 1.5, "{wide_mm} {wide_in}");
    let (seam_mm, seam_in) = (line(&metric, "seam 1"), line(&inches, "seam 1"));
    assert!((first(&seam_mm, 7) - 25.4 * first(&seam_in, 7)).abs() < 0.7, "{seam_mm} {seam_in}");
    assert!(!seam_in.contains(" mm"), "{seam_in}");
}
