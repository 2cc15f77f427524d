//! `condition`: something stands that moves dice or nerve.

use crate::protocol::{ConditionAsk, Effects, Reach, Request};
use crate::requests::{
    Asked, Group, Kind, Slot, Spec, Tier, Values, Whose, Wrong, flag, option, word,
};

pub static SPEC: Spec = Spec::new("condition", Group::Turn, Tier::Second, build)
    .about("Set a condition on a unit, a side or the whole battle.")
    .note("Its name is one of the rules' conditions. One of your own needs what it does, and why.")
    .examples(&[
        "condition weary --unit \"Ford Wardens\" --turns 2",
        "condition \"deep mud\" --side Vale --strike -1 --no-charge --why \"the bank gave way\"",
        "condition fog",
    ])
    .slots(&[
        word("name", "One of the rules' conditions, or a name of your own", Kind::NewName),
        ON_UNIT,
        ON_SIDE,
        option("turns", "Turns that it stands, this one counted; else until it is lifted", TURNS),
        option("strike", "Steps to its throws in a melee", Kind::Modifier),
        option("struck", "Steps to throws at it in a melee", Kind::Modifier),
        option("shoot", "Steps to its shooting", Kind::Modifier),
        option("shot", "Steps to shooting at it", Kind::Modifier),
        option("nerve", "What is added to its nerve", Kind::Modifier),
        option("dice", "Dice added to its oldest contact", Kind::Number { least: 1, most: 6 }),
        flag("no-charge", "It may not charge"),
        flag("no-shooting", "It may not shoot"),
        option("why", "Why, up to 200 characters", Kind::Text { most: 200 }),
    ]);

const TURNS: Kind = Kind::Number { least: 1, most: 100 };

pub(super) const ON_UNIT: Slot =
    option("unit", "The unit it stands on", Kind::Unit(Whose::Any)).without("side");
pub(super) const ON_SIDE: Slot =
    option("side", "The side it stands on; without unit and side, the whole battle", Kind::Side);

fn build(values: &Values) -> Result<Asked, Wrong> {
    let effects = Effects {
        strike: values.modifier("strike")?,
        struck: values.modifier("struck")?,
        shoot: values.modifier("shoot")?,
        shot: values.modifier("shot")?,
        nerve: values.modifier("nerve")?,
        dice: values.maybe_number("dice")?.unwrap_or(0),
        no_charge: values.flag("no-charge"),
        no_shooting: values.flag("no-shooting"),
    };
    Ok(Asked::Request(Request::Condition(ConditionAsk {
        name: values.text("name")?,
        on: on(values),
        turns: values.maybe_number("turns")?,
        effects: effects.any().then_some(effects),
        reason: values.maybe("why"),
    })))
}

/// On what a condition stands.
pub(super) fn on(values: &Values) -> Reach {
    match (values.maybe("unit"), values.maybe("side")) {
        (Some(unit), _) => Reach::Unit(unit),
        (None, Some(side)) => Reach::Side(side),
        (None, None) => Reach::Battle,
    }
}
