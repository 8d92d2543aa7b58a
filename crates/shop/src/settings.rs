//! What the shop has set.

use handbook::bend::Rule;
use serde::{Deserialize, Serialize};
