//! `cast`: the other side casts a roll that was announced.

use crate::protocol::Request;
use crate::requests::{Asked, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec = Spec::new("cast", Group::Fight, Tier::Later, |values| {
    Ok(Asked::Request(Request::Cast { text: values.text("text")? }))
})
.about("Cast a roll that the other side announced, with a text of your own.")
.examples(&["cast \"red reeds, cold hands\""])
.slots(&[word("text", "8 to 80 characters of your own", Kind::Text { most: 200 })]);
