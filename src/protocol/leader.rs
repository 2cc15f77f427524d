//! A leader: how well he fights, what he can take, and where he stands.

use super::is_false;
use serde::{Deserialize, Serialize};

/// A leader. What is as usual is left out of the record, so that a plain one is his name alone.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(clippy::struct_excessive_bools, reason = "each is a plain yes or no of the record")]
pub struct Leader {
    /// His name.
    pub name: String,
    /// The dice he adds; none for as many as the rules say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub might: Option<u32>,
    /// The wounds with the last of which he falls.
    #[serde(default = "one", skip_serializing_if = "is_one")]
    pub wounds: u32,
    /// The wounds he has taken.
    #[serde(default, skip_serializing_if = "super::is_none")]
    pub taken: u32,
    /// Whether he holds back.
    #[serde(default, skip_serializing_if = "is_false")]
    pub back: bool,
    /// Whether his place was chosen this turn.
    #[serde(default, skip_serializing_if = "is_false")]
    pub placed: bool,
    /// Whether he fought another leader this turn.
    #[serde(default, skip_serializing_if = "is_false")]
    pub fought: bool,
    /// Whether he is out of the fight, instead of falling.
    #[serde(default, skip_serializing_if = "is_false")]
    pub spared: bool,
    /// Whether he is the general of his side.
    #[serde(default, skip_serializing_if = "is_false")]
    pub general: bool,
}

/// What a throw for a leader comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fate {
    /// He is not hit.
    Unhurt,
    /// He is hit, and can take it.
    Wounded,
    /// He falls.
    Falls,
    /// He is spared: out of the fight until the battle's end.
    Out,
}

impl Leader {
    /// A plain leader.
    pub fn new(name: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            might: None,
            wounds: 1,
            taken: 0,
            back: false,
            placed: false,
            fought: false,
            spared: false,
            general: false,
        }
    }

    /// The wounds he can still take, with the last of which he falls.
    pub const fn left(&self) -> u32 {
        self.wounds.saturating_sub(self.taken)
    }

    /// What comes of so many wounds.
    pub const fn fate(&self, wounds: u32) -> Fate {
        match wounds {
            0 => Fate::Unhurt,
            wounds if wounds < self.left() => Fate::Wounded,
            _ if self.spared => Fate::Out,
            _ => Fate::Falls,
        }
    }
}

/// A plain leader of that name.
impl<N: Into<String>> From<N> for Leader {
    fn from(name: N) -> Self {
        Self::new(name)
    }
}

impl Fate {
    /// Whether he leads nobody any more.
    pub const fn is_gone(self) -> bool {
        matches!(self, Self::Falls | Self::Out)
    }
}

const fn one() -> u32 {
    1
}

#[allow(clippy::trivially_copy_pass_by_ref, reason = "serde asks with a reference")]
const fn is_one(count: &u32) -> bool {
    *count == 1
}
