//! `change`: a unit becomes different.

use crate::protocol::{Change, Request, Standing};
use crate::requests::{Asked, Choice, Group, Kind, Spec, Tier, Values, Whose, Wrong, option, word};

pub static SPEC: Spec = Spec::new("change", Group::Unit, Tier::First, build)
    .about("Change a unit. What is not named stays as it is.")
    .examples(&[
        "change \"Ford Wardens\" --men 120 --leader none",
        "change \"Ford Wardens\" --standing shaken",
    ])
    .slots(&[
        word("unit", "The unit", Kind::Unit(Whose::Any)),
        option("rename", "A new name", Kind::NewName),
        option("side", "Another side", Kind::Side),
        option("class", "Another troop class", Kind::Class),
        option("men", "The men it has now, up to 100,000", Kind::Men),
        option("grade", "Another grade", Kind::Grade),
        option("spears", "Whether it has long spears", Kind::YesNo),
        option("weapon", "Its missile weapon, or none", Kind::OrNone(&Kind::Weapon)),
        option(
            "frontage",
            "Figures in its front rank; 0 for none: then every figure fights",
            Kind::OrNone(&Kind::Figures),
        ),
        option("leader", "Its leader, or none", Kind::OrNone(&Kind::FreeLeader)),
        option("might", "The dice that he adds, 1 to 6", Kind::Number { least: 1, most: 6 }),
        option(
            "wounds",
            "The wounds with the last of which he falls, 1 to 6",
            Kind::Number { least: 1, most: 6 },
        ),
        option("general", "Whether he is the general of his side", Kind::YesNo),
        option(
            "spare",
            "Whether he is out of the fight instead of falling; for a referee to say",
            Kind::YesNo,
        ),
        option("standing", "How it stands", Kind::Choice(STANDINGS)),
    ]);

fn build(values: &Values) -> Result<Asked, Wrong> {
    Ok(Asked::Request(Request::Change(Change {
        unit: values.text("unit")?,
        rename: values.maybe("rename"),
        side: values.maybe("side"),
        class: values.maybe("class"),
        men: values.maybe_number("men")?,
        grade: values.maybe("grade"),
        spears: values.yes_or_no("spears")?,
        weapon: values.setting("weapon"),
        frontage: values.figures_or_none("frontage")?,
        leader: values.setting("leader"),
        might: values.maybe_number("might")?,
        wounds: values.maybe_number("wounds")?,
        general: values.yes_or_no("general")?,
        spare: values.yes_or_no("spare")?,
        standing: values.choice("standing").and_then(|word| standing(&word)),
    })))
}

const STANDINGS: &[Choice] = &[
    Choice { name: "steady", about: "In good order" },
    Choice { name: "shaken", about: "In disorder, but fighting" },
    Choice { name: "routing", about: "Running: it does not fight" },
    Choice { name: "left", about: "Gone from the field" },
    Choice { name: "destroyed", about: "Without a figure" },
];

fn standing(word: &str) -> Option<Standing> {
    Some(match word {
        "steady" => Standing::Steady,
        "shaken" => Standing::Shaken,
        "routing" => Standing::Routing,
        "left" => Standing::Left,
        "destroyed" => Standing::Destroyed,
        _ => return None,
    })
}
