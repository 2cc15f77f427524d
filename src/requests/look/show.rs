//! `show`: the battle as it stands.

use super::SHARE;
use crate::referee::Look;
use crate::requests::{Asked, Group, Kind, Spec, Tier, Whose, word};

pub static SPEC: Spec = Spec::new("show", Group::Look, Tier::First, |values| {
    Ok(Asked::Look(Look::Show { unit: values.maybe("unit") }))
})
.aliases(&["status", "units", "list"])
.about("Show the battle, or one unit.")
.examples(&["show", "show \"Ford Wardens\""])
.slots(&[
    word("unit", "One unit; without it the whole battle", Kind::Unit(Whose::Any)).optional(),
    SHARE,
]);
