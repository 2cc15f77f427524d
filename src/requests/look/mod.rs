//! Looking, without changing anything.

mod battles;
mod board;
mod conditions;
mod even;
mod export;
mod log;
mod odds;
mod proof;
mod report;
mod rules;
mod scale;
mod show;

use super::{Fronts, Kind, Slot, Spec, flag, option};

/// Its requests, in the order in which they are told.
pub(super) static ALL: &[&Spec] = &[
    &show::SPEC,
    &odds::SPEC,
    &even::SPEC,
    &scale::SPEC,
    &battles::SPEC,
    &log::SPEC,
    &proof::SPEC,
    &rules::SPEC,
    &conditions::SPEC,
    &board::SPEC,
    &export::SPEC,
    &report::SPEC,
];

/// The answer is for everyone; a look is else for whoever asked alone.
pub(super) const SHARE: Slot = flag("share", "Show it to everyone here").only(Fronts::Chat);
/// Chances as data for a machine.
pub(super) const JSON: Slot =
    flag("json", "As one line of JSON, with every digit").only(Fronts::Table).without("svg");
/// A picture of chances.
pub(super) const SVG: Slot =
    option("svg", "Draw the picture to this file too, as SVG", Kind::PictureFile)
        .only(Fronts::Table)
        .without("json");
/// The picture's file may be there already.
pub(super) const FORCE: Slot =
    flag("force", "Write over a file of that name").only(Fronts::Table).with("svg");
