//! `muster`: a unit takes the field.

use crate::protocol::{Muster, Request};
use crate::requests::{Asked, Group, Kind, Spec, Tier, Values, Wrong, flag, option, word};

pub static SPEC: Spec = Spec::new("muster", Group::Unit, Tier::First, build)
    .aliases(&["add", "recruit", "raise"])
    .about(
        "Muster a unit: its side, its troop class and its men, or the hits of a single creature.",
    )
    .examples(&["muster \"Ford Wardens\" --side Vale --class \"line foot\" --men 160 \
         --grade seasoned --spears --leader Ida"])
    .slots(&[
        word("unit", "Its name, such as Ford Wardens", Kind::NewName),
        option("side", "Its side", Kind::Side).required(),
        option("class", "Its troop class, as listed in the rules", Kind::Class).required(),
        option("men", "Its men, 1 to 100,000", Kind::Men),
        option(
            "hits",
            "In the place of men, for a single creature or engine: hits, 1 to 60",
            Kind::Figures,
        ),
        option("grade", "Its grade, as listed in the rules", Kind::Grade),
        flag("spears", "It has long spears"),
        option("weapon", "Its missile weapon, as listed in the rules", Kind::Weapon),
        option(
            "frontage",
            "Figures in its front rank; without it every figure fights",
            Kind::Figures,
        ),
        option("leader", "The leader attached to it", Kind::NewName),
        option("might", "The dice that he adds, 1 to 6", Kind::Number { least: 1, most: 6 }),
        option(
            "wounds",
            "The wounds with the last of which he falls, 1 to 6",
            Kind::Number { least: 1, most: 6 },
        ),
        flag("general", "He is the general of his side"),
        flag("spare", "He is out of the fight instead of falling; for a referee to say"),
    ]);

fn build(values: &Values) -> Result<Asked, Wrong> {
    let (unit, side) = (values.text("unit")?, values.text("side")?);
    let (class, hits) = (values.text("class")?, values.maybe_number("hits")?);
    // One of the two is needed.
    let men = if hits.is_some() {
        values.maybe_number("men")?.unwrap_or(0)
    } else {
        values.number("men")?
    };
    Ok(Asked::Request(Request::Muster(Muster {
        grade: values.maybe("grade"),
        spears: values.flag("spears"),
        weapon: values.maybe("weapon"),
        frontage: values.maybe_number("frontage")?,
        leader: values.maybe("leader"),
        might: values.maybe_number("might")?,
        wounds: values.maybe_number("wounds")?,
        general: values.flag("general"),
        spare: values.flag("spare"),
        hits,
        ..Muster::new(unit, side, class, men)
    })))
}
