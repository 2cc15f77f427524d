//! `reopen`: going on with a closed battle.

use crate::protocol::Request;
use crate::requests::{Asked, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec = Spec::new("reopen", Group::Battle, Tier::Second, |values| {
    Ok(Asked::Request(Request::Reopen { battle: values.text("battle")? }))
})
.about("Go on with a closed battle.")
.examples(&["reopen \"Harrow Ford\""])
.slots(&[word("battle", "The battle", Kind::BattleName)]);
