//! `reinforce`: a unit gets more men than it mustered.

use crate::protocol::Request;
use crate::requests::{Asked, Group, Kind, Spec, Tier, Whose, option, word};

pub static SPEC: Spec = Spec::new("reinforce", Group::Unit, Tier::Second, |values| {
    let (unit, men) = (values.text("unit")?, values.number("men")?);
    Ok(Asked::Request(Request::Reinforce { unit, men, reason: values.text("why")? }))
})
.about("Give a unit more men, now and at muster. It is the referee's alone.")
.examples(&["reinforce \"Ford Wardens\" --men 40 --why \"the late company\""])
.slots(&[
    word("unit", "The unit", Kind::Unit(Whose::Standing)),
    option("men", "How many men more", Kind::Men).required(),
    option("why", "Why, up to 200 characters", Kind::Text { most: 200 }).required(),
]);
