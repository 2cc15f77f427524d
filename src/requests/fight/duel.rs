//! `duel`: two leaders fight each other.

use crate::protocol::{DuelAsk, DuelEnd, Request};
use crate::requests::{Asked, Choice, Group, Kind, Spec, Tier, Values, Wrong, flag, option, word};

pub static SPEC: Spec = Spec::new("duel", Group::Fight, Tier::Second, build)
    .about("Two leaders whose units are in contact fight each other, once a turn.")
    .note("For a referee to ask, once both sides have agreed to it and to how long it lasts.")
    .examples(&["duel Ida Orm --to end"])
    .slots(&[
        word("first", "One leader", Kind::Leader),
        word("second", "A leader of another side", Kind::Leader),
        option("to", "How long they fight; to the first wound without it", Kind::Choice(ENDS)),
        flag("meet", "Let them meet, though their units are not in contact"),
    ]);

fn build(values: &Values) -> Result<Asked, Wrong> {
    let leaders = [values.text("first")?, values.text("second")?];
    let to = match values.choice("to").as_deref() {
        Some("rounds") => DuelEnd::Rounds,
        Some("end") => DuelEnd::End,
        _ => DuelEnd::Wound,
    };
    Ok(Asked::Request(Request::Duel(DuelAsk { leaders, to, meet: values.flag("meet") })))
}

const ENDS: &[Choice] = &[
    Choice { name: "wound", about: "To the first wound" },
    Choice { name: "rounds", about: "For as many rounds as the rules say" },
    Choice { name: "end", about: "Until one of them falls" },
];
