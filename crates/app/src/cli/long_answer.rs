//! A command that takes long: it can be stopped, shows how far it is, and writes its files whole and at the end.

use super::stop::Stop;
use super::whole_files::{self, WholeFile};
use super::{figures, progress};
use crate::failure::{Failure, Kind};
use handbook::Concern;
use numerics::Cancel;

/// What such a command leaves.
pub struct LongAnswer {
    /// Files, all or none.
    pub files: Vec<WholeFile>,
    /// What is printed.
    pub words: String,
    /// Why it must not be done.
    pub stop: Option<Concern>,
}

/// Does the work, writes and prints what it leaves; an open stop ends in `refused` ("do not make this").
pub fn run(
    refused: &str,
    work: impl FnOnce(&Cancel) -> Result<LongAnswer, Failure> + Send + 'static,
) -> Result<(), Failure> {
    let stop = Stop::listen()?;
    let cancel = stop.flag().clone();
    let answer = stop.or_leave(move || work(&cancel));
    progress::clear();
    let answer = answer?;
    whole_files::write(&answer.files)?;
    figures::print(&answer.words)?;
    match answer.stop {
        Some(stop) => {
            Err(Failure::new(Kind::DoNotMake, format!("{refused}: {}: {}; {}", stop.place, stop.what, stop.why))
                .hint(stop.what_to_do))
        }
        None => Ok(()),
    }
}
