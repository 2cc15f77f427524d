//! `rescale`: another figure scale for the running battle.

use crate::protocol::Request;
use crate::requests::{Asked, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec = Spec::new("rescale", Group::Battle, Tier::Second, |values| {
    Ok(Asked::Request(Request::Rescale { scale: values.scale("scale")? }))
})
.about("Change the figure scale of the running battle.")
.examples(&["rescale 10"])
.slots(&[word("scale", "Men that one figure stands for: 10 or 1:10", Kind::Scale)]);
