//! Requests that stand alone.

mod help;
mod quit;

use super::Spec;

/// Its requests, in the order in which they are told.
pub(super) static ALL: &[&Spec] = &[&help::SPEC, &quit::SPEC];
