//! The frozen room: everything that is hashed, or compared word for word when a battle is checked.
//!
//! Here are the shape of events and of all that they hold ([`Event`], [`Request`], [`Ruling`],
//! [`Unit`]), the labels of throws ([`ThrowPurpose`]), the one-line form of a request in a roll's
//! statement ([`request_line`]), and the texts that say who asked where ([`Who`], [`Place`],
//! [`RequestId`]). How dice are drawn from it all is in [`crate::fair`], and is frozen too.
//!
//! Each battle says in its opening which [`Protocol`] it is held to. What changes any byte that
//! comes out of this room, or any outcome that follows from it, is a new protocol: old battles keep
//! theirs. `tests/protocol/` holds battles of each, and every later release must find them to hold.

mod circumstance;
mod condition;
mod described;
mod duel;
mod event;
mod harm;
mod identity;
mod label;
mod leader;
mod line;
mod muster;
mod nerve;
mod request;
mod ruling;
mod scale;
mod unit;

pub use crate::fair::Protocol;
pub use crate::rules::{Effects, Key};
pub use circumstance::{Cause, Circumstance, Effect, Source, WhyNot};
pub use condition::{Condition, ConditionAsk, Reach};
pub use described::{Amount, Described};
pub use duel::{DuelAsk, DuelEnd, DuelRound, DuelRuling, Duelist};
pub use event::{Body, Event, EventError, Recorded, Roll};
pub use harm::{HarmAsk, HarmHow, HarmRuling, HarmThrow, NerveRuling};
pub use identity::{Appointee, NotAnIdentity, Office, Place, RequestId, Who};
pub use label::ThrowPurpose;
pub use leader::{Fate, Leader};
pub use line::{quote, request_line};
pub use muster::{Change, Muster, Setting};
pub use nerve::{MoraleCause, Nerve, Term};
pub use request::{
    ContactAsk, Cover, DiceAsk, Facing, Ground, Holder, MeleeAsk, Open, QuickAsk, Request,
    ShootAsk, ShotRange,
};
pub use ruling::{
    ContactRuling, LeaderTest, MeleeRuling, MoraleTest, Outcome, PlainThrow, QuickRuling,
    RallyOutcome, RallyRuling, Ruling, ShootingRuling, Shot, Strike, UnitResult,
};
pub use scale::{Abreast, Scale, Strength};
pub use unit::{Standing, Unit};
#[allow(clippy::trivially_copy_pass_by_ref, reason = "serde asks with a reference")]
const fn is_false(value: &bool) -> bool {
    !*value
}

#[allow(clippy::trivially_copy_pass_by_ref, reason = "serde asks with a reference")]
const fn is_none(count: &u32) -> bool {
    *count == 0
}

#[allow(clippy::trivially_copy_pass_by_ref, reason = "serde asks with a reference")]
const fn is_zero(by: &i32) -> bool {
    *by == 0
}
