//! Mustering and changing units, as it is asked.

use super::{Standing, is_false, is_none};
use serde::{Deserialize, Serialize};

/// Mustering a unit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Muster {
    /// Its name.
    pub unit: String,
    /// Its side.
    pub side: String,
    /// Its troop class.
    pub class: String,
    /// Its men; 0 for a single.
    #[serde(default, skip_serializing_if = "is_none")]
    pub men: u32,
    /// The hits of a single.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hits: Option<u32>,
    /// Its grade; none for the rules' usual one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grade: Option<String>,
    /// Whether it has long spears.
    #[serde(default, skip_serializing_if = "is_false")]
    pub spears: bool,
    /// Its missile weapon.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weapon: Option<String>,
    /// Its front rank in figures.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub frontage: Option<u32>,
    /// The leader attached to it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leader: Option<String>,
    /// The dice that he adds; none for as many as the rules say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub might: Option<u32>,
    /// The wounds with the last of which he falls; none for one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wounds: Option<u32>,
    /// Whether he is the general of his side.
    #[serde(default, skip_serializing_if = "is_false")]
    pub general: bool,
    /// Whether he is spared: out of the fight instead of falling.
    #[serde(default, skip_serializing_if = "is_false")]
    pub spare: bool,
}

/// A setting that can be changed, or taken away.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Setting<T> {
    /// It becomes this.
    To(T),
    /// There is none any more.
    None,
}

/// Changing a unit: what is not given stays.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Change {
    /// Its name.
    pub unit: String,
    /// A new name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rename: Option<String>,
    /// Another side.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub side: Option<String>,
    /// Another troop class.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub class: Option<String>,
    /// The men it has now.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub men: Option<u32>,
    /// Another grade.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grade: Option<String>,
    /// Whether it has long spears.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spears: Option<bool>,
    /// Its missile weapon.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weapon: Option<Setting<String>>,
    /// Its front rank in figures.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub frontage: Option<Setting<u32>>,
    /// The leader attached to it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub leader: Option<Setting<String>>,
    /// The dice that its leader adds.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub might: Option<u32>,
    /// The wounds with the last of which its leader falls.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wounds: Option<u32>,
    /// Whether its leader is the general of his side.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub general: Option<bool>,
    /// Whether its leader is spared: out of the fight instead of falling.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spare: Option<bool>,
    /// How it stands.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub standing: Option<Standing>,
}

impl Muster {
    /// A plain unit: nothing is said of it that may be left out.
    pub fn new(
        unit: impl Into<String>,
        side: impl Into<String>,
        class: impl Into<String>,
        men: u32,
    ) -> Self {
        Self {
            unit: unit.into(),
            side: side.into(),
            class: class.into(),
            men,
            hits: None,
            grade: None,
            spears: false,
            weapon: None,
            frontage: None,
            leader: None,
            might: None,
            wounds: None,
            general: false,
            spare: false,
        }
    }
}
