//! Style sheets, scripts and type faces, built into the program and served with an ETag.

use super::errors::WebError;
use crate::failure::Failure;
use axum::extract::Path;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use rust_embed::RustEmbed;
use std::borrow::Cow;

#[derive(RustEmbed)]
#[folder = "web/static/"]
struct Static;

/// Serves one file of `web/static` or one of the type faces.
pub async fn serve(Path(path): Path<String>, headers: HeaderMap) -> Result<Response, WebError> {
    let missing = || Failure::not_found(format!("there is no file {path:?} in this program"));
    let kind = media_type(&path).ok_or_else(missing)?;
    let (bytes, tag) = file(&path).ok_or_else(missing)?;
    let known = headers.get(header::IF_NONE_MATCH).and_then(|value| value.to_str().ok());
    let tags = [(header::ETAG, tag.clone()), (header::CACHE_CONTROL, "no-cache".to_owned())];
    if known == Some(tag.as_str()) {
        return Ok((StatusCode::NOT_MODIFIED, tags).into_response());
    }
    Ok((tags, [(header::CONTENT_TYPE, kind)], bytes.into_owned()).into_response())
}

fn file(path: &str) -> Option<(Cow<'static, [u8]>, String)> {
    let face = match path {
        "fonts/regular.woff2" => Some(packet::font::REGULAR_WOFF2),
        "fonts/bold.woff2" => Some(packet::font::BOLD_WOFF2),
        _ => None,
    };
    if let Some(bytes) = face {
        return Some((Cow::Borrowed(bytes), format!("\"{}\"", blake3::hash(bytes).to_hex())));
    }
    let file = Static::get(path)?;
    let hash: String = file.metadata.sha256_hash().iter().map(|byte| format!("{byte:02x}")).collect();
    Some((file.data, format!("\"{hash}\"")))
}

/// Media type of what is served; type declarations are for the checker only.
fn media_type(path: &str) -> Option<&'static str> {
    if path.ends_with(".d.ts") {
        return None;
    }
    match path.rsplit('.').next()? {
        "css" => Some("text/css; charset=utf-8"),
        "js" => Some("text/javascript; charset=utf-8"),
        "svg" => Some("image/svg+xml"),
        "woff2" => Some("font/woff2"),
        _ => None,
    }
}

/// The mark of the program: a sheet with one corner folded.
pub async fn icon() -> Response {
    const ICON: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 32 32\"><rect width=\"32\" height=\"32\" fill=\"#f6f2e8\"/>\
        <path d=\"M5 8h15l7 6v11H5z\" fill=\"none\" stroke=\"#1c2226\" stroke-width=\"2.4\"/><path d=\"M20 8v6h7\" fill=\"none\" stroke=\"#9b3215\" stroke-width=\"2.4\"/></svg>";
    ([(header::CONTENT_TYPE, "image/svg+xml"), (header::CACHE_CONTROL, "max-age=86400")], ICON).into_response()
}
