//! Turns, what stands while they pass, and what is taken back.

mod condition;
mod lift;
#[allow(clippy::module_inception, reason = "the request is called so, and so is its group")]
mod turn;
mod undo;

use super::Spec;

/// Its requests, in the order in which they are told.
pub(super) static ALL: &[&Spec] = &[&turn::SPEC, &undo::SPEC, &condition::SPEC, &lift::SPEC];
