//! Photos on a card: dropped, kept as they came, shown small.

use super::guard::Who;
use super::{App, WebError};
use crate::failure::Failure;
use crate::photo;
use crate::shop_data::signed;
use axum::extract::multipart::Multipart;
use axum::extract::{Extension, Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Redirect, Response};
use job::file::PhotoNote;
use std::sync::Arc;
use store::{JobId, NewPhoto, PhotoId};

/// Longer side of a small photo, pixels.
const SMALL: u32 = 640;

/// A form with files: its texts and its photos, checked.
#[derive(Debug, Default)]
pub struct Filled {
    /// Texts by name, in order.
    pub texts: Vec<(String, String)>,
    /// Photos with the names of their files.
    pub photos: Vec<NewPhoto>,
}

impl Filled {
    /// Reads a form. A photo that is not accepted refuses the whole form.
    ///
    /// # Errors
    /// As [`photo::check`]; a form that cannot be read.
    pub async fn read(mut form: Multipart) -> Result<Self, Failure> {
        let unread = |error: axum::extract::multipart::MultipartError| match error.status() {
            axum::http::StatusCode::PAYLOAD_TOO_LARGE => Failure::new(
                crate::failure::Kind::TooLarge,
                "the photos together are larger than 600 MiB; send fewer at a time, each of at most 50 MiB",
            ),
            _ => Failure::bad_input(format!("the form could not be read: {}", error.body_text())),
        };
        let mut filled = Self::default();
        while let Some(part) = form.next_field().await.map_err(unread)? {
            let name = part.name().unwrap_or_default().to_owned();
            match part.file_name().map(str::to_owned) {
                Some(file) => {
                    let bytes = part.bytes().await.map_err(unread)?;
                    if !bytes.is_empty() {
                        filled.photos.push(checked(&file, bytes.to_vec())?);
                    }
                }
                None => filled.texts.push((name, part.text().await.map_err(unread)?)),
            }
        }
        Ok(filled)
    }

    /// The first text of a name.
    pub fn text(&self, name: &str) -> &str {
        self.texts.iter().find(|(own, _)| own == name).map(|(_, text)| text.as_str()).unwrap_or_default()
    }
}

fn checked(file: &str, bytes: Vec<u8>) -> Result<NewPhoto, Failure> {
    let header = photo::check(file, &bytes)?;
    let stem = file.rsplit_once('.').map_or(file, |(stem, _)| stem);
    let mirrored = if header.mirrored { " (mirrored by the camera: check the hand)" } else { "" };
    Ok(NewPhoto { bytes, mime: header.mime.to_owned(), caption: format!("{stem}{mirrored}") })
}

/// Keeps photos in the store and notes them on the job.
///
/// # Errors
/// As the store.
pub fn keep(app: &Arc<App>, id: JobId, photos: Vec<NewPhoto>, who: &str) -> Result<(), Failure> {
    if photos.is_empty() {
        return Ok(());
    }
    let card = app.data.card(id)?;
    let mut job = card.job;
    for photo in photos {
        let caption = photo.caption.clone();
        let hash = app.data.store.add_photo(id, photo, signed(who))?.to_string();
        if !job.photos.iter().any(|own| own.hash == hash) {
            job.photos.push(PhotoNote { hash, caption });
        }
    }
    app.data.commit(id, card.revision.id, &job, card.waits, who).map(drop)
}

/// Adds photos to a card.
pub async fn add(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    form: Multipart,
) -> Result<Response, WebError> {
    let filled = Filled::read(form).await?;
    if filled.photos.is_empty() {
        return Err(WebError(
            Failure::bad_input("no photo was chosen").hint("drop at least one JPEG, PNG or WebP picture"),
        ));
    }
    let section = filled.text("section").to_owned();
    app.work(move |app| keep(app, JobId(id), filled.photos, &who.0)).await?;
    let back = if section.is_empty() { format!("/card/{id}") } else { format!("/card/{id}/section/{section}") };
    Ok(Redirect::to(&back).into_response())
}

/// A small, upright version.
pub async fn small(State(app): State<Arc<App>>, Path(name): Path<String>) -> Result<Response, WebError> {
    let jpeg = app.work(move |app| {
        let id: PhotoId = name.parse()?;
        let kept = app.data.store.folder().cache().join(format!("photo-{id}-{SMALL}.jpg"));
        if let Ok(bytes) = std::fs::read(&kept) {
            return Ok(bytes);
        }
        let bytes = photo::small(&app.data.store.photo(id)?.bytes, SMALL)?;
        // A cache that cannot be written costs time and nothing else.
        let _ = std::fs::write(&kept, &bytes);
        Ok(bytes)
    });
    Ok(([(header::CONTENT_TYPE, "image/jpeg"), (header::CACHE_CONTROL, "max-age=31536000, immutable")], jpeg.await?)
        .into_response())
}

/// The file as it came.
pub async fn whole(State(app): State<Arc<App>>, Path(name): Path<String>) -> Result<Response, WebError> {
    let photo = app.work(move |app| Ok(app.data.store.photo(name.parse()?)?)).await?;
    Ok(([(header::CONTENT_TYPE, photo.mime)], photo.bytes).into_response())
}
