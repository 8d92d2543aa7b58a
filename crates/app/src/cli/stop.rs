//! Ctrl-C: work is asked to stop, and the program ends with 130 once nothing half-done is left.

use crate::failure::{Failure, Kind};
use numerics::{Cancel, leave};

/// Whether a person has asked the program to stop.
#[derive(Debug, Clone, Default)]
pub struct Stop(Cancel);

impl Stop {
    /// Listens for Ctrl-C from now on.
    ///
    /// # Errors
    /// When the system does not let the program listen.
    pub fn listen() -> Result<Self, Failure> {
        let stop = Self::default();
        let flag = stop.0.clone();
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().map_err(Failure::machine)?;
        std::thread::spawn(move || {
            runtime.block_on(async {
                if tokio::signal::ctrl_c().await.is_ok() {
                    flag.cancel();
                }
            });
        });
        Ok(stop)
    }

    /// Goes on, or ends with "stopped".
    ///
    /// # Errors
    /// When a person has asked to stop.
    pub fn check(&self) -> Result<(), Failure> {
        if self.asked() { Err(Self::stopped()) } else { Ok(()) }
    }

    /// Runs work of which nothing is left over when a person stops it; it is left behind when it does not look at the flag soon.
    ///
    /// # Errors
    /// Those of the work, and "stopped" when a person has asked.
    pub fn or_leave<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> Result<T, Failure> + Send + 'static,
    ) -> Result<T, Failure> {
        let done = leave::or_leave(&self.0, work);
        self.check()?;
        done.unwrap_or_else(|_| Err(Self::stopped()))
    }

    /// Whether a person has asked to stop.
    pub fn asked(&self) -> bool {
        self.0.is_asked()
    }

    /// The flag, for work that looks at it by itself.
    pub fn flag(&self) -> &Cancel {
        &self.0
    }

    /// The end of work that a person stopped.
    pub fn stopped() -> Failure {
        Failure::new(Kind::Stopped, "stopped")
    }
}
