//! A drawing in the making: lengths on paper become real ones, notes and callouts get their place.

use glam::DVec2;

use crate::drawing::{Drawing, Horizontal, Layer, Polyline, Scale, Shape, Text, TextHeight, Vertical};

/// A drawing in the making.
pub struct Draft {
    /// The drawing.
    pub drawing: Drawing,
}

impl Draft {
    /// Starts an empty drawing.
    pub fn new(name: impl Into<String>, description: impl Into<String>, scale: Scale) -> Self {
        Self { drawing: Drawing::new(name, description).at_scale(scale) }
    }

    /// Real millimetres that take `paper_mm` on paper.
    pub fn real(&self, paper_mm: f64) -> f64 {
        paper_mm / self.drawing.scale.ratio()
    }

    /// A point moved by millimetres on paper.
    pub fn moved(&self, point: DVec2, x_paper_mm: f64, y_paper_mm: f64) -> DVec2 {
        point + DVec2::new(self.real(x_paper_mm), self.real(y_paper_mm))
    }

    /// An open chain; nothing with fewer than two points.
    pub fn path(&mut self, layer: Layer, points: &[DVec2]) {
        if points.len() > 1 {
            self.drawing.add(layer, Polyline::open(points.iter().copied()));
        }
    }

    /// A closed chain; nothing with fewer than three points.
    pub fn ring(&mut self, layer: Layer, points: &[DVec2]) {
        if points.len() > 2 {
            self.drawing.add(layer, Polyline::closed(points.iter().copied()));
        }
    }

    /// A solid area.
    pub fn solid(&mut self, layer: Layer, points: &[DVec2]) {
        if points.len() > 2 {
            self.drawing.add(layer, Shape::Filled(Polyline::closed(points.iter().copied())));
        }
    }

    /// A straight.
    pub fn line(&mut self, layer: Layer, from: DVec2, to: DVec2) {
        if from.distance(to) > 1e-9 {
            self.drawing.add(layer, Shape::Line { from, to });
        }
    }

    /// An arrow.
    pub fn arrow(&mut self, layer: Layer, from: DVec2, to: DVec2) {
        self.drawing.add(layer, Shape::Arrow { from, to });
    }

    /// Words that start at a point.
    pub fn words(&mut self, at: DVec2, height: TextHeight, content: impl Into<String>) {
        self.drawing.add(Layer::Note, Text::new(at, height, content).anchored(Horizontal::Left, Vertical::Middle));
    }

    /// Bold words that start at a point.
    pub fn bold(&mut self, at: DVec2, height: TextHeight, content: impl Into<String>) {
        let text = Text::new(at, height, content).anchored(Horizontal::Left, Vertical::Middle).bold();
        self.drawing.add(Layer::Note, text);
    }

    /// Words in the middle of a point.
    pub fn centred(&mut self, at: DVec2, height: TextHeight, content: impl Into<String>) {
        self.drawing.add(Layer::Note, Text::new(at, height, content).anchored(Horizontal::Middle, Vertical::Middle));
    }

    /// A leader from `tip` to words whose shoulder starts at `elbow`.
    pub fn callout(&mut self, tip: DVec2, elbow: DVec2, note: impl Into<String>) {
        let shape = Shape::Leader { points: vec![tip, elbow], note: note.into(), height: TextHeight::Mm2_5 };
        self.drawing.add(Layer::Note, shape);
    }
}

/// Point of a chain at a length from its start; its ends beyond them. `None` for an empty chain.
pub fn point_at(chain: &[DVec2], length_mm: f64) -> Option<DVec2> {
    let mut left = length_mm.max(0.0);
    for pair in chain.windows(2) {
        let [from, to] = pair else { continue };
        let step = from.distance(*to);
        if left <= step && step > 0.0 {
            return Some(from.lerp(*to, left / step));
        }
        left -= step;
    }
    chain.last().copied()
}

/// Length of a chain.
pub fn length_of(chain: &[DVec2]) -> f64 {
    chain.windows(2).map(|pair| pair.iter().copied().reduce(|a, b| b - a).map_or(0.0, DVec2::length)).sum()
}

/// Part of a chain between two lengths from its start.
pub fn stretch_of(chain: &[DVec2], from_mm: f64, to_mm: f64) -> Vec<DVec2> {
    let mut out: Vec<DVec2> = point_at(chain, from_mm).into_iter().collect();
    let mut at = 0.0;
    for pair in chain.windows(2) {
        let [from, to] = pair else { continue };
        at += from.distance(*to);
        if at > from_mm + 1e-9 && at < to_mm - 1e-9 {
            out.push(*to);
        }
    }
    out.extend(point_at(chain, to_mm));
    out
}

/// A chain moved sideways by `left_mm` to its left; corners are mitred, no further than three times the distance.
pub fn beside(chain: &[DVec2], left_mm: f64) -> Vec<DVec2> {
    let direction = |index: usize| -> Option<DVec2> {
        let from = chain.get(index)?;
        let to = chain.get(index + 1)?;
        (*to - *from).try_normalize()
    };
    (0..chain.len())
        .filter_map(|index| {
            let before = index.checked_sub(1).and_then(direction);
            let after = direction(index);
            let (a, b) = (before.or(after)?, after.or(before)?);
            let normal = (a.perp() + b.perp()).normalize_or_zero();
            let stretch = 1.0 / normal.dot(a.perp()).max(1.0 / 3.0);
            chain.get(index).map(|point| *point + normal * (left_mm * stretch))
        })
        .collect()
}

/// Point of a chain where it crosses the upright at `x`; `None` where it does not reach.
pub fn at_x(chain: &[DVec2], x: f64) -> Option<DVec2> {
    chain.windows(2).find_map(|pair| {
        let [from, to] = pair else { return None };
        let (low, high) = (from.x.min(to.x), from.x.max(to.x));
        let span = to.x - from.x;
        ((low..=high).contains(&x) && span.abs() > 1e-9).then(|| from.lerp(*to, (x - from.x) / span))
    })
}
