//! Under question 6: the joint that is chosen and why, the others with a button that takes each, the welds in their order.

use super::Asked;
use crate::web::card::question::BASE;
use crate::web::figures::{Cell, Table, escape, fold};
use handbook::joints::JointForm;
use job::plan::{Decides, WeldMap};
use std::fmt::Write as _;
use weld::advice::{Advice, Advised, Reason, WarpFigure};
use weld::joints::{WeldEvent, WeldEventKind};

/// Reasons that are said at once.
const REASONS: usize = 3;

/// The advice on the joint, and which warp was weighed in it.
pub struct Weighed {
    advice: Advice,
    /// In a sentence; empty where no warp was.
    warp: String,
}

impl Weighed {
    /// With the warp that was worked out last for this place, whatever joint it has now; else with that of an accepted order.
    pub fn of(asked: &Asked<'_>) -> Self {
        let joint = &asked.plan.joint;
        let kept = asked.app.planning.advice_with_warp(asked.id(), asked.job(), asked.section, asked.plan);
        let Some((advice, found)) = kept else {
            let warp = figures("the warp that came with the accepted order", &joint.warp);
            return Self { advice: joint.advice.clone(), warp };
        };
        let warp = found.as_ref().as_ref().map_or_else(
            |_| String::new(),
            |found| {
                let whose = if joint.form == Some(found.order.form) {
                    "the warp worked out last".to_owned()
                } else {
                    format!("the warp worked out last, while the joint here was {}", found.order.form.name())
                };
                figures(&whose, &found.order.warp)
            },
        );
        Self { advice, warp }
    }
}

/// What was weighed, in a sentence.
fn figures(whose: &str, warp: &[WarpFigure]) -> String {
    let one = |figure: &WarpFigure| {
        let height = match (figure.height_mm, figure.reach_mm) {
            (Some(height_mm), Some(reach_mm)) => format!("{height_mm:.1} ± {reach_mm:.1} mm"),
            _ => "no resting shape found".to_owned(),
        };
        let buckles = if figure.buckles { ", buckles" } else { "" };
        format!("{} {height}{buckles}", figure.form.name())
    };
    let all: Vec<String> = warp.iter().map(one).collect();
    if all.is_empty() { String::new() } else { format!("Weighed with {whose}: {}.", all.join("; ")) }
}

/// The joint that is chosen, why, and the three settings to begin with; empty without a piece.
pub fn chosen(asked: &Asked<'_>, weighed: &Weighed) -> String {
    let joint = &asked.plan.joint;
    let Some(form) = joint.form else { return String::new() };
    let advice = &weighed.advice;
    let mut html = String::from("<div class=\"decides\">");
    if advice.competent_person {
        html.push_str(
            "<p><strong>A competent person looks at it first:</strong> it carries load, or a mounting is near.</p>",
        );
    }
    let name = escape(form.name());
    let rank = advice.ranked.iter().position(|own| own.form == form);
    let standing = match (rank, advice.ranked.first(), advice.refusal(form)) {
        (Some(0), ..) => "advised first for this fitter and this place".to_owned(),
        (Some(rank), Some(first), _) => {
            format!("advised {}, after {}", packet::number::ordinal(rank + 1), first.form.name())
        }
        (_, _, Some(refusal)) => format!("not here: {}", refusal.why),
        _ => "not weighed for this place".to_owned(),
    };
    let _ = write!(html, "<p><strong>{name}</strong>: {}</p>", escape(&standing));
    if let Some(advised) = rank.and_then(|rank| advice.ranked.get(rank)) {
        let mut reasons: Vec<&Reason> = advised.reasons.iter().collect();
        reasons.sort_by_key(|reason| std::cmp::Reverse(reason.points.abs()));
        // the strongest against is among them, whatever speaks for it
        let (favour, against): (Vec<&Reason>, Vec<&Reason>) = reasons.into_iter().partition(|own| own.points > 0);
        let favoured = REASONS - against.len().min(1);
        html.push_str("<ul>");
        for Reason { points, text } in favour.into_iter().take(favoured).chain(against.into_iter().take(1)) {
            let side = if *points > 0 { "for" } else { "against" };
            let _ = write!(html, "<li>{side}: {}</li>", escape(text));
        }
        html.push_str("</ul>");
    }
    if !weighed.warp.is_empty() {
        let _ = write!(html, "<p class=\"hint\">{}</p>", escape(&weighed.warp));
    }
    html.push_str(&first_settings(asked));
    html.push_str("</div>");
    html
}

/// How hot, in what rhythm, and how long to wait.
fn first_settings(asked: &Asked<'_>) -> String {
    let settings = &asked.plan.joint.settings;
    let rows: String = Decides::ALL
        .iter()
        .filter_map(|decides| settings.iter().find(|set| set.decides == Some(*decides)))
        .map(|set| format!("<dt>{}</dt><dd>{}</dd>", escape(&set.what), escape(&set.to)))
        .collect();
    if rows.is_empty() { rows } else { format!("<h3>Set first</h3><dl class=\"set-first\">{rows}</dl>") }
}

/// All joints that are advised, each with a button that takes it, and those that are refused; empty without a piece.
pub fn ranking(asked: &Asked<'_>, weighed: &Weighed) -> String {
    let joint = &asked.plan.joint;
    let advice = &weighed.advice;
    if advice.ranked.is_empty() && advice.refused.is_empty() {
        return String::new();
    }
    let mut html = String::from("<ol class=\"advice\">");
    for advised in &advice.ranked {
        of_joint(&mut html, asked, advised, joint.form == Some(advised.form));
    }
    html.push_str("</ol>");
    if !advice.refused.is_empty() {
        html.push_str("<h3>Not here</h3><ul class=\"advice\">");
        for refusal in &advice.refused {
            let (name, why, source) = (escape(refusal.form.name()), escape(&refusal.why), escape(&refusal.source));
            let _ = write!(html, "<li><strong>{name}</strong>: {why} <span class=\"hint\">{source}</span></li>");
        }
        html.push_str("</ul>");
    }
    if !advice.not_said.is_empty() {
        let _ = write!(html, "<p class=\"hint\">Not said: {}.</p>", escape(&advice.not_said.join("; ")));
    }
    let (fit, not) = (advice.ranked.len(), advice.refused.len());
    fold(&format!("Which joint, for this fitter and this place: {fit} would do, {not} not"), false, &html)
}

fn of_joint(html: &mut String, asked: &Asked<'_>, advised: &Advised, chosen: bool) {
    let mark = if chosen { " – chosen" } else { "" };
    let _ = write!(html, "<li><p><strong>{}</strong>{mark}</p><ul>", escape(advised.form.name()));
    for Reason { points, text } in &advised.reasons {
        let side = if *points > 0 { "for" } else { "against" };
        let _ = write!(html, "<li>{side}: {}</li>", escape(text));
    }
    html.push_str("</ul>");
    if !chosen {
        take(html, asked, advised.form);
    }
    let own = advised.form.particulars();
    let list = |items: &[&str]| items.iter().map(|item| format!("<li>{}</li>", escape(item))).collect::<String>();
    let _ = write!(
        html,
        "<details><summary>Edges, access, protection, what can go wrong</summary><p>Edges</p><ul>{}</ul><p>{}; {}</p><p>{}</p>\
         <p>Parting the old one</p><ul>{}</ul><p>Kept as a record</p><ul>{}</ul><p>What can go wrong</p><ul>{}</ul></details></li>",
        list(own.preparation),
        escape(own.access),
        escape(own.kit),
        escape(own.sealable.words(asked.section.joint.access_behind)),
        list(own.parting),
        list(own.record),
        list(own.can_go_wrong)
    );
}

/// The button that sets the joint; what belongs to another joint is taken away with it.
fn take(html: &mut String, asked: &Asked<'_>, form: JointForm) {
    let (kind, fixing) = words(form);
    let (id, section) = (asked.id(), escape(&asked.section.id));
    let name = escape(form.name());
    let mut hidden = format!("<input type=\"hidden\" name=\"base\" value=\"{BASE}\">");
    let stepped = form.kind().is_stepped();
    let cleared =
        [("joint.lap", !form.kind().is_lap()), ("joint.runs_out_start", !stepped), ("joint.runs_out_end", !stepped)];
    let set = [("joint.kind", kind), ("joint.fixing", fixing)].into_iter();
    let all = set.chain(cleared.into_iter().filter(|(_, clear)| *clear).map(|(field, _)| (field, "")));
    for (field, value) in all {
        let path = escape(&asked.path(field));
        let _ = write!(hidden, "<input type=\"hidden\" name=\"{path}\" value=\"{value}\">");
    }
    let _ = write!(
        html,
        "<form method=\"post\" action=\"/card/{id}/section/{section}/fields#q6\">{hidden}\
         <p class=\"actions\"><button class=\"button\" aria-label=\"Take this joint: {name}\">Take this joint</button></p></form>"
    );
}

/// Kind and fixing as the job writes them.
const fn words(form: JointForm) -> (&'static str, &'static str) {
    match form {
        JointForm::Butt => ("butt", "plug"),
        JointForm::SteppedLapPlug => ("stepped_lap", "plug"),
        JointForm::SteppedLapSpot => ("stepped_lap", "spot"),
        JointForm::DoublerPlug | JointForm::SheetToTube | JointForm::FlangeUnderSkin => ("plain_lap", "plug"),
        JointForm::DoublerSpot => ("plain_lap", "spot"),
        JointForm::BondedLap | JointForm::BondedFlange => ("bonded_lap", "bond"),
        JointForm::BoltedFlange => ("bolted", "bolt"),
    }
}

/// The welds in their order as a table: the text twin of the map.
pub fn order(asked: &Asked<'_>) -> String {
    let joint = &asked.plan.joint;
    // by a joint that must not be made nobody welds
    if joint.maps.is_empty() || asked.now.plan.joint_stopped(asked.plan) {
        return String::new();
    }
    let mut welds: Vec<(&WeldMap, &WeldEvent)> =
        joint.maps.iter().flat_map(|map| map.events.iter().map(move |event| (map, event))).collect();
    welds.sort_by_key(|(_, event)| event.number);
    let several = joint.maps.iter().any(|map| map.piece != welds.first().map_or("", |(first, _)| first.piece.as_str()));
    let one_edge = joint.maps.len() == 1;
    // four short columns: a line for each weld on a phone too
    let rows = welds.iter().map(|(map, event)| {
        let (kind, row) = (event.kind.name(), map.row.words());
        let what = match (one_edge, several) {
            (true, _) => format!("{kind}{row}"),
            (false, true) => format!("{kind}, {}, {}{row}", map.piece, map.edge),
            (false, false) => format!("{kind}, {}{row}", map.edge),
        };
        let place = if event.kind == WeldEventKind::Run {
            format!("{:.0} to {:.0}", event.from_mm, event.to_mm)
        } else {
            format!("{:.0}", event.from_mm)
        };
        vec![
            Cell::number(event.number.to_string()),
            Cell::words(what),
            Cell::number(place),
            Cell::words(joint.pause_words(event.number)),
        ]
    });
    let along = joint.maps.first().filter(|_| one_edge).map_or("the edge", |map| map.edge.as_str());
    let order = packet::drawings::order_words(joint.order_by, &joint.maps);
    let table = Table {
        caption: format!("{order}; places in mm along {along} from its start"),
        head: vec!["no.", "weld", "at, mm", "pause before it"],
        rows: rows.collect(),
    };
    let hint = format!("<p class=\"hint\">{}</p>", escape(&joint.pause_rule()));
    fold(&format!("Welds in their order: {}", welds.len()), false, &format!("{}{hint}", table.html()))
}
