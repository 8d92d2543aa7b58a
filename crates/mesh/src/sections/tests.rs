use super::*;
use crate::Skin;
use glam::DVec2;

/// A grid of n × n unit squares over z = shape(x, y), each cut in two; squares for which `left_out` holds are left out.
fn grid(n: u32, shape: impl Fn(f64, f64) -> f64, left_out: impl Fn(u32, u32) -> bool) -> Skin {
    let at = |x: u32, y: u32| y * (n + 1) + x;
    let points = (0..=n).flat_map(|y| (0..=n).map(move |x| (f64::from(x), f64::from(y))));
    let squares = (0..n).flat_map(|y| (0..n).map(move |x| (x, y))).filter(|&(x, y)| !left_out(x, y));
    let halves = |(x, y)| [[at(x, y), at(x + 1, y), at(x + 1, y + 1)], [at(x, y), at(x + 1, y + 1), at(x, y + 1)]];
    let skin = Skin {
        points_mm: points.map(|(x, y)| DVec3::new(x, y, shape(x, y))).collect(),
        triangles: squares.flat_map(halves).collect(),
    };
    used_points_only(&skin)
}

fn used_points_only(skin: &Skin) -> Skin {
    let mut number = vec![u32::MAX; skin.points_mm.len()];
    let mut points_mm = Vec::new();
    let triangles = skin.triangles.iter().map(|triangle| {
        triangle.map(|old| {
            if number[old as usize] == u32::MAX {
                number[old as usize] = points_mm.len() as u32;
                points_mm.push(skin.points_mm[old as usize]);
            }
            number[old as usize]
        })
    });
    let triangles = triangles.collect();
    Skin { points_mm, triangles }
}

fn plane(origin: [f64; 3], along: DVec3, up: DVec3) -> SectionPlane {
    SectionPlane::new(origin.into(), along, up).unwrap()
}

/// The section both ways round the plane: it must be the same set of points, run the other way.
fn both_ways(skin: &Skin, plane: &SectionPlane) -> Vec<SectionLine> {
    let cutter = SectionCutter::new(skin).unwrap();
    let other = SectionPlane::new(plane.origin_mm(), -plane.along(), plane.up()).unwrap();
    let (lines, turned) = (cutter.cut(plane).unwrap(), cutter.cut(&other).unwrap());
    assert_eq!(lines.len(), turned.len());
    let total = |lines: &[SectionLine]| lines.iter().map(SectionLine::length_mm).sum::<f64>();
    assert!((total(&lines) - total(&turned)).abs() < 1e-9, "{} {}", total(&lines), total(&turned));
    lines
}

fn xs(line: &SectionLine) -> Vec<f64> {
    line.points.iter().map(|point| point.at_mm.x).collect()
}

#[test]
fn a_line_along_edges_of_the_mesh_is_whole_and_exact() {
    // y = 2 is a row of edges; the outside (+z) is to the left when y is seen from +y … x runs backwards there
    let flat = grid(4, |_, _| 0.0, |_, _| false);
    let lines = both_ways(&flat, &plane([0.0, 2.0, 0.0], DVec3::X, DVec3::Z));
    assert_eq!(lines.len(), 1);
    assert_eq!(xs(&lines[0]), [0.0, 1.0, 2.0, 3.0, 4.0], "outside, which is up, to the left");
    assert!(lines[0].points.iter().all(|point| matches!(point.place, Place::Point(_))));
    // the diagonal runs through points and along edges, the other diagonal through points and across edges
    let diagonal = both_ways(&flat, &plane([2.0, 2.0, 0.0], DVec3::new(1.0, 1.0, 0.0), DVec3::Z));
    assert_eq!((diagonal.len(), diagonal[0].points.len()), (1, 5));
    let across = both_ways(&flat, &plane([2.0, 2.0, 0.0], DVec3::new(1.0, -1.0, 0.0), DVec3::Z));
    assert_eq!((across.len(), across[0].points.len()), (1, 9));
    assert!((across[0].length_mm() - 32f64.sqrt()).abs() < 1e-12);
}

#[test]
fn the_edge_of_the_sheet_is_a_section_from_either_side() {
    let flat = grid(4, |_, _| 0.0, |_, _| false);
    for y in [0.0, 4.0] {
        let lines = both_ways(&flat, &plane([0.0, y, 0.0], DVec3::X, DVec3::Z));
        assert_eq!((lines.len(), lines[0].points.len()), (1, 5));
    }
    // through the row y = 2, which is partly an edge of the sheet because of a hole above or below it: one line, nothing lost
    for hole in [1, 2] {
        let holed = grid(4, |_, _| 0.0, |x, y| x == 1 && y == hole);
        let lines = both_ways(&holed, &plane([0.0, 2.0, 0.0], DVec3::X, DVec3::Z));
        assert_eq!(lines.len(), 1);
        assert_eq!(xs(&lines[0]), [0.0, 1.0, 2.0, 3.0, 4.0]);
    }
    // an L: the row is half inside the sheet, half its edge
    let corner = grid(4, |_, _| 0.0, |x, y| x >= 2 && y >= 2);
    let lines = both_ways(&corner, &plane([0.0, 2.0, 0.0], DVec3::X, DVec3::Z));
    assert_eq!((lines.len(), xs(&lines[0])), (1, vec![0.0, 1.0, 2.0, 3.0, 4.0]));
}

#[test]
fn a_hole_breaks_the_line_in_two() {
    let holed = grid(6, |_, _| 0.0, |x, y| (2..4).contains(&x) && (2..4).contains(&y));
    for y in [2.5, 3.0] {
        let lines = both_ways(&holed, &plane([0.0, y, 0.0], DVec3::X, DVec3::Z));
        assert_eq!(lines.len(), 2);
        assert!(lines.iter().all(|line| !line.closed && (line.length_mm() - 2.0).abs() < 1e-12));
    }
}

#[test]
fn the_rim_of_a_dome_and_the_ring_of_a_level_close() {
    let dome = grid(6, |x, y| 9.0 - (x - 3.0).powi(2) - (y - 3.0).powi(2), |_, _| false);
    // the ring at 4 passes through points of the grid
    let ring = both_ways(&dome, &plane([0.0, 0.0, 4.0], DVec3::X, DVec3::Y));
    assert_eq!((ring.len(), ring[0].closed), (1, true));
    let corners = ring[0].points.iter().filter(|point| matches!(point.place, Place::Point(_))).count();
    assert_eq!(corners, 8, "(x − 3)² + (y − 3)² = 5 holds at (5, 4), (4, 5) … exactly");
    let outline = ring[0].plane_points_mm();
    assert!(crate::polygon::check_simple(&outline).is_ok());
    assert!(
        crate::polygon::signed_area_mm2(&outline) < 0.0,
        "the outside of the dome is to the left: clockwise from above"
    );
}

#[test]
fn a_rim_in_the_plane_closes_whichever_side_the_sheet_is() {
    for sign in [-1.0, 1.0] {
        // a pyramid over a ring of points at 0
        let ring = (0..8).map(|i| glam::DVec2::from_angle(f64::from(i) * 0.785).extend(0.0));
        let cap = Skin {
            points_mm: ring.chain([DVec3::Z * sign]).collect(),
            triangles: (0..8).map(|i| [i, (i + 1) % 8, 8]).collect(),
        };
        let rim = both_ways(&cap, &plane([0.0; 3], DVec3::X, DVec3::Y));
        assert_eq!((rim.len(), rim[0].closed, rim[0].points.len()), (1, true, 8));
    }
}

/// A height that is no distance from a plane: its lines are those of the same height in space, places and all.
#[test]
fn level_lines_of_a_height_are_those_of_a_plane() {
    let dome = grid(6, |x, y| 9.0 - (x - 3.0).powi(2) - (y - 3.0).powi(2), |_, _| false);
    let cutter = SectionCutter::new(&dome).unwrap();
    let heights: Vec<f64> = dome.points_mm.iter().map(|point| 7.0 * (point.z - 4.0)).collect();
    let levels = cutter.level_lines(&heights).unwrap();
    let cut = cutter.cut(&plane([0.0, 0.0, 4.0], DVec3::X, DVec3::Y)).unwrap();
    assert_eq!((levels.len(), levels[0].closed), (1, true));
    let points = |places: &[Place]| places.iter().filter(|place| matches!(place, Place::Point(_))).count();
    let cut_places: Vec<Place> = cut[0].points.iter().map(|point| point.place).collect();
    assert_eq!((levels[0].places.len(), points(&levels[0].places)), (cut_places.len(), points(&cut_places)));
    assert_eq!(cutter.level_lines(&vec![1.0; heights.len()]).unwrap(), []);
    assert!(matches!(cutter.level_lines(&[1.0]), Err(SectionError::OutOfRange { got: 1.0, .. })));
    assert!(matches!(cutter.level_lines(&vec![f64::NAN; heights.len()]), Err(SectionError::NotFinite { .. })));
}

#[test]
fn touching_is_no_section() {
    let cutter_fault = |skin: &Skin, plane: &SectionPlane| SectionCutter::new(skin).unwrap().cut(plane).unwrap_err();
    for sign in [-1.0, 1.0] {
        let ridge = grid(4, |x, _| sign * (x - 2.0f64).abs(), |_, _| false);
        assert!(matches!(cutter_fault(&ridge, &plane([0.0; 3], DVec3::X, DVec3::Y)), SectionError::Misses { .. }));
        let summit = grid(4, |x, y| sign * (x - 2.0f64).hypot(y - 2.0), |_, _| false);
        assert!(matches!(cutter_fault(&summit, &plane([0.0; 3], DVec3::X, DVec3::Y)), SectionError::Misses { .. }));
    }
}

#[test]
fn a_crease_that_joins_two_humps_is_parted_from_both() {
    // heights over the plane: humps left and right of a saddle whose row between them lies in the plane
    let hump = |x: f64, y: f64| match (x as i32, y as i32) {
        (1 | 5, 3) => 1.0,
        (2..=4, 3) => 0.0,
        _ => -1.0,
    };
    for sign in [-1.0, 1.0] {
        let skin = grid(6, |x, y| sign * hump(x, y), |_, _| false);
        let lines = both_ways(&skin, &plane([0.0; 3], DVec3::X, DVec3::Y));
        assert_eq!(lines.len(), 2, "two rings, without the crease between them");
        assert!(lines.iter().all(|line| line.closed));
        assert!(lines.iter().all(|line| crate::polygon::check_simple(&line.plane_points_mm()).is_ok()));
    }
}

#[test]
fn every_cut_of_a_rough_sheet_is_joined_by_shared_edges() {
    // whole heights between −2 and 2: most points lie in one of the planes
    let height = |x: f64, y: f64| ((x * 7.0 + y * 13.0 + x * y * 5.0) % 5.0) - 2.0;
    let rough = grid(12, height, |x, y| (x, y) == (4, 4) || (x, y) == (8, 3));
    for z in [-1.5, -1.0, 0.0, 0.5, 1.0, 1.5] {
        let result = SectionCutter::new(&rough).unwrap().cut(&plane([0.0, 0.0, z], DVec3::X, DVec3::Y));
        let lines = match result {
            Ok(lines) => lines,
            Err(SectionError::FlatInPlane { .. }) => continue,
            Err(other) => panic!("{other}"),
        };
        let mut seen = std::collections::BTreeMap::new();
        for line in &lines {
            let n = line.points.len();
            for i in 0..if line.closed { n } else { n - 1 } {
                let key = |p: &SectionPoint| (p.at_mm.x.to_bits(), p.at_mm.y.to_bits());
                let (a, b) = (key(&line.points[i]), key(&line.points[(i + 1) % n]));
                *seen.entry((a.min(b), a.max(b))).or_insert(0) += 1;
            }
            let edge = |p: &SectionPoint| [p.at_mm.x, p.at_mm.y].iter().any(|c| *c == 0.0 || *c == 12.0);
            let at_hole = |p: &SectionPoint| {
                [(4.0, 4.0), (8.0, 3.0)]
                    .iter()
                    .any(|(x, y)| (p.at_mm.x - x - 0.5).abs().max((p.at_mm.y - y - 0.5).abs()) <= 0.5)
            };
            if !line.closed {
                for end in [&line.points[0], &line.points[n - 1]] {
                    assert!(edge(end) || at_hole(end), "an open line ends inside the sheet at {}", end.at_mm);
                }
            }
        }
        assert!(seen.values().all(|uses| *uses == 1), "a stretch is doubled at {z}");
    }
}

#[test]
fn bad_planes_and_bad_sheets_are_named() {
    let nan = SectionPlane::new(DVec3::new(0.0, f64::NAN, 0.0), DVec3::X, DVec3::Y);
    assert_eq!(nan, Err(SectionError::NotFinite { what: "the point of the plane" }));
    assert_eq!(
        SectionPlane::new(DVec3::ZERO, DVec3::ZERO, DVec3::Y),
        Err(SectionError::NoDirection { what: "the direction along the plane" })
    );
    assert_eq!(SectionPlane::new(DVec3::ZERO, DVec3::X, DVec3::X * 3.0), Err(SectionError::Parallel));
    let flat = grid(3, |_, _| 0.0, |_, _| false);
    let cutter = SectionCutter::new(&flat).unwrap();
    assert!(matches!(cutter.cut(&plane([0.0; 3], DVec3::X, DVec3::Y)), Err(SectionError::FlatInPlane { .. })));
    let missed = cutter.cut(&plane([0.0, 9.0, 0.0], DVec3::X, DVec3::Z));
    assert_eq!(missed, Err(SectionError::Misses { lowest_mm: 6.0, highest_mm: 9.0 }), "normal is x × z = −y");
    let mut three = flat.clone();
    three.points_mm.push(DVec3::new(0.5, 0.5, 1.0));
    let [from, _, to] = three.triangles[0];
    three.triangles.push([from, to, 16]);
    assert!(matches!(SectionCutter::new(&three), Err(SectionError::Skin(_))));
    assert!(matches!(SectionCutter::new(&Skin::default()), Err(SectionError::Skin(_))));
}

fn circle(radius: f64, from: f64, to: f64, n: u32) -> Vec<DVec2> {
    (0..=n).map(|i| DVec2::from_angle(from + (to - from) * f64::from(i) / f64::from(n)) * radius).collect()
}

#[test]
fn an_arc_is_one_step_a_circle_three_and_a_straight_one() {
    let settings = FitSettings::default();
    let arc = Fit::through(&circle(80.0, 0.3, 2.2, 100), false, &settings).unwrap();
    assert_eq!(arc.chain.vertices.len(), 2);
    let step = arc.chain.steps().next().unwrap();
    assert!((step.radius_mm() - 80.0).abs() < 1e-9 && (step.length_mm() - 152.0).abs() < 1e-9);
    assert!(step.bulge > 0.0, "anticlockwise");
    let mut round = circle(80.0, 0.0, std::f64::consts::TAU, 200);
    round.pop();
    let round = Fit::through(&round, true, &settings).unwrap();
    assert!(round.chain.vertices.len() <= 4, "{}", round.chain.vertices.len());
    assert!((round.chain.length_mm() - 160.0 * std::f64::consts::PI).abs() < 1e-6);
    let straight: Vec<DVec2> = (0..50).map(|i| DVec2::new(f64::from(i), 0.5 * f64::from(i))).collect();
    let straight = Fit::through(&straight, false, &settings).unwrap();
    assert_eq!((straight.chain.vertices.len(), straight.chain.vertices[0].bulge), (2, 0.0));
}

#[test]
fn a_corner_stays_a_corner_and_every_point_within_tolerance() {
    let mut points: Vec<DVec2> = (0..=40).map(|i| DVec2::new(f64::from(i), 0.0)).collect();
    points.extend((1..=40).map(|i| DVec2::new(40.0, f64::from(i))));
    let fit = Fit::through(&points, false, &FitSettings::default()).unwrap();
    let corners: Vec<DVec2> = fit.chain.vertices.iter().map(|v| v.at_mm).collect();
    assert_eq!(corners, [DVec2::ZERO, DVec2::new(40.0, 0.0), DVec2::new(40.0, 40.0)]);
    // a parabola: the dense curve must lie within the tolerance everywhere, with few steps
    let parabola: Vec<DVec2> = (0..=400).map(|i| f64::from(i) * 0.5).map(|x| DVec2::new(x, x * x / 400.0)).collect();
    let fit = Fit::through(&parabola, false, &FitSettings::default()).unwrap();
    assert!(fit.chain.vertices.len() < 14, "{}", fit.chain.vertices.len());
    assert!(fit.deviation_mm <= 0.02);
    for point in fit.chain.flattened_mm(0.001) {
        // distance from the parabola, to first order
        let off = (point.y - point.x * point.x / 400.0).abs() / (1.0 + (point.x / 200.0).powi(2)).sqrt();
        assert!(off < 0.023, "{off}");
    }
}

#[test]
fn a_chain_reversed_is_the_same_curve() {
    let points: Vec<DVec2> =
        (0..=200).map(|i| f64::from(i) * 0.5).map(|x| DVec2::new(x, 9.0 * (x / 15.0).sin())).collect();
    let fit = Fit::through(&points, false, &FitSettings::default()).unwrap();
    let back = fit.chain.reversed();
    assert!((back.length_mm() - fit.chain.length_mm()).abs() < 1e-9);
    assert_eq!(back.reversed(), fit.chain);
    let (mut there, back) = (fit.chain.flattened_mm(0.01), back.flattened_mm(0.01));
    there.reverse();
    assert!(there.iter().zip(&back).all(|(a, b)| a.distance(*b) < 1e-9));
    assert!(there.len() == back.len());
}

#[test]
fn bad_curves_are_named() {
    let settings = FitSettings::default();
    assert!(matches!(Fit::through(&[], false, &settings), Err(SectionError::OutOfRange { .. })));
    assert!(matches!(Fit::through(&[DVec2::ZERO; 5], false, &settings), Err(SectionError::OutOfRange { .. })));
    assert!(matches!(Fit::through(&[DVec2::ZERO, DVec2::NAN], false, &settings), Err(SectionError::NotFinite { .. })));
    let wide = FitSettings { tolerance_mm: f64::NAN, ..settings };
    assert!(matches!(Fit::through(&[DVec2::ZERO, DVec2::X], false, &wide), Err(SectionError::OutOfRange { .. })));
}
