//! What the shop reads about a flange on a curved line: concerns, proposed cuts, tipping order, workings.

use super::{ReliefShape, Relieved, Set};
use crate::{FlatMark, MarkKind};
use glam::DVec2;
use handbook::{Concern, Grade, LiftedBy, Source, Working};
use section::FlangeRelief;

/// Strain of the free edge from which the order of tipping is worth saying.
const TIPPING_FROM: f64 = 0.01;

/// Concerns of one leg.
pub(crate) fn concerns(leg: &Relieved) -> Vec<Concern> {
    let mut out: Vec<Concern> = leg.sets.iter().flat_map(|set| of_set(leg, set)).collect();
    out.extend(not_needed(leg));
    out.extend(tipping(leg));
    out
}

fn concern(leg: &Relieved, key: &str, grade: Grade, [what, why, what_to_do]: [String; 3]) -> Concern {
    Concern {
        key: key.into(),
        grade,
        place: leg.place.clone(),
        what,
        why,
        what_to_do,
        lifted_by: (grade == Grade::Stop).then_some(LiftedBy::Shop),
        source: leg.source.clone(),
    }
}

fn percent(strain: f64) -> String {
    format!("{:.1} %", 100.0 * strain.abs())
}

fn verb(strain: f64) -> &'static str {
    if strain > 0.0 { "let out" } else { "gathered" }
}

fn why(set: &Set) -> String {
    match set.shape {
        ReliefShape::Scallop => "the edge may split".into(),
        ReliefShape::Notch => "the edge will buckle instead of thickening".into(),
    }
}

/// "7 V notches, each 2.8 mm wide at the edge and 9.6 mm deep, 38 to 41 mm apart".
pub(super) fn figures(set: &Set) -> String {
    let count = set.reliefs.len();
    let (deep, wide) = set.reliefs.iter().fold((0.0f64, 0.0f64), |(deep, wide), relief| {
        (deep.max(relief.depth_mm), wide.max(2.0 * relief.half_width_mm))
    });
    let several = if count == 1 { "" } else { "s" };
    let [least, most] = set.pitch_mm;
    let apart = match count {
        1 => format!("at station {:.0} mm", set.reliefs.first().map_or(0.0, |relief| relief.station_mm)),
        _ if most - least < 1.0 => format!("{most:.0} mm apart along the free edge of the flat"),
        _ => format!("{least:.0} to {most:.0} mm apart along the free edge of the flat"),
    };
    match set.shape {
        ReliefShape::Notch => {
            format!(
                "{count} V notch{}, each {wide:.1} mm wide at the edge and {deep:.1} mm deep, {apart}",
                if count == 1 { "" } else { "es" }
            )
        }
        ReliefShape::Scallop => format!(
            "{count} scallop{several}, each {wide:.1} mm wide and {deep:.1} mm deep with a round foot of R{:.1} mm, {apart}",
            0.5 * wide
        ),
    }
}

fn of_set(leg: &Relieved, set: &Set) -> Vec<Concern> {
    let [from, to] = set.stations_mm;
    if leg.is_cut(set) {
        let grade = set.foot_grade.unwrap_or(Grade::Note);
        let does = match set.shape {
            ReliefShape::Notch => {
                format!("they take out {:.1} mm each and close when the flange is folded", set.each_mm)
            }
            ReliefShape::Scallop => format!("each opens by {:.1} mm and stays open", set.each_mm),
        };
        let texts = [
            format!(
                "{}, over stations {from:.0} to {to:.0} mm; {does}; at their feet the flange is {} by {}",
                figures(set),
                verb(set.strain),
                percent(set.foot_strain)
            ),
            format!(
                "without them the free edge would be {} by up to {}; the limit is {}",
                verb(set.strain),
                percent(set.strain),
                percent(set.limit)
            ),
            match (grade, set.shape) {
                (Grade::Stop, _) => format!("even at their feet it is too much: {}", accepted(leg, set)),
                (_, ReliefShape::Notch) => {
                    "deburr the notches, fold, close each one on the form, weld from the foot outward and dress".into()
                }
                (_, ReliefShape::Scallop) => {
                    "deburr the scallops and round their edges before folding; they stay open".into()
                }
            },
        ];
        let key = if grade == Grade::Stop { "flange-past-its-limit" } else { "flange-reliefs" };
        return vec![concern(leg, key, grade, texts)];
    }
    let mut out = Vec::new();
    let suits = matches!(leg.chosen, FlangeRelief::Notches | FlangeRelief::Scallops);
    if suits {
        let (chosen, needed) = match set.shape {
            ReliefShape::Scallop => ("V notches are chosen, which take metal out", "scallops"),
            ReliefShape::Notch => ("scallops are chosen, which leave the metal in", "V notches"),
        };
        let texts = [
            format!(
                "{chosen}; the free edge must be {} by up to {} between stations {from:.0} and {to:.0} mm",
                verb(set.strain),
                percent(set.strain)
            ),
            "they do not help there".to_owned(),
            format!("choose {needed}, or split the flange"),
        ];
        out.push(concern(leg, "flange-relief-does-not-suit", set.grade, texts));
        return out;
    }
    let grade = if leg.is_flange { set.grade } else { Grade::Caution };
    let (key, limit, none) = match grade {
        Grade::Stop => ("flange-past-its-limit", set.stop, ", and no relief is chosen"),
        _ => ("flange-strain", set.limit, ""),
    };
    let texts = [
        format!(
            "the edge must be {} by up to {} between stations {from:.0} and {to:.0} mm; the limit is {}{none}",
            verb(set.strain),
            percent(set.strain),
            percent(limit)
        ),
        why(set),
        accepted(leg, set),
    ];
    out.push(concern(leg, key, grade, texts));
    out
}

/// What would be accepted instead.
fn accepted(leg: &Relieved, set: &Set) -> String {
    let mut ways = Vec::new();
    if !leg.is_cut(set) {
        ways.push(figures(set));
    }
    let down = |width: f64| (10.0 * width + 1e-6).floor() / 10.0;
    let [without, not_stopped] = set.widest_mm.map(|width| width.map(down));
    match (set.grade, without, not_stopped) {
        (Grade::Stop, Some(own), Some(most)) => ways
            .push(format!("a flange at most {most:.1} mm wide ({own:.1} mm keeps it within {})", percent(set.limit))),
        (_, Some(own), _) => ways.push(format!("a flange at most {own:.1} mm wide")),
        (_, None, Some(most)) => ways.push(format!("a flange at most {most:.1} mm wide")),
        _ => {}
    }
    if leg.is_flange {
        let seam = without
            .or(not_stopped)
            .map_or_else(String::new, |width| format!(" with its seam at {width:.1} mm or less"));
        ways.push(format!("a split flange welded on{seam}"));
    } else {
        ways.push("a narrower leg".into());
    }
    format!("what would be accepted: {}", ways.join("; or "))
}

fn not_needed(leg: &Relieved) -> Option<Concern> {
    let chosen = match leg.chosen {
        FlangeRelief::Notches => "V notches",
        FlangeRelief::Scallops => "scallops",
        FlangeRelief::None | FlangeRelief::Split { .. } => return None,
    };
    if !leg.sets.is_empty() {
        return None;
    }
    let [(least, _), (most, _)] = leg.extremes;
    let texts = [
        format!(
            "{chosen} are chosen and none is cut: the free edge is gathered by at most {} and let out by at most {}",
            percent(least),
            percent(most)
        ),
        "a cut edge is weaker and is one more place to rust".to_owned(),
        "leave the choice out".to_owned(),
    ];
    Some(concern(leg, "flange-relief-not-needed", Grade::Note, texts))
}

/// Which part of the flange to turn first.
fn tipping(leg: &Relieved) -> Option<Concern> {
    let [(least, at_least), (most, at_most)] = leg.extremes;
    let (strain, worst_mm) = if most > -least { (most, at_most) } else { (least, at_least) };
    if strain.abs() < TIPPING_FROM || !leg.is_flange {
        return None;
    }
    let cut = leg.sets.iter().find(|set| leg.is_cut(set));
    let [from, to] = leg.sets.first().map_or(leg.ends_mm, |set| set.stations_mm);
    let order = match (strain > 0.0, cut.is_some()) {
        (false, false) => format!(
            "turn it over a form in three rounds, a third of the angle each: begin at the middle of the curve (about {worst_mm:.0} mm along it), \
             work to both ends (at {from:.0} and {to:.0} mm along it), and shrink what stands up before the next round; what is straight comes last"
        ),
        (false, true) => format!(
            "turn it tab by tab over a form: the tab nearest the middle of the curve (about {worst_mm:.0} mm along it) first, then its neighbours by \
             turns to both ends (at {from:.0} and {to:.0} mm along it); each notch must just close; tack them from the middle outwards, then weld"
        ),
        (true, false) => format!(
            "turn it over a form in three rounds, a third of the angle each: begin at both ends of the curve (at {from:.0} and {to:.0} mm along it) and \
             work towards its middle (about {worst_mm:.0} mm along it), so that metal is drawn in from the ends; what is straight comes first"
        ),
        (true, true) => format!(
            "turn it tab by tab over a form in three rounds: the tabs at both ends of the curve (at {from:.0} and {to:.0} mm along it) first, then by \
             turns to its middle (about {worst_mm:.0} mm along it); stop and polish the foot where a scallop begins to tear"
        ),
    };
    let why = if strain > 0.0 {
        "begun in the middle, all the stretch falls on a short piece of edge, which then splits"
    } else {
        "begun at the ends, the surplus is driven together in the middle and folds over"
    };
    let texts = [
        format!("order of tipping: the free edge is {} by up to {}", verb(strain), percent(strain)),
        why.to_owned(),
        order,
    ];
    let mut out = concern(leg, "flange-tipping", Grade::Note, texts);
    out.source = "FAA-H-8083-31 ch. 4, flanges over a form (from memory)".into();
    Some(out)
}

/// Cuts that are proposed and not chosen: one line each, from the free edge to the foot.
pub(crate) fn marks(leg: &Relieved, at: &dyn Fn(f64, f64) -> DVec2) -> Vec<FlatMark> {
    let proposed = leg.sets.iter().filter(|set| !leg.is_cut(set));
    let of_set = |set: &Set| -> Vec<FlatMark> {
        let label = match set.shape {
            ReliefShape::Notch => format!("V notch, takes out {:.1} mm at the free edge (proposed)", set.each_mm),
            ReliefShape::Scallop => format!("scallop, opens by {:.1} mm at the free edge (proposed)", set.each_mm),
        };
        let line = |station: f64, depth: f64| vec![at(station, 0.0), at(station, depth)];
        let mark = |relief: &super::Relief| FlatMark {
            kind: MarkKind::Relief,
            line_mm: line(relief.station_mm, relief.depth_mm),
            label: label.clone(),
        };
        set.reliefs.iter().map(mark).collect()
    };
    proposed.flat_map(of_set).collect()
}

/// Strain, count and depth with what they follow from.
pub(crate) fn workings(leg: &Relieved) -> Vec<Working> {
    let mut out = Vec::new();
    for set in &leg.sets {
        let what = match set.shape {
            ReliefShape::Notch => "V notches",
            ReliefShape::Scallop => "scallops",
        };
        let practice = || Source::common_practice("");
        let name = |figure: &str| format!("{}: {figure}", leg.place);
        out.push(
            Working::new(
                name(&format!("number of {what}")),
                set.reliefs.len() as f64,
                "",
                "⌈surplus/most⌉",
                practice(),
            )
            .with(
                "surplus",
                "length to take out or let open past the limit",
                set.each_mm * set.reliefs.len() as f64,
                "mm",
            )
            .with("most", "most that one takes", super::RELIEF_TAKES_MM, "mm"),
        );
        let deep = set.reliefs.iter().map(|relief| relief.depth_mm).fold(0.0, f64::max);
        out.push(
            Working::new(
                name(&format!("depth of the {what}")),
                deep,
                "mm",
                "in to where the true strain is the limit; half to four fifths of the leg",
                practice(),
            )
            .with("e", "strain of the free edge", set.strain, "")
            .with("limit", "limit", set.limit, "")
            .with("e′", "strain at the foot", set.foot_strain, ""),
        );
        if let Some(most) = set.widest_mm[1] {
            out.push(
                Working::new(
                    name("widest flange that is not stopped"),
                    most,
                    "mm",
                    "leg whose true strain is the limit, and the setback",
                    Source::geometry("F8"),
                )
                .with("limit", "limit", set.stop, ""),
            );
        }
        out.extend(
            set.closed_form
                .clone()
                .map(|own| Working { name: name("widest flange, closed form for a circular line").into(), ..own }),
        );
    }
    out
}
