//! Long work that is left behind when somebody asks to stop and it does not come back by itself.
//!
//! A factorisation of a library cannot be asked to stop half way. So the work runs on a thread of its own; when stopping is asked
//! for it has a tenth of a second to come back by itself, and is left after that. What it still works out is thrown away; it ends
//! at its next look at the flag. The result does not depend on any of this unless somebody asks to stop.

use crate::{Cancel, Cancelled, Progress};
use std::sync::mpsc::{RecvTimeoutError, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

/// How long between two looks at the flag.
const LOOK: Duration = Duration::from_millis(20);
/// How long work that was asked to stop may take to come back by itself: one wait, so that a machine with much else to do wakes this
/// thread once more and no oftener.
const GRACE: Duration = Duration::from_millis(100);

/// Runs `work`, which looks at a clone of `cancel` itself, and leaves it when it does not come back in time.
///
/// # Errors
/// [`Cancelled`] when it was left.
pub fn or_leave<T: Send + 'static>(cancel: &Cancel, work: impl FnOnce() -> T + Send + 'static) -> Result<T, Cancelled> {
    let (give, take) = sync_channel(1);
    let work = Arc::new(Mutex::new(Some(work)));
    let there = Arc::clone(&work);
    let once = move |slot: &Mutex<Option<_>>| slot.lock().unwrap_or_else(PoisonError::into_inner).take();
    let begun = std::thread::Builder::new().spawn(move || {
        // nobody listens any more when the work was left
        if let Some(work) = once(&there) {
            let _ = give.send(work());
        }
    });
    let Ok(worker) = begun else {
        // no thread to be had: the work is done here
        return once(&work).map(|work| work()).ok_or(Cancelled);
    };
    loop {
        let asked = cancel.is_asked();
        match take.recv_timeout(if asked { GRACE } else { LOOK }) {
            Ok(done) => return Ok(done),
            Err(RecvTimeoutError::Timeout) if asked => return Err(Cancelled),
            Err(RecvTimeoutError::Timeout) => {}
            Err(RecvTimeoutError::Disconnected) => match worker.join() {
                Err(panic) => std::panic::resume_unwind(panic),
                Ok(()) => return Err(Cancelled),
            },
        }
    }
}

/// The same progress, silent from the moment somebody asks to stop: work that was left has nothing more to say.
#[must_use]
pub fn until_cancelled(progress: &Progress, cancel: &Cancel) -> Progress {
    let (progress, cancel) = (progress.clone(), cancel.clone());
    Progress::new(move |step| {
        if !cancel.is_asked() {
            progress.report(step.share, &step.words);
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_that_comes_back_is_taken_and_work_that_does_not_is_left() {
        let cancel = Cancel::new();
        assert_eq!(or_leave(&cancel, || 7), Ok(7));
        let (hold, held) = std::sync::mpsc::channel::<()>();
        cancel.cancel();
        // comes back only when `hold` is dropped, which is after it was left
        assert_eq!(or_leave(&cancel, move || held.recv().is_ok()), Err(Cancelled));
        drop(hold);
        assert_eq!(or_leave(&cancel, || 8), Ok(8), "what is quick enough is taken even so");
    }
}
