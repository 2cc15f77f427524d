//! Fighting and its dice.

mod again;
mod cast;
mod duel;
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
    &duel::SPEC,
    &word::SPEC,
];
