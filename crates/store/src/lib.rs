//! The shop's data in one folder: job cards, patterns and shop settings with all their revisions, photos, minutes
//! really taken, documents sent, stops lifted; backup and restore.
//!
//! Holds: a call that writes returns after its commit is on the disk; what was acknowledged survives the end of the
//! process at any moment. Nothing that was committed is ever changed or deleted, the database itself refuses it.
//! Several processes may use one folder at once; only a restore needs it alone.
//! Does not hold: protection from someone who edits the database with another program; secrecy (the data is not
//! encrypted); folders on network drives whose file system ignores locks.
//! The store knows nothing of what a card says: a content is JSON, with a heading that the caller derives from it.
//! Calls block; a server runs them on threads that may wait. Times come from the caller, no clock is read.

mod actuals;
mod backup;
mod bundle;
mod canonical;
mod changes;
mod database;
mod error;
mod folder;
mod ids;
mod issued;
mod limits;
mod photos;
mod readers;
mod records;
mod restore;
mod search;
mod stops;
mod store;
mod time;
mod writer;

pub use actuals::ActualTime;
pub use backup::{Contents, Existing, backup};
pub use bundle::{BundledPhoto, JobBundle};
pub use changes::{FieldChange, changes, describe};
pub use database::FORMAT_VERSION;
pub use error::{Result, StoreError};
pub use folder::{Claim, DataFolder, ServerClaim};
pub use ids::{JobId, LiftedStopId, PatternId, PhotoId, RevisionId};
pub use issued::{IssuedDocument, Sending};
pub use limits::FILE_LIMIT_BYTES;
pub use photos::{NewPhoto, Photo, PhotoLink};
pub use records::{Committed, Edit, Heading, Listed, Record, RevisionKind, RevisionLine, Signed, Steps, Subject};
pub use restore::{Restored, restore};
pub use stops::{LiftedStop, Lifter, Lifting};
pub use store::{Options, Store};
