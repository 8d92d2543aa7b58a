//! Progress of long work on a terminal: one line on stderr that is written over; nothing where stderr is no terminal.

use numerics::Progress;
use std::io::{IsTerminal, Write};
use std::sync::Mutex;

/// Least step that is worth a new line: 1 %.
const STEP: f64 = 0.01;

/// Progress that is shown while it goes, for the command named.
pub fn shown(command: &'static str) -> Progress {
    if !std::io::stderr().is_terminal() {
        return Progress::silent();
    }
    let last = Mutex::new((-1.0, String::new()));
    Progress::new(move |step| {
        let Ok(mut last) = last.lock() else { return };
        if step.share < 1.0 && step.share - last.0 < STEP && step.words == last.1 {
            return;
        }
        // "\r" and "clear to the end of the line" (ECMA-48, EL)
        let _ = write!(std::io::stderr(), "\r{command}: {:3.0} % {}\x1b[K", 100.0 * step.share, step.words);
        *last = (step.share, step.words);
    })
}

/// Clears the line again.
pub fn clear() {
    if std::io::stderr().is_terminal() {
        let _ = write!(std::io::stderr(), "\r\x1b[K");
    }
}
