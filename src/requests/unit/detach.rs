//! `detach`: a leader leaves his unit.

use crate::protocol::Request;
use crate::requests::{Asked, Group, Kind, Spec, Tier, Whose, word};

pub static SPEC: Spec = Spec::new("detach", Group::Unit, Tier::Second, |values| {
    Ok(Asked::Request(Request::Detach { unit: values.text("unit")? }))
})
.about("A leader leaves his unit, out of contact, and stands alone.")
.examples(&["detach \"Ford Wardens\""])
.slots(&[word("unit", "The unit", Kind::Unit(Whose::Led))]);
