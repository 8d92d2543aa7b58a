//! Documents that left the shop: which, made from which revision, to whom, when, and the hash that proves it.

use jiff::Timestamp;
use rusqlite::params;

use crate::error::Result;
use crate::limits::written;
use crate::records::{self, Signed, Subject};
use crate::store::Store;
use crate::time::{from_us, to_us};
use crate::{JobId, RevisionId};

/// A document that is being sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sending {
    /// The revision of the card that it was made from.
    pub revision: RevisionId,
    /// Which document, e.g. `quote`.
    pub document: String,
    /// Its file name.
    pub file: String,
    /// To whom.
    pub sent_to: String,
    /// The file.
    pub bytes: Vec<u8>,
}

/// A document that was sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct IssuedDocument {
    /// The revision of the card that it was made from.
    pub revision: RevisionId,
    /// Which document.
    pub document: String,
    /// Its file name.
    pub file: String,
    /// To whom.
    pub sent_to: String,
    /// Size of the file in bytes.
    pub size_bytes: u64,
    /// BLAKE3 hash of the file, 32 bytes.
    pub hash: [u8; 32],
    /// When.
    pub at: Timestamp,
    /// Who sent it.
    pub who: String,
}

impl Store {
    /// Writes down that a document was sent. The file's hash is kept, not the file: it can be made again from its
    /// revision.
    ///
    /// # Errors
    /// [`crate::StoreError::NotFound`] when the revision is none of this job; [`crate::StoreError::Invalid`] for an
    /// empty name.
    pub fn record_issued(&self, job: JobId, sending: Sending, signed: Signed) -> Result<()> {
        written("document", &sending.document)?;
        written("sent to", &sending.sent_to)?;
        written("who", &signed.who)?;
        self.write(move |tx| {
            let subject = Subject::Job(job);
            records::record(tx, subject, sending.revision)?;
            let hash = *blake3::hash(&sending.bytes).as_bytes();
            tx.prepare_cached(
                "INSERT INTO issued_document (record, revision, document, file, sent_to, size, hash, at_us, who)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
            )?
            .execute(params![
                job,
                sending.revision,
                sending.document,
                sending.file,
                sending.sent_to,
                sending.bytes.len(),
                hash,
                to_us(signed.at),
                signed.who
            ])?;
            Ok(())
        })
    }

    /// Lists what was sent for a job, oldest first.
    ///
    /// # Errors
    /// What the database says.
    pub fn issued(&self, job: JobId) -> Result<Vec<IssuedDocument>> {
        self.read(|tx| {
            let mut query = tx.prepare_cached(
                "SELECT revision, document, file, sent_to, size, hash, at_us, who
                 FROM issued_document WHERE record = ?1 ORDER BY id",
            )?;
            let mut rows = query.query([job])?;
            let mut documents = Vec::new();
            while let Some(row) = rows.next()? {
                documents.push(IssuedDocument {
                    revision: row.get(0)?,
                    document: row.get(1)?,
                    file: row.get(2)?,
                    sent_to: row.get(3)?,
                    size_bytes: row.get(4)?,
                    hash: row.get(5)?,
                    at: from_us(row.get(6)?)?,
                    who: row.get(7)?,
                });
            }
            Ok(documents)
        })
    }
}
