//! A throw for a unit's nerve: in morale, and when it rallies.

use super::Cause;
use serde::{Deserialize, Serialize};

/// A throw for a unit's nerve, and what it comes to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Nerve {
    /// The faces.
    pub faces: Vec<u32>,
    /// What is added, term by term.
    pub terms: Vec<Term>,
    /// The sum of it all.
    pub score: i32,
}

/// One term of a score.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Term {
    /// Why.
    pub cause: MoraleCause,
    /// How much.
    pub by: i32,
}

/// Why a score of nerve goes up or down.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MoraleCause {
    /// Its grade.
    Grade,
    /// A leader is attached and standing.
    Leader,
    /// So many full quarters of its muster strength are lost.
    Quarters(u32),
    /// It lost more than it killed.
    LostMore,
    /// Its side is outnumbered by this much or more.
    Outnumbered {
        /// The other side's share.
        theirs: u32,
        /// Its own side's share.
        ours: u32,
    },
    /// A unit of its side in the melee was destroyed this round, or fled in the round before.
    Comrade,
    /// It stands deep.
    Deep,
    /// Its leader fell in single combat.
    Duel,
    /// A circumstance that moves its nerve.
    Circumstance(Cause),
}
