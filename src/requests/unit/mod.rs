//! Units and their leaders.

mod attach;
mod change;
mod dismiss;
mod muster;
mod reinforce;

use super::Spec;

/// Its requests, in the order in which they are told.
pub(super) static ALL: &[&Spec] =
    &[&muster::SPEC, &change::SPEC, &reinforce::SPEC, &dismiss::SPEC, &attach::SPEC];
