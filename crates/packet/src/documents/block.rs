//! What a paper consists of: blocks in order, set by one template (`assets/typ/paper.typ`). Words are data, never markup.

use handbook::{Concern, Grade, LiftedBy};
use serde::Serialize;

/// One block of a paper.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "block", rename_all = "snake_case")]
pub enum Block {
    /// A heading of level 1 or 2.
    Heading {
        /// Level.
        level: u8,
        /// Words.
        text: String,
    },
    /// A paragraph.
    Words {
        /// Words.
        text: String,
    },
    /// A paragraph in bold.
    Strong {
        /// Words.
        text: String,
    },
    /// A paragraph in small print.
    Small {
        /// Words.
        text: String,
    },
    /// What must not be missed, in a heavy frame.
    Banner {
        /// First line, large.
        title: String,
        /// Further lines.
        lines: Vec<String>,
    },
    /// A list.
    List {
        /// Its items.
        items: Vec<String>,
    },
    /// A list with boxes to tick.
    Ticks {
        /// Its items.
        items: Vec<String>,
    },
    /// A table.
    Table {
        /// Titles of the columns.
        head: Vec<String>,
        /// Rows.
        rows: Vec<Vec<String>>,
        /// Share of the width of each column; 0 is as wide as its words.
        shares: Vec<f64>,
        /// Columns set to the right.
        right: Vec<usize>,
        /// Rows in bold.
        strong: Vec<usize>,
    },
    /// A picture no higher than so much.
    Picture {
        /// Name of the picture.
        name: String,
        /// Words below; may be empty.
        caption: String,
        /// Most height, mm.
        height_mm: f64,
    },
    /// A drawing at its exact size.
    Exact {
        /// Name of the picture.
        name: String,
    },
    /// A concern.
    Concern {
        /// note, caution or stop.
        grade: &'static str,
        /// Place and what.
        what: String,
        /// Why.
        why: String,
        /// What to do, and who may lift it.
        action: String,
    },
    /// A step of the fitting sheet.
    Step {
        /// Number.
        number: usize,
        /// Headline.
        title: String,
        /// Does it cut the vehicle?
        cuts: bool,
        /// Sentences.
        text: Vec<String>,
        /// Names and figures.
        figures: Vec<[String; 2]>,
        /// Cautions.
        cautions: Vec<String>,
        /// Names of its pictures.
        pictures: Vec<String>,
    },
    /// A measurement to fill in.
    Blanks {
        /// Letter by which it is named.
        letter: String,
        /// What it is called.
        title: String,
        /// Does it only check?
        check: bool,
        /// Where the tape goes.
        how: String,
        /// Name of its picture.
        picture: Option<String>,
        /// Number of readings.
        readings: u32,
        /// Unit printed in the box.
        unit: String,
        /// What is usual.
        usual: String,
    },
    /// Bars of 100 mm and 4 in.
    CheckBars,
    /// A new page.
    NewPage,
    /// White space.
    Room {
        /// How much, mm.
        mm: f64,
    },
}

/// A heading.
pub fn heading(level: u8, text: impl Into<String>) -> Block {
    Block::Heading { level, text: text.into() }
}

/// A paragraph.
pub fn words(text: impl Into<String>) -> Block {
    Block::Words { text: text.into() }
}

/// A bold paragraph.
pub fn strong(text: impl Into<String>) -> Block {
    Block::Strong { text: text.into() }
}

/// A table with its columns given as (title, share, set to the right).
pub fn table(columns: &[(&str, f64, bool)], rows: Vec<Vec<String>>) -> Block {
    Block::Table {
        head: columns.iter().map(|(title, ..)| (*title).to_owned()).collect(),
        rows,
        shares: columns.iter().map(|(_, share, _)| *share).collect(),
        right: columns.iter().enumerate().filter(|(_, (.., right))| *right).map(|(index, _)| index).collect(),
        strong: Vec::new(),
    }
}

/// A concern with the person who may lift a stop.
pub fn concern(concern: &Concern) -> Block {
    let grade = match concern.grade {
        Grade::Note => "note",
        Grade::Caution => "caution",
        Grade::Stop => "stop",
    };
    let lifted = match (concern.grade, concern.lifted_by) {
        (Grade::Stop, Some(LiftedBy::CompetentPerson)) => {
            " Only a competent person may lift this stop: name, trade, date and reason are written down."
        }
        (Grade::Stop, _) => " The shop may lift this stop, by name.",
        _ => "",
    };
    let place = if concern.place.is_empty() { String::new() } else { format!("{}: ", concern.place) };
    Block::Concern {
        grade,
        what: format!("{place}{}", concern.what),
        why: concern.why.clone(),
        action: format!("{}{lifted}", concern.what_to_do),
    }
}
