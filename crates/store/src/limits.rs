//! Limits of what is accepted.

use crate::StoreError;
use crate::error::Result;

/// The largest accepted file: 50 MiB.
pub const FILE_LIMIT_BYTES: u64 = 50 * 1024 * 1024;

/// Refuses an empty text by the name of its field.
pub(crate) fn written(field: &'static str, text: &str) -> Result<()> {
    if text.trim().is_empty() {
        return Err(StoreError::Invalid { field, got: text.to_owned(), need: "a text that is not empty" });
    }
    Ok(())
}

/// Refuses a file beyond the limit.
pub(crate) fn file_size(what: &'static str, bytes: &[u8]) -> Result<()> {
    let size_bytes = bytes.len() as u64;
    if size_bytes > FILE_LIMIT_BYTES {
        return Err(StoreError::TooLarge { what, size_bytes, limit_bytes: FILE_LIMIT_BYTES });
    }
    Ok(())
}
