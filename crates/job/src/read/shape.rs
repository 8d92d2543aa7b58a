//! Faults of the shape of a job that its fields alone do not show: doubled ids, limits, patterns without a check figure.

use super::{FORMAT, MOST_QUESTIONS, MOST_SECTIONS};
use crate::file::{EdgeLine, Fitter, Job, Opening, Pattern, Piece, Role};
use crate::plan::Fault;
use std::collections::BTreeSet;
use units::Dimension;

/// Faults of the whole job; empty when it can be planned section by section.
#[must_use]
pub fn shape_faults(job: &Job) -> Vec<Fault> {
    let mut faults = Vec::new();
    let mut fault = |field: String, message: String| faults.push(Fault { field, message });
    if job.format != FORMAT {
        fault("format".into(), format!("is {}; this program reads format {FORMAT}", job.format));
    }
    if job.sections.len() > MOST_SECTIONS {
        fault(
            "section".into(),
            format!("there are {}; up to {MOST_SECTIONS} sections a job are accepted", job.sections.len()),
        );
    }
    doubled("section", job.sections.iter().map(|section| section.id.as_str()), &mut fault);
    doubled("pattern", job.patterns.iter().map(|pattern| pattern.id.as_str()), &mut fault);
    for section in &job.sections {
        let path = format!("section.{}", section.id);
        if section.quantity == 0 || section.quantity > 1000 {
            fault(format!("{path}.quantity"), format!("is {}; 1 to 1000 are accepted", section.quantity));
        }
        doubled(&format!("{path}.piece"), section.pieces.iter().map(name), &mut fault);
    }
    for Fault { field, message } in fitter_faults(&job.fitter) {
        fault(field, message);
    }
    for pattern in &job.patterns {
        let path = format!("pattern.{}", pattern.id);
        for Fault { field, message } in pattern_faults(pattern, &path) {
            fault(field, message);
        }
    }
    faults
}

/// Faults of what is said about the fitter's machine.
fn fitter_faults(fitter: &Fitter) -> Vec<Fault> {
    let mut faults = Vec::new();
    if let Some(current) = fitter.least_current_a.filter(|current| !(1.0..=500.0).contains(current)) {
        let message = format!("is {current} A; 1 to 500 A are accepted");
        faults.push(Fault { field: "fitter.least_current_a".into(), message });
    }
    for (field, value, [least, most], unit) in [
        ("current_a", fitter.current_a, [1.0, 500.0], "A"),
        ("voltage_v", fitter.voltage_v, [5.0, 50.0], "V"),
        ("travel_mm_s", fitter.travel_mm_s, [0.2, 50.0], "mm/s"),
    ] {
        if let Some(value) = value.filter(|value| !(least..=most).contains(value)) {
            let message = format!("is {value} {unit}; {least} to {most} {unit} are accepted");
            faults.push(Fault { field: format!("fitter.{field}"), message });
        }
    }
    if let Some(wire) = &fitter.wire {
        let message = match fitter.wire_mm() {
            Some(mm) if (0.3..=4.0).contains(&mm) => return faults,
            Some(mm) => format!("\"{}\" is {mm:.2} mm; wire or rod of 0.3 to 4 mm is accepted", wire.written()),
            None => format!("\"{}\" is no length; wire or rod of 0.3 to 4 mm is accepted", wire.written()),
        };
        faults.push(Fault { field: "fitter.wire".into(), message });
    }
    faults
}

/// Faults of one pattern.
pub(super) fn pattern_faults(pattern: &Pattern, path: &str) -> Vec<Fault> {
    let mut faults = Vec::new();
    let at = |step: &str| if path.is_empty() { step.to_owned() } else { format!("{path}.{step}") };
    let mut fault = |field: String, message: String| faults.push(Fault { field, message });
    if !pattern.measurements.iter().any(|measurement| measurement.role == Role::Check) {
        fault(at("measurement"), "has no check figure; give at least one measurement whose role is \"check\"".into());
    }
    if pattern.pieces.is_empty() {
        fault(at("piece"), "is empty; a pattern has at least one piece".into());
    }
    if pattern.questions.len() > MOST_QUESTIONS {
        let message =
            format!("there are {}; at most {MOST_QUESTIONS} telephone questions are asked", pattern.questions.len());
        fault(at("question"), message);
    }
    doubled(&at("measurement"), pattern.measurements.iter().map(|m| m.id.as_str()), &mut fault);
    doubled(&at("piece"), pattern.pieces.iter().map(name), &mut fault);
    doubled(&at("version"), pattern.versions.iter().map(|version| version.id.as_str()), &mut fault);
    doubled(&at("switch"), pattern.switches.iter().map(|switch| switch.id.as_str()), &mut fault);
    let switches: BTreeSet<&str> = pattern.switches.iter().map(|switch| switch.id.as_str()).collect();
    for version in &pattern.versions {
        for id in version.on.iter().filter(|id| !switches.contains(id.as_str())) {
            fault(at(&format!("version.{}.on", version.id)), unknown("switch", id, switches.iter().copied()));
        }
    }
    for (place, id) in switches_used(pattern) {
        if !switches.contains(id) {
            fault(at(&place), unknown("switch", id, switches.iter().copied()));
        }
    }
    let pieces: BTreeSet<&str> = pattern.pieces.iter().map(name).collect();
    for measurement in &pattern.measurements {
        for named in measurement.role.pieces().filter(|named| !pieces.contains(named)) {
            let field = at(&format!("measurement.{}.role.piece", measurement.id));
            fault(field, unknown("piece", named, pieces.iter().copied()));
        }
    }
    let measurements: BTreeSet<&str> = pattern.measurements.iter().map(|m| m.id.as_str()).collect();
    for question in &pattern.questions {
        for answer in &question.answers {
            for id in answer.means.keys().filter(|id| !measurements.contains(id.as_str())) {
                let field = at(&format!("question.{}.answer.{}.means.{id}", question.id, answer.id));
                fault(field, unknown("measurement", id, measurements.iter().copied()));
            }
        }
    }
    faults
}

/// "there is no switch "x"; known are a, b".
pub(crate) fn unknown<'a>(what: &str, id: &str, known: impl Iterator<Item = &'a str>) -> String {
    let known: Vec<&str> = known.collect();
    if known.is_empty() {
        return format!("there is no {what} \"{id}\"; there is none at all");
    }
    let nearest = known.iter().min_by_key(|known| strsim::osa_distance(id, known));
    let hint = nearest.filter(|known| strsim::osa_distance(id, known) <= 3);
    match hint {
        Some(known) => format!("there is no {what} \"{id}\"; did you mean \"{known}\"?"),
        None => format!("there is no {what} \"{id}\"; known are {}", known.join(", ")),
    }
}

/// Name of a piece.
pub(crate) fn name(piece: &Piece) -> &str {
    match piece {
        Piece::Strip(strip) => &strip.name,
        Piece::Folded(folded) => &folded.name,
        Piece::Skin(skin) => &skin.name,
        Piece::Tube(tube) => &tube.name,
        Piece::Cone(cone) => &cone.name,
        Piece::Transition(transition) => &transition.name,
        Piece::Ring(ring) => &ring.name,
    }
}

/// Openings of a piece as written.
pub(crate) fn openings(piece: &Piece) -> &[Opening] {
    match piece {
        Piece::Strip(strip) => &strip.openings,
        Piece::Folded(folded) => &folded.openings,
        Piece::Skin(skin) => &skin.openings,
        Piece::Tube(tube) => &tube.openings,
        Piece::Ring(ring) => &ring.openings,
        Piece::Cone(_) | Piece::Transition(_) => &[],
    }
}

/// Thickness and material of a piece as written.
pub(crate) fn sheet(piece: &Piece) -> (&Dimension, &str) {
    match piece {
        Piece::Strip(strip) => (&strip.thickness, &strip.material),
        Piece::Folded(folded) => (&folded.thickness, &folded.material),
        Piece::Skin(skin) => (&skin.thickness, &skin.material),
        Piece::Tube(tube) => (&tube.thickness, &tube.material),
        Piece::Cone(cone) => (&cone.thickness, &cone.material),
        Piece::Transition(transition) => (&transition.thickness, &transition.material),
        Piece::Ring(ring) => (&ring.thickness, &ring.material),
    }
}

fn doubled<'a>(path: &str, ids: impl Iterator<Item = &'a str>, fault: &mut impl FnMut(String, String)) {
    let mut seen = BTreeSet::new();
    for id in ids {
        if id.trim().is_empty() {
            fault(path.to_owned(), "one has an empty id or name; give each its own".into());
        } else if !seen.insert(id) {
            fault(format!("{path}.{id}"), format!("\"{id}\" stands twice; give each its own"));
        }
    }
}

/// Every switch that geometry hangs on, with its place.
fn switches_used(pattern: &Pattern) -> Vec<(String, &str)> {
    let mut used = Uses(Vec::new());
    for piece in &pattern.pieces {
        let path = format!("piece.{}", name(piece));
        let (make_ups, openings): (Vec<_>, &[_]) = match piece {
            Piece::Strip(strip) => {
                for section in &strip.cross_sections {
                    used.note(&format!("{path}.cross_section"), &section.when, &section.unless);
                }
                if let Some(line) = &strip.edge_line {
                    used.edge_line(&path, line);
                }
                (strip.finished_edge.iter().chain(&strip.cut_edge).collect(), &strip.openings)
            }
            Piece::Folded(folded) => (folded.edges.iter().flat_map(|edge| &edge.make_ups).collect(), &folded.openings),
            Piece::Skin(skin) => (skin.edges.iter().flat_map(|edge| &edge.make_ups).collect(), &skin.openings),
            Piece::Tube(tube) => {
                for end in tube.starts.iter().chain(&tube.fars) {
                    used.note(&format!("{path}.{}", end.name), &end.when, &end.unless);
                }
                (Vec::new(), &tube.openings)
            }
            Piece::Cone(_) => (Vec::new(), &[]),
            Piece::Transition(transition) => {
                for segment in transition.edges.iter().flat_map(|edge| &edge.segments) {
                    used.note(&format!("{path}.edge"), &segment.when, &segment.unless);
                }
                (Vec::new(), &[])
            }
            Piece::Ring(ring) => {
                for circle in &ring.bolt_circles {
                    used.note(&format!("{path}.bolt_circle.{}", circle.name), &circle.when, &circle.unless);
                }
                (Vec::new(), &ring.openings)
            }
        };
        for make_up in make_ups {
            used.note(&path, &make_up.when, &make_up.unless);
        }
        for opening in openings {
            used.note(&format!("{path}.opening.{}", opening.name), &opening.when, &opening.unless);
        }
    }
    for pair in &pattern.pairs {
        let path = format!("pair.{}", pair.name);
        used.edge_line(&path, &pair.edge_line);
        for hole in &pair.holes {
            used.note(&format!("{path}.hole.{}", hole.name), &hole.when, &hole.unless);
        }
    }
    used.0
}

/// Places and the switches named there.
struct Uses<'a>(Vec<(String, &'a str)>);

impl<'a> Uses<'a> {
    fn note(&mut self, place: &str, when: &'a Option<String>, unless: &'a Option<String>) {
        self.0.extend(when.iter().chain(unless).map(|id| (place.to_owned(), id.as_str())));
    }

    fn edge_line(&mut self, path: &str, line: &'a EdgeLine) {
        for segment in &line.segments {
            self.note(&format!("{path}.edge_line"), &segment.when, &segment.unless);
        }
    }
}
