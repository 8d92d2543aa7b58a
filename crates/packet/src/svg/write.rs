//! Writing marks as SVG elements.

use std::fmt::Write as _;

use glam::DVec2;

use crate::drawing::{ArcForm, Bounds, Drawing, Horizontal, Layer, LineWidth, Mark, Polyline, Stroke, TextRun};
use crate::error::PacketError;
use crate::font::{self, Weight};

const DECIMALS: usize = 6;

/// How arcs and circles are written.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Curves {
    /// As SVG arcs and circles: exact.
    Arcs,
    /// As cubic Bézier curves of at most an eighth of a half turn, within 1e-7 of the radius. The typesetter's own
    /// conversion of arcs is good to a tenth of a unit only, too coarse for a template.
    Cubics,
}

/// Largest angle of one cubic.
const CUBIC_RAD: f64 = std::f64::consts::PI / 8.0;

/// Collects elements; maps paper millimetres (y up) to user units (y down).
pub struct Canvas {
    paper: Bounds,
    prefix: String,
    curves: Curves,
    views: usize,
    body: String,
}

impl Canvas {
    pub fn new(paper: Bounds, prefix: String, curves: Curves) -> Self {
        Self { paper, prefix, curves, views: 0, body: String::new() }
    }

    pub fn size_mm(&self) -> DVec2 {
        self.paper.size()
    }

    pub fn prefix(&self) -> &str {
        &self.prefix
    }

    pub fn body(&self) -> &str {
        &self.body
    }

    pub fn open_view(&mut self, window: Option<Bounds>) {
        self.views += 1;
        let id = format!("{}-view-{}", self.prefix, self.views);
        let Some(window) = window else {
            self.put(format_args!("<g class=\"view\" id=\"{id}\">\n"));
            return;
        };
        let corner = self.user(DVec2::new(window.low.x, window.high.y));
        let size = window.size();
        self.put(format_args!(
            "<clipPath id=\"{id}-window\"><rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/></clipPath>\n\
             <g class=\"view\" id=\"{id}\" clip-path=\"url(#{id}-window)\">\n",
            number(corner.x),
            number(corner.y),
            number(size.x),
            number(size.y)
        ));
    }

    pub fn close_view(&mut self) {
        self.body.push_str("</g>\n");
    }

    /// Writes what is drawn round the views; nothing is nothing wrong.
    pub fn dressing(&mut self, drawing: &Drawing) -> Result<(), PacketError> {
        self.open_view(None);
        let done = self.strokes(drawing, DVec2::ZERO);
        self.close_view();
        done
    }

    /// Writes all marks of a drawing whose origin lies at `origin` (paper mm).
    pub fn strokes(&mut self, drawing: &Drawing, origin: DVec2) -> Result<(), PacketError> {
        let strokes = drawing.strokes()?;
        let ratio = drawing.scale.ratio();
        let place = Place { origin, ratio };
        for same_layer in strokes.chunk_by(|a, b| a.layer == b.layer) {
            if let Some(first) = same_layer.first() {
                self.open_layer(drawing, first.layer);
                for stroke in same_layer {
                    self.stroke(stroke, place);
                }
                self.body.push_str("</g>\n");
            }
        }
        Ok(())
    }

    fn open_layer(&mut self, drawing: &Drawing, layer: Layer) {
        let width = drawing.width_group.width_mm(layer.line_width());
        let dashes: Vec<String> = layer.line_type().pattern().iter().map(|part| number(part * width)).collect();
        let dashes =
            if dashes.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{}\"", dashes.join(" ")) };
        let view = if self.views == 0 { String::new() } else { format!("-{}", self.views) };
        let id = format!("{}{view}-{}", self.prefix, layer.name());
        let weight = match layer.line_width() {
            LineWidth::Wide => "wide",
            LineWidth::Narrow => "narrow",
        };
        self.put(format_args!(
            "<g class=\"layer {} {weight}\" id=\"{id}\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"{}\"{dashes} \
             stroke-linejoin=\"round\">\n",
            layer.name(),
            number(width)
        ));
    }

    fn stroke(&mut self, stroke: &Stroke<'_>, place: Place) {
        let id = stroke.id.map(|id| format!(" data-id=\"{}\"", escape(id))).unwrap_or_default();
        match &stroke.mark {
            Mark::Path(path) => {
                let d = self.path(path, place);
                self.put(format_args!("<path d=\"{d}\"{id}/>\n"));
            }
            Mark::Arc(arc) => {
                let d = self.path(&crate::drawing::arc_path(arc), place);
                self.put(format_args!("<path d=\"{d}\"{id}/>\n"));
            }
            Mark::Circle { centre, radius_mm } if self.curves == Curves::Cubics => {
                let (centre, radius_mm) = (*centre, *radius_mm);
                let turn = ArcForm { centre, radius_mm, start_rad: 0.0, sweep_rad: std::f64::consts::TAU };
                let start = self.pair(place.paper(turn.point(0.0)));
                let curves = self.cubics(&turn, place);
                self.put(format_args!("<path d=\"M{start}{curves}Z\"{id}/>\n"));
            }
            Mark::Circle { centre, radius_mm } => {
                let (at, radius) = (self.user(place.paper(*centre)), radius_mm * place.ratio);
                let [x, y, r] = [at.x, at.y, radius].map(number);
                self.put(format_args!("<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\"{id}/>\n"));
            }
            Mark::Filled(points) => {
                let corners: Vec<String> = points.iter().map(|point| self.pair(place.paper(*point))).collect();
                self.put(format_args!(
                    "<polygon points=\"{}\" fill=\"currentColor\" stroke=\"none\"{id}/>\n",
                    corners.join(" ")
                ));
            }
            Mark::Text(run) => self.text(run, place, &id),
        }
    }

    fn path(&self, path: &Polyline, place: Place) -> String {
        let mut d = String::new();
        if let Some(first) = path.vertices.first() {
            let _ = write!(d, "M{}", self.pair(place.paper(first.at)));
        }
        let last_is_implied = path.closed && path.vertices.last().is_some_and(|vertex| vertex.bulge == 0.0);
        let steps = path.steps().count() - usize::from(last_is_implied && path.vertices.len() > 1);
        for step in path.steps().take(steps) {
            let to = self.pair(place.paper(step.to));
            let _ = match step.arc() {
                None => write!(d, "L{to}"),
                Some(arc) if self.curves == Curves::Cubics => d.write_str(&self.cubics(&arc, place)),
                Some(arc) => {
                    let radius = number(arc.radius_mm * place.ratio);
                    let large = u8::from(arc.sweep_rad.abs() > std::f64::consts::PI);
                    // y points down here: an anticlockwise arc on paper runs with sweep flag 0
                    let sweep = u8::from(arc.sweep_rad < 0.0);
                    write!(d, "A{radius} {radius} 0 {large} {sweep} {to}")
                }
            };
        }
        if path.closed {
            d.push('Z');
        }
        d
    }

    fn cubics(&self, arc: &ArcForm, place: Place) -> String {
        let pieces = (arc.sweep_rad.abs() / CUBIC_RAD).ceil().max(1.0);
        let piece_rad = arc.sweep_rad / pieces;
        let handle_mm = arc.radius_mm * 4.0 / 3.0 * (piece_rad / 4.0).tan();
        let mut d = String::new();
        for piece in 0..pieces as usize {
            let angle = |end: usize| arc.start_rad + piece_rad * (piece + end) as f64;
            let point = |end: usize| arc.centre + DVec2::from_angle(angle(end)) * arc.radius_mm;
            let tangent = |end: usize| DVec2::from_angle(angle(end)).perp() * handle_mm;
            let [a, b, to] =
                [point(0) + tangent(0), point(1) - tangent(1), point(1)].map(|p| self.pair(place.paper(p)));
            let _ = write!(d, "C{a} {b} {to}");
        }
        d
    }

    fn text(&mut self, run: &TextRun, place: Place, id: &str) {
        let at = self.user(place.paper(run.at));
        let anchor = match run.horizontal {
            Horizontal::Left => "",
            Horizontal::Middle => " text-anchor=\"middle\"",
            Horizontal::Right => " text-anchor=\"end\"",
        };
        let weight = if run.weight == Weight::Bold { " font-weight=\"700\"" } else { "" };
        let [x, y, size] = [at.x, at.y, font::font_size_mm(run.height_paper_mm)].map(number);
        let degrees = number(-run.angle_rad.to_degrees());
        let turn = if degrees == "0" { String::new() } else { format!(" transform=\"rotate({degrees} {x} {y})\"") };
        self.put(format_args!(
            "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\" font-family=\"{}\"{weight}{anchor}{turn} fill=\"currentColor\" \
             stroke=\"none\" font-kerning=\"none\" xml:space=\"preserve\"{id}>{}</text>\n",
            font::FALLBACK,
            escape(&run.content)
        ));
    }

    fn user(&self, paper: DVec2) -> DVec2 {
        DVec2::new(paper.x - self.paper.low.x, self.paper.high.y - paper.y)
    }

    fn pair(&self, paper: DVec2) -> String {
        let user = self.user(paper);
        format!("{} {}", number(user.x), number(user.y))
    }

    fn put(&mut self, text: std::fmt::Arguments<'_>) {
        // writing to a String cannot fail
        let _ = self.body.write_fmt(text);
    }
}

/// Real millimetres to paper millimetres.
#[derive(Clone, Copy)]
struct Place {
    origin: DVec2,
    ratio: f64,
}

impl Place {
    fn paper(self, real: DVec2) -> DVec2 {
        self.origin + real * self.ratio
    }
}

pub fn number(value: f64) -> String {
    crate::number::trimmed(value, DECIMALS)
}

/// Escapes text for element content and attribute values; control characters, which XML forbids, become spaces.
pub fn escape(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\'' => escaped.push_str("&#39;"),
            '\u{FFFE}' | '\u{FFFF}' => escaped.push(' '),
            control if control.is_control() => escaped.push(' '),
            other => escaped.push(other),
        }
    }
    escaped
}

/// Returns a name fit for an id: lower-case letters, digits and hyphens, starting with a letter.
pub fn slug(name: &str) -> String {
    let mapped: String =
        name.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' }).collect();
    let joined = mapped.split('-').filter(|part| !part.is_empty()).collect::<Vec<_>>().join("-");
    if joined.starts_with(|c: char| c.is_ascii_alphabetic()) { joined } else { format!("d-{joined}") }
}
