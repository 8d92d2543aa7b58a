//! Photos, kept once by content and byte for byte as they came (with whatever the camera wrote into them).
//!
//! A photo hangs on job cards and patterns by links with a caption. Links are only ever added: a new caption or taking
//! a photo off a card is a new link, so who said what stays known, and the photo itself stays for earlier revisions.
//! Whether the bytes are a picture and how many pixels it has is for the caller to check.

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, params};

use crate::error::Result;
use crate::limits::{file_size, written};
use crate::records::{self, Signed, Subject};
use crate::store::Store;
use crate::time::{from_us, to_us};
use crate::{PhotoId, StoreError};

/// A photo to be kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewPhoto {
    /// The file as it came.
    pub bytes: Vec<u8>,
    /// Its media type, e.g. `image/jpeg`.
    pub mime: String,
    /// What it shows; may be empty.
    pub caption: String,
}

/// A kept photo.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    /// Its media type.
    pub mime: String,
    /// The file as it came.
    pub bytes: Vec<u8>,
}

/// A photo on a card or pattern.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhotoLink {
    /// The photo.
    pub photo: PhotoId,
    /// Its media type.
    pub mime: String,
    /// Its size in bytes.
    pub size_bytes: u64,
    /// What it shows.
    pub caption: String,
    /// Whether it is on the card; false once it was taken off.
    pub shown: bool,
    /// When this was written.
    pub at: Timestamp,
    /// Who wrote it.
    pub who: String,
}

impl Store {
    /// Keeps a photo and hangs it on a card or pattern. The same file again is kept once; hung on the same card again
    /// it takes the new caption.
    ///
    /// # Errors
    /// [`StoreError::TooLarge`] beyond [`crate::FILE_LIMIT_BYTES`]; [`StoreError::Invalid`] for an empty file or a
    /// media type that is no image; [`StoreError::NotFound`].
    pub fn add_photo(&self, subject: impl Into<Subject>, photo: NewPhoto, signed: Signed) -> Result<PhotoId> {
        let subject = subject.into();
        validate(&photo)?;
        let id = PhotoId::of(&photo.bytes);
        self.write(move |tx| {
            let record = records::head(tx, subject)?.record;
            keep(tx, id, &photo, &signed)?;
            link(tx, record, id, &photo.caption, true, &signed)?;
            Ok(id)
        })
    }

    /// Gives a photo on a card a new caption.
    ///
    /// # Errors
    /// [`StoreError::NotFound`] when the photo never was on this card.
    pub fn caption_photo(
        &self,
        subject: impl Into<Subject>,
        photo: PhotoId,
        caption: &str,
        signed: Signed,
    ) -> Result<()> {
        let caption = caption.to_owned();
        self.change_link(subject.into(), photo, signed, move |old| (caption, old.shown))
    }

    /// Takes a photo off a card, or puts it back on. The photo itself stays in the store.
    ///
    /// # Errors
    /// [`StoreError::NotFound`] when the photo never was on this card.
    pub fn show_photo(&self, subject: impl Into<Subject>, photo: PhotoId, shown: bool, signed: Signed) -> Result<()> {
        self.change_link(subject.into(), photo, signed, move |old| (old.caption, shown))
    }

    /// Lists the photos on a card or pattern, in the order in which they were first added.
    ///
    /// # Errors
    /// [`StoreError::NotFound`].
    pub fn photos(&self, subject: impl Into<Subject>) -> Result<Vec<PhotoLink>> {
        let subject = subject.into();
        self.read(|tx| {
            let record = records::head(tx, subject)?.record;
            let mut links = links(tx, record)?;
            links.retain(|link| link.shown);
            Ok(links)
        })
    }

    /// Reads a photo, proving by its hash that it is as it came.
    ///
    /// # Errors
    /// [`StoreError::NotFound`]; [`StoreError::Damaged`].
    pub fn photo(&self, id: PhotoId) -> Result<Photo> {
        self.read(|tx| read(tx, id))
    }

    fn change_link(
        &self,
        subject: Subject,
        photo: PhotoId,
        signed: Signed,
        change: impl FnOnce(PhotoLink) -> (String, bool) + Send + 'static,
    ) -> Result<()> {
        self.write(move |tx| {
            let record = records::head(tx, subject)?.record;
            let old = links(tx, record)?
                .into_iter()
                .find(|link| link.photo == photo)
                .ok_or_else(|| StoreError::NotFound { what: format!("photo {photo} on the {subject}") })?;
            let (caption, shown) = change(old);
            link(tx, record, photo, &caption, shown, &signed)
        })
    }
}

pub(crate) fn validate(photo: &NewPhoto) -> Result<()> {
    file_size("the photo", &photo.bytes)?;
    if photo.bytes.is_empty() {
        return Err(StoreError::Invalid {
            field: "the photo",
            got: "an empty file".to_owned(),
            need: "a file with a picture in it",
        });
    }
    let subtype = photo.mime.strip_prefix("image/").unwrap_or_default();
    if subtype.is_empty() || !subtype.bytes().all(|b| b.is_ascii_alphanumeric() || b"+-.".contains(&b)) {
        return Err(StoreError::Invalid {
            field: "the photo's media type",
            got: photo.mime.chars().take(80).collect(),
            need: "an image type, e.g. image/jpeg",
        });
    }
    Ok(())
}

pub(crate) fn keep(tx: &Connection, id: PhotoId, photo: &NewPhoto, signed: &Signed) -> Result<()> {
    tx.prepare_cached(
        "INSERT INTO photo (hash, mime, added_us, bytes) VALUES (?1, ?2, ?3, ?4) ON CONFLICT DO NOTHING",
    )?
    .execute(params![id, photo.mime, to_us(signed.at), photo.bytes])?;
    Ok(())
}

pub(crate) fn link(
    tx: &Connection,
    record: i64,
    photo: PhotoId,
    caption: &str,
    shown: bool,
    signed: &Signed,
) -> Result<()> {
    written("who", &signed.who)?;
    tx.prepare_cached(
        "INSERT INTO photo_link (record, photo, caption, shown, at_us, who) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
    )?
    .execute(params![record, photo, caption, shown, to_us(signed.at), signed.who])?;
    Ok(())
}

/// The standing link of every photo that ever was on the record, also of those taken off.
pub(crate) fn links(tx: &Connection, record: i64) -> Result<Vec<PhotoLink>> {
    let mut query = tx.prepare_cached(
        "SELECT l.photo, p.mime, length(p.bytes), l.caption, l.shown, l.at_us, l.who
         FROM (SELECT min(id) AS first, max(id) AS last FROM photo_link WHERE record = ?1 GROUP BY photo) AS span
         JOIN photo_link AS l ON l.id = span.last
         JOIN photo AS p ON p.hash = l.photo
         ORDER BY span.first",
    )?;
    let mut rows = query.query([record])?;
    let mut links = Vec::new();
    while let Some(row) = rows.next()? {
        links.push(PhotoLink {
            photo: row.get(0)?,
            mime: row.get(1)?,
            size_bytes: row.get(2)?,
            caption: row.get(3)?,
            shown: row.get(4)?,
            at: from_us(row.get(5)?)?,
            who: row.get(6)?,
        });
    }
    Ok(links)
}

pub(crate) fn read(tx: &Connection, id: PhotoId) -> Result<Photo> {
    let photo = tx
        .prepare_cached("SELECT mime, bytes FROM photo WHERE hash = ?1")?
        .query_row([id], |row| Ok(Photo { mime: row.get(0)?, bytes: row.get(1)? }))
        .optional()?
        .ok_or_else(|| StoreError::NotFound { what: format!("photo {id}") })?;
    if PhotoId::of(&photo.bytes) != id {
        return Err(StoreError::damaged(format!("photo {id} is no longer as it came")));
    }
    Ok(photo)
}
