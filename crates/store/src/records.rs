//! Job cards, patterns and the shop's settings, each with its whole history.
//!
//! Model: a record is a line of revisions, numbered from 1, never changed and never deleted. Every committed change is
//! a revision with the full content as canonical JSON, so that any revision can be read without the ones before it and
//! one damaged revision spoils no other; equal contents are kept once by hash, so undo, redo and going back cost a row
//! and no copy. Undo, redo and going back are themselves revisions: the history says honestly that they happened.
//! Undo walks back through the states in the order in which they came; an edit or a return after undoing starts a new
//! branch of states, and the undone ones can still be reached with [`Store::go_back`].
//!
//! A write names the revision it is based on and is refused when another has become current since (a phone and a
//! tablet on one card).

mod read;
pub(crate) use read::{head, listed_row, record};
mod write;
pub(crate) use write::create;

use std::fmt;

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::error::Result;
use crate::store::Store;
use crate::{JobId, PatternId, RevisionId, StoreError};

/// Whose content is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Subject {
    /// A job card.
    Job(JobId),
    /// A pattern.
    Pattern(PatternId),
    /// The shop's settings; there is one set.
    Shop,
}

impl From<JobId> for Subject {
    fn from(id: JobId) -> Self {
        Self::Job(id)
    }
}

impl From<PatternId> for Subject {
    fn from(id: PatternId) -> Self {
        Self::Pattern(id)
    }
}

impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Job(id) => write!(f, "job card with id {id}"),
            Self::Pattern(id) => write!(f, "pattern with id {id}"),
            Self::Shop => f.write_str("shop settings yet"),
        }
    }
}

/// What lists show and the search finds. A pattern uses title and vehicle; the shop's settings use none.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Heading {
    /// The job's number as the shop writes it; no two cards have the same. Empty when none is given yet.
    pub number: String,
    /// What it is.
    pub title: String,
    /// Who wants it.
    pub customer: String,
    /// What it belongs to.
    pub vehicle: String,
    /// What the card waits for, in the words of the rack.
    pub waiting_for: String,
}

/// New content for a record.
#[derive(Debug, Clone, PartialEq)]
pub struct Edit {
    /// The whole content.
    pub body: Value,
    /// Its heading.
    pub heading: Heading,
    /// What changed, as one short line; made from the difference when `None`.
    pub what: Option<String>,
}

/// Who writes, and when. The store reads no clock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signed {
    /// Name of the person or device.
    pub who: String,
    /// The time.
    pub at: Timestamp,
}

/// The revision that stands after a write.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Committed {
    /// Its id: the base of the next write.
    pub revision: RevisionId,
    /// Its number in the record's history, from 1.
    pub sequence: i64,
    /// False when the content was the same already and no revision was made.
    pub changed: bool,
}

/// How a revision came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RevisionKind {
    /// The first content.
    Create,
    /// New content.
    Edit,
    /// An earlier content taken up again by choice.
    Return,
    /// The content before.
    Undo,
    /// The content that was undone.
    Redo,
}

/// One line of a history.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RevisionLine {
    /// The revision.
    pub id: RevisionId,
    /// Its number in this history, from 1.
    pub sequence: i64,
    /// How it came about.
    pub kind: RevisionKind,
    /// When.
    pub at: Timestamp,
    /// Who.
    pub who: String,
    /// What changed.
    pub what: String,
    /// The number of the revision that first brought the content that stands after this one.
    pub shows: i64,
}

/// A record as it stands at one revision.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    /// The revision: the base to name in a write, when it is the current one.
    pub revision: RevisionLine,
    /// The content.
    pub body: Value,
    /// The heading.
    pub heading: Heading,
}

/// What can be done next with a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Steps {
    /// A content stands before the current one.
    pub can_undo: bool,
    /// Something was undone since the last change.
    pub can_redo: bool,
}

/// One card or pattern in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Listed<Id> {
    /// Whose it is.
    pub id: Id,
    /// Its heading.
    pub heading: Heading,
    /// Its current revision.
    pub revision: RevisionId,
    /// When it was made.
    pub created: Timestamp,
    /// When it last changed.
    pub updated: Timestamp,
}

impl Store {
    /// Makes a job card.
    ///
    /// # Errors
    /// [`StoreError::NumberTaken`], [`StoreError::Invalid`] for an empty name, or what the database says.
    pub fn create_job(&self, edit: Edit, signed: Signed) -> Result<(JobId, Committed)> {
        let (id, committed) = self.write(move |tx| write::create(tx, "job", &edit, &signed))?;
        Ok((JobId(id), committed))
    }

    /// Makes a pattern.
    ///
    /// # Errors
    /// [`StoreError::Invalid`] for an empty name, or what the database says.
    pub fn create_pattern(&self, edit: Edit, signed: Signed) -> Result<(PatternId, Committed)> {
        let (id, committed) = self.write(move |tx| write::create(tx, "pattern", &edit, &signed))?;
        Ok((PatternId(id), committed))
    }

    /// Keeps the shop's first settings.
    ///
    /// # Errors
    /// [`StoreError::Stale`] when there are settings already: change those with [`Store::commit`].
    pub fn create_shop(&self, edit: Edit, signed: Signed) -> Result<Committed> {
        self.write(move |tx| match read::head(tx, Subject::Shop) {
            Ok(head) => Err(head.stale(RevisionId(0))),
            Err(StoreError::NotFound { .. }) => Ok(write::create(tx, "shop", &edit, &signed)?.1),
            Err(other) => Err(other),
        })
    }

    /// Writes new content, based on the revision `base`.
    ///
    /// # Errors
    /// [`StoreError::Stale`] with the current revision when `base` is no longer it; [`StoreError::NotFound`];
    /// [`StoreError::NumberTaken`].
    pub fn commit(
        &self,
        subject: impl Into<Subject>,
        base: RevisionId,
        edit: Edit,
        signed: Signed,
    ) -> Result<Committed> {
        let subject = subject.into();
        self.write(move |tx| write::edit(tx, subject, base, &edit, &signed))
    }

    /// Takes up the content before the current one again, as a new revision.
    ///
    /// # Errors
    /// [`StoreError::NothingToUndo`]; otherwise as [`Store::commit`].
    pub fn undo(&self, subject: impl Into<Subject>, base: RevisionId, signed: Signed) -> Result<Committed> {
        let subject = subject.into();
        self.write(move |tx| write::undo(tx, subject, base, &signed))
    }

    /// Takes up the content that was undone last again, as a new revision.
    ///
    /// # Errors
    /// [`StoreError::NothingToRedo`]; otherwise as [`Store::commit`].
    pub fn redo(&self, subject: impl Into<Subject>, base: RevisionId, signed: Signed) -> Result<Committed> {
        let subject = subject.into();
        self.write(move |tx| write::redo(tx, subject, base, &signed))
    }

    /// Takes up the content of any earlier revision of the same record again, as a new revision that can be undone.
    ///
    /// # Errors
    /// [`StoreError::NotFound`] when `target` is no revision of this record; otherwise as [`Store::commit`].
    pub fn go_back(
        &self,
        subject: impl Into<Subject>,
        base: RevisionId,
        target: RevisionId,
        signed: Signed,
    ) -> Result<Committed> {
        let subject = subject.into();
        self.write(move |tx| write::go_back(tx, subject, base, target, &signed))
    }

    /// Reads a record as it stands now.
    ///
    /// # Errors
    /// [`StoreError::NotFound`]; [`StoreError::Damaged`] when the content is not what was written.
    pub fn current(&self, subject: impl Into<Subject>) -> Result<Record> {
        let subject = subject.into();
        self.read(|tx| read::record(tx, subject, read::head(tx, subject)?.revision))
    }

    /// Reads a record as it stood after any of its revisions.
    ///
    /// # Errors
    /// As [`Store::current`].
    pub fn at_revision(&self, subject: impl Into<Subject>, revision: RevisionId) -> Result<Record> {
        let subject = subject.into();
        self.read(|tx| read::record(tx, subject, revision))
    }

    /// Tells whether undo and redo have somewhere to go.
    ///
    /// # Errors
    /// [`StoreError::NotFound`].
    pub fn steps(&self, subject: impl Into<Subject>) -> Result<Steps> {
        let subject = subject.into();
        self.read(|tx| {
            let head = read::head(tx, subject)?;
            Ok(Steps { can_undo: head.undo_to.is_some(), can_redo: read::redo_to(tx, head.record)?.is_some() })
        })
    }

    /// Lists every revision of a record, oldest first.
    ///
    /// # Errors
    /// [`StoreError::NotFound`].
    pub fn history(&self, subject: impl Into<Subject>) -> Result<Vec<RevisionLine>> {
        let subject = subject.into();
        self.read(|tx| read::history(tx, read::head(tx, subject)?.record))
    }

    /// Lists all job cards, last changed first.
    ///
    /// # Errors
    /// What the database says.
    pub fn jobs(&self) -> Result<Vec<Listed<JobId>>> {
        self.read(|tx| read::list(tx, "job", JobId))
    }

    /// Lists all patterns, last changed first.
    ///
    /// # Errors
    /// What the database says.
    pub fn patterns(&self) -> Result<Vec<Listed<PatternId>>> {
        self.read(|tx| read::list(tx, "pattern", PatternId))
    }

    /// Finds the job card with this number.
    ///
    /// # Errors
    /// What the database says.
    pub fn job_with_number(&self, number: &str) -> Result<Option<JobId>> {
        self.read(|tx| read::job_with_number(tx, number))
    }
}
