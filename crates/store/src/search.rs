//! Full text search over job cards and patterns: headings and every written word of the current content.

use rusqlite::Connection;

use crate::error::Result;
use crate::records::{Listed, listed_row};
use crate::store::Store;
use crate::{JobId, PatternId};

impl Store {
    /// Finds job cards that contain every word of `text`, best first; the start of a word is enough, case and accents
    /// do not count. A text without a word finds nothing.
    ///
    /// # Errors
    /// What the database says.
    pub fn find_jobs(&self, text: &str, limit: u32) -> Result<Vec<Listed<JobId>>> {
        self.read(|tx| find(tx, "job", text, limit, JobId))
    }

    /// Finds patterns, as [`Store::find_jobs`] does.
    ///
    /// # Errors
    /// What the database says.
    pub fn find_patterns(&self, text: &str, limit: u32) -> Result<Vec<Listed<PatternId>>> {
        self.read(|tx| find(tx, "pattern", text, limit, PatternId))
    }
}

/// Writes the search text of a record anew.
pub(crate) fn index(tx: &Connection, record: i64) -> Result<()> {
    tx.prepare_cached("DELETE FROM record_search WHERE rowid = ?1")?.execute([record])?;
    tx.prepare_cached(
        "INSERT INTO record_search (rowid, number, title, customer, vehicle, words)
         SELECT r.id, r.number, r.title, r.customer, r.vehicle,
                coalesce((SELECT group_concat(t.atom, ' ') FROM json_tree(b.json) AS t WHERE t.type = 'text'), '')
         FROM record AS r
         JOIN revision AS v ON v.id = r.head
         JOIN body AS b ON b.hash = v.body
         WHERE r.id = ?1 AND r.kind <> 'shop'",
    )?
    .execute([record])?;
    Ok(())
}

fn find<Id>(tx: &Connection, kind: &str, text: &str, limit: u32, id: fn(i64) -> Id) -> Result<Vec<Listed<Id>>> {
    let query = query_text(text);
    if query.is_empty() {
        return Ok(Vec::new());
    }
    let mut statement = tx.prepare_cached(
        "SELECT r.id, r.number, r.title, r.customer, r.vehicle, r.waiting_for, r.head, r.created_us, r.updated_us
         FROM record_search AS s JOIN record AS r ON r.id = s.rowid
         WHERE record_search MATCH ?1 AND r.kind = ?2
         ORDER BY s.rank, r.updated_us DESC LIMIT ?3",
    )?;
    let mut rows = statement.query(rusqlite::params![query, kind, limit])?;
    let mut found = Vec::new();
    while let Some(row) = rows.next()? {
        found.push(listed_row(row, id)?);
    }
    Ok(found)
}

/// Quotes each word, so that nothing a person types is taken for search syntax.
fn query_text(text: &str) -> String {
    let words = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.map(|word| format!("\"{word}\"*")).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_typed_is_never_search_syntax() {
        assert_eq!(query_text(r#" step-well  "OR NOT( "#), r#""step"* "well"* "OR"* "NOT"*"#);
        assert_eq!(query_text("--*\"'"), "");
    }
}
