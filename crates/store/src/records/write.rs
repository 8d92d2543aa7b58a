//! Writing revisions. Every function runs inside the caller's transaction.

use rusqlite::{Connection, ErrorCode, params};

use super::read::{self, Head, State};
use super::{Committed, Edit, Heading, RevisionKind, Signed, Subject};
use crate::error::Result;
use crate::limits::written;
use crate::time::to_us;
use crate::{RevisionId, StoreError, canonical, changes, search};

/// A revision about to be written.
struct Next<'a> {
    record: i64,
    sequence: i64,
    kind: RevisionKind,
    what: &'a str,
    shows: i64,
    made_from: Option<i64>,
    body: &'a [u8],
    heading: &'a str,
}

/// Makes a record with its first revision; returns the record's id.
pub(crate) fn create(tx: &Connection, kind: &str, edit: &Edit, signed: &Signed) -> Result<(i64, Committed)> {
    let body = keep_body(tx, edit)?;
    let at_us = to_us(signed.at);
    let heading = &edit.heading;
    // The head does not exist yet; the reference is checked when the transaction commits.
    tx.prepare_cached(
        "INSERT INTO record (kind, number, title, customer, vehicle, waiting_for, created_us, updated_us, head)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?7, 0)",
    )?
    .execute(params![
        kind,
        heading.number,
        heading.title,
        heading.customer,
        heading.vehicle,
        heading.waiting_for,
        at_us
    ])
    .map_err(|error| number_taken(error, &heading.number))?;
    let record = tx.last_insert_rowid();
    let next = Next {
        record,
        sequence: 1,
        kind: RevisionKind::Create,
        what: edit.what.as_deref().unwrap_or("made"),
        shows: 1,
        made_from: None,
        body: &body,
        heading: &heading_text(heading)?,
    };
    Ok((record, append(tx, &next, signed)?))
}

/// Writes new content.
pub(super) fn edit(
    tx: &Connection,
    subject: Subject,
    base: RevisionId,
    edit: &Edit,
    signed: &Signed,
) -> Result<Committed> {
    let head = head_at(tx, subject, base)?;
    let before = read::record(tx, subject, head.revision)?;
    if canonical::to_text(&before.body)? == canonical::to_text(&edit.body)? && before.heading == edit.heading {
        return Ok(Committed { revision: head.revision, sequence: head.sequence, changed: false });
    }
    let what = edit.what.clone().unwrap_or_else(|| changes::describe(&before.body, &edit.body));
    let sequence = head.sequence + 1;
    let next = Next {
        record: head.record,
        sequence,
        kind: RevisionKind::Edit,
        what: &what,
        shows: sequence,
        made_from: Some(head.shows),
        body: &keep_body(tx, edit)?,
        heading: &heading_text(&edit.heading)?,
    };
    append(tx, &next, signed)
}

/// Shows the state before the current one.
pub(super) fn undo(tx: &Connection, subject: Subject, base: RevisionId, signed: &Signed) -> Result<Committed> {
    let head = head_at(tx, subject, base)?;
    let target = read::state(tx, head.record, head.undo_to.ok_or(StoreError::NothingToUndo)?)?;
    let undone = read::state(tx, head.record, head.shows)?;
    step(tx, &head, RevisionKind::Undo, &target, &format!("undo: {}", undone.what), signed)
}

/// Shows the state that was undone last.
pub(super) fn redo(tx: &Connection, subject: Subject, base: RevisionId, signed: &Signed) -> Result<Committed> {
    let head = head_at(tx, subject, base)?;
    let target = read::redo_to(tx, head.record)?.ok_or(StoreError::NothingToRedo)?;
    let target = read::state(tx, head.record, target)?;
    step(tx, &head, RevisionKind::Redo, &target, &format!("redo: {}", target.what), signed)
}

/// Makes a new state with the content of an earlier revision.
pub(super) fn go_back(
    tx: &Connection,
    subject: Subject,
    base: RevisionId,
    target: RevisionId,
    signed: &Signed,
) -> Result<Committed> {
    let head = head_at(tx, subject, base)?;
    let target = read::record(tx, subject, target)?.revision;
    if target.shows == head.shows {
        return Ok(Committed { revision: head.revision, sequence: head.sequence, changed: false });
    }
    let state = read::state(tx, head.record, target.sequence)?;
    let sequence = head.sequence + 1;
    let next = Next {
        record: head.record,
        sequence,
        kind: RevisionKind::Return,
        what: &format!("back to revision {}: {}", target.sequence, target.what),
        shows: sequence,
        made_from: Some(head.shows),
        body: &state.body,
        heading: &state.heading,
    };
    append(tx, &next, signed)
}

fn head_at(tx: &Connection, subject: Subject, base: RevisionId) -> Result<Head> {
    let head = read::head(tx, subject)?;
    if head.revision == base { Ok(head) } else { Err(head.stale(base)) }
}

fn step(
    tx: &Connection,
    head: &Head,
    kind: RevisionKind,
    target: &State,
    what: &str,
    signed: &Signed,
) -> Result<Committed> {
    let next = Next {
        record: head.record,
        sequence: head.sequence + 1,
        kind,
        what,
        shows: target.sequence,
        made_from: None,
        body: &target.body,
        heading: &target.heading,
    };
    append(tx, &next, signed)
}

fn append(tx: &Connection, next: &Next<'_>, signed: &Signed) -> Result<Committed> {
    written("who", &signed.who)?;
    let at_us = to_us(signed.at);
    tx.prepare_cached(
        "INSERT INTO revision (record, sequence, kind, at_us, who, what, shows, made_from, body, heading)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
    )?
    .execute(params![
        next.record,
        next.sequence,
        next.kind,
        at_us,
        signed.who,
        next.what,
        next.shows,
        next.made_from,
        next.body,
        next.heading
    ])?;
    let revision = RevisionId(tx.last_insert_rowid());
    let heading = read::heading(next.heading)?;
    tx.prepare_cached(
        "UPDATE record SET number = ?2, title = ?3, customer = ?4, vehicle = ?5, waiting_for = ?6,
                updated_us = ?7, head = ?8 WHERE id = ?1",
    )?
    .execute(params![
        next.record,
        heading.number,
        heading.title,
        heading.customer,
        heading.vehicle,
        heading.waiting_for,
        at_us,
        revision
    ])
    .map_err(|error| number_taken(error, &heading.number))?;
    search::index(tx, next.record)?;
    Ok(Committed { revision, sequence: next.sequence, changed: true })
}

/// Keeps a content once and returns its hash.
fn keep_body(tx: &Connection, edit: &Edit) -> Result<[u8; 32]> {
    let json = canonical::to_text(&edit.body)?;
    let hash = *blake3::hash(json.as_bytes()).as_bytes();
    tx.prepare_cached("INSERT INTO body (hash, json) VALUES (?1, ?2) ON CONFLICT DO NOTHING")?
        .execute(params![hash, json])?;
    Ok(hash)
}

fn heading_text(heading: &Heading) -> Result<String> {
    serde_json::to_string(heading).map_err(|error| StoreError::damaged(format!("a heading cannot be written: {error}")))
}

fn number_taken(error: rusqlite::Error, number: &str) -> StoreError {
    // The job number is the only unique column of a record that a caller can fill twice.
    if error.sqlite_error_code() == Some(ErrorCode::ConstraintViolation) && !number.is_empty() {
        return StoreError::NumberTaken { number: number.to_owned() };
    }
    error.into()
}
