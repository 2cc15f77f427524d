//! `attach`: a leader joins a unit.

use crate::protocol::Request;
use crate::requests::{Asked, Group, Kind, Spec, Tier, Values, Whose, Wrong, word};

pub static SPEC: Spec = Spec::new("attach", Group::Unit, Tier::Second, build)
    .about(
        "Attach a leader to another unit of his side, which has none. Neither may be in contact.",
    )
    .examples(&["attach Ida \"Vale Riders\""])
    .slots(&[
        word("leader", "The leader", Kind::Leader),
        word("unit", "The unit", Kind::Unit(Whose::Any)),
    ]);

fn build(values: &Values) -> Result<Asked, Wrong> {
    let (leader, unit) = (values.text("leader")?, values.text("unit")?);
    Ok(Asked::Request(Request::Attach { leader, unit }))
}
