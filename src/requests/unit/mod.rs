//! Units and their leaders.

mod attach;
mod change;
mod detach;
mod dismiss;
mod lead;
mod muster;
mod reinforce;

use super::Spec;

/// Its requests, in the order in which they are told.
pub(super) static ALL: &[&Spec] = &[
    &muster::SPEC,
    &change::SPEC,
    &reinforce::SPEC,
    &dismiss::SPEC,
    &attach::SPEC,
    &detach::SPEC,
    &lead::SPEC,
];
