//! `shoot`: a unit shoots.

use crate::protocol::{Cover, Request, ShootAsk, ShotRange};
use crate::requests::{
    Asked, Choice, Group, Kind, Spec, Tier, Values, Whose, Wrong, flag, option, word,
};

pub static SPEC: Spec = Spec::new("shoot", Group::Fight, Tier::First, build)
    .aliases(&["fire", "loose"])
    .about("Shoot at a unit, at short range unless told otherwise.")
    .examples(&["shoot \"Vale Archers\" \"Banner Spears\" --long --cover light"])
    .slots(&[
        word("shooter", "Who shoots", Kind::Unit(Whose::Shooting)),
        word("target", "At whom", Kind::Unit(Whose::Against("shooter"))),
        flag("long", "At long range"),
        option("cover", "What protects the target", Kind::Choice(COVERS)),
    ]);

fn build(values: &Values) -> Result<Asked, Wrong> {
    let cover = values
        .choice("cover")
        .map(|word| if word == "works" { Cover::Works } else { Cover::Light });
    let range = if values.flag("long") { ShotRange::Long } else { ShotRange::Short };
    let (shooter, target) = (values.text("shooter")?, values.text("target")?);
    Ok(Asked::Request(Request::Shoot(ShootAsk { shooter, target, range, cover })))
}

const COVERS: &[Choice] = &[
    Choice { name: "light", about: "Light cover" },
    Choice { name: "works", about: "Behind works" },
];
