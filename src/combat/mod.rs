//! The procedures: who fights, steps, dice, kills, leaders, morale, rally, shooting.
//!
//! All of it is pure: a procedure reads the rules and the field, asks [`Dice`] for faces one
//! throw at a time, and returns a ruling as data. The odds run this same code.

mod bout;
pub mod fighting;
pub mod leaders;
mod melee;
pub mod morale;
mod rally;
mod shooting;
mod steps;
pub mod strike;
mod tally;

pub use bout::{Bout, Contact, Fighter, Throw};
pub use rally::rally;
pub use shooting::shoot;
pub use tally::Tally;

/// Where faces come from.
pub trait Dice {
    /// Throws `dice` dice of `sides` sides together.
    fn throw(&mut self, what: What<'_>, dice: u32, sides: u32) -> Vec<u32>;
}

/// What a throw is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What<'a> {
    /// One unit strikes another in a melee.
    Strike {
        /// Who throws.
        by: &'a str,
        /// At whom.
        at: &'a str,
    },
    /// One unit shoots at another.
    Shot {
        /// Who shoots.
        by: &'a str,
        /// At whom.
        at: &'a str,
    },
    /// A leader at risk.
    Leader(&'a str),
    /// A unit's morale.
    Morale(&'a str),
    /// A unit's rally.
    Rally(&'a str),
    /// Anything else, as it was asked.
    Other(&'a str),
}

#[cfg(test)]
mod tests;
