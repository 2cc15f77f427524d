//! `shoot`: a unit shoots.

use crate::protocol::{Cover, Request, ShootAsk, ShotRange};
use crate::requests::{
    Asked, Choice, Group, Kind, Spec, Tier, Values, Whose, Wrong, flag, option, word,
};

pub static SPEC: Spec = Spec::new("shoot", Group::Fight, Tier::First, build)
    .aliases(&["fire", "loose"])
    .about("Shoot at a unit, at short range unless told otherwise. Several may shoot together.")
    .examples(&[
        "shoot \"Vale Archers\" \"Banner Spears\" --long --cover light",
        "shoot \"Vale Archers\" \"Grey Levies\" --with \"Vale Slingers\" --moved",
    ])
    .slots(&[
        word("shooter", "Who shoots", Kind::Unit(Whose::Shooting)),
        word("target", "At whom", Kind::Unit(Whose::Against("shooter"))),
        option("with", "A further unit that shoots with it", Kind::Unit(Whose::Shooting))
            .several(&["with", "and_with", "also_with"]),
        flag("long", "At long range"),
        option("cover", "What protects the target", Kind::Choice(COVERS)),
        flag("moved", "They moved this turn"),
    ]);

fn build(values: &Values) -> Result<Asked, Wrong> {
    let cover = values
        .choice("cover")
        .map(|word| if word == "works" { Cover::Works } else { Cover::Light });
    let range = if values.flag("long") { ShotRange::Long } else { ShotRange::Short };
    let first = values.text("shooter")?;
    let shooters = std::iter::once(first).chain(values.all("with").map(str::to_owned)).collect();
    let (target, moved) = (values.text("target")?, values.flag("moved"));
    Ok(Asked::Request(Request::Shoot(ShootAsk { shooters, target, range, cover, moved })))
}

const COVERS: &[Choice] = &[
    Choice { name: "light", about: "Light cover" },
    Choice { name: "works", about: "Behind works" },
];
