//! Figures with their working, and tables of them, as pieces of a page.

use askama::Template;
use handbook::{Source, SourceKind, Working};

/// A figure whose working opens by one click.
#[derive(Debug, Clone)]
pub struct Figure {
    /// What is seen before the click.
    pub summary: String,
    /// The trail.
    pub working: Working,
}

#[derive(Template)]
#[template(path = "parts/working.html")]
struct WorkingPart<'a> {
    summary: &'a str,
    working: &'a Working,
    value: String,
    reach: Option<String>,
    inputs: Vec<(String, String, String)>,
    source: String,
}

impl Figure {
    /// A figure summed up as "name: value unit ± reach".
    pub fn named(working: &Working) -> Self {
        let reach = working.reach.map(|reach| format!(" ± {}", number(reach, &working.unit))).unwrap_or_default();
        let summary =
            format!("{}: {}{reach}{}", working.name, number(working.value, &working.unit), unit_behind(&working.unit));
        Self { summary, working: working.clone() }
    }

    /// A figure seen as a text of its own.
    pub fn shown(summary: impl Into<String>, working: &Working) -> Self {
        Self { summary: summary.into(), working: working.clone() }
    }

    /// As HTML.
    pub fn html(&self) -> String {
        let inputs = self.working.inputs.iter().map(|given| {
            let value = format!("{}{}", number(given.value, &given.unit), unit_behind(&given.unit));
            (given.symbol.to_string(), given.name.to_string(), value)
        });
        let part = WorkingPart {
            summary: &self.summary,
            working: &self.working,
            value: number(self.working.value, &self.working.unit),
            reach: self.working.reach.map(|reach| number(reach, &self.working.unit)),
            inputs: inputs.collect(),
            source: source_words(&self.working.source),
        };
        part.render().unwrap_or_default()
    }
}

/// A cell of a table: words, a number, or a figure with its working.
#[derive(Debug, Clone)]
pub struct Cell {
    text: String,
    figure: Option<Figure>,
    /// Set to the right.
    pub number: bool,
}

impl Cell {
    /// Words.
    pub fn words(text: impl Into<String>) -> Self {
        Self { text: text.into(), figure: None, number: false }
    }

    /// A number without working of its own.
    pub fn number(text: impl Into<String>) -> Self {
        Self { text: text.into(), figure: None, number: true }
    }

    /// A figure with its working.
    pub fn figure(text: impl Into<String>, working: &Working) -> Self {
        Self { text: String::new(), figure: Some(Figure::shown(text, working)), number: true }
    }

    /// As HTML.
    pub fn html(&self) -> String {
        self.figure.as_ref().map_or_else(|| escape(&self.text), Figure::html)
    }
}

/// A table with its caption.
#[derive(Debug, Clone)]
pub struct Table {
    /// Caption.
    pub caption: String,
    /// Heads of the columns.
    pub head: Vec<&'static str>,
    /// Rows.
    pub rows: Vec<Vec<Cell>>,
}

#[derive(Template)]
#[template(path = "parts/table.html")]
struct TablePart<'a> {
    table: &'a Table,
}

/// What is looked up and not read through: its heading, and the rest by one click.
pub fn fold(heading: &str, open: bool, inside: &str) -> String {
    let open = if open { " open" } else { "" };
    format!("<details class=\"fold\"{open}><summary>{}</summary><div>{inside}</div></details>", escape(heading))
}

impl Table {
    /// As HTML.
    pub fn html(&self) -> String {
        TablePart { table: self }.render().unwrap_or_else(|error| escape(&error.to_string()))
    }

    /// Whether its rows are stacked on a phone: many columns, or four whose words are too long to stand side by side.
    pub fn stacks(&self) -> bool {
        /// Letters that stand side by side at 390 px.
        const SIDE_BY_SIDE: usize = 36;
        let longest = |column: usize| {
            let cells = self.rows.iter().filter_map(|row| row.get(column));
            let letters = cells.map(|cell| cell.text.chars().count());
            letters.chain(self.head.get(column).map(|head| head.chars().count())).max().unwrap_or(0)
        };
        let letters: usize = (0..self.head.len()).map(longest).sum();
        self.head.len() > 4 || (self.head.len() == 4 && letters > SIDE_BY_SIDE)
    }

    /// Head of a column.
    pub fn head_of(&self, column: &usize) -> &'static str {
        self.head.get(*column).copied().unwrap_or_default()
    }

    /// Whether a column holds numbers.
    pub fn is_number(&self, column: &usize) -> bool {
        self.rows.first().and_then(|row| row.get(*column)).is_some_and(|cell| cell.number)
    }
}

/// Writes a value with as many decimals as its unit deserves.
pub fn number(value: f64, unit: &str) -> String {
    let decimals = match unit {
        "mm" | "%" => 2,
        "°" | "min" | "h" => 1,
        "rad" => 4,
        "mm²" => 0,
        _ if value.abs() >= 100.0 => 1,
        _ => 4,
    };
    let mut text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" { "0".to_owned() } else { text }
}

fn unit_behind(unit: &str) -> String {
    match unit {
        "" | "°" => unit.to_owned(),
        unit => format!(" {unit}"),
    }
}

fn source_words(source: &Source) -> String {
    let kind = match source.kind {
        SourceKind::Standard => "standard",
        SourceKind::Text => "published text",
        SourceKind::Geometry => "geometry",
        SourceKind::CommonPractice => "rule of the trade",
        SourceKind::ShopSetting => "set by the shop",
        SourceKind::Measured => "measured",
    };
    let id = if source.id.is_empty() { String::new() } else { format!(" (handbook {})", source.id) };
    if source.text == kind { format!("{kind}{id}") } else { format!("{kind}: {}{id}", source.text) }
}

/// Escapes a text for HTML.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_shows_formula_inputs_source_and_reach() {
        let working = Working::new("height <of cut>", 57.0, "mm", "d + 25", Source::common_practice("H1"))
            .with("d", "proven depth", 32.0, "mm")
            .reach(1.0);
        let html = Figure::named(&working).html();
        for part in [
            "height &#60;of cut&#62;: 57 ± 1 mm",
            "d + 25",
            "proven depth",
            "32 mm",
            "handbook H1",
            "common practice, no source",
        ] {
            assert!(html.contains(part), "{part} is missing in {html}");
        }
    }

    #[test]
    fn numbers_carry_the_decimals_of_their_unit() {
        assert_eq!(number(38.0, "mm"), "38");
        assert_eq!(number(38.126, "mm"), "38.13");
        assert_eq!(number(-0.0001, "mm"), "0");
        assert_eq!(number(0.44691, ""), "0.4469");
    }
}
