//! What needs no battle.

mod ruling;
mod throw;

use super::Spec;

/// Its requests, in the order in which they are told.
pub(super) static ALL: &[&Spec] = &[&ruling::SPEC, &throw::SPEC];
