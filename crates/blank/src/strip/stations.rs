//! Developed widths at stations, with their working.

use super::flat::Flat;
use super::widths;
use crate::{BlankError, FlatStation};
use handbook::edges::{Joggle, Ramp};
use handbook::{Source, Working};
use section::{Lean, MakeUp, Part, Shape};

/// Longest stretch between two stations of the table, and most stretches.
const APART_MM: f64 = 150.0;
const MOST: f64 = 12.0;
/// Neutral radius of the two arcs with which a joggle is shown beside its straight ramp (handbook F5).
const JOGGLE_ARC_MM: f64 = 3.0;

/// Stations of the table: ends with and without spare, and evenly between.
pub(super) fn chosen(flat: &Flat<'_>) -> Vec<f64> {
    let strip = flat.strip();
    let steps = ((strip.to_mm - strip.from_mm) / APART_MM).ceil().clamp(2.0, MOST) as usize;
    let between = (0..=steps).map(|i| strip.from_mm + (strip.to_mm - strip.from_mm) * i as f64 / steps as f64);
    let mut out: Vec<f64> = between.chain([flat.swept.start_mm(), flat.swept.end_mm()]).collect();
    out.sort_by(f64::total_cmp);
    out.dedup_by(|later, earlier| (*later - *earlier).abs() < 1e-6);
    out
}

/// Developed width and the place of every line at the chosen stations.
pub(super) fn table(flat: &Flat<'_>) -> Vec<FlatStation> {
    chosen(flat)
        .into_iter()
        .map(|station_mm| {
            let cut = flat.cut(station_mm);
            FlatStation {
                station_mm,
                width_mm: cut.lines.last().map_or(0.0, |line| line.mm) + flat.trim_mm.iter().sum::<f64>(),
                along_flat_mm: flat.point(&cut, cut.y_mm(flat.held.node)).x,
                lines: flat.names.iter().cloned().zip(cut.lines.iter().map(|line| line.mm + flat.trim_mm[0])).collect(),
            }
        })
        .collect()
}

/// How each developed width is made up, and the rule behind every bend.
pub(super) fn workings(flat: &Flat<'_>) -> Result<Vec<Working>, BlankError> {
    let mut out = Vec::new();
    for station in chosen(flat) {
        let profile = flat.swept.profile(station, Lean::After);
        let lines = flat.widths.lines(&profile);
        let total = lines.last().map_or(0.0, |line| line.mm) + flat.trim_mm.iter().sum::<f64>();
        let mut working = Working::new(
            format!("developed width at station {station:.1} mm"),
            total,
            "mm",
            "sum of straight lengths, bend allowances and trim",
            Source::geometry(""),
        );
        for (link, entry) in profile.links.iter().enumerate() {
            let what = part_name(flat, entry.part, matches!(entry.shape, Shape::Straight { .. }));
            working = working.with(format!("l{}", link + 1), what, flat.widths.width(&profile, link).mm, "mm");
        }
        for (trim, what) in flat.trim_mm.iter().zip(["trim of the finished edge", "trim of the cut edge"]) {
            if *trim > 0.0 {
                working = working.with("trim", what, *trim, "mm");
            }
        }
        out.push(working);
    }
    out.extend(bends(flat)?);
    Ok(out)
}

fn part_name(flat: &Flat<'_>, part: Part, straight: bool) -> String {
    let strip = flat.strip();
    match part {
        Part::Skin { link } => format!("skin, part {}{}", link + 1, if straight { "" } else { " (arc)" }),
        Part::Bend { edge, index } => format!("{}: bend", strip.make_up_name(edge, index)),
        Part::Leg { edge, index } => format!("{}: flat", strip.make_up_name(edge, index)),
        Part::Ramp { edge, index } => format!("{}: ramp, true length", strip.make_up_name(edge, index)),
    }
}

/// Workings of bends at the middle of the piece, and of both ways to look at a joggle.
fn bends(flat: &Flat<'_>) -> Result<Vec<Working>, BlankError> {
    let middle = 0.5 * (flat.swept.start_mm() + flat.swept.end_mm());
    let profile = flat.swept.profile(middle, Lean::After);
    let mut out = Vec::new();
    for (link, entry) in profile.links.iter().enumerate() {
        let name = part_name(flat, entry.part, false);
        match (entry.shape, widths::make_up(flat.strip(), entry.part)) {
            (_, Some(MakeUp::Joggle { depth_mm, ramp_mm, .. })) if matches!(entry.part, Part::Ramp { .. }) => {
                for ramp in [
                    Ramp::Straight { run_mm: *ramp_mm },
                    Ramp::Arcs { neutral_radius_mm: JOGGLE_ARC_MM.max(*depth_mm) },
                ] {
                    let joggle = Joggle { depth_mm: *depth_mm, ramp };
                    let figures = joggle
                        .figures()
                        .map_err(|fault| BlankError::Bend { place: name.clone(), what: fault.to_string() })?;
                    out.push(figures.working);
                }
            }
            (Shape::Arc { .. }, Some(MakeUp::Wired { .. })) => {} // with the wire
            (Shape::Arc { inside_radius_mm, bend_rad }, _) if bend_rad.value.abs() > 1e-9 => {
                if flat.widths.is_rolled(link) {
                    let width = flat.widths.width(&profile, link).mm;
                    out.push(
                        Working::new(format!("{name}, rolled"), width, "mm", "φ·(r + t/2)", Source::geometry("B2"))
                            .with("φ", "bend angle, turned from flat", bend_rad.value.abs(), "rad")
                            .with("r", "inside radius", inside_radius_mm.value, "mm")
                            .with("t", "thickness", profile.thickness_mm, "mm"),
                    );
                } else {
                    let figures = flat.widths.figures(&name, bend_rad.value.abs(), inside_radius_mm.value)?;
                    out.extend(
                        figures
                            .workings
                            .into_iter()
                            .map(|working| Working { name: format!("{name}, {}", working.name).into(), ..working }),
                    );
                }
            }
            _ => {}
        }
    }
    Ok(out)
}
