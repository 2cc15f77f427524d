//! The procedures: who fights, circumstances, dice, kills, leaders, single combat, morale, rally,
//! shooting, harm.
//!
//! All of it is pure: a procedure reads the rules and the field, asks [`Dice`] for faces one
//! throw at a time, and returns a ruling as data. The odds run this same code.

mod circumstances;
mod clash;
mod contact;
pub mod duel;
pub mod fighting;
mod harm;
pub mod leaders;
mod losses;
mod melee;
pub mod morale;
mod rally;
mod round;
mod shooting;
pub mod strike;
mod tally;
mod throwing;

pub use clash::{Clash, Met};
pub use contact::{Attack, Contact, ContactRound};
pub use duel::SingleCombat;
pub use harm::{harm, nerve};
pub use losses::{Balance, Loss, RoundLosses};
pub use melee::{Aftermath, Combatant, Led, Melee};
pub use rally::rally;
pub use shooting::shoot;
pub use tally::Tally;
pub use throwing::Throwing;

use crate::protocol::ThrowPurpose;

/// Where faces come from.
pub trait Dice {
    /// Throws `dice` dice of `sides` sides together.
    fn throw(&mut self, what: ThrowPurpose<'_>, dice: u32, sides: u32) -> Vec<u32>;
}

#[cfg(test)]
mod tests;
