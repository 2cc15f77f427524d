//! `melee`: a round of hand-to-hand fighting.

use crate::protocol::{MeleeAsk, Request};
use crate::requests::{Asked, Group, Spec, Tier, Values, Wrong, contact, flag};

pub static SPEC: Spec = Spec::new("melee", Group::Fight, Tier::First, build)
    .aliases(&["attack", "fight", "hit", "charge", "strike"])
    .about("Fight one round of a melee. The unit that strikes comes first.")
    .note("More contacts follow after \"and\", each with options of its own. Whatever contacts its units are in already are fought on in the same round.")
    .examples(&[
        "melee \"Ford Wardens\" \"Banner Spears\"",
        "melee \"Vale Riders\" \"Grey Levies\" --charge --flank \
         and \"Ford Wardens\" \"Grey Levies\" --higher ours",
    ])
    .slots(&[
        contact::STRIKER,
        contact::STRUCK,
        contact::CHARGE,
        contact::COUNTERCHARGE,
        contact::FACING,
        contact::HIGHER,
        contact::OBSTACLE,
        contact::WIDTH,
        contact::OURS_BY,
        contact::THEIRS_BY,
        contact::WHY,
        flag("cast", "Only announce it: the other side throws the dice with its cast"),
        contact::MORE,
    ]);

fn build(values: &Values) -> Result<Asked, Wrong> {
    let (contacts, cast) = (contact::all(values)?, values.flag("cast"));
    Ok(Asked::Request(Request::Melee(MeleeAsk { contacts, cast })))
}
