//! The weld lines of a piece whose panel is not modelled (trays, tubes, rings, cones, patches), each laid out on a sheet of its own, for heat alone.
//!
//! Heat runs in a curved wall as it does in a flat one, so an open edge becomes the middle of a flat sheet as long as the edge, a closed one the middle
//! of a round wall of its own length. Sheet goes on for [`BESIDE_MM`] on either side; folds, narrow walls and what is bolted on are not in it.

use super::{Asked, form, machine, map};
use crate::plan::{WeldMap, WeldRow};
use glam::DVec3;
use handbook::joints::JointKind as Book;
use mesh::Skin;
use std::f64::consts::PI;
use weld::heat_map::WeldPass;
use weld::joints::WeldEventKind;
use weld::metal::{FoundBy, MetalTrials, WeldMetal};
use weld::order::EventKind;
use weld::panel::SeamLine;
use weld::shrinkage::ShopFactors;
use weld::warp::{PlannedSeam, SeamJoint, WarpPlan, WarpSettings};

/// Sheet on either side of a weld line.
const BESIDE_MM: f64 = 150.0;
/// Sides of its mesh before it is refined, at most.
const STEP_MM: f64 = 20.0;
/// A round wall has at least so many sides, and its mesh no longer ones.
const RING_SIDES: u32 = 36;
/// From one sheet to the next.
const APART_MM: f64 = 1000.0;
/// Longest length of weld lines that is laid out.
const MOST_MM: f64 = 6000.0;

/// Weld lines on their sheets, and the welds along them.
pub(super) struct LaidOut {
    /// Piece of the first line.
    pub(super) piece: String,
    pub(super) plan: WarpPlan,
    pub(super) welds: Vec<WeldPass>,
    /// What was taken as given.
    pub(super) taken: Vec<String>,
}

/// Lays the weld lines of a section out. Error: why no heat is known, in words.
pub(super) fn of(asked: &Asked<'_>, maps: &[WeldMap]) -> Result<LaidOut, String> {
    let Asked { job, section, made, shop, .. } = *asked;
    let joint = &made.resolved.joint;
    if !joint.kind.is_welded() {
        return Err(format!("a {} puts no heat into the panel", joint.kind.name()));
    }
    let material = super::advice::material(made).ok_or("this section has no sheet")?;
    let trials = MetalTrials { magnet: section.joint.magnet, file_mark: section.joint.file_mark };
    let metal = WeldMetal::found(material, FoundBy::Trials(trials)).map_err(|error| error.to_string())?;
    let heat = machine::heat(&job.fitter, joint, &metal)?;
    let thin_mm = joint.old_thickness_mm.min(joint.new_thickness_mm);
    let own = seam_joint(asked, thin_mm)?;
    // plugs that are made in the flat have no map: they stand along the edge all the same
    let placed: Vec<WeldMap>;
    let maps = if numbered(maps) {
        maps
    } else {
        let design = form::of(section, made).and_then(|form| super::as_chosen(form, asked));
        placed = map::by_habit(section, made, design.as_ref());
        &placed
    };
    let first = maps.first().ok_or("no weld of this section has a place on an edge")?;
    let length_mm: f64 = maps.iter().map(|map| map.length_mm).sum();
    if !(1.0..=MOST_MM).contains(&length_mm) {
        return Err(format!("{length_mm:.0} mm of weld lines; 1 to {MOST_MM:.0} mm are laid out"));
    }
    let mut skin = Skin::default();
    let mut seams = Vec::with_capacity(maps.len());
    for (row, map) in maps.iter().enumerate() {
        let line = sheet(&mut skin, map, DVec3::Y * APART_MM * row as f64);
        seams.push(PlannedSeam { line, joint: joint_of(map, own, thin_mm) });
    }
    let dot_mm = own.dot_mm();
    let mut welds: Vec<WeldPass> =
        maps.iter().zip(&seams).flat_map(|(map, seam)| along(map, &seam.line, dot_mm)).collect();
    welds.sort_by_key(|weld| weld.number);
    let mut taken = vec![
        machine::taken(&job.fitter, &heat, &metal, thin_mm, dot_mm),
        format!(
            "each weld line is laid out on a sheet of its own, {BESIDE_MM:.0} mm wide on either side; a narrower wall keeps the heat together: there it gets hotter, and the pauses are longer"
        ),
    ];
    if joint.kind.is_lap() {
        taken.push("where two sheets lap they count as one of twice the thinner's thickness".into());
    }
    let rings = maps.iter().filter(|map| map.closed).map(|map| 1.5 * map.length_mm / f64::from(RING_SIDES));
    let usual = WarpSettings::default();
    let far_edge_mm = rings.fold(usual.far_edge_mm, f64::min);
    let plan = WarpPlan {
        skin,
        thickness_mm: thin_mm,
        metal,
        seams,
        heat,
        shop: ShopFactors::default(),
        supports: Vec::new(),
        settings: WarpSettings { pitches_mm: pitches(joint.kind, shop), far_edge_mm, ..usual },
    };
    Ok(LaidOut { piece: first.piece.clone(), plan, welds, taken })
}

/// The maps of a plan hold all its welds: else its plugs are made in the flat, and are numbered anew.
pub(super) fn numbered(maps: &[WeldMap]) -> bool {
    maps.iter().any(|map| map.row.is_own())
}

/// How one row of welds joins: the long seam of a sleeve edge to edge, the rest as the section.
fn joint_of(map: &WeldMap, own: SeamJoint, thin_mm: f64) -> SeamJoint {
    if map.row == WeldRow::LongSeam { SeamJoint::usual_butt(thin_mm) } else { own }
}

fn pitches(kind: Book, shop: &shop::ShopSettings) -> Vec<f64> {
    if kind.is_lap() { shop.rules.plug_pitch_mm.to_vec() } else { Vec::new() }
}

fn seam_joint(asked: &Asked<'_>, thin_mm: f64) -> Result<SeamJoint, String> {
    let joint = &asked.made.resolved.joint;
    if !joint.kind.is_lap() {
        return Ok(SeamJoint::usual_butt(thin_mm));
    }
    let usual = SeamJoint::usual_lap_mm(thin_mm, &asked.shop.rules).map_err(|error| error.to_string())?;
    let [usual_overlap_mm, usual_dot_mm] = usual;
    let own_mm = joint.lap_mm - joint.ramp_mm;
    let overlap_mm = if own_mm > 0.0 { own_mm } else { usual_overlap_mm };
    let dot_mm = joint.figures.as_ref().and_then(|own| own.hole_mm).unwrap_or(usual_dot_mm);
    Ok(SeamJoint::Lap { overlap_mm, dot_mm })
}

/// A sheet with the weld line along its middle, put beside the others.
fn sheet(skin: &mut Skin, map: &WeldMap, origin: DVec3) -> SeamLine {
    let columns = ((map.length_mm / STEP_MM).ceil() as u32).max(if map.closed { RING_SIDES } else { 1 });
    let half_rows = (BESIDE_MM / STEP_MM).ceil() as u32;
    let side_mm = map.length_mm / f64::from(columns);
    let turn = 2.0 * PI / f64::from(columns);
    // a ring of straight sides, as long as the edge
    let radius_mm = 0.5 * side_mm / (0.5 * turn).sin();
    let at = |column: u32, row: u32| {
        let across_mm = BESIDE_MM * (f64::from(row) / f64::from(half_rows) - 1.0);
        let along = f64::from(column);
        origin
            + if map.closed {
                DVec3::new(radius_mm * (turn * along).cos(), across_mm, -radius_mm * (turn * along).sin())
            } else {
                DVec3::new(side_mm * along, across_mm, 0.0)
            }
    };
    let points_of_row = if map.closed { columns } else { columns + 1 };
    let first = skin.points_mm.len() as u32;
    let number = |column: u32, row: u32| first + row * points_of_row + column % points_of_row;
    for row in 0..=2 * half_rows {
        skin.points_mm.extend((0..points_of_row).map(|column| at(column, row)));
    }
    for row in 0..2 * half_rows {
        for column in 0..columns {
            let [a, b] = [number(column, row), number(column + 1, row)];
            let [c, d] = [number(column + 1, row + 1), number(column, row + 1)];
            skin.triangles.extend([[a, b, c], [a, c, d]]);
        }
    }
    let points_mm = (0..points_of_row).map(|column| at(column, half_rows)).collect();
    SeamLine { points_mm, closed: map.closed }
}

/// The welds of a map on its line.
fn along<'a>(map: &'a WeldMap, line: &'a SeamLine, dot_mm: Option<f64>) -> impl Iterator<Item = WeldPass> + 'a {
    map.events.iter().filter_map(move |event| {
        let kind = match event.kind {
            WeldEventKind::Tack => EventKind::Tack,
            WeldEventKind::Plug | WeldEventKind::Spot => EventKind::Plug,
            WeldEventKind::Run => EventKind::Run,
        };
        let stations = if kind == EventKind::Run {
            let steps = ((event.to_mm - event.from_mm).abs() / STEP_MM).ceil().max(1.0);
            (0..=steps as u32).map(|i| event.from_mm + (event.to_mm - event.from_mm) * f64::from(i) / steps).collect()
        } else {
            vec![event.from_mm]
        };
        let at = |station_mm: &f64| {
            // a run over the start of a closed edge goes on round it
            let on =
                if map.closed { station_mm.rem_euclid(map.length_mm) } else { station_mm.clamp(0.0, map.length_mm) };
            crate::plan::warp::along(line, on)
        };
        let line_mm = stations.iter().map(at).collect::<Option<Vec<DVec3>>>()?;
        Some(WeldPass {
            kind,
            line_mm,
            number: event.number,
            pause_s: None,
            dot_mm: dot_mm.filter(|_| kind == EventKind::Plug),
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn map(closed: bool) -> WeldMap {
        WeldMap {
            piece: "piece".into(),
            edge: "edge".into(),
            length_mm: 410.0,
            closed,
            row: WeldRow::Own,
            into_mm: 0.0,
            lap_mm: 0.0,
            hole_mm: None,
            events: Vec::new(),
        }
    }

    /// The line is as long as the edge, lies on the sheet, and every place along it is as far from the start as its station says.
    #[test]
    fn a_line_is_laid_out_at_its_length() {
        for closed in [false, true] {
            let mut skin = Skin::default();
            let line = sheet(&mut skin, &map(closed), DVec3::Y * 30.0);
            let length: f64 = line.sides().map(|(a, b)| a.distance(b)).sum();
            assert!((length - 410.0).abs() < 1e-9, "{closed}: {length}");
            skin.topology().unwrap();
            assert!(line.points_mm.iter().all(|at| skin.points_mm.contains(at)));
            let width =
                skin.points_mm.iter().fold([f64::MAX, f64::MIN], |[low, high], p| [low.min(p.y), high.max(p.y)]);
            assert_eq!(width, [30.0 - BESIDE_MM, 30.0 + BESIDE_MM]);
        }
    }
}
