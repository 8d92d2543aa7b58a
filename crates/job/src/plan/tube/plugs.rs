//! Plug holes in the lap of a patch or a sleeve over an old tube: made in the flat, in the sheet nearest the torch (handbook H8, H9).

use crate::file::TubeForm;
use crate::resolve::{JointChoice, TubeShape};
use blank::{Blank, FlatOpening, HoleFinish};
use glam::DVec2;
use handbook::joints::JointKind as Book;
use handbook::{Concern, Grade};
use section::tube::{Cover, TubeCut};
use std::f64::consts::{FRAC_PI_2, PI};
use units::format_mm;

/// What every one of them is called.
pub(in crate::plan) const NAME: &str = "plug hole";
/// Metal that must stay between a plug hole and the edge of its lap, mm (common practice, no source).
const LEAST_BESIDE_MM: f64 = 0.8;
/// Steps of a rounded corner of the line that the holes stand on.
const CORNER_STEPS: u32 = 16;

/// Puts the holes into the flat, on the middle of the lap; a lap too narrow for them is told. Ends that are not cut square are drilled
/// by the fitter along the scribed lap.
pub(super) fn add(shape: &TubeShape, joint: &JointChoice, blank: &mut Blank) {
    let tube = &shape.tube;
    let square = tube.ends.iter().all(|end| end.cut == TubeCut::Square);
    let Some(hole_mm) = hole_mm(joint).filter(|_| shape.form != TubeForm::Replacement && square) else { return };
    let count = count(shape, joint);
    let in_mm = 0.5 * joint.lap_mm;
    if in_mm - 0.5 * hole_mm < LEAST_BESIDE_MM {
        blank.concerns.push(too_narrow(&tube.name, joint.lap_mm, hole_mm));
        return;
    }
    let places = places(shape, blank, in_mm, count);
    let why = format!(
        "{count} in the lap, {} in from the edge: in the sheet nearest the torch, over bright old wall (H9)",
        format_mm(in_mm, 1)
    );
    let hole = |centre_mm: DVec2| FlatOpening {
        name: NAME.into(),
        centre_mm,
        diameter_mm: Some(hole_mm),
        cut_diameter_mm: Some(hole_mm),
        outline_mm: None,
        finish: HoleFinish::FullSize,
        why: why.clone(),
        along_mm: centre_mm.x,
        from_edge_mm: centre_mm.y,
    };
    blank.area_mm2 -= 0.25 * PI * hole_mm * hole_mm * places.len() as f64;
    blank.openings.extend(places.into_iter().map(hole));
}

/// Diameter of a plug hole, where the joint has them.
fn hole_mm(joint: &JointChoice) -> Option<f64> {
    joint.figures.as_ref().filter(|_| joint.kind == Book::PlainLap)?.hole_mm
}

/// As many as the joint has: the middle of the range of pitches along what is joined.
fn count(shape: &TubeShape, joint: &JointChoice) -> usize {
    let [least, most] = joint.figures.as_ref().map_or([0.0; 2], |figures| figures.pitch_mm);
    let usual = 0.5 * (least + most);
    if usual > 0.0 { (shape.joined_mm() / usual).ceil().max(1.0) as usize + 1 } else { 0 }
}

/// Middles of the holes in the flat.
fn places(shape: &TubeShape, blank: &Blank, in_mm: f64, count: usize) -> Vec<DVec2> {
    let start = [DVec2::INFINITY, DVec2::NEG_INFINITY];
    let [low, high] = blank.outline_mm.iter().fold(start, |[low, high], point| [low.min(*point), high.max(*point)]);
    match shape.tube.cover {
        Cover::Part { corner_radius_mm, .. } => {
            let inset = DVec2::splat(in_mm);
            spread(&rounded(low + inset, high - inset, (corner_radius_mm - in_mm).max(0.0)), count)
        }
        Cover::Whole { .. } => {
            // a lap of the long seam lies two sheets deep
            let lap_mm = shape.tube.seam_lap_mm();
            let (from, to) = (low.y + lap_mm, high.y - lap_mm);
            let row = |x: f64, own: usize| {
                (0..own).map(move |i| DVec2::new(x, from + (to - from) * (i as f64 + 0.5) / own.max(1) as f64))
            };
            row(low.x + in_mm, count.div_ceil(2)).chain(row(high.x - in_mm, count / 2)).collect()
        }
    }
}

/// A rectangle with rounded corners, anticlockwise from the middle of its lower side; its last point is its first.
fn rounded(low: DVec2, high: DVec2, radius_mm: f64) -> Vec<DVec2> {
    let middle = DVec2::new(0.5 * (low.x + high.x), low.y);
    let corners = [DVec2::new(high.x, low.y), high, DVec2::new(low.x, high.y), low];
    let mut out = vec![middle];
    for (turn, corner) in (0_u32..).zip(corners) {
        let from = f64::from(turn) * FRAC_PI_2 - FRAC_PI_2;
        let centre = corner - DVec2::from_angle(from + 0.25 * PI) * (radius_mm * 2.0_f64.sqrt());
        let at = |step: u32| {
            centre + DVec2::from_angle(from + FRAC_PI_2 * f64::from(step) / f64::from(CORNER_STEPS)) * radius_mm
        };
        out.extend((0..=if radius_mm > 0.0 { CORNER_STEPS } else { 0 }).map(at));
    }
    out.push(middle);
    out
}

/// Places spread evenly along a closed line.
fn spread(line: &[DVec2], count: usize) -> Vec<DVec2> {
    let steps = || line.iter().zip(line.iter().skip(1));
    let length_mm: f64 = steps().map(|(a, b)| a.distance(*b)).sum();
    let at = |wanted_mm: f64| {
        let mut left_mm = wanted_mm;
        for (a, b) in steps() {
            let step_mm = a.distance(*b);
            if left_mm <= step_mm && step_mm > 0.0 {
                return Some(a.lerp(*b, left_mm / step_mm));
            }
            left_mm -= step_mm;
        }
        line.last().copied()
    };
    (0..count).filter_map(|i| at(length_mm * (i as f64 + 0.5) / count as f64)).collect()
}

fn too_narrow(piece: &str, lap_mm: f64, hole_mm: f64) -> Concern {
    let least_mm = hole_mm + 2.0 * LEAST_BESIDE_MM;
    crate::resolve::note(
        "plugs-wider-than-lap",
        Grade::Caution,
        piece,
        [
            format!("plug holes of {} do not fit a lap of {}", format_mm(hole_mm, 1), format_mm(lap_mm, 1)),
            "the plug would melt the edge of the lap away; no holes are made in the flat".into(),
            format!("give a lap of {} or more, or bond it", format_mm(least_mm, 1)),
        ],
    )
}
