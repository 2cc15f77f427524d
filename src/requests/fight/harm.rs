//! `harm`: what comes from elsewhere than a unit of the battle.

use crate::protocol::{HarmAsk, HarmHow, Request};
use crate::requests::{Asked, Group, Kind, Spec, Tier, Values, Whose, Wrong, option, word};

pub static SPEC: Spec = Spec::new("harm", Group::Fight, Tier::Second, build)
    .about("Harm a unit: a spell, fire, a trap. Losses are taken off and its nerve is tested.")
    .note(
        "Say one of these: dice that kill figures, men that fall, or figures. Men may be thrown \
         for, such as 3d6: then the dice mean the same at every figure scale. It is the referee's \
         alone.",
    )
    .examples(&[
        "harm \"Grey Levies\" --dice 12 --kills-on 15 --why \"a burning cart\"",
        "harm \"Grey Levies\" --men 3d6 --why \"a ball of fire\"",
        "harm \"Grey Levies\" --figures 2 --why \"the bridge gives way\"",
    ])
    .slots(&[
        word("unit", "The unit", Kind::Unit(Whose::Standing)),
        option("dice", "So many dice of the rules, each of which may kill a figure", DICE)
            .with("kills-on")
            .without("men"),
        option("kills-on", "The lowest face that kills a figure", FACE).with("dice"),
        option("men", "Men that fall: a number, or dice such as 3d6", Kind::NumberOrDice)
            .without("figures"),
        option("figures", "Figures that fall; of a single, its hits", FIGURES).without("dice"),
        option("why", "Why, up to 200 characters", Kind::Text { most: 200 }).required(),
    ]);

const DICE: Kind = Kind::Number { least: 1, most: 200 };
/// No dice of any rules have more sides.
const FACE: Kind = Kind::Number { least: 1, most: 100 };
const FIGURES: Kind = Kind::Number { least: 1, most: 1000 };

fn build(values: &Values) -> Result<Asked, Wrong> {
    let (unit, reason) = (values.text("unit")?, values.text("why")?);
    let how = if let Some(dice) = values.maybe_number("dice")? {
        HarmHow::Dice { dice, kills_on: values.number("kills-on")? }
    } else if let Some(figures) = values.maybe_number("figures")? {
        HarmHow::Figures(figures)
    } else if values.is_number("men") {
        HarmHow::Men(values.number("men")?)
    } else if values.has("men") {
        HarmHow::MenThrown(values.dice("men")?)
    } else {
        return Err(values.missing("dice, men or figures"));
    };
    Ok(Asked::Request(Request::Harm(HarmAsk { unit, how, reason })))
}
