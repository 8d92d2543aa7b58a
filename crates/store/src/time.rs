//! Times as the database keeps them: whole microseconds since 1970, UTC. Finer digits are dropped.

use jiff::Timestamp;

use crate::StoreError;
use crate::error::Result;

pub(crate) fn to_us(at: Timestamp) -> i64 {
    at.as_microsecond()
}

pub(crate) fn from_us(us: i64) -> Result<Timestamp> {
    Timestamp::from_microsecond(us).map_err(|_| StoreError::damaged(format!("{us} µs is not a time")))
}
