//! `side`: naming a further side.

use crate::protocol::Request;
use crate::requests::{Asked, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec = Spec::new("side", Group::Battle, Tier::Second, |values| {
    Ok(Asked::Request(Request::Side { name: values.text("name")? }))
})
.about("Name a third or further side; the first two come with their units.")
.examples(&["side \"Free Riders\""])
.slots(&[word("name", "Its name", Kind::NewName)]);
