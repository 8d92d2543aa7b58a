use super::*;
use crate::shapes::sheet;

/// A flat sheet that lies in a plane of its own: 0 along one edge, 5 mm out along the other, 200 mm away.
fn tilted(most_mm: f64) -> WarpShape {
    let skin = sheet(240.0, 200.0, 0.0);
    let normal_mm = skin.points_mm.iter().map(|point| most_mm * point.y / 200.0).collect();
    WarpShape {
        skin,
        normal_mm,
        extremes_mm: [Some([0.0, 0.6 * most_mm]), Some([0.0, most_mm]), Some([0.0, 2.0 * most_mm])],
    }
}

fn seam() -> PlannedSeam {
    let points_mm = vec![DVec3::new(0.0, 100.0, 0.0), DVec3::new(240.0, 100.0, 0.0)];
    PlannedSeam { line: SeamLine { points_mm, closed: false }, joint: super::super::SeamJoint::usual_butt(0.9) }
}

/// 0 to 5 mm over 200 mm: lines of 1, 2, 3, 4 and 5 mm lie 40, 80, 120, 160 and 200 mm from the edge, straight across; of 5 mm only the edge itself.
#[test]
fn lines_lie_where_a_plane_rises_by_a_step() {
    let map = ShapeMap::of(&tilted(5.0), &[seam()], LengthUnit::Millimetre).unwrap();
    assert_eq!(map.step_mm, 1.0);
    for level in 1..=4 {
        let of: Vec<&DeflectionLine> = map.line.iter().filter(|line| line.at_mm == f64::from(level)).collect();
        assert_eq!(of.len(), 1, "{level}");
        let points = &of[0].points.points_mm;
        assert!(points.iter().all(|point| (point.y - 40.0 * f64::from(level)).abs() < 0.06), "{points:?}");
        let across = points.first().unwrap().distance(*points.last().unwrap());
        assert!((across - 240.0).abs() < 0.2 && points.len() == 2, "{points:?}");
    }
    assert!(map.line.iter().all(|line| line.at_mm > 0.0) && map.strokes_in.is_empty());
    // strokes begin where it is a step out
    let strokes = map.strokes_out.iter().flat_map(|stroke| &stroke.points_mm);
    assert!(strokes.clone().all(|point| point.y > 39.9));
    assert!(strokes.clone().any(|point| point.y < 40.1) && strokes.clone().any(|point| point.y > 199.0));
    let highest = map.highest.unwrap();
    assert!(highest.place_mm[1] > 199.9 && highest.at_mm == 5.0);
    assert_eq!((highest.spread_mm, map.lowest), (Some([3.0, 5.0, 10.0]), None));
    assert_eq!(map.seams, [Chain::thinned(&seam().line.points_mm)]);
    let round = map.edges[0].points_mm.windows(2).map(|ends| ends[0].distance(ends[1])).sum::<f64>();
    assert!((round - 880.0).abs() < 0.5, "{round}");
}

/// The other way it lies in, and an inch reader gets steps of a fraction of an inch: 5 mm in eight lines at most is 1/32".
#[test]
fn in_is_not_out_and_inches_have_their_own_steps() {
    let map = ShapeMap::of(&tilted(-5.0), &[], LengthUnit::Inch).unwrap();
    assert!((map.step_mm - 25.4 / 32.0).abs() < 1e-12, "{}", map.step_mm);
    assert!(map.line.iter().all(|line| line.at_mm < 0.0) && map.line.len() == 6);
    assert!(map.strokes_out.is_empty() && !map.strokes_in.is_empty() && map.highest.is_none());
    assert!(
        ShapeMap::of(&tilted(0.0), &[], LengthUnit::Millimetre).is_none(),
        "a panel that keeps its shape has no map"
    );
}

#[test]
fn a_strip_along_a_part_of_a_line_is_that_part() {
    let corner = [[0.0, 0.0], [300.0, 0.0], [300.0, 400.0]].map(|[x, y]| DVec3::new(x, y, 0.0));
    let line = SeamLine { points_mm: corner.to_vec(), closed: false };
    let part = stretch(&line, [100.0, 350.0]);
    assert_eq!(part, [DVec3::new(100.0, 0.0, 0.0), corner[1], DVec3::new(300.0, 50.0, 0.0)]);
}

#[test]
fn a_chain_is_read_as_it_was_written_and_what_is_none_is_named() {
    // 0.3 mm beside the straight is left out, 0.7 mm is not
    let points = [[0.0, 0.0, 0.0], [10.0, 0.3, 0.0], [20.0, 0.0, -0.04], [30.0, 1.0, 0.0], [40.0, 0.0, 1.26]];
    let chain = Chain::thinned(&points.map(DVec3::from_array));
    let text = String::from(chain.clone());
    assert_eq!(text, "0,0,0 20,0,0 30,1,0 40,0,1.3");
    assert_eq!(Chain::try_from(text).unwrap(), chain);
    for wrong in ["1,2", "1,2,x", "1,2,3,4", "1,2,nan", "1,,2,3"] {
        let error = Chain::try_from(wrong.to_owned()).unwrap_err().to_string();
        assert!(error.contains(wrong) && error.contains("three numbers"), "{error}");
    }
}
