//! `dismiss`: a unit is taken off the list.

use crate::protocol::Request;
use crate::requests::{Asked, Group, Kind, Spec, Tier, Whose, word};

pub static SPEC: Spec = Spec::new("dismiss", Group::Unit, Tier::Second, |values| {
    Ok(Asked::Request(Request::Dismiss { unit: values.text("unit")? }))
})
.about("Take a unit off the list.")
.examples(&["dismiss \"Ford Wardens\""])
.slots(&[word("unit", "The unit", Kind::Unit(Whose::Any))]);
