//! `match`: an even fight for a unit.

use super::{FORCE, JSON, SHARE, SVG};
use crate::referee::Look;
use crate::requests::{Asked, Group, Kind, Spec, Tier, Values, Whose, Wrong, flag, option, word};

pub static SPEC: Spec = Spec::new("match", Group::Look, Tier::Second, build)
    .about(
        "Show how many men of a class would make an even fight against a unit. Nothing is thrown.",
    )
    .examples(&["match \"Grey Levies\" --class \"line foot\""])
    .slots(&[
        word("unit", "The unit to be met", Kind::Unit(Whose::Any)),
        option(
            "class",
            "The troop class of those who would meet it, as listed in the rules",
            Kind::Class,
        )
        .required(),
        option("grade", "Their grade, as listed in the rules", Kind::Grade),
        flag("spears", "They have long spears"),
        option(
            "frontage",
            "Figures in their front rank; without it every figure fights",
            Kind::Figures,
        ),
        JSON,
        SVG,
        FORCE,
        SHARE,
    ]);

fn build(values: &Values) -> Result<Asked, Wrong> {
    Ok(Asked::Look(Look::Match {
        unit: values.text("unit")?,
        class: values.text("class")?,
        grade: values.maybe("grade"),
        spears: values.flag("spears"),
        frontage: values.maybe_number("frontage")?,
    }))
}
