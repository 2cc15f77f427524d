//! `rally`: getting a unit back in order.

use crate::protocol::Request;
use crate::requests::{Asked, Group, Kind, Spec, Tier, Whose, word};

pub static SPEC: Spec = Spec::new("rally", Group::Fight, Tier::First, |values| {
    Ok(Asked::Request(Request::Rally { unit: values.text("unit")? }))
})
.about("Rally a shaken or routing unit, once a turn and out of contact.")
.examples(&["rally \"Grey Levies\""])
.slots(&[word("unit", "The unit", Kind::Unit(Whose::Rallying))]);
