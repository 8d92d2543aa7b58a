//! How a section goes in: hole, pitch, count, notes for the person who fits it.

use super::JointPlan;
use super::words::Words;
use crate::file::{Job, JointKind, Kit, Section, Skill};
use crate::resolve::{JointChoice, ResolvedShape};
use handbook::joints::JointKind as Book;
use handbook::shop_rules::WIRE_WELD_THIN_SHEET;
use handbook::{Source, Working};

use super::make::Made;

pub(super) fn plan(job: &Job, section: &Section, made: &Made, words: &Words) -> JointPlan {
    let joint = &made.resolved.joint;
    let run_mm = run_mm(section, made);
    let mut workings = joint.figures.as_ref().map(|figures| figures.workings.clone()).unwrap_or_default();
    if joint.lap_mm > 0.0 {
        workings.push(lap_working(section, joint));
    }
    let (count, pitch_mm, pitch) = pitch(joint, run_mm, made);
    workings.extend(pitch);
    let hole = joint.figures.as_ref().and_then(|figures| figures.hole_mm);
    let sentence = sentence(section, joint, words, count, pitch_mm, hole);
    JointPlan { sentence, workings, notes: notes(job, section, joint, words), count }
}

fn lap_working(section: &Section, joint: &JointChoice) -> Working {
    let overlap_mm = joint.lap_mm - joint.ramp_mm;
    let (formula, source) = if section.joint.lap.is_some() {
        ("as written in the job", Source::measured("said for this job"))
    } else {
        ("ramp + overlap", Source::common_practice("H4, W41"))
    };
    Working::new("lap", joint.lap_mm, "mm", formula, source).with("ramp", "run of the step", joint.ramp_mm, "mm").with(
        "overlap",
        "sheet on sheet",
        overlap_mm,
        "mm",
    )
}

/// Length that is joined: the run of the strips along their cut edge, or round the folded edges of a folded piece.
pub(super) fn run_mm(section: &Section, made: &Made) -> f64 {
    if !section.joint.along.is_empty() {
        let edges = section.joint.along.iter().filter_map(|own| {
            let piece = made.pieces.iter().find(|piece| piece.name == own.piece)?;
            piece.edges.iter().find(|edge| edge.name == own.edge)
        });
        return edges.map(|edge| edge.length_mm).sum();
    }
    let joined = |piece: &&crate::resolve::ResolvedPiece| {
        !crate::resolve::is_seamed(&made.resolved.seams, piece.shape.name(), "cut edge")
    };
    made.resolved
        .pieces
        .iter()
        .filter(joined)
        .map(|piece| match &piece.shape {
            // what is welded on in the shop is not joined on the vehicle
            ResolvedShape::Strip(strip) if strip.makes != section::Makes::Body => 0.0,
            ResolvedShape::Strip(strip) => strip.to_mm - strip.from_mm,
            ResolvedShape::Folded(folded) => {
                let corners = &folded.base.corners_mm;
                let next = corners.iter().cycle().skip(1);
                corners
                    .iter()
                    .zip(next)
                    .zip(&folded.edges)
                    .filter(|(_, edge)| !edge.make_ups.is_empty())
                    .map(|((a, b), _)| a.distance(*b))
                    .sum()
            }
            ResolvedShape::Skin(skin) => skin.joined_mm(),
            ResolvedShape::Tube(tube) => tube.joined_mm(),
            ResolvedShape::Ruled(ruled) => ruled.joined_mm(),
            ResolvedShape::Ring(ring) => ring.joined_mm,
        })
        .sum()
}

fn pitch(joint: &JointChoice, run_mm: f64, made: &Made) -> (usize, f64, Option<Working>) {
    let bolts = made
        .resolved
        .pieces
        .iter()
        .map(|piece| piece.shape.openings().iter().filter(|opening| opening.half_clearance_mm.is_some()).count())
        .max()
        .unwrap_or(0);
    let Some(figures) = &joint.figures else { return (bolts, 0.0, None) };
    if joint.kind == Book::BoltedFlange {
        return (bolts, 0.0, None);
    }
    let [least, most] = figures.pitch_mm;
    let usual = 0.5 * (least + most);
    if usual <= 0.0 || run_mm <= 0.0 {
        return (0, 0.0, None);
    }
    let gaps = (run_mm / usual).ceil().max(1.0);
    let pitch_mm = run_mm / gaps;
    let working = Working::new(
        "pitch along the run",
        pitch_mm,
        "mm",
        "run/⌈run/((least + most)/2)⌉",
        Source::common_practice("H9, W31, W41"),
    )
    .with("run", "length joined, without spare", run_mm, "mm")
    .with("least", "least pitch", least, "mm")
    .with("most", "most pitch", most, "mm");
    (gaps as usize + 1, pitch_mm, Some(working))
}

fn sentence(
    section: &Section,
    joint: &JointChoice,
    words: &Words,
    count: usize,
    pitch_mm: f64,
    hole_mm: Option<f64>,
) -> String {
    let name = joint.kind.name();
    let hole = hole_mm.map(|hole_mm| words.small(hole_mm)).unwrap_or_default();
    match section.joint.kind {
        JointKind::Butt => format!(
            "{name}: {count} tacks about {} apart, closed from the middle outwards, gap none to half the thickness",
            words.length(pitch_mm)
        ),
        JointKind::SteppedLap | JointKind::PlainLap if hole_mm.is_some() && pitch_mm > 0.0 => format!(
            "{name}: lap {}, {count} plugs in {hole} holes about {} apart, in the sheet nearest the torch",
            words.length(joint.lap_mm),
            words.length(pitch_mm)
        ),
        JointKind::SteppedLap | JointKind::PlainLap if pitch_mm > 0.0 => {
            format!("{name}: lap {}, {count} spots about {} apart", words.length(joint.lap_mm), words.length(pitch_mm))
        }
        JointKind::Bolted => format!("{name}: {count} bolts, faces painted before they meet"),
        _ => format!("{name}: lap {}", words.length(joint.lap_mm)),
    }
}

fn notes(job: &Job, section: &Section, joint: &JointChoice, words: &Words) -> Vec<String> {
    let mut notes = Vec::new();
    let thin = joint.old_thickness_mm.min(joint.new_thickness_mm);
    if super::cautions::is_welded(section) {
        match job.fitter.kit {
            Kit::GasShieldedWire => {
                let set = WIRE_WELD_THIN_SHEET;
                notes.push(format!(
                    "gas-shielded wire on {} sheet, starting values (estimate): wire {} mm, gas {:.0} to {:.0} L/min, {:.0} to {:.0} A, {:.0} to {:.0} V; dots of {} to {} s, the next one far from the last",
                    words.small(thin), set.wire_mm, set.gas_l_min[0], set.gas_l_min[1], set.current_a[0], set.current_a[1], set.voltage_v[0], set.voltage_v[1], set.dot_s[0], set.dot_s[1]
                ));
                notes.push("a machine without a meter: lowest or second step; try on an offcut of the same sheet until the back shows a flat bead; flux-cored wire runs too hot below 1.2 mm".into());
            }
            Kit::Tig => notes.push("TIG: about 1 A for each 0.025 mm of steel (35 to 40 A on 0.9 mm), filler thin, short runs, planish while it cools".into()),
            Kit::OxyAcetylene => notes.push("oxy-acetylene: smallest nozzle; the heat spreads wide, so short runs and planish hot".into()),
            Kit::Spot => notes.push("spot welder: try on two offcuts and tear them apart; a full button must pull out".into()),
            Kit::None => notes.push("there is no welder in this kit: ask us for a bonded or bolted joint, or let a welder join it".into()),
        }
        if job.fitter.skill == Skill::Volunteer {
            notes.push("practise on the offcuts that come with the piece before the vehicle is touched; if a hole blows, stop and let it cool".into());
        }
        if !section.joint.access_behind {
            notes.push("the back cannot be reached: no dolly, so keep each dot short and cool it with an air line before the next".into());
        }
    }
    if matches!(joint.kind, Book::SteppedLapPlug | Book::PlainLap) {
        notes.push("the arc starts on the sheet behind and fills the hole outwards; clamp tight at every plug".into());
    }
    notes
}
