//! `part`: the referee takes units out of contact.

use crate::protocol::Request;
use crate::requests::{Asked, Group, Kind, Spec, Tier, Values, Whose, Wrong, option, word};

pub static SPEC: Spec = Spec::new("part", Group::Fight, Tier::Second, build)
    .about("Take a unit out of contact: with one enemy, or with all.")
    .note("A contact stands until one of its units no longer does, or until it is parted so.")
    .examples(&["part \"Ford Wardens\" --why \"the bridge is down\""])
    .slots(&[
        word("unit", "A unit in contact", Kind::Unit(Whose::InMelee)),
        option("from", "The enemy it parts from; without it, from all", Kind::Unit(Whose::InMelee)),
        option("why", "Why, up to 200 characters", Kind::Text { most: 200 }).required(),
    ]);

fn build(values: &Values) -> Result<Asked, Wrong> {
    let (unit, reason) = (values.text("unit")?, values.text("why")?);
    Ok(Asked::Request(Request::Part { unit, from: values.maybe("from"), reason }))
}
