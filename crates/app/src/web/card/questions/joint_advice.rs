//! Under question 6: the joints that are advised, each with a button that takes it, and those that are refused.

use super::Asked;
use crate::web::card::question::BASE;
use crate::web::figures::escape;
use handbook::joints::JointForm;
use std::fmt::Write as _;
use weld::advice::{Advised, Reason};

/// The advice as HTML; empty without a piece.
pub fn html(asked: &Asked<'_>) -> String {
    let joint = &asked.plan.joint;
    let advice = &joint.advice;
    if advice.ranked.is_empty() && advice.refused.is_empty() {
        return String::new();
    }
    let mut html = String::from("<h3>Which joint, for this fitter and this place</h3>");
    if advice.competent_person {
        html.push_str(
            "<p><strong>A competent person looks at it first:</strong> it carries load, or a mounting is near.</p>",
        );
    }
    html.push_str("<ol class=\"advice\">");
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
    html
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

/// The welds in their order, in words: the text twin of the map.
pub fn order(asked: &Asked<'_>) -> String {
    let joint = &asked.plan.joint;
    if joint.maps.is_empty() {
        return String::new();
    }
    let write = |mm: f64| format!("{mm:.0}");
    let lines = joint.maps.iter().map(|map| {
        let line = packet::drawings::order_line(map, write);
        format!("<li>{}, {} (mm from its start)</li>", escape(&map.piece), escape(&line))
    });
    format!(
        "<details><summary>Welds in their order: {}</summary><ul>{}</ul></details>",
        escape(packet::drawings::order_words(joint.order_by)),
        lines.collect::<String>()
    )
}
