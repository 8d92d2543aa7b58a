//! Question 1: what have we got?

use super::Asked;
use crate::failure::Failure;
use crate::pictures::{plan_view, svg};
use crate::web::card::Now;
use crate::web::card::fields::Field;
use crate::web::card::question::{Picture, Question};
use crate::web::figures::escape;
use job::file::{Hand, Job};
use std::fmt::Write as _;
use store::JobId;

const TITLE: &str = "What have we got?";

/// The question for a card that has no piece yet.
pub fn without_pieces(now: &Now) -> Question {
    Question {
        number: 1,
        title: TITLE,
        before: photos(now.card.id, "", &now.card.job),
        fields: who_fields(&now.card.job),
        answer: "No piece is on this card yet.".into(),
        short: "no piece yet".into(),
        extra: format!(
            "<p class=\"actions\"><a class=\"button main\" href=\"/patterns?card={}\">Choose a piece from the pattern shelf</a></p>",
            now.card.id
        ),
        ..Question::default()
    }
}

/// The question for a section.
pub fn ask(asked: &Asked<'_>) -> Result<Question, Failure> {
    let section = asked.section;
    // what was said counts as long as nothing is written on the card
    let placed = asked.plan.hand;
    let hand = hand_words(placed);
    let mut fields = pattern_fields(asked);
    fields.extend(who_fields(asked.job()));
    let made_from =
        if asked.plan.pattern.is_empty() { "described on this card".to_owned() } else { asked.plan.pattern.clone() };
    Ok(Question {
        title: TITLE,
        before: photos(asked.id(), &section.id, asked.job()),
        pictures: vec![Picture {
            svg: svg(&plan_view::drawing(placed)),
            caption: format!("Plan view, front to the right: {hand}"),
            shape: None,
            small: true,
        }],
        fields,
        answer: format!("{}, {hand}; {made_from}.", section.title),
        short: short_hand(placed).to_owned(),
        extra: String::new(),
        ..Question::default()
    })
}

fn pattern_fields(asked: &Asked<'_>) -> Vec<Field> {
    let section = asked.section;
    let hand = match section.hand {
        Some(Hand::Left) => "left",
        Some(Hand::Right) => "right",
        None => "",
    };
    let unwritten = match asked.plan.hand {
        Some(said) if section.hand.is_none() => format!("as said: {}", short_hand(Some(said))),
        _ => "on the middle line".to_owned(),
    };
    let hands = [
        ("left", "left, sitting in the driving seat facing forward"),
        ("right", "right, sitting in the driving seat facing forward"),
        ("near_side", "near side: the kerb's side in the country of this card"),
        ("off_side", "off side: away from the kerb in the country of this card"),
        ("", unwritten.as_str()),
    ];
    let mut fields = vec![Field::choice(asked.path("hand"), "Hand", hand, hands).wide()];
    let (Some(from), Some(pattern)) = (&section.from_pattern, asked.pattern) else { return fields };
    if !pattern.versions.is_empty() {
        let choices = pattern.versions.iter().map(|version| (version.id.clone(), version.title.clone()));
        let chosen = from.version.clone().or_else(|| pattern.versions.first().map(|version| version.id.clone()));
        let how = pattern.versions.iter().map(|version| format!("{}: {}", version.title, version.how_to_tell));
        let field = Field::choice(asked.path("from_pattern.version"), "Version", chosen.unwrap_or_default(), choices);
        fields.push(field.hint(how.collect::<Vec<_>>().join(" · ")).wide());
    }
    for switch in pattern.switches.iter().filter(|switch| switch.may_be_left_out) {
        let path = asked.path(&format!("from_pattern.{}.left_out", switch.id));
        fields.push(Field::tick(path, format!("made without: {}", switch.title), from.without.contains(&switch.id)));
    }
    fields
}

fn who_fields(job: &Job) -> Vec<Field> {
    vec![
        Field::text("title", "What the card is about", &job.title).wide(),
        Field::text("customer.name", "Who asks", &job.customer.name),
        Field::text("customer.contact", "Where a reply goes", &job.customer.contact),
        Field::text("vehicle.name", "Vehicle", &job.vehicle.name),
        Field::text("vehicle.year", "Year or serial", &job.vehicle.year),
        Field::text("country", "Country (two letters)", &job.country).hint("Roadworthiness rules are of this country"),
    ]
}

fn photos(id: JobId, section: &str, job: &Job) -> String {
    let mut html = String::from("<div class=\"photos\">");
    for photo in &job.photos {
        let (hash, caption) = (escape(&photo.hash), escape(&photo.caption));
        let _ = write!(
            html,
            "<figure class=\"photo\"><a href=\"/photo/{hash}/whole\"><img src=\"/photo/{hash}\" alt=\"{}\" loading=\"lazy\"></a><figcaption>{caption}</figcaption></figure>",
            if caption.is_empty() { "photo without a caption" } else { &caption }
        );
    }
    let _ = write!(
        html,
        "</div><form class=\"drop\" method=\"post\" action=\"/card/{id}/photos\" enctype=\"multipart/form-data\">\
         <input type=\"hidden\" name=\"section\" value=\"{}\"><label for=\"photos\">Photos: drop them here or choose</label>\
         <input id=\"photos\" name=\"photos\" type=\"file\" accept=\"image/jpeg,image/png,image/webp\" multiple required>\
         <button class=\"button\">Add photos</button></form>",
        escape(section)
    );
    html
}

/// The hand in full.
pub fn hand_words(hand: Option<Hand>) -> &'static str {
    match hand {
        Some(Hand::Left) => "left hand (seen sitting in the driving seat facing forward)",
        Some(Hand::Right) => "right hand (seen sitting in the driving seat facing forward)",
        None => "on the middle line",
    }
}

fn short_hand(hand: Option<Hand>) -> &'static str {
    match hand {
        Some(Hand::Left) => "left hand",
        Some(Hand::Right) => "right hand",
        None => "middle line",
    }
}
