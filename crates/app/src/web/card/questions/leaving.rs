//! Question 9: what leaves the shop?

use super::Asked;
use crate::waiting::Waits;
use crate::web::card::fields::Field;
use crate::web::card::question::Question;
use crate::web::card::view::open_stops;
use crate::web::figures::{Cell, Table, escape};
use job::file::Decision;
use std::fmt::Write as _;
use store::IssuedDocument;

/// The question.
pub fn ask(asked: &Asked<'_>) -> Question {
    let stops = open_stops(asked.plan);
    let (answer, short) = match (&asked.section.decision, stops, asked.plan.faults.len()) {
        (Decision::Decline { .. }, ..) => {
            ("A kind letter leaves the shop, and no metal.".to_owned(), "a letter".to_owned())
        }
        (Decision::LeaveAndTreat { .. }, ..) => {
            ("Nothing is made; the advice to treat it leaves the shop.".to_owned(), "advice".to_owned())
        }
        (_, _, faults) if faults > 0 => {
            ("Nothing, until what is marked above has been put right.".to_owned(), "nothing yet".to_owned())
        }
        (_, 0, _) => {
            ("Piece, fitting sheet, templates, quote and traveller are ready.".to_owned(), "packet ready".to_owned())
        }
        (_, n, _) => {
            let word = if n == 1 { "stop is" } else { "stops are" };
            (format!("No cut file leaves while {n} {word} open."), "blocked".to_owned())
        }
    };
    Question {
        title: "What leaves the shop?",
        fields: reply_fields(asked),
        answer,
        short,
        tables: issued_table(asked.issued).into_iter().collect(),
        extra: actions(asked),
        stale: stale_words(asked, "packet"),
        ..Question::default()
    }
}

/// The reply to a try-on: two ticks and a note.
fn reply_fields(asked: &Asked<'_>) -> Vec<Field> {
    let Some(reply) = &asked.section.try_on_reply else { return Vec::new() };
    let bar = reply.check_bar.as_ref().map(units::Dimension::written).unwrap_or_default();
    let mut date = Field::text(asked.path("try_on_reply.date"), "Try-on reply of", &reply.date);
    date.kind = crate::web::card::fields::Kind::Date;
    vec![
        date,
        Field::text(asked.path("try_on_reply.check_bar"), "Check bar as printed there", bar)
            .hint("100 mm when the print is right"),
        Field::tick(asked.path("try_on_reply.sits"), "the template sits", reply.sits),
        Field::long(asked.path("try_on_reply.note"), "Gap seen, and where", &reply.note),
    ]
}

fn actions(asked: &Asked<'_>) -> String {
    let (id, section) = (asked.id(), escape(&asked.section.id));
    let mut html =
        format!("<p class=\"actions\"><a class=\"button main\" href=\"/card/{id}/packet\">Open the packet</a>");
    if asked.pattern.is_some() {
        let _ = write!(html, " <a class=\"button\" href=\"/card/{id}/numbers\">Numbers came back</a>");
    }
    let _ = write!(html, " <a class=\"button\" href=\"/card/{id}/reply\">Written reply</a></p>");
    if asked.section.try_on_reply.is_none() && asked.section.decision == Decision::Make {
        let _ = write!(
            html,
            "<form method=\"post\" action=\"/card/{id}/section/{section}/fields\" class=\"fields try-on\"><h3>A try-on reply came back</h3>\
             <input type=\"hidden\" name=\"base\" value=\"{}\">\
             <input type=\"hidden\" name=\"section.{section}.try_on_reply.date\" value=\"{}\">\
             <div class=\"field\"><label for=\"try-on-bar\">Check bar as printed there</label><input id=\"try-on-bar\" name=\"section.{section}.try_on_reply.check_bar\" autocomplete=\"off\"></div>\
             <div class=\"field\"><label for=\"try-on-note\">Gap seen, and where</label><input id=\"try-on-note\" name=\"section.{section}.try_on_reply.note\" autocomplete=\"off\"></div>\
             <div class=\"field\"><input type=\"hidden\" name=\"section.{section}.try_on_reply.sits\" value=\"no\"><label class=\"tick\"><input type=\"checkbox\" name=\"section.{section}.try_on_reply.sits\" value=\"yes\"> the template sits</label></div>\
             <p class=\"actions\"><button class=\"button\">Write the reply down</button></p></form>",
            crate::web::card::question::BASE,
            crate::shop_data::today()
        );
    }
    let current = asked.now.card.waits.map(Waits::words).unwrap_or_default();
    let _ = write!(
        html,
        "<form method=\"post\" action=\"/card/{id}/waits\" class=\"fields moves\"><input type=\"hidden\" name=\"base\" value=\"{}\">\
         <div class=\"field\"><label for=\"waits\">On the rack this card is</label><select id=\"waits\" name=\"waits\">",
        crate::web::card::question::BASE
    );
    for waits in Waits::ALL {
        let words = waits.words();
        let selected = if words == current { " selected" } else { "" };
        let _ = write!(html, "<option{selected}>{words}</option>");
    }
    html.push_str("</select></div><p class=\"actions\"><button class=\"button\">Move the card</button></p></form>");
    html
}

fn issued_table(issued: &[IssuedDocument]) -> Option<Table> {
    let row = |document: &IssuedDocument| {
        vec![
            Cell::words(crate::web::rack::when(document.at)),
            Cell::words(&document.document),
            Cell::words(&document.sent_to),
            Cell::words(format!("revision {}", document.revision)),
        ]
    };
    (!issued.is_empty()).then(|| Table {
        caption: "Has left the shop".into(),
        head: vec!["when", "what", "to", "of"],
        rows: issued.iter().map(row).collect(),
    })
}

/// "sent before the last change" when the last document of this kind left at an earlier revision.
pub fn stale_words(asked: &Asked<'_>, document: &str) -> String {
    let last = asked.issued.iter().rev().find(|issued| issued.document.starts_with(document));
    match last {
        Some(issued) if issued.revision != asked.now.card.revision.id => {
            format!("{document} sent before the last change")
        }
        _ => String::new(),
    }
}
