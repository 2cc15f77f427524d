//! `scale`: the same armies at several figure scales.

use super::{FORCE, JSON, SHARE, SVG};
use crate::referee::Look;
use crate::requests::{Asked, Group, Kind, Spec, Tier, Values, Whose, Wrong, option, word};

pub static SPEC: Spec = Spec::new("scale", Group::Look, Tier::Second, build)
    .about("Show the same armies at several figure scales: time, luck, and what rounding does.")
    .note("Nothing is thrown. Without names each unit meets its opposite number in muster order.")
    .examples(&["scale", "scale \"Ford Wardens\" \"Banner Foot\" --at 1,10,20 --percent 5"])
    .slots(&[
        word(
            "unit",
            "A unit; without names, every unit and its opposite number",
            Kind::Unit(Whose::Any),
        )
        .optional()
        .with("other"),
        word("other", "The unit it meets", Kind::Unit(Whose::Against("unit")))
            .optional()
            .with("unit"),
        option("at", "The scales to compare, such as 1,10,20", Kind::Scales)
            .usually("1,5,10,20,50,100"),
        option(
            "percent",
            "How far figures may stand from the men they show, in percent",
            Kind::Number { least: 0, most: 100 },
        )
        .usually("10")
        .also("share"),
        JSON,
        SVG,
        FORCE,
        SHARE,
    ]);

fn build(values: &Values) -> Result<Asked, Wrong> {
    let units = values.maybe("unit").zip(values.maybe("other")).map(|(unit, other)| [unit, other]);
    let (scales, percent) = (values.scales("at")?, values.number("percent")?);
    Ok(Asked::Look(Look::Scales { units, scales, percent }))
}
