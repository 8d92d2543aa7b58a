//! Question 7: how do we make it? Operations in order, and the minutes they really took.

use super::Asked;
use crate::failure::Failure;
use crate::web::card::question::Question;
use crate::web::figures::{Cell, Table, escape};
use shop::Operation;
use std::fmt::Write as _;

/// The question.
pub fn ask(asked: &Asked<'_>) -> Result<Question, Failure> {
    let operations = &asked.plan.operations;
    let minutes: f64 = operations.iter().map(|operation| operation.minutes.mean()).sum();
    let answer = match operations.len() {
        0 => "There is nothing to make.".into(),
        n => format!("{n} operations, about {} at the bench for one.", duration_words(minutes)),
    };
    Ok(Question {
        title: "How do we make it?",
        answer,
        short: if operations.is_empty() { "nothing".into() } else { duration_words(minutes) },
        tables: table(operations).into_iter().collect(),
        extra: if operations.is_empty() { String::new() } else { times_form(asked)? },
        ..Question::default()
    })
}

/// Minutes as people say them.
pub fn duration_words(minutes: f64) -> String {
    let whole = minutes.max(0.0).round() as u64;
    match (whole / 60, whole % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

fn table(operations: &[Operation]) -> Option<Table> {
    let row = |operation: &Operation| {
        let shown =
            format!("{:.0} ({:.0} to {:.0})", operation.minutes.mean(), operation.minutes.low, operation.minutes.high);
        vec![
            Cell::number(operation.number.to_string()),
            Cell::words(&operation.what),
            Cell::words(operation.settings.join("; ")),
            Cell::words(operation.checks.join("; ")),
            Cell::figure(shown, &operation.working),
        ]
    };
    (!operations.is_empty()).then(|| Table {
        caption: "Operations in order".into(),
        head: vec!["no.", "what", "settings", "checks", "minutes"],
        rows: operations.iter().map(row).collect(),
    })
}

/// Minutes really taken: what stands, and a form for one more.
fn times_form(asked: &Asked<'_>) -> Result<String, Failure> {
    let id = asked.id();
    let taken = asked.app.data.store.actuals(Some(id))?;
    let mut html = String::from("<details class=\"times\"><summary>Minutes it really took</summary>");
    if !taken.is_empty() {
        html.push_str("<ul>");
        for time in &taken {
            let _ =
                write!(html, "<li>{}: {}, {:.0} min</li>", escape(&time.piece), escape(&time.operation), time.minutes);
        }
        html.push_str("</ul>");
    }
    let _ = write!(
        html,
        "<form method=\"post\" action=\"/card/{id}/times\" class=\"fields\"><input type=\"hidden\" name=\"section\" value=\"{}\">\
         <div class=\"field\"><label for=\"operation\">Operation</label><select id=\"operation\" name=\"operation\">",
        escape(&asked.section.id)
    );
    for operation in &asked.plan.operations {
        let (piece, kind) = (escape(&operation.piece), escape(&operation.kind));
        let _ =
            write!(html, "<option value=\"{kind}|{piece}\">{}. {}</option>", operation.number, escape(&operation.what));
    }
    html.push_str(
        "</select></div><div class=\"field\"><label for=\"minutes\">Minutes taken</label>\
         <input id=\"minutes\" name=\"minutes\" inputmode=\"decimal\" autocomplete=\"off\" required></div>\
         <p class=\"actions\"><button class=\"button\">Write down</button></p></form></details>",
    );
    Ok(html)
}
