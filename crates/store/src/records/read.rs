//! Reading records, revisions and lists.

use rusqlite::types::{FromSql, FromSqlError, FromSqlResult, ToSql, ToSqlOutput, ValueRef};
use rusqlite::{Connection, OptionalExtension, Row, params};
use serde_json::Value;

use super::{Heading, Listed, Record, RevisionKind, RevisionLine, Subject};
use crate::error::Result;
use crate::time::from_us;
use crate::{JobId, RevisionId, StoreError};

/// The current revision of a record, with what a write needs to know of it.
pub(crate) struct Head {
    pub(crate) record: i64,
    pub(crate) revision: RevisionId,
    pub(super) sequence: i64,
    pub(super) shows: i64,
    /// The state before the shown one.
    pub(super) undo_to: Option<i64>,
    who: String,
    what: String,
}

impl Head {
    pub(super) fn stale(self, based_on: RevisionId) -> StoreError {
        StoreError::Stale { based_on, current: self.revision, who: self.who, what: self.what }
    }
}

/// What an earlier revision brings back.
pub(super) struct State {
    pub(super) sequence: i64,
    pub(super) what: String,
    pub(super) body: Vec<u8>,
    pub(super) heading: String,
}

impl Subject {
    fn kind(self) -> &'static str {
        match self {
            Self::Job(_) => "job",
            Self::Pattern(_) => "pattern",
            Self::Shop => "shop",
        }
    }

    fn id(self) -> Option<i64> {
        match self {
            Self::Job(id) => Some(id.0),
            Self::Pattern(id) => Some(id.0),
            Self::Shop => None,
        }
    }
}

/// Finds the current revision of a record.
pub(crate) fn head(tx: &Connection, subject: Subject) -> Result<Head> {
    tx.prepare_cached(
        "SELECT r.id, v.id, v.sequence, v.shows, s.made_from, v.who, v.what
         FROM record AS r
         JOIN revision AS v ON v.id = r.head
         JOIN revision AS s ON s.record = r.id AND s.sequence = v.shows
         WHERE r.kind = ?1 AND (?2 IS NULL OR r.id = ?2)",
    )?
    .query_row(params![subject.kind(), subject.id()], |row| {
        Ok(Head {
            record: row.get(0)?,
            revision: row.get(1)?,
            sequence: row.get(2)?,
            shows: row.get(3)?,
            undo_to: row.get(4)?,
            who: row.get(5)?,
            what: row.get(6)?,
        })
    })
    .optional()?
    .ok_or_else(|| StoreError::NotFound { what: subject.to_string() })
}

/// Finds the state that redo goes to.
///
/// Since the last change only undo and redo happened, so the shown state lies `depth` steps before that change's; redo
/// goes one step less deep.
pub(super) fn redo_to(tx: &Connection, record: i64) -> Result<Option<i64>> {
    let (last_change, depth): (i64, i64) = tx
        .prepare_cached(
            "WITH last (sequence) AS (
               SELECT max(sequence) FROM revision WHERE record = ?1 AND kind IN ('create', 'edit', 'return'))
             SELECT last.sequence,
                    (SELECT coalesce(sum(CASE kind WHEN 'undo' THEN 1 ELSE -1 END), 0)
                     FROM revision WHERE record = ?1 AND sequence > last.sequence)
             FROM last",
        )?
        .query_row([record], |row| Ok((row.get(0)?, row.get(1)?)))?;
    if depth < 1 {
        return Ok(None);
    }
    let mut made_from = tx.prepare_cached("SELECT made_from FROM revision WHERE record = ?1 AND sequence = ?2")?;
    let mut state = last_change;
    for _ in 1..depth {
        state = made_from.query_row(params![record, state], |row| row.get(0))?;
    }
    Ok(Some(state))
}

/// Reads what the state or revision number `sequence` of a record brings back.
pub(super) fn state(tx: &Connection, record: i64, sequence: i64) -> Result<State> {
    let found = tx
        .prepare_cached("SELECT sequence, what, body, heading FROM revision WHERE record = ?1 AND sequence = ?2")?
        .query_row(params![record, sequence], |row| {
            Ok(State { sequence: row.get(0)?, what: row.get(1)?, body: row.get(2)?, heading: row.get(3)? })
        })?;
    Ok(found)
}

/// Reads a record as it stood after `revision`.
pub(crate) fn record(tx: &Connection, subject: Subject, revision: RevisionId) -> Result<Record> {
    let record = head(tx, subject)?.record;
    let mut query = tx.prepare_cached(
        "SELECT v.id, v.sequence, v.kind, v.at_us, v.who, v.what, v.shows, b.json, v.heading, v.body
         FROM revision AS v JOIN body AS b ON b.hash = v.body WHERE v.record = ?1 AND v.id = ?2",
    )?;
    let mut rows = query.query(params![record, revision])?;
    let Some(row) = rows.next()? else {
        return Err(StoreError::NotFound { what: format!("revision {revision} of the {subject}") });
    };
    Ok(Record {
        revision: revision_line(row)?,
        body: checked_body(row.get_ref(7)?.as_str().map_err(rusqlite::Error::from)?, &row.get::<_, Vec<u8>>(9)?)?,
        heading: heading(&row.get::<_, String>(8)?)?,
    })
}

/// Lists all revisions of a record, oldest first.
pub(super) fn history(tx: &Connection, record: i64) -> Result<Vec<RevisionLine>> {
    let mut query = tx.prepare_cached(
        "SELECT id, sequence, kind, at_us, who, what, shows FROM revision WHERE record = ?1 ORDER BY sequence",
    )?;
    let mut rows = query.query([record])?;
    let mut lines = Vec::new();
    while let Some(row) = rows.next()? {
        lines.push(revision_line(row)?);
    }
    Ok(lines)
}

/// Lists records of one kind, last changed first.
pub(super) fn list<Id>(tx: &Connection, kind: &str, id: fn(i64) -> Id) -> Result<Vec<Listed<Id>>> {
    let mut query = tx.prepare_cached(
        "SELECT id, number, title, customer, vehicle, waiting_for, head, created_us, updated_us
         FROM record WHERE kind = ?1 ORDER BY updated_us DESC, id DESC",
    )?;
    let mut rows = query.query([kind])?;
    let mut listed = Vec::new();
    while let Some(row) = rows.next()? {
        listed.push(listed_row(row, id)?);
    }
    Ok(listed)
}

/// Reads id, the five heading columns, head, created and updated, in this order.
pub(crate) fn listed_row<Id>(row: &Row<'_>, id: fn(i64) -> Id) -> Result<Listed<Id>> {
    Ok(Listed {
        id: id(row.get(0)?),
        heading: Heading {
            number: row.get(1)?,
            title: row.get(2)?,
            customer: row.get(3)?,
            vehicle: row.get(4)?,
            waiting_for: row.get(5)?,
        },
        revision: row.get(6)?,
        created: from_us(row.get(7)?)?,
        updated: from_us(row.get(8)?)?,
    })
}

pub(super) fn job_with_number(tx: &Connection, number: &str) -> Result<Option<JobId>> {
    Ok(tx
        .prepare_cached("SELECT id FROM record WHERE kind = 'job' AND number = ?1 AND number <> ''")?
        .query_row([number], |row| row.get(0))
        .optional()?)
}

/// Parses a content and proves by its hash that it is what was written.
pub(super) fn checked_body(json: &str, hash: &[u8]) -> Result<Value> {
    if blake3::hash(json.as_bytes()).as_bytes() != hash {
        return Err(StoreError::damaged("a revision no longer has the content that was written"));
    }
    serde_json::from_str(json).map_err(|error| StoreError::damaged(format!("a revision cannot be read: {error}")))
}

pub(super) fn heading(json: &str) -> Result<Heading> {
    serde_json::from_str(json).map_err(|error| StoreError::damaged(format!("a heading cannot be read: {error}")))
}

fn revision_line(row: &Row<'_>) -> Result<RevisionLine> {
    Ok(RevisionLine {
        id: row.get(0)?,
        sequence: row.get(1)?,
        kind: row.get(2)?,
        at: from_us(row.get(3)?)?,
        who: row.get(4)?,
        what: row.get(5)?,
        shows: row.get(6)?,
    })
}

impl RevisionKind {
    const ALL: [(Self, &'static str); 5] = [
        (Self::Create, "create"),
        (Self::Edit, "edit"),
        (Self::Return, "return"),
        (Self::Undo, "undo"),
        (Self::Redo, "redo"),
    ];
}

impl ToSql for RevisionKind {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        let word = Self::ALL.iter().find(|(kind, _)| kind == self).map_or("edit", |(_, word)| word);
        Ok(word.into())
    }
}

impl FromSql for RevisionKind {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        let text = value.as_str()?;
        Self::ALL.iter().find(|(_, word)| *word == text).map(|(kind, _)| *kind).ok_or(FromSqlError::InvalidType)
    }
}
