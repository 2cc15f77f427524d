//! `throw`: plain dice.

use crate::protocol::Request;
use crate::requests::{Asked, Group, Kind, Spec, Tier, option, word};

pub static SPEC: Spec = Spec::new("throw", Group::Quick, Tier::First, |values| {
    Ok(Asked::Request(Request::Throw { dice: values.dice("dice")?, purpose: values.maybe("for") }))
})
.aliases(&["roll", "dice"])
.about("Throw plain dice in public. No battle is needed.")
.examples(&["throw 3d6 1d20 --for \"the weather\""])
.slots(&[
    word("dice", "Dice such as 3d6, or 3d6 1d20", Kind::Dice).rest(),
    option("for", "What they are for", Kind::Text { most: 200 }),
]);
