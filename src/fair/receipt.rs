//! All that is needed to check one roll.

use crate::digest::Digest;
use serde::{Deserialize, Serialize};

/// One roll's receipt: one JSON object, on one line in a battle's receipts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Receipt {
    /// The number of its battle's [`super::Protocol`].
    pub protocol: u32,
    /// Link 0 of the chain in use.
    pub anchor: Digest,
    /// The roll's number, counted through the battle from 1.
    pub roll: u32,
    /// The link this roll discloses.
    pub link: Digest,
    /// The statement's text.
    pub statement: String,
    /// The throws, in the order in which they were drawn.
    pub throws: Vec<Throw>,
}

/// Dice thrown together for one purpose.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Throw {
    /// What they are for.
    #[serde(rename = "for")]
    pub purpose: String,
    /// Sides of each die.
    pub sides: u32,
    /// The faces, in the order in which they were drawn.
    pub faces: Vec<u32>,
}
