//! What the reader must know about a survey before metal is cut.

use crate::DEFAULT_REACH_MM;
use handbook::{Concern, Grade, LiftedBy};

/// A reading or a profile further off than this many times its ± is no panel: the surface through it must not be cut (a shop
/// setting, no source). Three times is a caution.
pub(crate) const GROSS_REACHES: f64 = 6.0;

/// Nobody said how far the readings reach.
pub(crate) fn reach_not_told() -> Concern {
    Concern {
        key: "reach-not-told".to_owned(),
        grade: Grade::Note,
        place: "the whole survey".to_owned(),
        what: format!("no reach was told for the readings; ± {DEFAULT_REACH_MM} mm was taken"),
        why: "the trim allowances are sized from it".to_owned(),
        what_to_do: "say how well the gauge or tape was read".to_owned(),
        lifted_by: None,
        source: "common practice, no source".to_owned(),
    }
}

/// So few readings that any surface through them is a guess.
pub(crate) fn too_few(readings: usize, need: usize) -> Concern {
    Concern {
        key: "too-few-readings".to_owned(),
        grade: Grade::Caution,
        place: "the whole survey".to_owned(),
        what: format!("there are {readings} readings; {need} or more, spread over the panel, are needed to know how it is crowned"),
        why: "a surface through so few cannot be told from a flat one, and nothing checks a slip; the ± is that of the readings only"
            .to_owned(),
        what_to_do: format!("take {need} readings or more, both ways across the panel"),
        lifted_by: None,
        source: "common practice, no source".to_owned(),
    }
}

/// Readings lie further from a smooth surface than their reach tells.
pub(crate) fn scatter(scatter: f64) -> Concern {
    Concern {
        key: "readings-scatter".to_owned(),
        grade: Grade::Caution,
        place: "the whole survey".to_owned(),
        what: format!("the readings scatter about the surface {scatter:.1} times as far as their reach tells"),
        why: "either the readings are rougher than was told, or the panel has a crease or swage that they are too far apart to show; the reach of the surface was widened by it".to_owned(),
        what_to_do: "measure closer together where the panel bends sharply, or tell a larger reach".to_owned(),
        lifted_by: None,
        source: String::new(),
    }
}

/// A part of the outline is far from any reading.
pub(crate) fn far_from_readings(u_mm: f64, v_mm: f64, reach_mm: f64, usual_mm: f64) -> Concern {
    Concern {
        key: "far-from-readings".to_owned(),
        grade: Grade::Caution,
        place: format!("along {u_mm:.0} mm, across {v_mm:.0} mm"),
        what: format!("the surface reaches ± {reach_mm:.1} mm there, ± {usual_mm:.1} mm is usual on this panel"),
        why: "no reading is near; the surface goes on from its neighbours".to_owned(),
        what_to_do: "measure there, or draw the outline closer".to_owned(),
        lifted_by: None,
        source: String::new(),
    }
}

/// The surface stands too steep over its datum plane.
pub(crate) fn steep(u_mm: f64, v_mm: f64, slope_deg: f64) -> Concern {
    Concern {
        key: "surface-steep".to_owned(),
        grade: Grade::Caution,
        place: format!("along {u_mm:.0} mm, across {v_mm:.0} mm"),
        what: format!("the surface is {slope_deg:.0}° to its datum plane"),
        why: "heights over the plane say little about so steep a face: a small slip along it is a large one in height"
            .to_owned(),
        what_to_do: "measure that part from another datum".to_owned(),
        lifted_by: None,
        source: "common practice, no source".to_owned(),
    }
}

/// One reading lies beyond three reaches.
pub(crate) fn reading_off(place: String, height_mm: f64, expected_mm: f64, within_mm: f64, likely: &str) -> Concern {
    let off = height_mm - expected_mm;
    let (grade, lifted_by) = grade_of(off, within_mm);
    Concern {
        key: "reading-off".to_owned(),
        grade,
        place,
        what: format!(
            "the height is {height_mm:.2} mm; the other readings put it at {expected_mm:.2} mm ± {within_mm:.2} mm, {off:+.2} mm off"
        ),
        why: format!("{likely}; it stays in the fit and bends the surface towards itself"),
        what_to_do: cure(grade),
        lifted_by,
        source: String::new(),
    }
}

/// Beyond [`GROSS_REACHES`] nothing is cut from it until the shop says that the panel is really so.
fn grade_of(off_mm: f64, within_mm: f64) -> (Grade, Option<LiftedBy>) {
    if off_mm.abs() > GROSS_REACHES * within_mm { (Grade::Stop, Some(LiftedBy::Shop)) } else { (Grade::Caution, None) }
}

fn cure(grade: Grade) -> String {
    match grade {
        Grade::Stop => format!(
            "measure it again and correct it, or take it out; more than {GROSS_REACHES:.0} times the ± is no reading of this panel"
        ),
        Grade::Note | Grade::Caution => "measure it again, correct it or take it out".to_owned(),
    }
}

/// A reading that the surface itself leaves far aside, where too few others tell which is wrong.
pub(crate) fn surface_leaves(place: String, residual_mm: f64, reach_mm: f64) -> Concern {
    Concern {
        key: "surface-leaves-reading".to_owned(),
        grade: Grade::Stop,
        place,
        what: format!(
            "the height lies {residual_mm:+.1} mm from a smooth surface through all readings; its reach is ± {reach_mm:.2} mm"
        ),
        why: "this reading or one beside it is wrong, or the panel has a crease that no smooth surface follows"
            .to_owned(),
        what_to_do:
            "measure this place and its neighbours again; at a crease end the piece there, or measure closer together"
                .to_owned(),
        lifted_by: Some(LiftedBy::Shop),
        source: "shop setting, no source".to_owned(),
    }
}

/// A whole profile lies beyond three reaches.
pub(crate) fn profile_off(place: String, off_mm: f64, within_mm: f64, likely: &str) -> Concern {
    let (grade, lifted_by) = grade_of(off_mm, within_mm);
    Concern {
        key: "profile-off".to_owned(),
        grade,
        place,
        what: format!(
            "the profile lies {off_mm:.1} mm (middle value) from where the other profiles put it, ± {within_mm:.1} mm"
        ),
        why: format!("{likely}; it stays in the fit and bends the surface towards itself"),
        what_to_do: cure(grade),
        lifted_by,
        source: String::new(),
    }
}
