//! Lines to roll or fold along, each with its bend, and sharp folds with their allowance.

use super::Development;
use super::layout::{RollLine, RollLineKind, RuledLayout};
use super::unroll::{Row, State, advance};
use crate::{BlankError, DevelopSettings, FlatFold, FlatMark, FoldKind, MarkKind};
use glam::DVec2;
use handbook::bend::{Bend, allowance};
use handbook::springback::over_bend;
use handbook::{RuleError, Source, Working};
use section::Side;
use section::ruled::{Ruled, Span};

/// A sharp fold and what it adds to the flat.
pub(super) struct FoldFigures {
    /// Index of its span.
    pub span: usize,
    /// Bend, rad, positive towards the face that is up.
    pub bend_rad: f64,
    /// Added to the sum of the flats to the corner at the middle of the sheet, mm: less than nothing.
    pub add_mm: f64,
    pub allowance_mm: f64,
    /// From the corner at the middle of the sheet to the tangent line, mm.
    pub to_middle_mm: f64,
    pub setback_mm: f64,
    pub k_factor: f64,
    pub fold_to_rad: Option<f64>,
    pub workings: Vec<Working>,
}

/// Sharp folds of the piece.
pub(super) fn fold_figures(piece: &Ruled, settings: &DevelopSettings) -> Result<Vec<FoldFigures>, BlankError> {
    let mut list = Vec::new();
    // a seam that runs along a fold leaves half of its corner at each end: nothing is folded there
    let whole = |span: &Span| span.from == DVec2::ZERO && span.to == DVec2::ONE;
    let folds = piece.spans.iter().enumerate().filter(|(_, span)| piece.is_fold(span) && whole(span));
    for (index, span) in folds {
        let bend_rad = piece.fold_rad(span);
        if bend_rad.abs() < 1e-9 {
            continue;
        }
        let place = format!("fold {} of {}", list.len() + 1, piece.name);
        let refused = |fault: RuleError| BlankError::Bend { place: place.clone(), what: fault.to_string() };
        list.push(figures(piece, index, bend_rad, settings).map_err(refused)?);
    }
    Ok(list)
}

fn figures(piece: &Ruled, span: usize, bend_rad: f64, settings: &DevelopSettings) -> Result<FoldFigures, RuleError> {
    let (t, r, angle) = (piece.thickness_mm, piece.fold_radius_mm, bend_rad.abs());
    let by_rule =
        allowance(&Bend { thickness_mm: t, inside_radius_mm: r, bend_angle_rad: angle }, &settings.bend_rule)?;
    let to_middle = (0.5 * angle).tan() * (r + 0.5 * t);
    let add_mm = by_rule.allowance_mm - 2.0 * to_middle;
    let over = settings.elastic(&piece.material).map(|metal| over_bend(angle, r, t, metal)).and_then(Result::ok);
    let mut workings = by_rule.workings;
    workings.push(
        Working::new(
            "what the fold adds to the flats",
            add_mm,
            "mm",
            "BA − 2·tan(θ/2)·(r + t/2)",
            Source::geometry(""),
        )
        .with("BA", "bend allowance", by_rule.allowance_mm, "mm")
        .with("θ", "bend angle, turned from flat", angle, "rad"),
    );
    workings.extend(over.as_ref().map(|over| over.working.clone()));
    Ok(FoldFigures {
        span,
        bend_rad,
        add_mm,
        allowance_mm: by_rule.allowance_mm,
        to_middle_mm: to_middle,
        setback_mm: by_rule.setback_outer_mm.unwrap_or_default(),
        k_factor: by_rule.k_factor,
        fold_to_rad: over.map(|over| over.tool_angle_rad),
        workings,
    })
}

/// Sharp folds as the flat carries them.
pub(super) fn flat_folds(development: &Development<'_>, folds: &[FoldFigures]) -> Vec<FlatFold> {
    let piece = development.piece;
    let rows = &development.flat.rows;
    let mut list = Vec::new();
    for (i, fold) in folds.iter().enumerate() {
        // the ruling before the fold and the one after it, half of what it adds from the middle each
        let Some(state) = rows.iter().find(|row| row.span == fold.span).map(|row| row.state) else { continue };
        let m = state.m();
        let middle = m * (-0.5 * fold.add_mm);
        let line = |off: f64| vec![state.a_mm + middle + m * off, state.b_mm() + middle + m * off];
        let half = 0.5 * fold.allowance_mm;
        let up = (fold.bend_rad > 0.0) != piece.mirrored;
        let to_inside = (fold.bend_rad > 0.0) == (piece.outside < 0.0);
        list.push(FlatFold {
            name: format!("fold {} along its ruling", i + 1),
            number: i + 1,
            kind: FoldKind::Fold,
            up,
            turns: if to_inside { Side::Inside } else { Side::Outside },
            tangent_near_mm: line(-half),
            tangent_far_mm: line(half),
            centre_mm: line(0.0),
            sight_mm: line(piece.fold_radius_mm - half),
            bend_angle_rad: [fold.bend_rad.abs(); 2],
            inside_radius_mm: piece.fold_radius_mm,
            allowance_mm: [fold.allowance_mm; 2],
            setback_mm: [fold.setback_mm; 2],
            k_factor: fold.k_factor,
            rule: development.settings.bend_rule.name().to_owned(),
            fold_to_rad: fold.fold_to_rad.map(|angle| [angle; 2]),
        });
    }
    list
}

/// A stretch that bends one way without a stop.
struct Zone {
    /// Rows of the flat: the first at its start, the last at its end.
    rows: [usize; 2],
    bend_rad: f64,
}

/// Less bend than this in a row is flat, rad.
const FLAT_RAD: f64 = 1e-10;

fn zones(rows: &[Row], folds: &[FoldFigures]) -> Vec<Zone> {
    let mut list: Vec<Zone> = Vec::new();
    let mut open: Option<Zone> = None;
    for (i, pair) in rows.windows(2).enumerate() {
        let bend = pair[1].state.bend_rad - pair[0].state.bend_rad;
        let fold = folds.iter().any(|fold| fold.span == pair[1].span);
        let flat = bend.abs() < FLAT_RAD || fold;
        let turns = open.as_ref().is_some_and(|zone| zone.bend_rad * bend < 0.0);
        if (flat || turns)
            && let Some(zone) = open.take()
        {
            list.push(zone);
        }
        if !flat {
            let zone = open.get_or_insert(Zone { rows: [i, i], bend_rad: 0.0 });
            zone.rows[1] = i + 1;
            zone.bend_rad += bend;
        }
    }
    list.extend(open);
    list
}

/// Lines in order from the start end: limits between flat and bent parts, roll lines with their bend, sharp folds.
pub(super) fn lines(development: &Development<'_>, folds: &[FoldFigures]) -> Vec<RollLine> {
    let rows = &development.flat.rows;
    let piece = development.piece;
    let mut list: Vec<RollLine> = Vec::new();
    let last = rows.len().saturating_sub(1);
    for zone in zones(rows, folds) {
        let [from, to] = zone.rows;
        let limit = |at: usize| {
            rows.get(at).filter(|_| at > 0 && at < last).map(|row| line(RollLineKind::Limit, &row.state, 0.0))
        };
        list.extend(limit(from));
        let steps = ((zone.bend_rad.abs() / piece.step_rad - 1e-6).ceil().max(1.0)) as u32;
        let each = zone.bend_rad / f64::from(steps);
        let start = rows.get(from).map_or(0.0, |row| row.state.bend_rad);
        for step in 0..steps {
            let wanted = start + each * (f64::from(step) + 0.5);
            if let Some((state, radii)) = at_bend(development, zone.rows, wanted) {
                list.push(RollLine { radii_mm: radii, ..line(RollLineKind::Roll, &state, each) });
            }
        }
        list.extend(limit(to));
    }
    for fold in folds {
        if let Some(row) = rows.iter().find(|row| row.span == fold.span) {
            list.push(line(RollLineKind::Fold, &row.state, fold.bend_rad));
        }
    }
    list.sort_by(|a, b| (a.along_mm[0] + a.along_mm[1]).total_cmp(&(b.along_mm[0] + b.along_mm[1])));
    let mut number = 0;
    for line in list.iter_mut().filter(|line| line.kind != RollLineKind::Limit) {
        number += 1;
        line.number = number;
    }
    // two bent parts that meet share their limit
    list.dedup_by(|a, b| {
        a.kind == RollLineKind::Limit
            && b.kind == RollLineKind::Limit
            && a.line_mm[0].distance(b.line_mm[0]) < 1e-6
            && a.line_mm[1].distance(b.line_mm[1]) < 1e-6
    });
    let mirrored = piece.mirrored;
    list.iter_mut().for_each(|line| line.up = (line.bend_rad > 0.0) != mirrored);
    list
}

fn line(kind: RollLineKind, state: &State, bend_rad: f64) -> RollLine {
    RollLine {
        number: 0,
        kind,
        line_mm: [state.a_mm, state.b_mm()],
        length_mm: state.length_mm,
        along_mm: state.along_mm,
        bend_rad,
        up: bend_rad > 0.0,
        radii_mm: [None; 2],
    }
}

/// The ruling at which the bend so far has a value, inside a range of rows, and the sheet's radii at its two ends.
fn at_bend(development: &Development<'_>, [from, to]: [usize; 2], wanted: f64) -> Option<(State, [Option<f64>; 2])> {
    let rows = &development.flat.rows;
    let piece = development.piece;
    let inside = rows.get(from..=to)?;
    let pair = inside.windows(2).find(|pair| {
        let (a, b) = (pair[0].state.bend_rad - wanted, pair[1].state.bend_rad - wanted);
        a * b <= 0.0
    })?;
    let (before, after) = (&pair[0], &pair[1]);
    let span = piece.spans.get(after.span)?;
    let start = if before.span == after.span { before.u } else { 0.0 };
    let bend = |u: f64| advance(piece, span, &before.state, start, u).bend_rad - wanted;
    let (mut low, mut high) = (start, after.u);
    // from the rows themselves: at a row's own bend the sign of the difference is rounding
    let rising = after.state.bend_rad > before.state.bend_rad;
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if (bend(middle) > 0.0) == rising { high = middle } else { low = middle }
    }
    let u = 0.5 * (low + high);
    let state = advance(piece, span, &before.state, start, u);
    let ruling = piece.ruling(span, u);
    let shift = piece.to_middle_mm() * ruling.normal_rate;
    let radius = |rate: glam::DVec3| {
        let radius = ((rate.dot(ruling.m) + shift) / ruling.normal_rate).abs();
        (radius.is_finite() && radius < 1e5).then_some(radius)
    };
    Some((state, [radius(ruling.a_rate_mm), radius(ruling.b_rate_mm)]))
}

/// Roll lines and limits as marks; sharp folds are drawn as folds.
pub(super) fn marks(layout: &RuledLayout) -> Vec<FlatMark> {
    let label = |line: &RollLine| match line.kind {
        RollLineKind::Limit => String::new(),
        _ => line.number.to_string(),
    };
    layout
        .lines
        .iter()
        .filter(|line| line.kind != RollLineKind::Fold)
        .map(|line| FlatMark {
            kind: if line.kind == RollLineKind::Limit { MarkKind::TangentLine } else { MarkKind::Ruling },
            line_mm: line.line_mm.to_vec(),
            label: label(line),
        })
        .collect()
}
