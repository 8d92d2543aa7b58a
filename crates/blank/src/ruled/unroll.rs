//! The flat, ruling by ruling.

use super::lines::FoldFigures;
use crate::BlankError;
use glam::DVec2;
use section::ruled::{Ruled, Span, gauss};
use std::sync::LazyLock;

/// Where a ruling lies in the flat, and what has been summed up to it.
#[derive(Debug, Clone, Copy)]
pub(super) struct State {
    /// End on edge A, mm.
    pub a_mm: DVec2,
    /// Direction of the ruling, rad from x.
    pub turn_rad: f64,
    /// Length of the ruling, mm.
    pub length_mm: f64,
    /// Length along edge A and edge B so far, mm.
    pub along_mm: [f64; 2],
    /// Bend so far, rad, positive towards the face that is up.
    pub bend_rad: f64,
    /// Area so far, mm².
    pub area_mm2: f64,
}

/// A ruling of the flat with its place in the pairing.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    /// Index of the span.
    pub span: usize,
    /// Place on it, 0 to 1.
    pub u: f64,
    /// Where it lies.
    pub state: State,
}

/// The whole flat.
#[derive(Debug, Clone)]
pub(super) struct Unrolled {
    pub rows: Vec<Row>,
    pub area_mm2: f64,
}

impl State {
    pub(super) fn e(&self) -> DVec2 {
        DVec2::from_angle(self.turn_rad)
    }

    /// Along the sheet square to the ruling.
    pub(super) fn m(&self) -> DVec2 {
        self.e().perp()
    }

    pub(super) fn b_mm(&self) -> DVec2 {
        self.a_mm + self.e() * self.length_mm
    }
}

/// Weights of the integral from the start of a part to each node of the rule.
fn partial() -> &'static [[f64; 5]; 5] {
    static WEIGHTS: LazyLock<[[f64; 5]; 5]> = LazyLock::new(|| {
        let rule = gauss();
        rule.nodes.map(|node| rule.weights_up_to(node))
    });
    &WEIGHTS
}

/// Moves a ruling from `from` to `to` on a span.
pub(super) fn advance(piece: &Ruled, span: &Span, state: &State, from: f64, to: f64) -> State {
    let (rule, step, off) = (gauss(), to - from, piece.to_middle_mm());
    // per node: speeds of A along and across the ruling, of B along and across, length, rate of the normal
    let nodes = rule.nodes.map(|node| {
        let ruling = piece.ruling(span, from + step * node);
        let shift = off * ruling.normal_rate;
        let across = [ruling.a_rate_mm, ruling.b_rate_mm].map(|rate| rate.dot(ruling.m) + shift);
        let along = [ruling.a_rate_mm, ruling.b_rate_mm].map(|rate| rate.dot(ruling.e));
        (along, across, ruling.length_mm(), ruling.normal_rate)
    });
    let turning = nodes.map(|(_, [a, b], length, _)| (b - a) / length);
    let mut next = *state;
    for (k, (along, across, length, bend)) in nodes.iter().enumerate() {
        let (weight, up_to) = (rule.weights[k] * step, &partial()[k]);
        let turned: f64 = up_to.iter().zip(&turning).map(|(w, turning)| w * turning * step).sum();
        let e = DVec2::from_angle(state.turn_rad + turned);
        next.a_mm += (e * along[0] + e.perp() * across[0]) * weight;
        next.turn_rad += turning[k] * weight;
        for edge in [0, 1] {
            next.along_mm[edge] += along[edge].hypot(across[edge]) * weight;
        }
        next.bend_rad -= bend * weight;
        next.area_mm2 += 0.5 * length * (across[0] + across[1]) * weight;
    }
    next.length_mm = piece.ruling(span, to).length_mm();
    next
}

/// Unrolls the piece with chords within `tolerance_mm` of its edges.
pub(super) fn unroll(piece: &Ruled, folds: &[FoldFigures], tolerance_mm: f64) -> Result<Unrolled, BlankError> {
    let Some(first) = piece.spans.first() else {
        return Err(section::SectionError::Ruled {
            what: format!("{} has no rulings", piece.name),
            accepted: "two edges apart from each other are accepted".into(),
        }
        .into());
    };
    let mut state = State {
        a_mm: DVec2::ZERO,
        turn_rad: std::f64::consts::FRAC_PI_2,
        length_mm: piece.ruling(first, 0.0).length_mm(),
        along_mm: [0.0; 2],
        bend_rad: 0.0,
        area_mm2: 0.0,
    };
    let mut rows = vec![Row { span: 0, u: 0.0, state }];
    for (index, span) in piece.spans.iter().enumerate() {
        if let Some(fold) = folds.iter().find(|fold| fold.span == index) {
            let shift = state.m() * fold.add_mm;
            state.a_mm += shift;
            state.along_mm = state.along_mm.map(|along| along + fold.add_mm);
            state.area_mm2 += fold.add_mm * state.length_mm;
            rows.push(Row { span: index, u: 1.0, state });
            continue;
        }
        let steps = steps(piece, span, tolerance_mm);
        for i in 0..steps {
            let (from, to) = (f64::from(i) / f64::from(steps), f64::from(i + 1) / f64::from(steps));
            state = advance(piece, span, &state, from, to);
            rows.push(Row { span: index, u: to, state });
        }
    }
    let rows = laid(rows);
    Ok(Unrolled { rows, area_mm2: state.area_mm2 })
}

/// Largest turn of the ruling over one step of the integration: 5°. In a flat triangle it turns far more than the edges do.
const MOST_TURN_RAD: f64 = std::f64::consts::PI / 36.0;

/// Chords of a span's edges within the tolerance of their arcs, and rulings that turn little.
fn steps(piece: &Ruled, span: &Span, tolerance_mm: f64) -> u32 {
    let [a, b] = &piece.edges;
    let arc = |from: section::ruled::Site, to: section::ruled::Site| {
        let turn = from.direction.cross(to.direction).length().atan2(from.direction.dot(to.direction));
        from.position_mm.distance(to.position_mm) * turn
    };
    let along_a = arc(a.curve.site(span.a, span.from.x), a.curve.site(span.a, span.to.x));
    let along_b = arc(b.curve.site(span.b, span.from.y), b.curve.site(span.b, span.to.y));
    let by_chord = (along_a.max(along_b) / (8.0 * tolerance_mm.max(1e-4))).sqrt();
    let (first, last) = (piece.ruling(span, 0.0).e, piece.ruling(span, 1.0).e);
    let turn = first.cross(last).length().atan2(first.dot(last));
    by_chord.max(turn / MOST_TURN_RAD).ceil().clamp(1.0, 1000.0) as u32
}

/// Turns the flat so that the chord of edge A lies level (of a whole girth that closes up, so that its middle ruling stands up),
/// and moves its lowest and leftmost point to 0.
fn laid(mut rows: Vec<Row>) -> Vec<Row> {
    let (Some(first), Some(last)) = (rows.first().copied(), rows.last().copied()) else { return rows };
    let chord = first.state.a_mm - last.state.a_mm;
    let angle = if chord.length() > 1e-2 * last.state.along_mm[0] {
        -chord.to_angle()
    } else {
        let middle = rows.get(rows.len() / 2).copied().unwrap_or(first);
        std::f64::consts::FRAC_PI_2 - middle.state.turn_rad
    };
    let turn = DVec2::from_angle(angle);
    for row in &mut rows {
        row.state.a_mm = turn.rotate(row.state.a_mm);
        row.state.turn_rad += angle;
    }
    let low = rows.iter().flat_map(|row| [row.state.a_mm, row.state.b_mm()]).reduce(DVec2::min).unwrap_or_default();
    for row in &mut rows {
        row.state.a_mm -= low;
    }
    rows
}
