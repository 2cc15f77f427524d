//! `lead`: a leader takes his place.

use crate::protocol::Request;
use crate::requests::{Asked, Choice, Group, Kind, Spec, Tier, Values, Whose, Wrong, word};

pub static SPEC: Spec = Spec::new("lead", Group::Unit, Tier::Second, build)
    .about("A leader leads his unit from the front, or holds back.")
    .note(
        "Who holds back adds no dice and is safe while his unit has a figure left. A captain chooses \
         once a turn and out of contact.",
    )
    .examples(&["lead \"Ford Wardens\" back"])
    .slots(&[
        word("unit", "The unit", Kind::Unit(Whose::Led)),
        word("place", "Where he stands", Kind::Choice(PLACES)),
    ]);

fn build(values: &Values) -> Result<Asked, Wrong> {
    let (unit, place) = (values.text("unit")?, values.choice("place"));
    let back = match place.as_deref() {
        Some(place) => place == "back",
        None => return Err(Wrong::missing("place", "lead")),
    };
    Ok(Asked::Request(Request::Lead { unit, back }))
}

const PLACES: &[Choice] = &[
    Choice { name: "front", about: "He adds his dice, and is at risk with his unit" },
    Choice { name: "back", about: "He adds no dice, and is at risk only if it is destroyed" },
];
