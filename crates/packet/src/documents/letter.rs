//! Letters: the reply to an enquiry on the telephone, and the courteous no. Their words come from the rooms below.

use super::block::{Block, words};
use super::desk::{Desk, PaperDraft};
use crate::error::PacketError;

/// Sets a letter: paragraphs parted by empty lines, lines of a paragraph that start with a dash as a list.
///
/// # Errors
/// As [`crate::pdf::typeset`].
pub fn letter(desk: &Desk<'_>, heading: &str, subject: &str, text: &str) -> Result<Vec<u8>, PacketError> {
    let mut paper = PaperDraft::default();
    let customer = &desk.job.customer;
    if !customer.name.is_empty() {
        paper.put(words(format!("{}\n{}", customer.name, customer.contact)));
    }
    paper.put(Block::Room { mm: 6.0 });
    for paragraph in text.split("\n\n").map(str::trim).filter(|paragraph| !paragraph.is_empty()) {
        let (items, lines): (Vec<&str>, Vec<&str>) =
            paragraph.lines().partition(|line| line.trim_start().starts_with(['-', '–', '•']));
        if !lines.is_empty() {
            paper.put(words(lines.join("\n")));
        }
        if !items.is_empty() {
            let items = items
                .iter()
                .map(|item| item.trim_start().trim_start_matches(['-', '–', '•']).trim().to_owned())
                .collect();
            paper.put(Block::List { items });
        }
    }
    desk.set(heading, subject, paper)
}
