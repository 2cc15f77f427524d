//! The server's and a person's own.

mod copy;
mod defaults;
mod erase;
mod forget;
mod privacy;
mod server;

use super::Spec;

/// Its requests, in the order in which they are told.
pub(super) static ALL: &[&Spec] =
    &[&server::SPEC, &defaults::SPEC, &copy::SPEC, &erase::SPEC, &privacy::SPEC, &forget::SPEC];
