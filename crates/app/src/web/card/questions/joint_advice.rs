//! Under question 6: the joint that is chosen and why, the others with a button that takes each, the welds in their order.

use super::Asked;
use crate::web::card::question::BASE;
use crate::web::figures::{Cell, Table, escape, fold};
use handbook::joints::JointForm;
use handbook::welding::INTER_RUN_C;
use job::plan::{Decides, OrderBy, WeldMap};
use std::fmt::Write as _;
use weld::advice::{Advised, Reason};
use weld::joints::{WeldEvent, WeldEventKind};
use weld::warp::WarpSettings;

/// Reasons that are said at once.
const REASONS: usize = 3;

/// The joint that is chosen, why, and the three settings to begin with; empty without a piece.
pub fn chosen(asked: &Asked<'_>) -> String {
    let joint = &asked.plan.joint;
    let Some(form) = joint.form else { return String::new() };
    let advice = &joint.advice;
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
pub fn ranking(asked: &Asked<'_>) -> String {
    let joint = &asked.plan.joint;
    let advice = &joint.advice;
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
    if joint.maps.is_empty() {
        return String::new();
    }
    let mut welds: Vec<(&WeldMap, &WeldEvent)> =
        joint.maps.iter().flat_map(|map| map.events.iter().map(move |event| (map, event))).collect();
    welds.sort_by_key(|(_, event)| event.number);
    let several = joint.maps.iter().any(|map| map.piece != welds.first().map_or("", |(first, _)| first.piece.as_str()));
    let rows = welds.iter().map(|(map, event)| {
        let edge = if several { format!("{}, {}", map.piece, map.edge) } else { map.edge.clone() };
        let place = |mm: f64| format!("{mm:.0}");
        let to = if event.kind == WeldEventKind::Run { place(event.to_mm) } else { "–".to_owned() };
        let pause = joint.pauses.iter().find(|own| own.number == event.number).map(|own| pause_words(own.seconds));
        let pause = if event.number == 1 { Some("none".to_owned()) } else { pause };
        vec![
            Cell::number(event.number.to_string()),
            Cell::words(event.kind.name()),
            Cell::words(edge),
            Cell::number(place(event.from_mm)),
            Cell::number(to),
            Cell::words(pause.unwrap_or_else(|| "until a hand can lie on it".to_owned())),
        ]
    });
    let order = packet::drawings::order_words(joint.order_by, &joint.maps);
    let table = Table {
        caption: format!("{order}; places in mm along the edge from its start"),
        head: vec!["no.", "what", "edge", "from", "to", "pause before it"],
        rows: rows.collect(),
    };
    let moving_s = WarpSettings::default().move_s;
    let sheet = match joint.order_by {
        OrderBy::Computed => "worked out for this panel. The hand decides",
        OrderBy::TradeHabit => {
            "worked out for wide sheet, faces bright. Near an edge it takes longer: the hand decides"
        }
    };
    let hint = format!(
        "<p class=\"hint\">Pauses beyond {moving_s:.0} s for moving there, until a hand can lie on the place ({INTER_RUN_C:.0} °C): {sheet}.</p>"
    );
    fold(&format!("Welds in their order: {}", welds.len()), false, &format!("{}{hint}", table.html()))
}

fn pause_words(seconds: f64) -> String {
    match seconds {
        s if s < 0.5 => "none".into(),
        s if s < 90.0 => format!("{:.0} s", (s / 5.0).ceil() * 5.0),
        s => format!("{:.0} min", (s / 60.0).ceil()),
    }
}
