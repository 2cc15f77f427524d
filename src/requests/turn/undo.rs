//! `undo`: taking back.

use crate::protocol::Request;
use crate::requests::{Asked, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec = Spec::new("undo", Group::Turn, Tier::First, |values| {
    Ok(Asked::Request(Request::Undo { reason: values.text("reason")? }))
})
.about("Take back the latest change. A roll that was thrown stays in the record.")
.examples(&["undo \"wrong unit named\""])
.slots(&[word("reason", "Why; the record keeps it", Kind::Text { most: 300 }).rest()]);
