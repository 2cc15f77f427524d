//! One interaction, from its acknowledgement to its answer.
//!
//! `caller` says who calls and `people` names others; `answering` acknowledges, answers, refuses,
//! and says so where something takes a while; `waiting` keeps who waits for that; `in_flight` knows
//! what is in hand; `shared` is what all of this works with.

mod answering;
mod caller;
mod in_flight;
mod people;
mod shared;
mod waiting;

pub(super) use answering::{
    Denied, MOST_BYTES, acknowledged, answer_privately, offer, privately, refuse, show_form, tell,
    turn_away,
};
pub(super) use caller::Caller;
pub(super) use in_flight::InFlight;
pub(super) use people::{mention, mention_of};
pub(super) use shared::Shared;
pub(super) use waiting::{left_waiting, tell_left_waiting, waits, waits_no_more};
