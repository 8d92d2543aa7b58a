//! The packet: every paper and file that leaves with a job, held back while a stop is open.

use super::card::{ConcernView, Now, concern_views};
use super::guard::Who;
use super::{App, WebError, page};
use crate::documents::{self, Document};
use crate::failure::{Failure, Kind};
use crate::shop_data::{signed, today};
use askama::Template;
use axum::extract::{Extension, Form, Path, State};
use axum::http::header;
use axum::response::{Html, IntoResponse, Redirect, Response};
use handbook::{Concern, Grade, LiftedBy};
use job::file::LiftedStop;
use serde::Deserialize;
use std::io::{Cursor, Write as _};
use std::sync::Arc;
use store::{JobId, Lifter, Lifting, RevisionId};

#[derive(Template)]
#[template(path = "packet.html")]
struct PacketPage {
    id: JobId,
    revision: i64,
    number: String,
    title: String,
    price: String,
    today: String,
    faults: Vec<String>,
    stops: Vec<ConcernView>,
    lifted: Vec<ConcernView>,
    blocked: bool,
    groups: Vec<Group>,
    count: usize,
}

struct Group {
    title: String,
    files: Vec<Row>,
}

struct Row {
    path: String,
    title: String,
    kind: &'static str,
    size: String,
    preview: bool,
}

/// The list of what leaves.
pub async fn show(State(app): State<Arc<App>>, Path(id): Path<i64>) -> Result<Html<String>, WebError> {
    let page_of = app.work(move |app| {
        let now = Now::read(app, JobId(id))?;
        let job = &now.card.job;
        let documents = app.planning.documents(&now.card, &now.plan)?;
        let is_lifted =
            |concern: &&Concern| job.lifted.iter().any(|own| own.concern == concern.key && own.place == concern.place);
        let stops = concern_views(now.card.id, concerns(&now).filter(|concern| concern.grade == Grade::Stop));
        let lifted = concern_views(now.card.id, concerns(&now).filter(is_lifted));
        let blocked = !stops.is_empty();
        Ok(PacketPage {
            id: now.card.id,
            revision: now.card.revision.id.0,
            number: job.number.clone(),
            title: job.title.clone(),
            price: price_words(&now),
            today: today(),
            faults: now.plan.all_faults().map(|fault| fault.message.clone()).collect(),
            stops,
            lifted,
            blocked,
            count: documents.len(),
            groups: groups(&documents),
        })
    });
    Ok(page(&page_of.await?))
}

fn concerns(now: &Now) -> impl Iterator<Item = &Concern> {
    let sections = now.plan.sections.iter().flat_map(|section| &section.concerns);
    sections.chain(&now.plan.concerns)
}

fn price_words(now: &Now) -> String {
    let Some(price) = &now.plan.price else { return String::new() };
    let said = if price.said_on_the_phone { ", said on the phone, not measured" } else { "" };
    format!("{}, between {} and {}, net of tax{said}", price.net.middle, price.net.low, price.net.high)
}

fn groups(documents: &[Document]) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for document in documents {
        let row = Row {
            path: document.path.clone(),
            title: document.title.clone(),
            kind: document.kind(),
            size: size_words(document.bytes.len()),
            preview: document.media_type == "image/svg+xml",
        };
        match groups.iter_mut().find(|group| group.title == document.group) {
            Some(group) => group.files.push(row),
            None => groups.push(Group { title: document.group.clone(), files: vec![row] }),
        }
    }
    groups
}

fn size_words(bytes: usize) -> String {
    if bytes < 1 << 20 {
        format!("{} kB", bytes.div_ceil(1024))
    } else {
        format!("{:.1} MB", bytes as f64 / f64::from(1 << 20))
    }
}

/// One file.
pub async fn one(State(app): State<Arc<App>>, Path((id, path)): Path<(i64, String)>) -> Result<Response, WebError> {
    let document = app.work(move |app| {
        let now = Now::read(app, JobId(id))?;
        let documents = app.planning.documents(&now.card, &now.plan)?;
        let missing = || Failure::not_found(format!("the packet of {} holds no {path:?}", now.card.job.number));
        documents.iter().find(|document| document.path == path).cloned().ok_or_else(missing)
    });
    let document = document.await?;
    let name = document.path.rsplit('/').next().unwrap_or_default();
    let disposition = format!("inline; filename=\"{}\"", name.replace(['"', '\\'], ""));
    Ok((
        [(header::CONTENT_TYPE, document.media_type.to_owned()), (header::CONTENT_DISPOSITION, disposition)],
        document.bytes,
    )
        .into_response())
}

/// Everything in one file; refused while a stop is open, so that nobody takes a packet without its cut files for whole.
pub async fn all(State(app): State<Arc<App>>, Path(id): Path<i64>) -> Result<Response, WebError> {
    let (name, bytes) = app
        .work(move |app| {
            let now = Now::read(app, JobId(id))?;
            documents::refuse_if_stopped(&now.plan)?;
            let documents = app.planning.documents(&now.card, &now.plan)?;
            Ok((documents::file_name(&now.card.job.number), zipped(&documents)?))
        })
        .await?;
    let disposition = format!("attachment; filename=\"{name}-packet.zip\"");
    Ok(([(header::CONTENT_TYPE, "application/zip".to_owned()), (header::CONTENT_DISPOSITION, disposition)], bytes)
        .into_response())
}

fn zipped(documents: &[Document]) -> Result<Vec<u8>, Failure> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let options = zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    for document in documents {
        zip.start_file(document.path.as_str(), options).map_err(Failure::machine)?;
        zip.write_all(&document.bytes).map_err(Failure::machine)?;
    }
    Ok(zip.finish().map_err(Failure::machine)?.into_inner())
}

/// Who lifts which stop, and why.
#[derive(Debug, Deserialize)]
pub struct Lift {
    base: i64,
    key: String,
    place: String,
    name: String,
    #[serde(default)]
    trade: String,
    date: String,
    reason: String,
}

/// Lifts a stop.
pub async fn lift(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(form): Form<Lift>,
) -> Result<Response, WebError> {
    app.work(move |app| {
        let now = Now::read(app, JobId(id))?;
        let found = concerns(&now).find(|concern| concern.key == form.key && concern.place == form.place).cloned();
        let stop = found
            .ok_or_else(|| Failure::not_found(format!("this card has no stop {:?} at {:?}", form.key, form.place)))?;
        let lifted = checked(&stop, &form)?;
        let mut job = now.card.job.clone();
        job.lifted.retain(|own| !(own.concern == lifted.concern && own.place == lifted.place));
        job.lifted.push(lifted.clone());
        let committed = app.data.commit(now.card.id, RevisionId(form.base), &job, now.card.waits, &who.0)?;
        let competent = stop.lifted_by == Some(LiftedBy::CompetentPerson);
        let lifting = Lifting {
            stop: format!("{} · {}", lifted.concern, lifted.place),
            lifter: if competent { Lifter::CompetentPerson } else { Lifter::Shop },
            name: lifted.name,
            trade: lifted.trade,
            date: lifted.date.parse().map_err(|_| Failure::bad_input("the date is not a date"))?,
            reason: lifted.reason,
        };
        app.data.store.lift_stop(now.card.id, committed.revision, lifting, signed(&who.0))?;
        Ok(())
    })
    .await?;
    Ok(Redirect::to(&format!("/card/{id}/packet#stops")).into_response())
}

/// A stop is lifted by name and with a reason; the second kind by a competent person with trade and date as well.
fn checked(stop: &Concern, form: &Lift) -> Result<LiftedStop, Failure> {
    if stop.grade != Grade::Stop {
        return Err(Failure::bad_input(format!("{:?} is no stop; there is nothing to lift", stop.what)));
    }
    let competent = stop.lifted_by == Some(LiftedBy::CompetentPerson);
    let needed = [
        ("name of the person who lifts the stop", &form.name, true),
        ("reason", &form.reason, true),
        ("trade of the competent person", &form.trade, competent),
        ("date", &form.date, true),
    ];
    for (what, text, is_needed) in needed {
        if is_needed && text.trim().is_empty() {
            let who = if competent {
                "a competent person, with name, trade, date and reason"
            } else {
                "the shop, by name and with a reason"
            };
            return Err(Failure::new(
                Kind::BadInput,
                format!("the {what} is missing; this stop may be lifted by {who}"),
            ));
        }
    }
    let date = form.date.trim();
    if date.parse::<jiff::civil::Date>().is_err() {
        return Err(Failure::bad_input(format!("{date:?} is not a date; write it as 2026-11-25")));
    }
    Ok(LiftedStop {
        concern: stop.key.clone(),
        place: stop.place.clone(),
        name: form.name.trim().to_owned(),
        trade: form.trade.trim().to_owned(),
        date: date.to_owned(),
        reason: form.reason.trim().to_owned(),
    })
}

/// Which lifted stop stands again.
#[derive(Debug, Deserialize)]
pub struct PutBack {
    base: i64,
    key: String,
    place: String,
}

/// Takes a lifting back.
pub async fn put_back(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(form): Form<PutBack>,
) -> Result<Response, WebError> {
    app.work(move |app| {
        let card = app.data.card(JobId(id))?;
        let mut job = card.job;
        job.lifted.retain(|own| !(own.concern == form.key && own.place == form.place));
        app.data.commit(card.id, RevisionId(form.base), &job, card.waits, &who.0)?;
        let stop = format!("{} · {}", form.key, form.place);
        let listed = app.data.store.lifted_stops(card.id)?;
        for entry in listed.iter().filter(|entry| entry.put_back.is_none() && entry.lifting.stop == stop) {
            app.data.store.put_stop_back(entry.id, signed(&who.0))?;
        }
        Ok(())
    })
    .await?;
    Ok(Redirect::to(&format!("/card/{id}/packet#stops")).into_response())
}
