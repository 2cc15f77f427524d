//! `odds`: what a melee would come to.

use super::{FORCE, JSON, SHARE, SVG};
use crate::referee::Look;
use crate::requests::{Asked, Group, Spec, Tier, Values, Wrong, contact};

pub static SPEC: Spec = Spec::new("odds", Group::Look, Tier::First, build)
    .aliases(&["chances"])
    .about("Show the odds of a melee, one round and to the finish. Nothing is thrown.")
    .note("Without names: the melee that is being fought. More contacts follow after \"and\". Odds are exact where they can be worked out; those of large fights are simulated, and the answer says so.")
    .examples(&[
        "odds \"Ford Wardens\" \"Banner Spears\"",
        "odds \"Vale Riders\" \"Grey Levies\" --charge --flank",
        "odds",
    ])
    .slots(&[
        contact::STRIKER.optional().with("struck"),
        contact::STRUCK.optional().with("striker"),
        contact::CHARGE,
        contact::COUNTERCHARGE,
        contact::FACING,
        contact::HIGHER,
        contact::OBSTACLE,
        contact::WIDTH,
        contact::OURS_BY,
        contact::THEIRS_BY,
        contact::WHY,
        contact::MORE,
        JSON,
        SVG,
        FORCE,
        SHARE,
    ]);

fn build(values: &Values) -> Result<Asked, Wrong> {
    let named = values.has("striker") || !values.further().is_empty();
    let contacts = if named { contact::all(values)? } else { Vec::new() };
    Ok(Asked::Look(Look::Odds { contacts }))
}
