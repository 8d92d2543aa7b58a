//! What a fabricator must know about a tube before metal is cut.

use super::Development;
use super::figures::other_wall;
use handbook::{Concern, Grade};
use section::tube::{Cover, LongSeam, TubeCut, Wall, flattened_shape};
use std::f64::consts::{PI, TAU};

/// A bite or a gap of the other wall below this is closed by the weld, mm (common practice, no source).
const WORTH_SAYING_MM: f64 = 0.3;
/// A long seam keeps this far from the fold of a flattened end, round the girth (common practice, no source).
const SEAM_FROM_FOLD_RAD: f64 = PI / 9.0;
/// A corner sharper than this cracks from its weld, mm (common practice, no source).
const LEAST_CORNER_MM: f64 = 5.0;
/// Half the girth and a little: beyond it a patch must be sprung over the tube.
const GOES_OVER_RAD: f64 = PI * 1.02;

pub(super) fn concerns(development: &Development<'_>) -> Vec<Concern> {
    let mut out = Vec::new();
    out.extend(over(development));
    out.extend(corners(development));
    out.extend(saddles(development));
    out.extend(mitres(development));
    out.extend(flattened(development));
    out
}

/// A length in words.
fn format_mm(mm: f64, decimals: usize) -> String {
    format!("{mm:.decimals$} mm")
}

fn concern(key: &str, grade: Grade, place: &str, [what, why, what_to_do]: [String; 3]) -> Concern {
    Concern {
        key: key.into(),
        grade,
        place: place.into(),
        what,
        why,
        what_to_do,
        lifted_by: None,
        source: "common practice, no source".into(),
    }
}

fn over(development: &Development<'_>) -> Vec<Concern> {
    let tube = development.tube;
    let Some(old) = &tube.over else { return Vec::new() };
    let mut out = Vec::new();
    match tube.cover {
        Cover::Whole { .. } => out.push(concern(
            "tube-sleeve-on",
            Grade::Note,
            &tube.name,
            [
                "the sleeve goes over a free end only".into(),
                "a closed ring does not pass over a tube that is fixed at both ends".into(),
                "where both ends are fixed, weld its long seam on the vehicle, or order two patches of half the girth"
                    .into(),
            ],
        )),
        Cover::Part { girth_rad, .. } if girth_rad > GOES_OVER_RAD => out.push(concern(
            "tube-patch-sprung",
            Grade::Note,
            &tube.name,
            [
                format!("the patch goes {:.0}° round", girth_rad.to_degrees()),
                "beyond half the girth it must be sprung open to go on, and closes again only in part".into(),
                "slide it on from a free end, or clamp it home with a hose clip before tacking".into(),
            ],
        )),
        Cover::Part { .. } => {}
    }
    let clearance = 2.0 * tube.radius_mm(Wall::Inside) - old.outside_diameter_mm;
    const LOOSE_MM: f64 = 1.0;
    if clearance > LOOSE_MM {
        out.push(concern(
            "tube-loose-over",
            Grade::Caution,
            &tube.name,
            [
                format!("it stands off the old tube by {} on the diameter", format_mm(clearance, 2)),
                "plugs do not fuse to a wall that is not in contact".into(),
                "make it a closer fit, or clamp it down at every plug".into(),
            ],
        ));
    }
    out
}

fn corners(development: &Development<'_>) -> Option<Concern> {
    let tube = development.tube;
    let Cover::Part { corner_radius_mm, .. } = tube.cover else { return None };
    let square = tube.ends.iter().all(|end| end.cut == TubeCut::Square);
    (square && corner_radius_mm < LEAST_CORNER_MM).then(|| {
        concern(
            "tube-patch-corner",
            Grade::Note,
            &tube.name,
            [
                format!("the corners of the patch are rounded to {}", format_mm(corner_radius_mm, 1)),
                "a weld that turns a sharp corner cracks there first".into(),
                format!("round them to {} or more", format_mm(LEAST_CORNER_MM, 0)),
            ],
        )
    })
}

fn saddles(development: &Development<'_>) -> Vec<Concern> {
    let tube = development.tube;
    let mut out = Vec::new();
    for end in &tube.ends {
        let TubeCut::Saddle(saddle) = &end.cut else { continue };
        let (bite, gap) = other_wall(development, end, saddle);
        if bite > WORTH_SAYING_MM {
            out.push(concern(
                "tube-saddle-bevel",
                Grade::Note,
                &format!("{}, {}", tube.name, end.name),
                [
                    format!("a square edge would stand {} into the other tube", format_mm(bite, 2)),
                    format!("the flat is reckoned so that the {} touches all round", end.wall.words()),
                    "file the edge to a bevel on the closed side until it sits".into(),
                ],
            ));
        }
        if gap > tube.thickness_mm.max(WORTH_SAYING_MM) {
            out.push(concern(
                "tube-saddle-gap",
                Grade::Caution,
                &format!("{}, {}", tube.name, end.name),
                [
                    format!(
                        "where the {} touches, the other wall stands off by up to {}",
                        end.wall.words(),
                        format_mm(gap, 2)
                    ),
                    "a gap wider than the wall is bridged by weld metal that burns through thin sheet".into(),
                    "use a wider main tube or less offset, or let the edge in with filler rod".into(),
                ],
            ));
        }
    }
    out
}

/// A sheet is cut square to itself: in a slanting joint only one wall lies in the plane of the cut.
fn mitres(development: &Development<'_>) -> Vec<Concern> {
    let tube = development.tube;
    let mitred = tube.ends.iter().filter_map(|end| match end.cut {
        TubeCut::Mitre { angle_rad, .. } => Some((end, tube.thickness_mm * angle_rad.tan())),
        _ => None,
    });
    mitred
        .filter_map(|(end, whole_mm)| {
            // on the long side and across from it
            let [long, short] = match end.wall {
                Wall::Inside => [
                    format!("gapes {} outside", format_mm(whole_mm, 2)),
                    format!("bites {} outside", format_mm(whole_mm, 2)),
                ],
                Wall::Outside => [
                    format!("bites {} inside", format_mm(whole_mm, 2)),
                    format!("gapes {} inside", format_mm(whole_mm, 2)),
                ],
                Wall::Middle => {
                    let half = format_mm(0.5 * whole_mm, 2);
                    [
                        format!("bites {half} inside and gapes {half} outside"),
                        format!("bites {half} outside and gapes {half} inside"),
                    ]
                }
            };
            let most_mm = if end.wall == Wall::Middle { 0.5 * whole_mm } else { whole_mm };
            (most_mm > WORTH_SAYING_MM).then(|| {
                concern(
                    "tube-mitre-bevel",
                    if most_mm > tube.thickness_mm { Grade::Caution } else { Grade::Note },
                    &format!("{}, {}", tube.name, end.name),
                    [
                        format!("cut square to the sheet, the edge {long} on its long side and {short} across from it"),
                        format!("the flat is reckoned so that the {} touches all round", end.wall.words()),
                        "file the edge to a bevel until it closes all round, before it is tacked".into(),
                    ],
                )
            })
        })
        .collect()
}

fn flattened(development: &Development<'_>) -> Vec<Concern> {
    let tube = development.tube;
    let mut out = Vec::new();
    for end in &tube.ends {
        let TubeCut::Flattened { transition_mm, face_at_rad, .. } = end.cut else { continue };
        let place = format!("{}, {}", tube.name, end.name);
        let stands_out = flattened_shape(tube, transition_mm).folds_stand_out_mm;
        out.push(concern(
            "tube-flattened-tip",
            Grade::Note,
            &place,
            [
                format!("once flat, the two folds stand out beyond the faces by about {}", format_mm(stands_out, 1)),
                "the faces run further inward than the folds run outward, so they use more length".into(),
                "trim the tip square after flattening, then mark and drill the hole".into(),
            ],
        ));
        let Cover::Whole { seam_at_rad, seam } = tube.cover else { continue };
        let from_face = (seam_at_rad - face_at_rad).rem_euclid(PI);
        let from_fold = (from_face - 0.5 * PI).abs();
        if from_fold < SEAM_FROM_FOLD_RAD {
            out.push(concern(
                "tube-seam-in-fold",
                Grade::Caution,
                &place,
                [
                    format!("the long seam stands {:.0}° from a fold of the flattened end", from_fold.to_degrees()),
                    "a weld that is folded sharply cracks".into(),
                    format!(
                        "put the seam on a flat face beside the hole, at {:.0}° for instance",
                        (face_at_rad + PI / 4.0).rem_euclid(TAU).to_degrees()
                    ),
                ],
            ));
        }
        if let LongSeam::Lap { .. } = seam {
            out.push(concern(
                "tube-lap-flattened",
                Grade::Note,
                &place,
                [
                    "the lap of the long seam makes the flat three sheets thick there".into(),
                    "a bolt head does not lie flat on the step".into(),
                    "butt the long seam of a tube that is flattened".into(),
                ],
            ));
        }
    }
    out
}
