//! Harm from elsewhere, and a test of nerve on demand: what is asked, and what is ruled.

use super::{DiceAsk, MoraleTest, UnitResult};
use serde::{Deserialize, Serialize};

/// Asking harm to a unit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct HarmAsk {
    /// The unit.
    pub unit: String,
    /// How much it is.
    pub how: HarmHow,
    /// Why.
    pub reason: String,
}

/// How much harm is done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HarmHow {
    /// Dice of the rules, each of which may kill a figure.
    Dice {
        /// How many, 1 to 200.
        dice: u32,
        /// The lowest face that kills.
        kills_on: u32,
    },
    /// As many men as these dice come to.
    MenThrown(Vec<DiceAsk>),
    /// So many men, 1 to 100,000; nothing is thrown.
    Men(u32),
    /// So many figures, or hits of a single, 1 to 1,000; nothing is thrown.
    Figures(u32),
}

/// Harm to one unit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct HarmRuling {
    /// The turn.
    pub turn: u32,
    /// What was asked, with full names.
    pub harm: HarmAsk,
    /// What was thrown for it, one entry for each kind of dice; empty if nothing was.
    pub thrown: Vec<HarmThrow>,
    /// What it did to the unit.
    pub target: UnitResult,
    /// The unit's morale test, if it lost enough for one, and has a figure and any nerve left.
    pub morale: Option<MoraleTest>,
}

/// Dice of one kind that were thrown for harm.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct HarmThrow {
    /// Sides of each.
    pub sides: u32,
    /// The faces.
    pub faces: Vec<u32>,
}

/// A test of nerve on demand.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct NerveRuling {
    /// The turn.
    pub turn: u32,
    /// Why.
    pub reason: String,
    /// The test.
    pub morale: MoraleTest,
}

impl HarmThrow {
    /// The sum of its faces.
    pub fn total(&self) -> u32 {
        self.faces.iter().sum()
    }
}
