//! Papers that are wrapped round a tube, printed face out, to mark a cut: on the old tube, or on a bought one.
//!
//! Model: the middle of the paper lies at the outside radius plus half its thickness, so the girth on paper is `π·(D + p)`. A cut edge
//! stands at one station through the whole wall, so the line of the flat holds on the outside as well, only wider.
//! Frame: x along the tube as in its flat, y round it so that the printed face is out; the lower left corner of the paper at 0. Angles
//! therefore run down the paper, up it for the other hand.

use crate::BlankError;
use glam::DVec2;
use section::tube::{Cover, Tube, TubeCut, outline};
use serde::{Deserialize, Serialize};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Choices for wrapped papers.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct WrapSettings {
    /// Paper.
    pub paper_mm: f64,
    /// Tongue that goes under the other edge.
    pub tongue_mm: f64,
    /// Paper beyond the lines, along the tube.
    pub border_mm: f64,
    /// Largest distance of a chord from its curve.
    pub chord_mm: f64,
}

impl Default for WrapSettings {
    /// Office paper of 0.1 mm (common practice, no source).
    fn default() -> Self {
        Self { paper_mm: 0.1, tongue_mm: 15.0, border_mm: 22.0, chord_mm: 0.02 }
    }
}

/// A paper that goes round a tube once.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WrapTemplate {
    /// "mitre at the head".
    pub name: String,
    /// Outside diameter of the tube it goes round.
    pub diameter_mm: f64,
    /// Once round on paper.
    pub girth_mm: f64,
    /// Size of the paper: along the tube and round it, tongue included.
    pub size_mm: DVec2,
    /// What lies to the left and to the right of its line; empty on a paper whose lines have words of their own.
    pub sides: [String; 2],
    /// Which way the tube runs to the right: "towards the head".
    pub runs: String,
    /// What is drawn on it.
    pub lines: Vec<WrapLine>,
    /// How it is put on, in sentences.
    pub notes: Vec<String>,
}

/// What a line of a wrapped paper shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum WrapLineKind {
    /// Cut here.
    Cut,
    /// Edge of the new piece: scribe, do not cut.
    PieceEdge,
    /// A quarter of the girth.
    Quarter,
    /// Where the paper meets itself.
    Meets,
}

/// A line on a wrapped paper.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WrapLine {
    /// What it shows.
    pub kind: WrapLineKind,
    /// The line.
    pub points_mm: Vec<DVec2>,
    /// True for a closed outline, first point not repeated.
    pub closed: bool,
    /// Words beside it.
    pub label: String,
}

/// Where the lines of one paper lie.
struct Paper<'a> {
    tube: &'a Tube,
    /// Radius of the middle of the paper.
    radius_mm: f64,
    /// Angle at which the paper meets itself.
    meets_rad: f64,
    /// Station of the paper's left edge.
    left_mm: f64,
    length_mm: f64,
    settings: &'a WrapSettings,
}

impl Paper<'_> {
    fn girth_mm(&self) -> f64 {
        TAU * self.radius_mm
    }

    /// A point of the paper; `turned_rad` counts on from where it meets itself.
    fn place(&self, station_mm: f64, turned_rad: f64) -> DVec2 {
        let along = turned_rad * self.radius_mm;
        let y = if self.tube.mirrored { along } else { self.girth_mm() - along };
        DVec2::new(station_mm - self.left_mm, y)
    }

    fn turned(&self, angle_rad: f64) -> f64 {
        (angle_rad - self.meets_rad).rem_euclid(TAU)
    }

    /// Curve right round, from where the paper meets itself.
    fn round(&self, station: impl Fn(f64) -> f64, breaks_at_rad: f64) -> Vec<DVec2> {
        let at = |turned: f64| self.place(station(self.meets_rad + turned), turned);
        let mut breaks: Vec<f64> = (0..4).map(|k| self.turned(breaks_at_rad + f64::from(k) * FRAC_PI_2)).collect();
        breaks.extend([0.0, TAU]);
        breaks.sort_by(f64::total_cmp);
        breaks.dedup_by(|b, a| *b - *a < 1e-9);
        let mut out = vec![at(0.0)];
        for pair in breaks.windows(2) {
            if let [a, b] = pair {
                refine(*a, *b, &at, self.settings.chord_mm, 0, &mut out);
            }
        }
        out
    }

    fn finish(
        self,
        name: String,
        diameter_mm: f64,
        sides: [String; 2],
        mut lines: Vec<WrapLine>,
        mut notes: Vec<String>,
    ) -> WrapTemplate {
        let quarters = (0..4).map(|quarter| {
            let turned = self.turned(f64::from(quarter) * FRAC_PI_2);
            let label = if quarter == 0 { "zero line, 0°".to_owned() } else { format!("{}°", 90 * quarter) };
            let points_mm = [0.0, self.length_mm].map(|x| self.place(self.left_mm + x, turned)).to_vec();
            WrapLine { kind: WrapLineKind::Quarter, points_mm, closed: false, label }
        });
        lines.extend(quarters);
        let girth = self.girth_mm();
        lines.push(WrapLine {
            kind: WrapLineKind::Meets,
            points_mm: vec![DVec2::new(0.0, girth), DVec2::new(self.length_mm, girth)],
            closed: false,
            label: "the other edge lies on this line".into(),
        });
        notes.insert(0, format!("Printed face out, round a tube of {diameter_mm:.1} mm outside; the lower edge meets the line below the tongue."));
        notes.push(format!(
            "Angles run {} seen from the {} looking along the tube.",
            self.tube.turns(),
            self.tube.ends.first().map_or("start", |end| end.name.as_str())
        ));
        let size_mm = DVec2::new(self.length_mm, girth + self.settings.tongue_mm);
        let runs = format!("towards the {}", self.tube.ends.last().map_or("far end", |end| end.name.as_str()));
        WrapTemplate { name, diameter_mm, girth_mm: girth, size_mm, sides, runs, lines, notes }
    }
}

/// Paper for the cut of one end, on a tube of `diameter_mm` outside: the piece made from bought tube, or the old tube that it meets.
///
/// # Errors
/// [`BlankError::Section`] for a tube that cannot exist.
pub fn of_end(tube: &Tube, end: usize, diameter_mm: f64, settings: &WrapSettings) -> Result<WrapTemplate, BlankError> {
    tube.check()?;
    let Some(own) = tube.ends.get(end) else {
        return Err(BlankError::Bend { place: tube.name.clone(), what: "a tube has two ends, 0 and 1".into() });
    };
    let station = |angle: f64| tube.cut_station_mm(end, angle);
    const STEPS: u32 = 1440;
    let all = (0..STEPS).map(|i| station(TAU * f64::from(i) / f64::from(STEPS)));
    let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)));
    let paper = Paper {
        tube,
        radius_mm: 0.5 * (diameter_mm + settings.paper_mm),
        // between two quarters, so that no line to read lies on the edge
        meets_rad: 1.25 * PI,
        left_mm: low - settings.border_mm,
        length_mm: high - low + 2.0 * settings.border_mm,
        settings,
    };
    let quarter = match &own.cut {
        TubeCut::Square => 0.0,
        TubeCut::Mitre { longest_at_rad, .. } => *longest_at_rad,
        TubeCut::Saddle(saddle) => saddle.closed_at_rad,
        TubeCut::Flattened { face_at_rad, .. } => *face_at_rad,
    };
    let lines = vec![WrapLine {
        kind: WrapLineKind::Cut,
        points_mm: paper.round(station, quarter),
        closed: false,
        label: format!("cut line at the {}", own.name),
    }];
    let (side, edge) = if end == 0 { ("right", "right") } else { ("left", "left") };
    let from_tip = high - low + settings.border_mm;
    let notes = vec![
        format!(
            "The heavy line is the cut. A new piece lies to the {side} of it; on the old tube the waste lies there."
        ),
        format!(
            "The {edge} edge of the paper is square to the tube and stands {from_tip:.1} mm from the longest tip of the cut."
        ),
    ];
    let other = if matches!(own.cut, TubeCut::Saddle(_)) { "waste" } else { "old tube, or waste" };
    let sides = if end == 0 { [other, "new piece"] } else { ["new piece", other] }.map(str::to_owned);
    Ok(paper.finish(format!("{} at the {}", own.kind_words(), own.name), diameter_mm, sides, lines, notes))
}

/// Paper for the old tube under a sleeve or a patch: the edge of the piece, and the cut line one lap inside (handbook H8). `None` for a
/// length that replaces the old one.
///
/// # Errors
/// [`BlankError::Section`] for a tube that cannot exist.
pub fn of_window(tube: &Tube, settings: &WrapSettings) -> Result<Option<WrapTemplate>, BlankError> {
    tube.check()?;
    let Some(old) = tube.over else { return Ok(None) };
    let (from, girth) = tube.girth();
    let meets_rad = match tube.cover {
        Cover::Whole { .. } => 1.25 * PI,
        Cover::Part { .. } => clear_of_quarters(from + 0.5 * girth + PI),
    };
    let flat = outline(tube, settings.chord_mm)?;
    let (low, high) =
        flat.points_mm.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| (low.min(p.x), high.max(p.x)));
    let paper = Paper {
        tube,
        radius_mm: 0.5 * (old.outside_diameter_mm + settings.paper_mm),
        meets_rad,
        left_mm: low - settings.border_mm,
        length_mm: high - low + 2.0 * settings.border_mm,
        settings,
    };
    let mut lines = Vec::new();
    if tube.is_whole() {
        for (end, own) in tube.ends.iter().enumerate() {
            let inward = if end == 0 { old.lap_mm } else { -old.lap_mm };
            let edge = paper.round(|angle| tube.cut_station_mm(end, angle), 0.0);
            let cut = edge.iter().map(|p| *p + DVec2::new(inward, 0.0)).collect();
            lines.push(open(WrapLineKind::PieceEdge, edge, format!("edge of the sleeve, {}", own.name)));
            lines.push(open(WrapLineKind::Cut, cut, "old wall cut here, where it is cut out".into()));
        }
    } else {
        let on_paper = |p: &DVec2| paper.place(p.x, paper.turned(tube.angle_rad(p.y)));
        lines.push(closed(
            WrapLineKind::PieceEdge,
            flat.points_mm.iter().map(on_paper).collect(),
            "edge of the patch: scribe".into(),
        ));
        lines.push(closed(WrapLineKind::Cut, window(&paper, old.lap_mm, old.outside_diameter_mm), "cut line".into()));
    }
    let notes = vec![
        format!(
            "Scribe the edge of the piece; cut the old wall on the inner line, {:.1} mm inside it, so that a lap stays.",
            old.lap_mm
        ),
        format!("The left edge of the paper stands {:.1} mm beyond the piece.", settings.border_mm),
    ];
    let sides = [String::new(), String::new()];
    Ok(Some(paper.finish("cut in the old tube".into(), old.outside_diameter_mm, sides, lines, notes)))
}

/// The angle, moved a little where it lies on a quarter of the girth.
fn clear_of_quarters(angle_rad: f64) -> f64 {
    const CLEAR_RAD: f64 = PI / 12.0;
    let past = (angle_rad + 0.5 * CLEAR_RAD).rem_euclid(FRAC_PI_2);
    if past < CLEAR_RAD { angle_rad + CLEAR_RAD } else { angle_rad }
}

fn open(kind: WrapLineKind, points_mm: Vec<DVec2>, label: String) -> WrapLine {
    WrapLine { kind, points_mm, closed: false, label }
}

fn closed(kind: WrapLineKind, points_mm: Vec<DVec2>, label: String) -> WrapLine {
    WrapLine { kind, points_mm, closed: true, label }
}

/// Radius of the window's corners at least, mm: the weld and the saw go round it (common practice, no source).
const WINDOW_CORNER_MM: f64 = 3.0;

/// The cut-out of a patch, one lap inside its edge.
fn window(paper: &Paper<'_>, lap_mm: f64, old_diameter_mm: f64) -> Vec<DVec2> {
    let tube = paper.tube;
    let (from, girth) = tube.girth();
    let lap_rad = 2.0 * lap_mm / old_diameter_mm;
    let (a, b) = (from + lap_rad, from + girth - lap_rad);
    let square = tube.ends.iter().all(|end| end.cut == TubeCut::Square);
    let at = |station: f64, angle: f64| paper.place(station, paper.turned(angle));
    if !square {
        const STEPS: u32 = 90;
        let angles = (0..=STEPS).map(|i| a + (b - a) * f64::from(i) / f64::from(STEPS));
        let far = angles.clone().map(|angle| at(tube.cut_station_mm(1, angle) - lap_mm, angle));
        let near = angles.rev().map(|angle| at(tube.cut_station_mm(0, angle) + lap_mm, angle));
        return far.chain(near).collect();
    }
    let corner = match tube.cover {
        Cover::Part { corner_radius_mm, .. } => corner_radius_mm - lap_mm,
        Cover::Whole { .. } => 0.0,
    };
    let (low, high) = (tube.cut_station_mm(0, a) + lap_mm, tube.cut_station_mm(1, a) - lap_mm);
    let corners = [(low, a), (high, a), (high, b), (low, b)].map(|(x, angle)| at(x, angle));
    let [first, second, third, _] = corners;
    let least = 0.5 * first.distance(second).min(second.distance(third));
    rounded(&corners, corner.max(WINDOW_CORNER_MM).min(0.9 * least))
}

/// A rectangle with its corners rounded by eight chords each.
fn rounded(corners: &[DVec2; 4], radius_mm: f64) -> Vec<DVec2> {
    const CHORDS: u32 = 8;
    let mut out = Vec::new();
    for (i, corner) in corners.iter().enumerate() {
        let before = corners.get((i + 3) % 4).map_or(DVec2::ZERO, |p| (*p - *corner).normalize_or_zero());
        let after = corners.get((i + 1) % 4).map_or(DVec2::ZERO, |p| (*p - *corner).normalize_or_zero());
        let centre = *corner + radius_mm * (before + after);
        for k in 0..=CHORDS {
            let turn = FRAC_PI_2 * f64::from(k) / f64::from(CHORDS);
            out.push(centre - radius_mm * (after * turn.cos() + before * turn.sin()));
        }
    }
    out
}

fn refine(a: f64, b: f64, at: &impl Fn(f64) -> DVec2, tolerance_mm: f64, depth: u32, out: &mut Vec<DVec2>) {
    const DEEPEST: u32 = 12;
    let (first, last) = (at(a), at(b));
    let along = (last - first).normalize_or_zero();
    let off = |share: f64| along.perp_dot(at(a + (b - a) * share) - first).abs();
    if depth == DEEPEST || [0.25, 0.5, 0.75].into_iter().all(|share| off(share) <= tolerance_mm) {
        out.push(last);
        return;
    }
    let half = 0.5 * (a + b);
    refine(a, half, at, tolerance_mm, depth + 1, out);
    refine(half, b, at, tolerance_mm, depth + 1, out);
}
