//! The rack: job cards on the shelf by what each waits for.

use super::{App, WebError, page};
use crate::waiting::Waits;
use askama::Template;
use axum::extract::{Query, State};
use axum::response::Html;
use serde::Deserialize;
use std::sync::Arc;
use store::{JobId, Listed};

#[derive(Template)]
#[template(path = "rack.html")]
struct RackPage {
    shop: String,
    find: String,
    found: String,
    shelves: Vec<Shelf>,
}

struct Shelf {
    words: &'static str,
    /// Whether numbers can come back for its cards.
    numbers: bool,
    cards: Vec<Slip>,
}

struct Slip {
    id: JobId,
    number: String,
    title: String,
    vehicle: String,
    customer: String,
    changed: String,
}

/// What is looked for.
#[derive(Debug, Deserialize)]
pub struct Look {
    #[serde(default)]
    find: String,
}

/// Most cards that a search shows.
const FOUND_LIMIT: u32 = 100;

/// The rack, or what of it holds the words looked for.
pub async fn show(State(app): State<Arc<App>>, Query(look): Query<Look>) -> Result<Html<String>, WebError> {
    let page_of = app.work(move |app| {
        let find = look.find.trim().to_owned();
        let cards =
            if find.is_empty() { app.data.store.jobs()? } else { app.data.store.find_jobs(&find, FOUND_LIMIT)? };
        let found = match cards.len() {
            1 => "1 card".to_owned(),
            n => format!("{n} cards"),
        };
        Ok(RackPage { shop: app.data.settings()?.name, find, found, shelves: shelves(cards) })
    });
    Ok(page(&page_of.await?))
}

fn shelves(cards: Vec<Listed<JobId>>) -> Vec<Shelf> {
    let mut shelves: Vec<(Waits, Shelf)> = Waits::ALL
        .into_iter()
        .map(|waits| {
            let numbers = matches!(waits, Waits::ForMeasurements | Waits::ForTryOnReply);
            (waits, Shelf { words: waits.words(), numbers, cards: Vec::new() })
        })
        .collect();
    for card in cards {
        let waits = Waits::from_words(&card.heading.waiting_for).unwrap_or(Waits::ForMeasurements);
        if let Some((_, shelf)) = shelves.iter_mut().find(|(own, _)| *own == waits) {
            shelf.cards.push(slip(card));
        }
    }
    shelves.into_iter().map(|(_, shelf)| shelf).filter(|shelf| !shelf.cards.is_empty()).collect()
}

fn slip(card: Listed<JobId>) -> Slip {
    let heading = card.heading;
    Slip {
        id: card.id,
        number: heading.number,
        title: heading.title,
        vehicle: heading.vehicle,
        customer: heading.customer,
        changed: when(card.updated),
    }
}

/// A time as people read it, in the zone of this machine.
pub fn when(at: jiff::Timestamp) -> String {
    at.to_zoned_datetime(jiff::tz::TimeZone::system()).strftime("%-d %b %Y, %H:%M").to_string()
}
