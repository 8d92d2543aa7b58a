//! Where a drawing has lines: which sheets to print, and which items a sheet needs.

use glam::DVec2;

use crate::drawing::{Bounds, Drawing, Item, Mark, arc_path};
use crate::error::PacketError;

/// Chords leave arcs by at most this much when asking which sheets they touch, mm.
const DEVIATION_MM: f64 = 0.1;

/// The box of every item and the lines of the whole drawing.
pub struct Ink {
    boxes: Vec<Option<Bounds>>,
    chains: Vec<Vec<DVec2>>,
}

impl Ink {
    /// Measures a drawing.
    pub fn of(drawing: &Drawing) -> Result<Self, PacketError> {
        let ratio = drawing.scale.ratio();
        let alone = |item: &Item| Drawing { items: vec![item.clone()], ..drawing.clone_empty() };
        let mut boxes = Vec::with_capacity(drawing.items.len());
        for item in &drawing.items {
            let alone = alone(item);
            boxes.push(alone.strokes()?.iter().filter_map(|stroke| stroke.mark.bounds(ratio)).reduce(Bounds::union));
        }
        let chains = drawing.strokes()?.iter().map(|stroke| chain(&stroke.mark, ratio)).collect();
        Ok(Self { boxes, chains })
    }

    /// The box of every item in the order of the drawing, real mm; none for one that marks nothing.
    pub fn boxes(&self) -> &[Option<Bounds>] {
        &self.boxes
    }

    /// Says whether a line or a text of the drawing meets the window, given in paper millimetres.
    pub fn touches(&self, window: Bounds, ratio: f64) -> bool {
        self.chains.iter().any(|chain| chain.windows(2).any(|pair| crosses(window, pair[0] * ratio, pair[1] * ratio)))
    }

    /// Returns the drawing with the items alone whose box meets the window, given in paper millimetres.
    pub fn part(&self, drawing: &Drawing, window: Bounds) -> Drawing {
        let ratio = drawing.scale.ratio();
        let reach = window.grown(1.0);
        let meets = |bounds: &Bounds| Bounds { low: bounds.low * ratio, high: bounds.high * ratio }.meets(reach);
        let kept = drawing.items.iter().zip(&self.boxes).filter(|(_, bounds)| bounds.as_ref().is_some_and(meets));
        Drawing { items: kept.map(|(item, _)| item.clone()).collect(), ..drawing.clone_empty() }
    }
}

/// Returns the mark as a chain of chords, real mm.
fn chain(mark: &Mark, ratio: f64) -> Vec<DVec2> {
    let closed = |points: &[DVec2]| points.iter().chain(points.first()).copied().collect();
    match mark {
        Mark::Path(path) => path.flattened(DEVIATION_MM),
        Mark::Arc(arc) => arc_path(arc).flattened(DEVIATION_MM),
        Mark::Circle { centre, radius_mm } => {
            let turn = |i: i32| *centre + DVec2::from_angle(f64::from(i) / 64.0 * std::f64::consts::TAU) * *radius_mm;
            (0..=64).map(turn).collect()
        }
        Mark::Filled(points) => closed(points),
        Mark::Text(run) => closed(&run.corners(ratio)),
    }
}

/// Clips the straight from `a` to `b` against the window by its four edges; true when something is left.
fn crosses(window: Bounds, a: DVec2, b: DVec2) -> bool {
    let way = b - a;
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for (delta, low, high) in
        [(way.x, window.low.x - a.x, window.high.x - a.x), (way.y, window.low.y - a.y, window.high.y - a.y)]
    {
        if delta == 0.0 {
            if low > 0.0 || high < 0.0 {
                return false;
            }
        } else {
            let (first, second) = (low / delta, high / delta);
            enter = enter.max(first.min(second));
            leave = leave.min(first.max(second));
        }
    }
    enter <= leave
}
