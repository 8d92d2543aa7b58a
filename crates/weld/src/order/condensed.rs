//! The sheet condensed to the relative motions across its open seams.

use super::Score;

use faer::{Mat, Side};
use numerics::Cancelled;
use std::sync::Arc;
use thiserror::Error;

/// What is wrong with a condensed sheet or an order.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum OrderError {
    /// Slices that do not fit each other.
    #[error("{what} has {got} numbers; {need} are needed")]
    WrongLength {
        /// What.
        what: &'static str,
        /// Given.
        got: usize,
        /// Needed.
        need: usize,
    },
    /// A number that is not finite.
    #[error("{what} holds a number that is not finite")]
    NotFinite {
        /// What.
        what: &'static str,
    },
    /// Something names a row, pair or event that is not there.
    #[error("{what} {got} does not exist; there are {count}, counted from 0")]
    NoSuch {
        /// What.
        what: &'static str,
        /// Given.
        got: usize,
        /// How many there are.
        count: usize,
    },
    /// An order that leaves events out, names one twice, or puts a phase before an earlier one.
    #[error("the order must name each of the {events} events once, those of an earlier phase first")]
    NoOrder {
        /// How many events.
        events: usize,
    },
    /// Nothing to weld.
    #[error("there is nothing to weld: give at least one tack, plug or run")]
    NoEvent,
    /// The shell could not be solved.
    #[error(transparent)]
    Shell(#[from] crate::WeldError),
    /// Stopped.
    #[error(transparent)]
    Cancelled(#[from] Cancelled),
}

/// What the gap at a row must keep to until it is joined.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GapLimit {
    /// Gap as it was set up, mm.
    pub set_up_mm: f64,
    /// Least and most, mm.
    pub limits_mm: [f64; 2],
}

impl GapLimit {
    /// How far a gap changed by `change_mm` lies outside, mm.
    #[must_use]
    pub fn excess_mm(&self, change_mm: f64) -> f64 {
        let gap = self.set_up_mm + change_mm;
        (self.limits_mm[0] - gap).max(gap - self.limits_mm[1]).max(0.0)
    }
}

/// A row of which the gap is watched.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Watch {
    /// Row.
    pub row: u32,
    /// Its limit.
    pub limit: GapLimit,
}

/// An event, condensed.
#[derive(Debug, Clone, PartialEq)]
pub struct CondensedEvent {
    /// Rows that it joins.
    pub rows: Vec<u32>,
    /// Gaps that are looked at just before it joins.
    pub watches: Vec<Watch>,
    /// Relative motions that its shrinkage would make with nothing joined, one for each row.
    pub free: Vec<f64>,
    /// Events of a lower phase come first.
    pub phase: u8,
}

/// Geometric stiffness on a few modes of the joined sheet: what a buckling margin is estimated from inside the search.
///
/// Symmetric matrices packed by rows of the lower triangle. The modes are scaled to unit elastic energy.
#[derive(Debug, Clone, PartialEq)]
pub struct Projection {
    /// Number of modes.
    pub modes: usize,
    /// For each row: of a unit of force or moment pair on it, nothing joined.
    pub of_rows: Vec<Vec<f64>>,
    /// For each event: of its shrinkage, nothing joined.
    pub of_events: Vec<Vec<f64>>,
}

impl Projection {
    /// Numbers of a packed matrix.
    #[must_use]
    pub fn packed(&self) -> usize {
        self.modes * (self.modes + 1) / 2
    }

    /// Factor by which a state of stress could grow until the modes buckle; infinite when it only pulls.
    #[must_use]
    pub fn margin(&self, packed: &[f64]) -> f64 {
        let at = |i: usize, j: usize| -packed[i.max(j) * (i.max(j) + 1) / 2 + i.min(j)];
        let matrix = Mat::from_fn(self.modes, self.modes, at);
        let largest = matrix.self_adjoint_eigenvalues(Side::Lower).ok().and_then(|values| values.last().copied());
        match largest {
            Some(value) if value > 0.0 => 1.0 / value,
            Some(_) => f64::INFINITY,
            None => 0.0,
        }
    }
}

/// The sheet condensed to the relative motions at its pairs.
#[derive(Debug, Clone)]
pub struct Condensed {
    pub(super) rows: usize,
    pub(super) compliance: Arc<Vec<f64>>,
    pub(super) events: Vec<CondensedEvent>,
    pub(super) projection: Option<Projection>,
}

impl Condensed {
    /// `compliance`: relative motion of row i for a unit force pair at row j, by rows, nothing joined; symmetric, positive definite.
    ///
    /// # Errors
    /// [`OrderError`] when the parts do not fit each other.
    pub fn new(
        rows: usize,
        compliance: Arc<Vec<f64>>,
        events: Vec<CondensedEvent>,
        projection: Option<Projection>,
    ) -> Result<Self, OrderError> {
        let length = |what, got: usize, need: usize| {
            if got == need { Ok(()) } else { Err(OrderError::WrongLength { what, got, need }) }
        };
        length("the compliance", compliance.len(), rows * rows)?;
        if events.is_empty() {
            return Err(OrderError::NoEvent);
        }
        if !compliance.iter().all(|c| c.is_finite()) {
            return Err(OrderError::NotFinite { what: "the compliance" });
        }
        for event in &events {
            length("the free motion of an event", event.free.len(), rows)?;
            if !event.free.iter().all(|c| c.is_finite()) {
                return Err(OrderError::NotFinite { what: "the free motion of an event" });
            }
            let named = event.rows.iter().copied().chain(event.watches.iter().map(|watch| watch.row));
            if let Some(got) = named.map(|row| row as usize).find(|row| *row >= rows) {
                return Err(OrderError::NoSuch { what: "row", got, count: rows });
            }
        }
        if let Some(projection) = &projection {
            length("the projection of the rows", projection.of_rows.len(), rows)?;
            length("the projection of the events", projection.of_events.len(), events.len())?;
            for packed in projection.of_rows.iter().chain(&projection.of_events) {
                length("a projected matrix", packed.len(), projection.packed())?;
            }
        }
        Ok(Self { rows, compliance, events, projection })
    }

    /// The events.
    #[must_use]
    pub fn events(&self) -> &[CondensedEvent] {
        &self.events
    }

    /// Number of relative motions.
    #[must_use]
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Compliance, by rows: see [`Condensed::new`].
    #[must_use]
    pub fn compliance(&self) -> &Arc<Vec<f64>> {
        &self.compliance
    }

    pub(super) fn compliance_row(&self, row: u32) -> &[f64] {
        &self.compliance[row as usize * self.rows..(row as usize + 1) * self.rows]
    }

    /// Refuses what is no order of the events.
    ///
    /// # Errors
    /// [`OrderError::NoOrder`].
    pub fn check_order(&self, order: &[u32]) -> Result<(), OrderError> {
        let wrong = || OrderError::NoOrder { events: self.events.len() };
        let mut seen = vec![false; self.events.len()];
        let mut phase = 0;
        for &event in order {
            let slot = seen.get_mut(event as usize).ok_or_else(wrong)?;
            let its = self.events[event as usize].phase;
            if std::mem::replace(slot, true) || its < phase {
                return Err(wrong());
            }
            phase = its;
        }
        if order.len() == self.events.len() { Ok(()) } else { Err(wrong()) }
    }

    /// The score of an order.
    ///
    /// # Errors
    /// [`OrderError::NoOrder`].
    pub fn score(&self, order: &[u32]) -> Result<Score, OrderError> {
        self.check_order(order)?;
        let mut walk = super::Walk::new(self);
        order.iter().for_each(|event| walk.step(*event));
        Ok(walk.score())
    }
}
