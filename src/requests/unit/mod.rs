//! Units and their leaders.

mod attach;
mod change;
mod detach;
mod dismiss;
mod lead;
mod muster;

use super::Spec;

/// Its requests, in the order in which they are told.
pub(super) static ALL: &[&Spec] =
    &[&muster::SPEC, &change::SPEC, &dismiss::SPEC, &attach::SPEC, &detach::SPEC, &lead::SPEC];
