//! Stops that someone lifted, with who, when and why. What may be lifted by whom is decided where the stop is made;
//! here a lifting without the facts it needs is refused.

use jiff::Timestamp;
use jiff::civil::Date;
use rusqlite::{OptionalExtension, params};
use serde::{Deserialize, Serialize};

use crate::error::Result;
use crate::limits::written;
use crate::records::{self, Signed, Subject};
use crate::store::Store;
use crate::time::{from_us, to_us};
use crate::{JobId, LiftedStopId, RevisionId, StoreError};

/// As what a person lifts a stop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Lifter {
    /// The shop: fit, cost, doubtful measurement.
    Shop,
    /// A person competent in the matter, by trade.
    CompetentPerson,
}

/// A stop being lifted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Lifting {
    /// The stop, by its code.
    pub stop: String,
    /// As what the person lifts it.
    pub lifter: Lifter,
    /// The person's name.
    pub name: String,
    /// The person's trade; needed of a competent person.
    pub trade: String,
    /// The day on which the person decided.
    pub date: Date,
    /// Why it may be lifted.
    pub reason: String,
}

/// A lifted stop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LiftedStop {
    /// Its id.
    pub id: LiftedStopId,
    /// What was lifted, by whom and why.
    pub lifting: Lifting,
    /// The revision of the card that the person had before them.
    pub revision: RevisionId,
    /// When it was written down.
    pub at: Timestamp,
    /// Who wrote it down.
    pub who: String,
    /// When and by whom the stop was put back, if it was.
    pub put_back: Option<(Timestamp, String)>,
}

impl Store {
    /// Writes down that a stop is lifted, on the revision of the card that the person saw.
    ///
    /// # Errors
    /// [`StoreError::Invalid`] when name or reason is empty, or the trade of a competent person;
    /// [`StoreError::NotFound`] when the revision is none of this job.
    pub fn lift_stop(
        &self,
        job: JobId,
        revision: RevisionId,
        lifting: Lifting,
        signed: Signed,
    ) -> Result<LiftedStopId> {
        written("the stop", &lifting.stop)?;
        written("name of the person who lifts the stop", &lifting.name)?;
        written("reason for lifting the stop", &lifting.reason)?;
        if lifting.lifter == Lifter::CompetentPerson {
            written("trade of the person who lifts the stop", &lifting.trade)?;
        }
        written("who", &signed.who)?;
        self.write(move |tx| {
            records::record(tx, Subject::Job(job), revision)?;
            tx.prepare_cached(
                "INSERT INTO lifted_stop (record, revision, stop, lifter, name, trade, date, reason, at_us, who)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
            )?
            .execute(params![
                job,
                revision,
                lifting.stop,
                lifter_word(lifting.lifter),
                lifting.name,
                lifting.trade,
                lifting.date.to_string(),
                lifting.reason,
                to_us(signed.at),
                signed.who
            ])?;
            Ok(LiftedStopId(tx.last_insert_rowid()))
        })
    }

    /// Puts a lifted stop back; that it was lifted stays on record.
    ///
    /// # Errors
    /// [`StoreError::NotFound`] when it is not lifted.
    pub fn put_stop_back(&self, id: LiftedStopId, signed: Signed) -> Result<()> {
        written("who", &signed.who)?;
        self.write(move |tx| {
            tx.prepare_cached(
                "UPDATE lifted_stop SET put_back_us = ?2, put_back_who = ?3
                 WHERE id = ?1 AND put_back_us IS NULL RETURNING id",
            )?
            .query_row(params![id, to_us(signed.at), signed.who], |_| Ok(()))
            .optional()?
            .ok_or_else(|| StoreError::NotFound { what: format!("lifted stop with id {id}") })
        })
    }

    /// Lists every stop of a job that was ever lifted, oldest first.
    ///
    /// # Errors
    /// What the database says.
    pub fn lifted_stops(&self, job: JobId) -> Result<Vec<LiftedStop>> {
        self.read(|tx| {
            let mut query = tx.prepare_cached(
                "SELECT id, stop, lifter, name, trade, date, reason, revision, at_us, who, put_back_us, put_back_who
                 FROM lifted_stop WHERE record = ?1 ORDER BY id",
            )?;
            let mut rows = query.query([job])?;
            let mut stops = Vec::new();
            while let Some(row) = rows.next()? {
                stops.push(stop_row(row)?);
            }
            Ok(stops)
        })
    }
}

fn stop_row(row: &rusqlite::Row<'_>) -> Result<LiftedStop> {
    let lifter: String = row.get(2)?;
    let date: String = row.get(5)?;
    let put_back = match row.get::<_, Option<i64>>(10)? {
        Some(at_us) => Some((from_us(at_us)?, row.get(11)?)),
        None => None,
    };
    Ok(LiftedStop {
        id: row.get(0)?,
        lifting: Lifting {
            stop: row.get(1)?,
            lifter: if lifter == lifter_word(Lifter::Shop) { Lifter::Shop } else { Lifter::CompetentPerson },
            name: row.get(3)?,
            trade: row.get(4)?,
            date: date.parse().map_err(|_| StoreError::damaged(format!("{date:?} is not a date")))?,
            reason: row.get(6)?,
        },
        revision: row.get(7)?,
        at: from_us(row.get(8)?)?,
        who: row.get(9)?,
        put_back,
    })
}

fn lifter_word(lifter: Lifter) -> &'static str {
    match lifter {
        Lifter::Shop => "shop",
        Lifter::CompetentPerson => "competent person",
    }
}
