//! The lines of an export: a header, the rules file, events, and an end.

use crate::digest::Digest;
use crate::fair::check::Difference;
use crate::protocol::Recorded;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

/// The version of the export that this release writes and reads.
pub const EXPORT: u32 = 1;

/// The first line of an export.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Header {
    /// The export's version, [`EXPORT`].
    pub drumhead_export: u32,
    /// The battle's id.
    pub battle: String,
    /// Its name.
    pub name: String,
    /// How many events follow.
    pub events: u64,
    /// The SHA-256 of the last of them.
    pub head: Digest,
}

/// A rules file in an export.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RulesLine {
    /// Its name.
    pub rules: String,
    /// Its SHA-256.
    pub sha256: Digest,
    /// The whole file.
    pub text: String,
}

/// The last line of an export.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EndLine {
    /// What the export held.
    pub end: End,
}

/// What an export held.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct End {
    /// How many events.
    pub events: u64,
    /// The SHA-256 of the last of them.
    pub head: Digest,
}

/// What a line of an export was, once it held.
#[derive(Debug)]
#[allow(clippy::large_enum_variant, reason = "nearly every line is an event")]
pub enum ExportLine {
    /// The header.
    Header(Header),
    /// A rules file.
    Rules(RulesLine),
    /// An event.
    Event(Recorded),
    /// The end.
    End,
}

/// What a line that is no event holds, if it is spelled as exports are: every checker then agrees
/// on what it says.
///
/// # Errors
/// If it holds something else, or is spelled in another way.
pub fn as_written<T>(what: &str, expected: &str, line: &str) -> Result<T, Difference>
where
    T: Serialize + DeserializeOwned,
{
    let held: T =
        serde_json::from_str(line).map_err(|error| Difference::new(what, &expected, &error))?;
    if serde_json::to_string(&held).is_ok_and(|written| written == line) {
        return Ok(held);
    }
    let start: String = line.chars().take(80).collect();
    Err(Difference::new(what, &"no spaces, and keys and signs as exports spell them", &start))
}
