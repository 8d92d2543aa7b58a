//! The shop's data as the program uses it: job cards, patterns and settings, read from and written to the store.
//!
//! The store keeps JSON and knows nothing of jobs; this module reads it as a job, sets fields, and says in the heading
//! what the rack shows. This is where the clock is read.

use crate::demo;
use crate::failure::Failure;
use crate::field;
use crate::waiting::Waits;
use job::file::{Job, Pattern};
use serde::Deserialize as _;
use serde_json::Value;
use shop::ShopSettings;
use std::path::PathBuf;
use store::{
    Committed, DataFolder, Edit, Heading, JobId, Options, PatternId, RevisionId, RevisionLine, Signed, Store,
    StoreError, Subject,
};

/// Note in the store that the demo was added once; a shop that deletes nothing still decides for itself.
const DEMO_NOTE: &str = "demo";

/// The open data of a shop.
#[derive(Debug)]
pub struct ShopData {
    /// The store underneath.
    pub store: Store,
}

/// A job card as it stands at one revision.
#[derive(Debug, Clone)]
pub struct Card {
    /// Its id.
    pub id: JobId,
    /// The revision.
    pub revision: RevisionLine,
    /// What a person said or measured.
    pub job: Job,
    /// The same as the store keeps it.
    pub body: Value,
    /// What it waits for.
    pub waits: Option<Waits>,
}

/// One field to set: path and text as typed.
#[derive(Debug, Clone, PartialEq, Eq, serde::Deserialize)]
pub struct Change {
    /// Path of the field.
    pub path: String,
    /// Text as typed.
    pub value: String,
}

/// The folder used when none is named: the platform's own place for a program's data.
///
/// # Errors
/// When the system names no such place.
pub fn default_folder() -> Result<PathBuf, Failure> {
    let places = directories::ProjectDirs::from("", "", "soundmetal");
    let folder = places.map(|places| places.data_dir().to_path_buf());
    folder.ok_or_else(|| Failure::machine("this system names no folder for data").hint("name one with --data DIR"))
}

/// Signs a change now.
pub fn signed(who: &str) -> Signed {
    Signed { who: who.to_owned(), at: jiff::Timestamp::now() }
}

/// Today as the job file writes it.
pub fn today() -> String {
    jiff::ZonedDateTime::now().date().to_string()
}

impl ShopData {
    /// Opens a folder's data, and puts the demo into data that never had anything.
    ///
    /// # Errors
    /// As the store.
    pub fn open(folder: DataFolder) -> Result<Self, Failure> {
        Self::open_with(folder, true)
    }

    /// Opens a folder's data; data that never had anything gets the demo, or stays empty for good.
    ///
    /// # Errors
    /// As the store.
    pub fn open_with(folder: DataFolder, demo: bool) -> Result<Self, Failure> {
        let options = Options { app_version: env!("CARGO_PKG_VERSION").to_owned(), readers: 4 };
        let data = Self { store: Store::open(folder, options)? };
        if data.store.meta(DEMO_NOTE)?.is_none() {
            if demo {
                data.add_demo()?;
            }
            data.store.set_meta(DEMO_NOTE, if demo { "added" } else { "not wanted" })?;
        }
        Ok(data)
    }

    fn add_demo(&self) -> Result<(), Failure> {
        let settings = demo::shop()?;
        let body = serde_json::to_value(&settings).map_err(Failure::machine)?;
        let heading = Heading { title: settings.name.clone(), ..Heading::default() };
        self.store.create_shop(Edit { body, heading, what: None }, signed("demo"))?;
        for pattern in demo::patterns()? {
            self.keep_pattern(&pattern, "demo")?;
        }
        for demo::DemoCard { job, said } in demo::cards()? {
            self.create(&job, said, "demo")?;
        }
        Ok(())
    }

    /// Makes a card.
    ///
    /// # Errors
    /// A number that is taken.
    pub fn create(&self, job: &Job, said: Option<Waits>, who: &str) -> Result<(JobId, Committed), Failure> {
        let body = serde_json::to_value(job).map_err(Failure::machine)?;
        let edit = Edit { body, heading: heading(job, said), what: None };
        Ok(self.store.create_job(edit, signed(who))?)
    }

    /// Reads a card as it stands now.
    ///
    /// # Errors
    /// No such card; a card that this version cannot read.
    pub fn card(&self, id: JobId) -> Result<Card, Failure> {
        let record = self.store.current(id)?;
        read_card(id, record)
    }

    /// Reads a card as it stood after one of its revisions.
    ///
    /// # Errors
    /// As [`ShopData::card`].
    pub fn card_at(&self, id: JobId, revision: RevisionId) -> Result<Card, Failure> {
        read_card(id, self.store.at_revision(Subject::Job(id), revision)?)
    }

    /// Sets fields of a card, all or none.
    ///
    /// # Errors
    /// A field that does not exist or a value that cannot be read, with its field; a base that is no longer current.
    pub fn change(&self, id: JobId, base: RevisionId, changes: &[Change], who: &str) -> Result<Committed, Failure> {
        let card = self.card(id)?;
        let (mut body, mut job) = (card.body, card.job);
        for change in changes {
            field::set(&mut body, &change.path, &change.value)?;
            // Read after each field, so that a text that cannot be read is named by its own field.
            job = read_job(&body).map_err(|failure| failure.at_field(&change.path))?;
        }
        self.commit(id, base, &job, card.waits, who)
    }

    /// Writes a whole job.
    ///
    /// # Errors
    /// A base that is no longer current; a number that is taken.
    pub fn commit(
        &self,
        id: JobId,
        base: RevisionId,
        job: &Job,
        said: Option<Waits>,
        who: &str,
    ) -> Result<Committed, Failure> {
        let body = serde_json::to_value(job).map_err(Failure::machine)?;
        let edit = Edit { body, heading: heading(job, said), what: None };
        Ok(self.store.commit(id, base, edit, signed(who))?)
    }

    /// Keeps a pattern on the shelf unless one of that name is there.
    ///
    /// # Errors
    /// As the store.
    pub fn keep_pattern(&self, pattern: &Pattern, who: &str) -> Result<(), Failure> {
        if self.pattern(&pattern.id)?.is_some() {
            return Ok(());
        }
        let body = serde_json::to_value(pattern).map_err(Failure::machine)?;
        let heading = Heading { title: pattern.title.clone(), vehicle: pattern.vehicle.clone(), ..Heading::default() };
        self.store.create_pattern(Edit { body, heading, what: None }, signed(who))?;
        Ok(())
    }

    /// The patterns on the shelf, first kept first.
    ///
    /// # Errors
    /// As the store.
    pub fn patterns(&self) -> Result<Vec<(PatternId, Pattern)>, Failure> {
        let mut listed = self.store.patterns()?;
        listed.sort_by_key(|pattern| pattern.id);
        listed.into_iter().map(|entry| Ok((entry.id, self.read_pattern(entry.id)?))).collect()
    }

    /// Finds a pattern by its own id.
    ///
    /// # Errors
    /// As the store.
    pub fn pattern(&self, name: &str) -> Result<Option<Pattern>, Failure> {
        Ok(self.patterns()?.into_iter().map(|(_, pattern)| pattern).find(|pattern| pattern.id == name))
    }

    fn read_pattern(&self, id: PatternId) -> Result<Pattern, Failure> {
        let body = self.store.current(id)?.body;
        serde_json::from_value(body).map_err(|error| Failure::machine(format!("pattern {id} cannot be read: {error}")))
    }

    /// The shop's settings.
    ///
    /// # Errors
    /// Settings that this version cannot read.
    pub fn settings(&self) -> Result<ShopSettings, Failure> {
        match self.store.current(Subject::Shop) {
            Ok(record) => serde_json::from_value(record.body)
                .map_err(|error| Failure::machine(format!("the shop's settings cannot be read: {error}"))),
            Err(StoreError::NotFound { .. }) => Ok(ShopSettings::default()),
            Err(error) => Err(error.into()),
        }
    }

    /// The next free job number of this year ("26-015").
    ///
    /// # Errors
    /// As the store.
    pub fn next_number(&self) -> Result<String, Failure> {
        let year = today().get(2..4).unwrap_or_default().to_owned();
        let used = self.store.jobs()?;
        let last = used
            .iter()
            .filter_map(|card| card.heading.number.strip_prefix(&format!("{year}-"))?.parse::<u32>().ok())
            .max();
        Ok(format!("{year}-{:03}", last.unwrap_or(0) + 1))
    }
}

fn read_card(id: JobId, record: store::Record) -> Result<Card, Failure> {
    let job = read_job(&record.body).map_err(|failure| failure.in_place(format!("job card {id}")))?;
    let waits = Waits::from_words(&record.heading.waiting_for);
    Ok(Card { id, revision: record.revision, job, body: record.body, waits })
}

fn read_job(body: &Value) -> Result<Job, Failure> {
    Job::deserialize(body).map_err(|error| Failure::bad_input(error.to_string()))
}

fn heading(job: &Job, said: Option<Waits>) -> Heading {
    Heading {
        number: job.number.clone(),
        title: job.title.clone(),
        customer: job.customer.name.clone(),
        vehicle: job.vehicle.name.clone(),
        waiting_for: Waits::of(job, said).words().to_owned(),
    }
}
