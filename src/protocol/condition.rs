//! Conditions: circumstances that stand on a unit, on a side or on the whole battle, until they are
//! lifted or until a turn ends.

use super::Who;
use crate::rules::Effects;
use serde::{Deserialize, Serialize};

/// On what a condition stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Reach {
    /// A unit, by its name.
    Unit(String),
    /// Every unit of a side.
    Side(String),
    /// Every unit of the battle.
    Battle,
}

/// A condition that stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Condition {
    /// Its name.
    pub name: String,
    /// On what it stands.
    pub on: Reach,
    /// What it does.
    pub effects: Effects,
    /// The turn with whose end it ends; none if it stands until it is lifted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<u32>,
    /// Why it was set, where that was said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// Who set it.
    pub by: Who,
}

/// Setting a condition.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ConditionAsk {
    /// Its name: one of the rules, or a new one if it is made up.
    pub name: String,
    /// On what it is to stand.
    pub on: Reach,
    /// Turns that it stands for, this one counted; none until it is lifted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turns: Option<u32>,
    /// What it does, if it is made up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub effects: Option<Effects>,
    /// Why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}
