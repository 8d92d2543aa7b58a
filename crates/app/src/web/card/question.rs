//! One of the nine questions: drawing, inputs, answer, concerns, and the figures behind them.

use super::fields::{Field, FieldGroup, Kind, grouped};
use super::view::ConcernView;
use crate::web::figures::{Figure, Table, escape};
use askama::Template;

/// Stands for the revision, so that parts are the same text as long as nothing but the revision has changed.
pub const BASE: &str = "@revision@";

/// A picture with its caption.
#[derive(Debug, Clone)]
pub struct Picture {
    /// SVG text.
    pub svg: String,
    /// Caption.
    pub caption: String,
    /// Where the shape in space can be had.
    pub shape: Option<String>,
    /// A sign rather than a drawing to read off.
    pub small: bool,
}

/// A drawing no wider than this can be read across a phone without sliding it: capitals of 2.5 mm are then about 6 px high.
const NARROW_MM: f64 = 150.0;

impl Picture {
    /// Goes across a phone as a whole.
    pub fn is_narrow(&self) -> bool {
        let box_ = self.svg.split_once("viewBox=\"").and_then(|(_, rest)| rest.split_once('"'));
        let width = box_.and_then(|(own, _)| own.split_whitespace().nth(2)?.parse::<f64>().ok());
        width.is_some_and(|width_mm| width_mm <= NARROW_MM)
    }
}

/// A question before it is written out.
#[derive(Debug, Clone, Default)]
pub struct Question {
    /// 1 to 9.
    pub number: usize,
    /// As design.md names it.
    pub title: &'static str,
    /// Drawing first.
    pub pictures: Vec<Picture>,
    /// HTML before the pictures (photos).
    pub before: String,
    /// The few inputs.
    pub fields: Vec<Field>,
    /// In one sentence.
    pub answer: String,
    /// The same in a word or two, for the strip.
    pub short: String,
    /// What to know.
    pub concerns: Vec<ConcernView>,
    /// HTML right behind the answer and its concerns.
    pub advice: String,
    /// Tables behind the answer.
    pub tables: Vec<Table>,
    /// Figures with their working.
    pub figures: Vec<Figure>,
    /// HTML behind everything.
    pub extra: String,
    /// "stale" with its reason, when what left the shop is older than the card.
    pub stale: String,
}

/// A question written out, part by part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// 1 to 9.
    pub number: usize,
    /// Title.
    pub title: &'static str,
    /// Parts as HTML.
    pub drawing: String,
    /// Inputs.
    pub fields: String,
    /// Answer.
    pub answer: String,
    /// Concerns.
    pub concerns: String,
    /// Tables and figures.
    pub more: String,
}

#[derive(Template)]
#[template(path = "parts/drawing.html")]
struct DrawingPart<'a> {
    figures: &'a [Picture],
}

#[derive(Template)]
#[template(path = "parts/fields.html")]
struct FieldsPart<'a> {
    base: &'a str,
    groups: Vec<FieldGroup<'a>>,
}

#[derive(Template)]
#[template(path = "parts/concerns.html")]
struct ConcernsPart<'a> {
    concerns: &'a [ConcernView],
}

#[derive(Template)]
#[template(path = "parts/more.html")]
struct MorePart<'a> {
    advice: &'a str,
    tables: &'a [Table],
    figures: &'a [Figure],
    extra: &'a str,
}

/// A drawing with its caption; words in its place when it cannot be drawn.
pub fn drawing_html(drawing: &packet::Drawing, caption: String) -> String {
    const MARGIN_MM: f64 = 3.0;
    let rendered = packet::svg::drawing(drawing, MARGIN_MM).map_err(|error| error.to_string()).and_then(|svg| {
        // inside a page it is no document of its own
        let svg = svg.split_once("<svg").map_or_else(|| svg.clone(), |(_, rest)| format!("<svg{rest}"));
        let picture = Picture { svg, caption: caption.clone(), shape: None, small: false };
        DrawingPart { figures: &[picture] }.render().map_err(|error| error.to_string())
    });
    rendered.unwrap_or_else(|why| format!("<p role=\"alert\">{}: not drawn: {}</p>", escape(&caption), escape(&why)))
}

impl Question {
    /// Writes the question out; [`BASE`] stands where the page puts the revision that the inputs change.
    pub fn write(&self) -> Written {
        let render = |result: askama::Result<String>| result.unwrap_or_else(|error| escape(&error.to_string()));
        Written {
            number: self.number,
            title: self.title,
            drawing: format!("{}{}", self.before, render(DrawingPart { figures: &self.pictures }.render())),
            fields: render(FieldsPart { base: BASE, groups: grouped(&self.fields) }.render()),
            answer: escape(&self.answer),
            concerns: render(ConcernsPart { concerns: &self.concerns }.render()),
            more: render(
                MorePart { advice: &self.advice, tables: &self.tables, figures: &self.figures, extra: &self.extra }
                    .render(),
            ),
        }
    }
}
