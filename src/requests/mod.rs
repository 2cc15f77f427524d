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
mod kind;
mod look;
mod page;
mod quick;
mod read;
mod setup;
mod slot;
mod spec;
mod spell;
#[cfg(test)]
mod tests;
mod turn;
mod typed;
mod unit;
mod values;
mod wrong;

pub use asked::{Asked, ChatAsk};
pub use complete::{Candidate, Names, candidates};
pub(crate) use kind::short;
pub use kind::{Choice, Kind, Whose};
pub use page::page;
pub use slot::{Fronts, Need, Position, Slot, flag, option, word};
pub use spec::{ChatOption, Example, Group, Spec, Tier};
pub use spell::{command, spell_for_chat, spell_for_table};
pub use typed::{Named, help, named, option_names, read as read_words, words};
pub use values::Values;
pub use wrong::Wrong;

pub use crate::battle::{Hint, Told};

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
