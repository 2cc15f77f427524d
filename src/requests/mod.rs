//! The table of requests: everything that can be asked, one file a request.
//!
//! A [`Spec`] names a request, explains it, lists its [`Slot`]s and builds what is asked from the
//! [`Values`] that fill them. From it come the local table's grammar, help and completion, the
//! commands of a chat, the hints in each front's spelling, and `docs/requests.md`.
//!
//! A front only gathers values; [`Spec::read`] reads them, so that both fronts ask the very same.

mod alone;
mod asked;
mod battle;
mod complete;
mod contact;
mod fight;
mod look;
mod quick;
mod setup;
mod slot;
mod spec;
mod spell;
mod turn;
mod typed;
mod unit;
mod values;
mod wrong;

pub use asked::{Asked, ChatAsk, Whom};
pub use complete::{Candidate, Names, candidates};
pub use slot::{Choice, Kind, Need, Position, Slot, Whose, flag, option, word};
pub use spec::{ChatOption, Example, Fronts, Group, Spec, Tier};
pub use spell::{command, spell_for_chat, spell_for_table};
pub use typed::{help, option_names, read as read_words, words};
pub use values::Values;
pub use wrong::Wrong;

use std::sync::LazyLock;

/// Every request, group by group, in the order in which they are told.
pub fn all() -> &'static [&'static Spec] {
    static ALL: LazyLock<Vec<&'static Spec>> = LazyLock::new(|| {
        [
            battle::ALL,
            unit::ALL,
            fight::ALL,
            turn::ALL,
            look::ALL,
            quick::ALL,
            setup::ALL,
            alone::ALL,
        ]
        .concat()
    });
    &ALL
}

/// The request of that name.
pub fn find(name: &str) -> Option<&'static Spec> {
    all().iter().copied().find(|spec| spec.name == name)
}

/// The requests of a group.
pub fn in_group(group: Group) -> impl Iterator<Item = &'static Spec> {
    all().iter().copied().filter(move |spec| spec.group == group)
}
