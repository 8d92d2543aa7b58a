//! The one translation of errors at the border, shared by command line and web app.
//!
//! Library crates say what is wrong; a [`Failure`] adds what kind of trouble it is (exit code, HTTP status) and what to
//! do next.

use std::fmt;

/// Kind of trouble: decides exit code and HTTP status.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Input that cannot be accepted.
    BadInput,
    /// No such card, piece or file.
    NotFound,
    /// Somebody else changed it meanwhile.
    Stale,
    /// The answer is "do not make this": an open stop.
    DoNotMake,
    /// Not allowed from here: foreign page, missing pairing.
    Refused,
    /// Beyond a limit of size.
    TooLarge,
    /// A person stopped it.
    Stopped,
    /// The machine failed: disk, network, the program itself.
    Machine,
}

/// An error ready for a reader: what and where, what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failure {
    /// What kind.
    pub kind: Kind,
    /// What is wrong and where, one line.
    pub message: String,
    /// What to do, one line each.
    pub hints: Vec<String>,
    /// Path of the field it belongs to, where it belongs to one.
    pub field: Option<String>,
}

impl Failure {
    /// A failure without hints.
    pub fn new(kind: Kind, message: impl Into<String>) -> Self {
        Self { kind, message: message.into(), hints: Vec::new(), field: None }
    }

    /// Input that cannot be accepted.
    pub fn bad_input(message: impl Into<String>) -> Self {
        Self::new(Kind::BadInput, message)
    }

    /// Something asked for that is not there.
    pub fn not_found(message: impl Into<String>) -> Self {
        Self::new(Kind::NotFound, message)
    }

    /// A fault of the machine or of the program.
    pub fn machine(message: impl fmt::Display) -> Self {
        Self::new(Kind::Machine, message.to_string())
    }

    /// Adds what to do.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hints.push(hint.into());
        self
    }

    /// Names the field.
    #[must_use]
    pub fn at_field(mut self, field: impl Into<String>) -> Self {
        self.field = Some(field.into());
        self
    }

    /// Puts words before the message ("examples/a.toml: …").
    #[must_use]
    pub fn in_place(mut self, place: impl fmt::Display) -> Self {
        self.message = format!("{place}: {}", self.message);
        self
    }

    /// Exit code of the command line: 2 bad input, 3 do not make this, 130 stopped, 1 the machine failed.
    pub const fn exit_code(&self) -> u8 {
        match self.kind {
            Kind::BadInput | Kind::NotFound | Kind::Stale | Kind::Refused | Kind::TooLarge => 2,
            Kind::DoNotMake => 3,
            Kind::Stopped => 130,
            Kind::Machine => 1,
        }
    }

    /// HTTP status.
    pub const fn status(&self) -> u16 {
        match self.kind {
            Kind::BadInput => 422,
            Kind::NotFound => 404,
            Kind::Stale | Kind::DoNotMake | Kind::Stopped => 409,
            Kind::Refused => 403,
            Kind::TooLarge => 413,
            Kind::Machine => 500,
        }
    }
}

impl fmt::Display for Failure {
    /// One line: the message, then what to do.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)?;
        for hint in &self.hints {
            write!(f, "; {hint}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Failure {}

impl From<units::UnitError> for Failure {
    fn from(error: units::UnitError) -> Self {
        Self::bad_input(error.to_string())
    }
}

impl From<store::StoreError> for Failure {
    fn from(error: store::StoreError) -> Self {
        use store::StoreError as E;
        let kind = match &error {
            E::Stale { .. } => Kind::Stale,
            E::NotFound { .. } => Kind::NotFound,
            E::TooLarge { .. } => Kind::TooLarge,
            E::Stopped => Kind::Stopped,
            E::Io { .. } | E::DiskFull | E::Damaged { .. } | E::WriterFailed | E::Database(_) => Kind::Machine,
            _ => Kind::BadInput,
        };
        let failure = Self::new(kind, error.to_string());
        match kind {
            Kind::Stale => failure.hint("nothing of yours was written: load the card again and make the change on it"),
            _ => failure,
        }
    }
}

impl From<packet::PacketError> for Failure {
    fn from(error: packet::PacketError) -> Self {
        Self::bad_input(error.to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_failure_is_one_line_with_what_to_do() {
        let failure =
            Failure::bad_input("height is 0 mm; more than zero is accepted").hint("measure again").in_place("job.toml");
        assert_eq!(failure.to_string(), "job.toml: height is 0 mm; more than zero is accepted; measure again");
        assert_eq!((failure.exit_code(), failure.status()), (2, 422));
        assert_eq!(Failure::new(Kind::DoNotMake, "stop").exit_code(), 3);
        assert_eq!(Failure::new(Kind::Stopped, "stopped").exit_code(), 130);
    }
}
