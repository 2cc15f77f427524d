//! `again`: another round of a melee.

use crate::protocol::Request;
use crate::requests::{Asked, Group, Kind, Spec, Tier, Whose, word};

pub static SPEC: Spec = Spec::new("again", Group::Fight, Tier::First, |values| {
    Ok(Asked::Request(Request::Again { unit: values.maybe("unit") }))
})
.aliases(&["fight on", "next round", "continue"])
.about("Fight on: another round of the contacts that still stand.")
.examples(&["again", "again \"Ford Wardens\""])
.slots(&[word(
    "unit",
    "A unit of the melee; without it the latest melee goes on",
    Kind::Unit(Whose::InMelee),
)
.optional()]);
