//! A battle as data: its scale, its sides and units, folded from its record of events.
//!
//! [`Battle::apply`] takes one event after another; nothing else changes a battle.
//! What can be asked and what is recorded have their shapes in [`crate::protocol`].

pub mod conditions;
mod described;
mod effects;
mod field;
mod fold;
pub mod gate;
mod hint;
mod known;
pub mod led;
mod mistake;
pub mod muster;
mod names;
mod particulars;
mod together;

pub use described::{clash, dice_in_order};
pub use field::{Engagement, Field, FreeLeader, Held, Pending, joined};
pub use fold::{Appointment, Battle, ChainState, FieldChange, FoldError, GivenWord, UNDO_REACH};
pub use hint::{Given, Hint, Told};
pub use mistake::{Mistake, TwoSides};
pub use names::{find, fold_case, is_name, is_text, look_alike, same_name};
