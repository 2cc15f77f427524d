//! A battle as data: its scale, its sides and units, folded from its record of events.
//!
//! [`Battle::apply`] takes one event after another; nothing else changes a battle.
//! What can be asked is a [`Request`]; what was answered, the [`Body`] of an [`Event`].

mod described;
mod event;
mod field;
mod fold;
mod mistake;
pub mod muster;
mod names;
mod request;
mod ruling;
mod scale;
mod unit;

pub use described::{Amount, Described, clash};
pub use event::{Body, Event, EventError, FORM, Recorded};
pub use field::{Engagement, Field, FreeLeader, Held, Pending};
pub use fold::{Battle, ChainState, FieldChange, FoldError, UNDO_REACH};
pub use mistake::Mistake;
pub use names::{find, fold_case, same_name};
pub use request::{
    Change, ContactAsk, Cover, DiceAsk, Facing, Holder, MeleeAsk, Muster, Open, QuickAsk, Request,
    Setting, ShootAsk, ShotRange,
};
pub use ruling::{
    Cause, ContactRuling, LeaderTest, MeleeRuling, MoraleCause, MoraleTest, Outcome, PlainThrow,
    QuickRuling, Rally, RallyOutcome, Ruling, ShootingRuling, Step, Strike, Term, UnitResult,
};
pub use scale::{Scale, Strength};
pub use unit::{Standing, Unit};
