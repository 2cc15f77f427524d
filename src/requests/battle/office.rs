//! An office: the slots that giving and taking it share, and how they are read.

use crate::protocol::Appointee;
use crate::requests::{Fronts, Kind, Slot, Values, Wrong, option, word};

/// Whose office it is, and which: the table names people as the record does, a chat as it does.
pub(super) const SLOTS: &[Slot] = &[
    word("who", "The person or role, as the record names them: person-N, role-ID", Kind::Appointee)
        .filled_in_chat()
        .only(Fronts::Table),
    option("person", "The person", Kind::Person).only(Fronts::Chat).without("role"),
    option("role", "Or everyone with this role", Kind::Role).only(Fronts::Chat).without("person"),
    option("side", "The side, for a captain; without it, a referee of the battle", Kind::Side),
];

/// The person or the role that holds an office.
pub(super) fn whom(values: &Values) -> Result<Appointee, Wrong> {
    for slot in ["who", "person", "role"] {
        if let Some(who) = values.appointee(slot)? {
            return Ok(who);
        }
    }
    Err(Wrong::new("Name a person or a role."))
}
