//! One job card with its photos, out of one store and into another. How it lies in a file is for the caller.

use serde_json::Value;

use crate::error::Result;
use crate::photos;
use crate::records::{self, Committed, Edit, Heading, Signed, Subject};
use crate::store::Store;
use crate::{JobId, NewPhoto, PhotoId};

/// A photo with its bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BundledPhoto {
    /// Its identity.
    pub id: PhotoId,
    /// The photo with its caption.
    pub photo: NewPhoto,
}

/// A job card as it stands now, with the photos that are on it. The history stays behind.
#[derive(Debug, Clone, PartialEq)]
pub struct JobBundle {
    /// The content.
    pub body: Value,
    /// The heading.
    pub heading: Heading,
    /// The photos, in the order of the card.
    pub photos: Vec<BundledPhoto>,
}

impl Store {
    /// Takes a copy of a card with its photos, all from one moment.
    ///
    /// # Errors
    /// [`crate::StoreError::NotFound`]; [`crate::StoreError::Damaged`].
    pub fn export_job(&self, job: JobId) -> Result<JobBundle> {
        self.read(|tx| {
            let head = records::head(tx, Subject::Job(job))?;
            let record = records::record(tx, Subject::Job(job), head.revision)?;
            let mut bundled = Vec::new();
            for link in photos::links(tx, head.record)?.into_iter().filter(|link| link.shown) {
                let photo = photos::read(tx, link.photo)?;
                let photo = NewPhoto { bytes: photo.bytes, mime: photo.mime, caption: link.caption };
                bundled.push(BundledPhoto { id: link.photo, photo });
            }
            Ok(JobBundle { body: record.body, heading: record.heading, photos: bundled })
        })
    }

    /// Makes a new card of a bundle: all of it or nothing.
    ///
    /// # Errors
    /// [`crate::StoreError::NumberTaken`]: give the heading a free number and try again; errors of the photos as
    /// [`Store::add_photo`]. A photo whose bytes do not have the identity it came with is refused.
    pub fn import_job(&self, bundle: JobBundle, signed: Signed) -> Result<(JobId, Committed)> {
        for BundledPhoto { id, photo } in &bundle.photos {
            photos::validate(photo)?;
            if PhotoId::of(&photo.bytes) != *id {
                return Err(crate::StoreError::Invalid {
                    field: "a photo of the imported card",
                    got: PhotoId::of(&photo.bytes).to_string(),
                    need: "the content it was exported with (the file is damaged)",
                });
            }
        }
        self.write(move |tx| {
            let edit = Edit { body: bundle.body, heading: bundle.heading, what: Some("imported".to_owned()) };
            let (record, committed) = records::create(tx, "job", &edit, &signed)?;
            for BundledPhoto { id, photo } in &bundle.photos {
                photos::keep(tx, *id, photo, &signed)?;
                photos::link(tx, record, *id, &photo.caption, true, &signed)?;
            }
            Ok((JobId(record), committed))
        })
    }
}
