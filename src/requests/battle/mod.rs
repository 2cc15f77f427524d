//! A battle as a whole.

mod appoint;
mod close;
mod office;
mod officers;
mod open;
mod relieve;
mod reopen;
mod rescale;
mod side;

use super::Spec;

/// Its requests, in the order in which they are told.
pub(super) static ALL: &[&Spec] = &[
    &open::SPEC,
    &side::SPEC,
    &rescale::SPEC,
    &close::SPEC,
    &reopen::SPEC,
    &appoint::SPEC,
    &relieve::SPEC,
    &officers::SPEC,
];
