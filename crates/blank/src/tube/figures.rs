//! The working of every figure of a developed tube.

use super::Development;
use super::dimensions::depth;
use crate::FlatOpening;
use glam::DVec2;
use handbook::{Source, Working};
use mesh::polygon::signed_area_mm2;
use section::tube::{Cover, LongSeam, Saddle, TubeCut, TubeEnd, Wall, flattened_shape};
use std::f64::consts::{FRAC_PI_4, PI, TAU};

/// Net area as cut.
pub(super) fn area(outline_mm: &[DVec2], openings: &[FlatOpening]) -> Working {
    let whole = signed_area_mm2(outline_mm);
    let cut: f64 = openings
        .iter()
        .map(|opening| match (opening.cut_diameter_mm, &opening.outline_mm) {
            (Some(diameter), _) => FRAC_PI_4 * diameter * diameter,
            (None, Some(rim)) => signed_area_mm2(rim).abs(),
            (None, None) => 0.0,
        })
        .sum();
    Working::new("net area of the flat", whole - cut, "mm²", "A − Σ holes", Source::geometry(""))
        .with("A", "area of the outline", whole, "mm²")
        .with("Σ holes", "area of the openings as cut in the flat", cut, "mm²")
}

pub(super) fn workings(development: &Development<'_>, area: Working) -> Vec<Working> {
    let tube = development.tube;
    let mut out = girth(development);
    for (i, end) in tube.ends.iter().enumerate() {
        out.extend(of_end(development, i, end));
    }
    out.extend(over(development));
    out.push(
        Working::new(
            "length of the flat",
            development.length_mm,
            "mm",
            "longest tip to longest tip",
            Source::geometry(""),
        )
        .with("L", "along the axis between the datums of the ends", tube.length_mm, "mm"),
    );
    out.push(area);
    out
}

fn girth(development: &Development<'_>) -> Vec<Working> {
    let tube = development.tube;
    let (diameter, t) = (tube.outside_diameter_mm, tube.thickness_mm);
    let whole = Working::new(
        "girth along the middle of the wall",
        PI * (diameter - t),
        "mm",
        "π·(D − t)",
        Source::geometry("D1"),
    )
    .with("D", "outside diameter", diameter, "mm")
    .with("t", "wall", t, "mm");
    let width = tube.width_mm();
    let flat = match tube.cover {
        Cover::Whole { seam: LongSeam::Butt { gap_mm }, .. } => {
            Working::new("width of the flat", width, "mm", "π·(D − t) − g", Source::geometry("D1")).with(
                "g",
                "gap of the long seam",
                gap_mm,
                "mm",
            )
        }
        Cover::Whole { seam: LongSeam::Lap { lap_mm }, .. } => {
            Working::new("width of the flat", width, "mm", "π·(D − t) + lap", Source::geometry("D1")).with(
                "lap",
                "lap of the long seam",
                lap_mm,
                "mm",
            )
        }
        Cover::Part { girth_rad, .. } => {
            Working::new("width of the flat", width, "mm", "π·(D − t)·γ/360°", Source::geometry("D1")).with(
                "γ",
                "girth of the patch",
                girth_rad.to_degrees(),
                "°",
            )
        }
    };
    vec![whole, flat]
}

fn of_end(development: &Development<'_>, index: usize, end: &TubeEnd) -> Vec<Working> {
    let tube = development.tube;
    let radius = tube.radius_mm(end.wall);
    let wall = |working: Working| {
        working.with("r", format!("radius of the wall that touches: {}", end.wall.words()), radius, "mm")
    };
    match &end.cut {
        TubeCut::Square => Vec::new(),
        TubeCut::Mitre { angle_rad, .. } => vec![wall(
            Working::new(
                format!("mitre at the {}, longest to shortest side", end.name),
                2.0 * radius * angle_rad.tan(),
                "mm",
                "y(f) = r·tan α·(1 − cos f); at f = 180°: 2·r·tan α",
                Source::geometry("D6"),
            )
            .with("α", "mitre from square", angle_rad.to_degrees(), "°"),
        )],
        TubeCut::Saddle(saddle) => saddle_workings(development, index, end, saddle),
        TubeCut::Flattened { flat_mm, transition_mm, .. } => {
            let shape = flattened_shape(tube, *transition_mm);
            let middle = tube.radius_mm(Wall::Middle);
            vec![
                Working::new(
                    format!("width of the flat at the {}", end.name),
                    shape.width_mm,
                    "mm",
                    "π·rm − π·t/2 + 2·t",
                    Source::geometry(""),
                )
                .with("rm", "radius of the middle of the wall", middle, "mm")
                .with("t", "wall", tube.thickness_mm, "mm"),
                Working::new(
                    format!("length that the {} takes up on the way to flat", end.name),
                    shape.taken_up_mm,
                    "mm",
                    "√(s² + (rm − t/2)²) − s",
                    Source::geometry(""),
                )
                .with("s", "from round to flat along the axis", *transition_mm, "mm")
                .with("rm", "radius of the middle of the wall", middle, "mm")
                .with("t", "wall", tube.thickness_mm, "mm")
                .with("flat", "flat length from the tip", *flat_mm, "mm"),
            ]
        }
    }
}

fn saddle_workings(development: &Development<'_>, index: usize, end: &TubeEnd, saddle: &Saddle) -> Vec<Working> {
    let tube = development.tube;
    let radius = tube.radius_mm(end.wall);
    let id = if saddle.offset_mm == 0.0 { "D9, D13" } else { "D12, D13" };
    let square = |name: String, value: f64, formula: &'static str| {
        Working::new(name, value, "mm", formula, Source::geometry(id))
            .with("R", "outside radius of the main tube", 0.5 * saddle.main_outside_diameter_mm, "mm")
            .with("r", format!("radius of the wall that touches: {}", end.wall.words()), radius, "mm")
            .with("θ", "angle between the axes", saddle.axis_angle_rad.to_degrees(), "°")
            .with("e", "offset of the axes", saddle.offset_mm, "mm")
    };
    let (bite, gap) = other_wall(development, end, saddle);
    vec![
        square(
            format!("saddle at the {}, longest to shortest side", end.name),
            depth(development, index),
            "z(f) = √(R² − (r·sin f + e)²)/sin θ + r·cos f/tan θ; largest less smallest",
        ),
        square(
            format!("saddle at the {}, from the main tube's axis on the closed side", end.name),
            saddle.reach_mm(radius, 0.0),
            "z(0)",
        ),
        Working::new(
            format!("saddle at the {}: gap under the other wall of a square edge, at most", end.name),
            gap,
            "mm",
            "distance of that wall's edge from the main tube's outside",
            Source::geometry("D13"),
        )
        .with("bite", "how far that edge would lie inside the main tube, at most: filed off", bite, "mm"),
    ]
}

/// How far the edge of the wall that does not touch lies inside the main tube, and off it, at most.
pub(super) fn other_wall(development: &Development<'_>, end: &TubeEnd, saddle: &Saddle) -> (f64, f64) {
    const STEPS: u32 = 720;
    let tube = development.tube;
    let touching = tube.radius_mm(end.wall);
    let others = match end.wall {
        Wall::Outside => [tube.radius_mm(Wall::Inside); 2],
        Wall::Inside => [tube.radius_mm(Wall::Outside); 2],
        Wall::Middle => [tube.radius_mm(Wall::Inside), tube.radius_mm(Wall::Outside)],
    };
    let (sin, cos) = saddle.axis_angle_rad.sin_cos();
    let mut found = (0.0f64, 0.0f64);
    for i in 0..STEPS {
        let f = TAU * f64::from(i) / f64::from(STEPS);
        let z = saddle.reach_mm(touching, f);
        for other in others {
            let beside = other * f.sin() + saddle.offset_mm;
            let off = beside.hypot(z * sin - other * f.cos() * cos) - 0.5 * saddle.main_outside_diameter_mm;
            found = (found.0.max(-off), found.1.max(off));
        }
    }
    found
}

fn over(development: &Development<'_>) -> Vec<Working> {
    let tube = development.tube;
    let Some(old) = &tube.over else { return Vec::new() };
    let bore = 2.0 * tube.radius_mm(Wall::Inside);
    vec![
        Working::new("inside diameter", bore, "mm", "Do + c", Source::geometry(""))
            .with("Do", "outside diameter of the old tube", old.outside_diameter_mm, "mm")
            .with("c", "clearance on the diameter", bore - old.outside_diameter_mm, "mm"),
        Working::new(
            "lap of the old wall under each edge",
            old.lap_mm,
            "mm",
            "the old wall is cut this much short of the edge",
            Source::common_practice("H8"),
        ),
    ]
}
