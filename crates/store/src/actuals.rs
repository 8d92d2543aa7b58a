//! Minutes really taken, operation by operation: what the shop's own rates are learned from.

use jiff::Timestamp;
use rusqlite::params;

use crate::error::Result;
use crate::limits::written;
use crate::records::{self, Signed, Subject};
use crate::store::Store;
use crate::time::{from_us, to_us};
use crate::{JobId, StoreError};

/// The longest time that one entry may say: a week without a break, in minutes.
const LONGEST_MINUTES: f64 = 7.0 * 24.0 * 60.0;

/// Time taken for one operation on one piece.
#[derive(Debug, Clone, PartialEq)]
pub struct ActualTime {
    /// The job.
    pub job: JobId,
    /// The piece, by its name on the card.
    pub piece: String,
    /// The operation, by its name on the traveller.
    pub operation: String,
    /// Minutes; more than 0, at most a week.
    pub minutes: f64,
    /// When it was written down.
    pub at: Timestamp,
    /// Who wrote it down.
    pub who: String,
}

impl Store {
    /// Writes down the minutes taken for an operation. A later entry adds to an earlier one and replaces none.
    ///
    /// # Errors
    /// [`StoreError::Invalid`] for minutes that are not a number in range, or an empty name.
    pub fn record_actual(&self, job: JobId, piece: &str, operation: &str, minutes: f64, signed: Signed) -> Result<()> {
        if !(minutes > 0.0 && minutes <= LONGEST_MINUTES) {
            return Err(StoreError::Invalid {
                field: "minutes taken",
                got: minutes.to_string(),
                need: "more than 0 and at most 10080 (a week)",
            });
        }
        written("piece", piece)?;
        written("operation", operation)?;
        written("who", &signed.who)?;
        let (piece, operation) = (piece.to_owned(), operation.to_owned());
        self.write(move |tx| {
            let record = records::head(tx, Subject::Job(job))?.record;
            tx.prepare_cached(
                "INSERT INTO actual_time (record, piece, operation, minutes, at_us, who) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            )?
            .execute(params![record, piece, operation, minutes, to_us(signed.at), signed.who])?;
            Ok(())
        })
    }

    /// Lists the minutes taken: of one job, or of all, oldest first.
    ///
    /// # Errors
    /// What the database says.
    pub fn actuals(&self, job: Option<JobId>) -> Result<Vec<ActualTime>> {
        self.read(|tx| {
            let mut query = tx.prepare_cached(
                "SELECT record, piece, operation, minutes, at_us, who FROM actual_time
                 WHERE ?1 IS NULL OR record = ?1 ORDER BY id",
            )?;
            let mut rows = query.query([job])?;
            let mut times = Vec::new();
            while let Some(row) = rows.next()? {
                times.push(ActualTime {
                    job: row.get(0)?,
                    piece: row.get(1)?,
                    operation: row.get(2)?,
                    minutes: row.get(3)?,
                    at: from_us(row.get(4)?)?,
                    who: row.get(5)?,
                });
            }
            Ok(times)
        })
    }
}
