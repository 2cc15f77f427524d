//! `nerve`: a test of morale on demand.

use crate::protocol::Request;
use crate::requests::{Asked, Group, Kind, Spec, Tier, Whose, option, word};

pub static SPEC: Spec = Spec::new("nerve", Group::Fight, Tier::Second, |values| {
    let (unit, reason) = (values.text("unit")?, values.text("why")?);
    Ok(Asked::Request(Request::Nerve { unit, reason }))
})
.about("Test a unit's nerve, for whatever tries it. It is the referee's alone.")
.examples(&["nerve \"Grey Levies\" --why \"a great beast breaks out of the wood\""])
.slots(&[
    word("unit", "The unit", Kind::Unit(Whose::Fighting)),
    option("why", "Why, up to 200 characters", Kind::Text { most: 200 }).required(),
]);
