//! A contact resolved: its two throws and what it does to nerve, each with its circumstances.

use crate::protocol::{Circumstance, ContactAsk, Holder};
use crate::rules::Matchup;

/// In which of a contact's rounds a throw is made, as far as anything may go by it.
///
/// It holds no number: the odds of a fight to the finish work out the first round and one that
/// stands for all after it. A further variant has to be given rounds of its own there, and the
/// compiler says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ContactRound {
    /// Its first.
    First,
    /// Any after it.
    Later,
}

impl ContactRound {
    /// What round `round`, from 1, is.
    pub const fn of(round: u32) -> Self {
        if round <= 1 { Self::First } else { Self::Later }
    }
}

/// A contact of a melee.
#[derive(Debug, Clone)]
pub struct Contact {
    /// What was asked, with full names.
    pub ask: ContactAsk,
    /// Its own round, from 1: only for people to read.
    pub round: u32,
    /// Whether the asking side's unit struck when the contact was made, and the other's.
    pub roles: [Holder; 2],
    /// The throw of the asking side's unit, then that of the other.
    pub attacks: [Attack; 2],
    /// What it does to the nerve of the asking side's unit, then to that of the other.
    pub nerve: [Vec<Circumstance>; 2],
}

/// One of the two throws of a contact, before its dice; how many these are, `throwing` finds.
#[derive(Debug, Clone)]
pub struct Attack {
    /// Who throws: a place among the combatants.
    pub by: usize,
    /// At whom: a place among the combatants.
    pub at: usize,
    /// What moves the throw along the ladder, and what was expected to and does not.
    pub circumstances: Vec<Circumstance>,
    /// The matchup that those which count lead to.
    pub matchup: Matchup,
}
