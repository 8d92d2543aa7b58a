//! What a card waits for: the words of the rack.

use job::file::{Decision, Job, Pattern, Role, Section};

/// What a card waits for, in the order of the shelf.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Waits {
    /// Sizes are missing.
    ForMeasurements,
    /// A try-on has gone out.
    ForTryOnReply,
    /// Everything is measured; the quote has not gone out.
    ReadyToQuote,
    /// The customer has the quote.
    Quoted,
    /// The customer has said yes.
    ReadyToCut,
    /// Being made.
    OnTheBench,
    /// Gone.
    Sent,
    /// Declined, with what to do instead.
    Declined,
}

impl Waits {
    /// In the order of the shelf.
    pub const ALL: [Self; 8] = [
        Self::ForMeasurements,
        Self::ForTryOnReply,
        Self::ReadyToQuote,
        Self::Quoted,
        Self::ReadyToCut,
        Self::OnTheBench,
        Self::Sent,
        Self::Declined,
    ];

    /// As the rack says it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::ForMeasurements => "waits for measurements",
            Self::ForTryOnReply => "waits for a try-on reply",
            Self::ReadyToQuote => "ready to quote",
            Self::Quoted => "quoted",
            Self::ReadyToCut => "ready to cut",
            Self::OnTheBench => "on the bench",
            Self::Sent => "sent",
            Self::Declined => "declined",
        }
    }

    /// What a person has said and the job file cannot know.
    pub const SAID: [Self; 5] = [Self::ForTryOnReply, Self::Quoted, Self::ReadyToCut, Self::OnTheBench, Self::Sent];

    /// Reads the words back.
    pub fn from_words(words: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|waits| waits.words() == words)
    }

    /// What a job waits for, given what it waited for before.
    pub fn of(job: &Job, before: Option<Self>) -> Self {
        let declined = |section: &Section| matches!(section.decision, Decision::Decline { .. });
        if !job.sections.is_empty() && job.sections.iter().all(declined) {
            return Self::Declined;
        }
        if job.sections.is_empty() || job.sections.iter().any(|section| !is_measured(job, section)) {
            return Self::ForMeasurements;
        }
        match before {
            Some(Self::ForTryOnReply) if job.sections.iter().any(|section| section.try_on_reply.is_some()) => {
                Self::ReadyToQuote
            }
            Some(said) if Self::SAID.contains(&said) => said,
            _ => Self::ReadyToQuote,
        }
    }
}

/// Whether every measurement that sizes the pieces of a section has a reading.
fn is_measured(job: &Job, section: &Section) -> bool {
    if section.decision != Decision::Make {
        return true;
    }
    match pattern_of(job, section) {
        Some(pattern) => sizing(pattern).all(|id| section.measured.contains_key(id)),
        None => !section.pieces.is_empty(),
    }
}

/// The pattern a section is made from.
pub fn pattern_of<'a>(job: &'a Job, section: &Section) -> Option<&'a Pattern> {
    let wanted = section.from_pattern.as_ref()?;
    job.patterns.iter().find(|pattern| pattern.id == wanted.id)
}

/// Ids of the measurements that size the pieces of a pattern.
fn sizing(pattern: &Pattern) -> impl Iterator<Item = &str> {
    let sizes = pattern.measurements.iter().filter(|measurement| measurement.role != Role::Check);
    sizes.map(|measurement| measurement.id.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_read_back() {
        for waits in Waits::ALL {
            assert_eq!(Waits::from_words(waits.words()), Some(waits));
        }
        assert_eq!(Waits::from_words("lost"), None);
    }
}
