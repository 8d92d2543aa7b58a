//! Question 3: where do we cut? Measurements as written, the height of cut, both ends.

use super::damage::sentence;
use super::{Asked, mm};
use crate::web::card::fields::Field;
use crate::web::card::question::{Picture, Question};
use crate::web::figures::{Cell, Figure, Table};
use job::file::{JointKind, Measurement, Pattern, Piece, Role, Tape};
use job::plan::{MeasuredPlan, Origin};
use packet::documents::{Reader, preview};

/// The question.
pub fn ask(asked: &Asked<'_>) -> Question {
    let cut = asked.plan.cut.as_ref();
    let picture = picture(asked);
    let answer = match cut {
        Some(cut) => sentence(&cut.sentence),
        None if asked.plan.pieces.is_empty() => "Nothing is cut: there is no piece to let in.".into(),
        None => let_in(asked).unwrap_or_else(|| "Nothing is cut out of the vehicle; the piece goes in whole.".into()),
    };
    Question {
        title: "Where do we cut?",
        pictures: picture.into_iter().collect(),
        fields: fields(asked),
        answer,
        short: match cut {
            Some(cut) => format!("cut at {}", mm(cut.cut_height_mm)),
            None if let_in(asked).is_some() => "cut to the outline".into(),
            None => "no cut".into(),
        },
        tables: measured_table(&asked.plan.measured).into_iter().collect(),
        figures: cut.map(|cut| cut.workings.iter().map(Figure::named).collect()).unwrap_or_default(),
        ..Question::default()
    }
}

/// Where a piece without a height of cut is let in: along the edges of a skin that take the joint, or all round.
fn let_in(asked: &Asked<'_>) -> Option<String> {
    let kind = asked.section.joint.kind;
    if kind == JointKind::Bolted || !asked.plan.fitting.iter().any(|step| step.cuts_vehicle) {
        return None;
    }
    let how = match kind {
        JointKind::Butt => "edge to edge, scribed from the trimmed piece",
        _ => "the piece reaches one lap beyond it, behind the old panel",
    };
    let given = match asked.pattern {
        Some(pattern) if asked.section.pieces.is_empty() => &pattern.pieces,
        _ => &asked.section.pieces,
    };
    let one = |piece: &Piece| {
        let Piece::Skin(skin) = piece else { return None };
        let joined: Vec<&str> = skin.edges.iter().filter(|edge| edge.joins).map(|edge| edge.name.as_str()).collect();
        Some(match joined.as_slice() {
            [] => format!("no edge of {} takes the joint, so that nothing is cut for it", skin.name),
            names => format!("the outline of {} is the cut line along {}: {how}", skin.name, in_words(names)),
        })
    };
    let skins: Vec<String> = given.iter().filter_map(one).collect();
    if skins.is_empty() {
        return Some("The piece is let in: it is scribed round on the old metal, and cut there.".into());
    }
    Some(sentence(&skins.join("; ")))
}

/// "a", "a and b", "a, b and c".
fn in_words(names: &[&str]) -> String {
    match names {
        [rest @ .., last] if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        names => names.concat(),
    }
}

/// The step that scribes and cuts, as the fitter sees it: both heights and their difference in one picture.
fn picture(asked: &Asked<'_>) -> Option<Picture> {
    let fitter = &asked.job().fitter;
    let reader = Reader::new(fitter.unit, fitter.inch_denominator);
    let step = asked
        .plan
        .fitting
        .iter()
        .find(|step| step.kind == "scribe")
        .or_else(|| asked.plan.fitting.iter().find(|step| step.cuts_vehicle))?;
    let svg = preview::fitting_step(asked.plan, step.number, reader).ok().flatten()?;
    Some(Picture {
        svg,
        caption: format!("{} (step {} of the fitting sheet)", step.title, step.number),
        shape: None,
        small: false,
    })
}

fn fields(asked: &Asked<'_>) -> Vec<Field> {
    let mut fields: Vec<Field> = Vec::new();
    for measurement in asked.pattern.map(|pattern| pattern.measurements.as_slice()).unwrap_or_default() {
        fields.extend(readings(asked, measurement));
    }
    // only a strip has an edge line that a stretch of it, with spare, is made of
    let has_strip = |pattern: &Pattern| pattern.pieces.iter().any(|piece| matches!(piece, Piece::Strip(_)));
    let from = asked.section.from_pattern.as_ref().filter(|_| asked.pattern.is_some_and(has_strip));
    if let Some(from) = from {
        let written =
            |value: &Option<units::Dimension>| value.as_ref().map(units::Dimension::written).unwrap_or_default();
        let ends = asked.plan.cut.as_ref().map(|cut| cut.end_names.clone()).unwrap_or_default();
        let hint = |end: &str| {
            if end.is_empty() { String::new() } else { format!("towards the {end}; empty takes what was measured") }
        };
        fields.push(
            Field::text(asked.path("from_pattern.from"), "From, along the edge line", written(&from.from))
                .hint(hint(&ends[0])),
        );
        fields.push(
            Field::text(asked.path("from_pattern.to"), "To, along the edge line", written(&from.to))
                .hint(hint(&ends[1])),
        );
        fields.push(Field::tick(
            asked.path("free_ends.start"),
            "spare length at the start",
            asked.section.free_ends.start,
        ));
        fields.push(Field::tick(asked.path("free_ends.end"), "spare length at the end", asked.section.free_ends.end));
    }
    fields
}

/// One field for each reading that the pattern asks for.
pub fn readings(asked: &Asked<'_>, measurement: &Measurement) -> Vec<Field> {
    let taken =
        asked.section.measured.get(&measurement.id).map(|measured| measured.readings.as_slice()).unwrap_or_default();
    let count = (measurement.readings.clamp(1, 3) as usize).max(taken.len().min(3));
    let field = |index: usize| {
        let path = asked.path(&format!("measured.{}.readings.{index}", measurement.id));
        let label = match (measurement.role == Role::Check, index) {
            (true, 0) => format!("Check figure: {}", measurement.title),
            (false, 0) => measurement.title.clone(),
            (_, index) => format!("{}, reading {}", measurement.title, index + 1),
        };
        let value = taken.get(index).map(units::Dimension::written).unwrap_or_default();
        Field::text(path, label, value).hint(if index == 0 { how_words(asked, measurement) } else { String::new() })
    };
    (0..count).map(field).collect()
}

/// Where the tape goes, in a sentence.
fn how_words(asked: &Asked<'_>, measurement: &Measurement) -> String {
    let tape = match measurement.tape {
        Tape::AlongSkin => "tape along the skin",
        Tape::Straight => "straight, point to point",
        Tape::Calliper => "calliper",
    };
    let reader = Reader::new(asked.job().unit, asked.job().fitter.inch_denominator);
    let usual = asked
        .pattern
        .and_then(|pattern| measurement.between_mm(pattern.unit))
        .map(|[low, high]| format!("; usually {} to {}", reader.write(low), reader.write(high)))
        .unwrap_or_default();
    format!("{} ({tape}{usual})", measurement.how)
}

fn measured_table(measured: &[MeasuredPlan]) -> Option<Table> {
    let row = |line: &MeasuredPlan| {
        let origin = match line.origin {
            Origin::Measured => "measured",
            Origin::SaidOnThePhone => "said on the phone, not measured",
            Origin::PatternNominal => "the pattern's own",
        };
        let verdict = match (line.agrees, line.expected_mm) {
            (Some(true), Some(expected)) => format!("agrees with {}", mm(expected)),
            (Some(false), Some(expected)) => {
                let reasons = line.likely_reasons.join("; ");
                format!(
                    "does not agree with {}{}",
                    mm(expected),
                    if reasons.is_empty() { String::new() } else { format!(": {reasons}") }
                )
            }
            _ => "sizes the piece".into(),
        };
        vec![
            Cell::words(&line.title),
            Cell::number(format!("{} ± {}", mm(line.value_mm), mm(line.reach_mm))),
            Cell::words(origin),
            Cell::words(verdict),
        ]
    };
    (!measured.is_empty()).then(|| Table {
        caption: "Measurements as used".into(),
        head: vec!["what", "value", "from", "use"],
        rows: measured.iter().map(row).collect(),
    })
}
