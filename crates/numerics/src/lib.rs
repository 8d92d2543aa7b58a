#![cfg_attr(test, allow(clippy::unwrap_used))]
//! Progress and cancelling of long work, as plain arguments.
//!
//! A long calculation takes a [`&Progress`](Progress) and a [`&Cancel`](Cancel). It reports a share done and a few words as
//! it goes, and asks now and then whether it should stop; it then returns [`Cancelled`]. Neither type knows who listens:
//! the command line prints, the web page shows a bar, a test counts. Nothing here reads a clock; [`leave`] alone
//! starts a thread, so that work which cannot be asked half way is left.
//!
//! The numerical kernels: [`sparse`] matrices of elements, [`cholesky`] factors of them in the order of [`dissection`], projected
//! [`newton`], least factors of an [`eigen`] problem, smoothing [`spline`] surfaces through readings.

pub mod axes;
pub mod cholesky;
pub mod dissection;
pub mod eigen;
pub mod leave;
pub mod newton;
pub mod sparse;
pub mod spline;

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// How far long work has gone.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Share done, 0 to 1, never falling.
    pub share: f64,
    /// What is being done, in a few words.
    pub words: String,
}

/// Takes reports of progress.
#[derive(Clone)]
pub struct Progress {
    listener: Arc<dyn Fn(Step) + Send + Sync>,
    from: f64,
    to: f64,
}

impl std::fmt::Debug for Progress {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Progress").field("from", &self.from).field("to", &self.to).finish_non_exhaustive()
    }
}

impl Progress {
    /// Progress that is told to a listener.
    pub fn new(listener: impl Fn(Step) + Send + Sync + 'static) -> Self {
        Self { listener: Arc::new(listener), from: 0.0, to: 1.0 }
    }

    /// Progress nobody listens to.
    #[must_use]
    pub fn silent() -> Self {
        Self::new(|_| ())
    }

    /// Reports a share of this work, 0 to 1 (held inside; NaN counts as 0), with a few words.
    pub fn report(&self, share: f64, words: &str) {
        let share = if share.is_nan() { 0.0 } else { share.clamp(0.0, 1.0) };
        (self.listener)(Step { share: self.from + (self.to - self.from) * share, words: words.to_owned() });
    }

    /// The progress of a part of this work: its 0 to 1 runs over `from` to `to` of the whole.
    #[must_use]
    pub fn part(&self, from: f64, to: f64) -> Self {
        let at = |share: f64| self.from + (self.to - self.from) * share.clamp(0.0, 1.0);
        Self { listener: Arc::clone(&self.listener), from: at(from), to: at(to) }
    }
}

/// A flag that asks long work to stop. Clones share it.
#[derive(Debug, Clone, Default)]
pub struct Cancel {
    asked: Arc<AtomicBool>,
}

/// The work was asked to stop, and stopped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cancelled;

impl std::fmt::Display for Cancelled {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("stopped before it was done; nothing was lost")
    }
}

impl std::error::Error for Cancelled {}

impl Cancel {
    /// A flag nobody has raised.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Asks the work to stop.
    pub fn cancel(&self) {
        self.asked.store(true, Ordering::Release);
    }

    /// Has somebody asked?
    #[must_use]
    pub fn is_asked(&self) -> bool {
        self.asked.load(Ordering::Acquire)
    }

    /// Goes on, or stops with `?`.
    ///
    /// # Errors
    /// [`Cancelled`] once somebody has asked.
    pub fn check(&self) -> Result<(), Cancelled> {
        if self.is_asked() { Err(Cancelled) } else { Ok(()) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Mutex;

    #[test]
    fn parts_of_the_work_add_up_to_the_whole() {
        let seen = Arc::new(Mutex::new(Vec::new()));
        let into = Arc::clone(&seen);
        let progress = Progress::new(move |step| into.lock().unwrap().push(step.share));
        progress.part(0.5, 1.0).part(0.0, 0.5).report(1.0, "half of the second half");
        progress.report(f64::NAN, "nothing");
        progress.report(7.0, "held");
        assert_eq!(*seen.lock().unwrap(), [0.75, 0.0, 1.0]);
    }

    #[test]
    fn a_clone_of_the_flag_stops_the_work() {
        let cancel = Cancel::new();
        assert_eq!(cancel.check(), Ok(()));
        cancel.clone().cancel();
        assert_eq!(cancel.check(), Err(Cancelled));
    }
}
