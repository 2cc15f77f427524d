//! `lift`: a condition ends.

use super::condition::{ON_SIDE, ON_UNIT, on};
use crate::protocol::Request;
use crate::requests::{Asked, Group, Kind, Spec, Tier, Values, Wrong, word};

pub static SPEC: Spec = Spec::new("lift", Group::Turn, Tier::Second, build)
    .about("Lift a condition from a unit, a side or the whole battle.")
    .examples(&["lift weary --unit \"Ford Wardens\"", "lift fog"])
    .slots(&[word("name", "The condition", Kind::NewName), ON_UNIT, ON_SIDE]);

fn build(values: &Values) -> Result<Asked, Wrong> {
    Ok(Asked::Request(Request::Lift { name: values.text("name")?, on: on(values) }))
}
