//! Identities of stored things. Numbers are given by the database, in order; a photo's identity is its content.

use std::fmt;
use std::str::FromStr;

use rusqlite::types::{FromSql, FromSqlError, FromSqlResult, ToSql, ToSqlOutput, ValueRef};
use serde::{Deserialize, Serialize};

use crate::StoreError;

macro_rules! number_id {
    ($(#[$meta:meta])* $name:ident) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub i64);

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }

        impl ToSql for $name {
            fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
                self.0.to_sql()
            }
        }

        impl FromSql for $name {
            fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
                i64::column_result(value).map(Self)
            }
        }
    };
}

number_id! {
    /// One job card.
    JobId
}
number_id! {
    /// One pattern: a surveyed panel kept for re-use.
    PatternId
}
number_id! {
    /// One revision of any card, pattern or of the shop's settings; unique in the whole store, later is larger.
    RevisionId
}
number_id! {
    /// One record of a lifted stop.
    LiftedStopId
}

/// A photo, named by the BLAKE3 hash of its bytes: the same file is the same photo.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PhotoId([u8; 32]);

impl PhotoId {
    /// The identity of a photo with these bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(*blake3::hash(bytes).as_bytes())
    }
}

impl fmt::Display for PhotoId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&blake3::Hash::from_bytes(self.0).to_hex())
    }
}

impl fmt::Debug for PhotoId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "PhotoId({self})")
    }
}

impl FromStr for PhotoId {
    type Err = StoreError;

    fn from_str(text: &str) -> Result<Self, StoreError> {
        blake3::Hash::from_hex(text).map(|hash| Self(*hash.as_bytes())).map_err(|_| StoreError::Invalid {
            field: "photo id",
            got: text.chars().take(80).collect(),
            need: "64 hexadecimal digits",
        })
    }
}

impl Serialize for PhotoId {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for PhotoId {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(serde::de::Error::custom)
    }
}

impl ToSql for PhotoId {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(ToSqlOutput::Borrowed(ValueRef::Blob(&self.0)))
    }
}

impl FromSql for PhotoId {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        value.as_blob()?.try_into().map(Self).map_err(|_| FromSqlError::InvalidType)
    }
}
