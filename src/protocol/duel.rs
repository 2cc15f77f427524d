//! Single combat between two leaders: how long it is agreed to last, and its ruling.

use super::{Condition, Fate, MoraleTest, is_false};
use serde::{Deserialize, Serialize};

/// Asking two leaders to fight each other.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct DuelAsk {
    /// The leaders, by name.
    pub leaders: [String; 2],
    /// How long they fight.
    #[serde(default)]
    pub to: DuelEnd,
    /// Whether the referee lets them meet, though their units are not in contact.
    #[serde(default, skip_serializing_if = "is_false")]
    pub meet: bool,
}

/// How long two leaders fight.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DuelEnd {
    /// To the first wound.
    #[default]
    Wound,
    /// For as many rounds as the rules say.
    Rounds,
    /// Until one of them falls.
    End,
}

/// A single combat.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct DuelRuling {
    /// The turn.
    pub turn: u32,
    /// How long they were to fight.
    pub to: DuelEnd,
    /// The two, in the order asked.
    pub duelists: [Duelist; 2],
    /// Its rounds.
    pub rounds: Vec<DuelRound>,
    /// The conditions that it sets.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub conditions: Vec<Condition>,
    /// The test of the unit whose leader fell.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub morale: Option<MoraleTest>,
}

/// One of two leaders who fight each other.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Duelist {
    /// His name.
    pub leader: String,
    /// His side.
    pub side: String,
    /// His unit; none if he stands alone.
    pub unit: Option<String>,
    /// What he adds to his dice.
    pub might: u32,
    /// The wounds that he could take at the start.
    pub before: u32,
    /// The wounds that he can still take.
    pub left: u32,
    /// What became of him.
    pub fate: Fate,
}

/// One round of a single combat.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct DuelRound {
    /// The faces of each.
    pub faces: [Vec<u32>; 2],
    /// The faces and the might of each, added up.
    pub scores: [u32; 2],
    /// The wounds that each takes.
    pub wounds: [u32; 2],
}
