//! Question 8: what does it cost?

use super::Asked;
use super::damage::sentence;
use super::making::duration_words;
use crate::web::card::fields::Field;
use crate::web::card::question::Question;
use crate::web::figures::{Cell, Figure, Table};
use job::file::AlternativeKind;
use shop::{Price, QuoteLine, date_in_words};

/// The question.
pub fn ask(asked: &Asked<'_>) -> Question {
    let price = asked.plan.price.as_ref();
    let mut figures = Vec::new();
    if let Some(promise) = &asked.now.plan.promise {
        let words = format!(
            "Promise: {}, latest {}, counted from {}",
            date_in_words(&promise.likely),
            date_in_words(&promise.latest),
            date_in_words(&promise.counted_from)
        );
        figures.push(Figure::shown(words, &promise.working));
    }
    let mut tables: Vec<Table> = price.map(|price| lines_table(price, &asked.section.title)).into_iter().collect();
    tables.extend(whole_job_table(asked));
    Question {
        title: "What does it cost?",
        fields: fields(asked),
        answer: answer(asked, price),
        short: price.map_or_else(|| "no price".into(), |price| price.net.middle.to_string()),
        tables,
        figures,
        extra: asked
            .now
            .plan
            .compared
            .iter()
            .map(|line| format!("<p>{}</p>", crate::web::figures::escape(line)))
            .collect(),
        stale: super::leaving::stale_words(asked, "quote"),
        ..Question::default()
    }
}

fn answer(asked: &Asked<'_>, price: Option<&Price>) -> String {
    let Some(price) = price else {
        return match asked.section.decision {
            job::file::Decision::Make => "There is no price yet; what is missing is said above.".into(),
            _ => "Nothing is charged for this piece.".into(),
        };
    };
    let said = if price.said_on_the_phone { ", said on the phone, not measured" } else { "" };
    let promise = asked.now.plan.promise.as_ref();
    let date = promise.map(|promise| {
        format!(
            "; ordered on {}, it leaves the shop about {}, by {} at the latest",
            date_in_words(&promise.counted_from),
            date_in_words(&promise.likely),
            date_in_words(&promise.latest)
        )
    });
    let second = asked.plan.second_price.as_ref();
    let second = second
        .map(|price| format!("; if the rust goes as far as it may, {} (up to {})", price.net.middle, price.net.high));
    let next = price.next_one.map(|next| format!("; the next one from the kept pattern {next}")).unwrap_or_default();
    sentence(&format!(
        "{}, between {} and {} nine times in ten, net of tax{said}{}{}{next}",
        price.net.middle,
        price.net.low,
        price.net.high,
        second.unwrap_or_default(),
        date.unwrap_or_default()
    ))
}

fn fields(asked: &Asked<'_>) -> Vec<Field> {
    let mut fields = vec![Field::text(asked.path("quantity"), "How many", asked.section.quantity.to_string())];
    for (index, alternative) in asked.job().alternatives.iter().enumerate() {
        let what = match alternative.what {
            AlternativeKind::StockPart => "stock part",
            AlternativeKind::DonorPanel => "donor panel",
            AlternativeKind::NewAssembly => "new assembly",
        };
        fields.push(Field::text(
            format!("alternatives.{index}.price"),
            format!("Price of a {what}"),
            &alternative.price,
        ));
        let hours = alternative.fitting_hours.to_string();
        fields.push(Field::text(
            format!("alternatives.{index}.fitting_hours"),
            format!("Hours to fit a {what}"),
            hours,
        ));
    }
    fields
}

fn lines_table(price: &Price, title: &str) -> Table {
    let row = |line: &QuoteLine| {
        vec![
            Cell::words(line.class.words()),
            Cell::words(&line.what),
            Cell::words(&line.quantity),
            Cell::figure(line.amount.to_string(), &line.working),
        ]
    };
    let total = |what: &str, range: &shop::PriceRange| {
        vec![
            Cell::words(what),
            Cell::words(format!("{} to {}", range.low, range.high)),
            Cell::words(if what == "net" { duration_words(price.minutes) } else { String::new() }),
            Cell::number(range.middle.to_string()),
        ]
    };
    let mut rows: Vec<Vec<Cell>> = price.lines.iter().map(row).collect();
    rows.push(total("net", &price.net));
    rows.push(total("with tax", &price.gross));
    Table { caption: format!("Every line of {title}"), head: vec!["class", "what", "quantity", "amount"], rows }
}

fn whole_job_table(asked: &Asked<'_>) -> Option<Table> {
    let whole = asked.now.plan.price.as_ref()?;
    let priced: Vec<_> =
        asked.now.plan.sections.iter().filter_map(|section| Some((section, section.price.as_ref()?))).collect();
    if priced.len() < 2 {
        return None;
    }
    let row = |title: &str, price: &Price| {
        vec![
            Cell::words(title),
            Cell::number(price.net.low.to_string()),
            Cell::number(price.net.middle.to_string()),
            Cell::number(price.net.high.to_string()),
        ]
    };
    let mut rows: Vec<Vec<Cell>> = priced.iter().map(|(section, price)| row(&section.title, price)).collect();
    rows.push(row("the whole card, net", whole));
    Some(Table { caption: "The whole card".into(), head: vec!["piece", "low", "middle", "high"], rows })
}
