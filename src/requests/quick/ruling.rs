//! `ruling`: a clash of two described units.

use crate::protocol::{QuickAsk, Request};
use crate::referee::Look;
use crate::requests::look::{FORCE, JSON, SVG};
use crate::requests::{Asked, Group, Kind, Spec, Tier, Values, Wrong, contact, flag, option, word};

pub static SPEC: Spec = Spec::new("ruling", Group::Quick, Tier::First, build)
    .about("Rule a clash of two units that nobody has mustered. No battle is needed.")
    .note(
        "A description: how many figures or men of which class; then, after commas, \
         a grade, long spears, shaken, led, frontage N.",
    )
    .examples(&[
        "ruling \"8 line foot, seasoned\" \"3 riders\"",
        "ruling \"160 men of levy, raw\" \"8 figures of skirmishers, shaken\" --scale 25 --flank",
    ])
    .slots(&[
        word(
            "striker",
            "The striking unit, such as: 8 line foot, seasoned, long spears, led",
            Kind::Described,
        ),
        word(
            "struck",
            "The unit it strikes, such as: 160 men of levy, raw, shaken, frontage 6",
            Kind::Described,
        ),
        option("scale", "Men that one figure stands for", Kind::Scale).usually("1:1"),
        contact::CHARGE,
        contact::COUNTERCHARGE,
        contact::FACING,
        contact::HIGHER,
        contact::OBSTACLE,
        contact::WIDTH,
        contact::OURS_BY,
        contact::THEIRS_BY,
        contact::WHY,
        flag("odds", "Only show the odds; nothing is thrown"),
        JSON.with("odds"),
        SVG.with("odds"),
        FORCE,
    ]);

fn build(values: &Values) -> Result<Asked, Wrong> {
    let (striker, struck) = (values.described("striker")?, values.described("struck")?);
    // The names come with the field that is made for the two descriptions.
    let how = contact::how(values, "", "")?;
    let ask = QuickAsk { scale: values.scale("scale")?, striker, struck, how };
    Ok(if values.flag("odds") {
        Asked::Look(Look::Quick(ask))
    } else {
        Asked::Request(Request::Quick(ask))
    })
}
