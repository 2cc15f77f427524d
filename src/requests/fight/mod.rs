//! Fighting and its dice.

mod again;
mod cast;
mod harm;
mod melee;
mod nerve;
mod part;
mod rally;
mod shoot;
mod word;

use super::Spec;

/// Its requests, in the order in which they are told.
pub(super) static ALL: &[&Spec] = &[
    &melee::SPEC,
    &again::SPEC,
    &part::SPEC,
    &cast::SPEC,
    &shoot::SPEC,
    &rally::SPEC,
    &harm::SPEC,
    &nerve::SPEC,
    &word::SPEC,
];
