//! What can be asked wrongly. Each says what was wrong and what to do; none changes anything.

use crate::protocol::{Scale, Standing};

/// A mistake of whoever asked.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs, reason = "the sentence of each variant says what its fields mean")]
pub enum Mistake {
    #[error("No battle is open here. Open one: open NAME --scale 20")]
    NoBattle,
    #[error(
        "The battle “{0}” is still open here, and a place holds one at a time. Close it first: close"
    )]
    AlreadyOpen(String),
    #[error(
        "A battle here is already called “{0}”. Choose another name, or go on with it: reopen NAME"
    )]
    BattleNameTaken(String),
    #[error("No battle here is called “{name}”.{}", did_you_mean(meant.as_deref(), "battles"))]
    NoSuchBattle { name: String, meant: Option<String> },
    #[error("The battle “{0}” is not closed. Go on with it.")]
    NotClosed(String),
    #[error("No battle in this record is called “{name}”. It holds: {}.", known.join(", "))]
    NoSuchBattleInRecord { name: String, known: Vec<String> },
    #[error("This record holds no battle.")]
    EmptyRecord,
    #[error(
        "This record holds only quick rulings and plain dice. To name them: --battle \"Quick rulings\""
    )]
    OnlyQuickInRecord,
    #[error("Several battles fit. Name one by its id: --battle ID. They are: {}.", known.join(", "))]
    WhichBattle { known: Vec<String> },
    #[error("There are no rules called “{name}”. The rules here are: {}.", known.join(", "))]
    NoSuchRules { name: String, known: Vec<String> },
    #[error("No unit is called “{name}” in this battle.{}", did_you_mean(meant.as_deref(), "show"))]
    NoSuchUnit { name: String, meant: Option<String> },
    #[error("“{name}” is not a {kind} of these rules. Use one of: {}.", known.join(", "))]
    NotInRules { kind: &'static str, name: String, known: Vec<String> },
    #[error("“{name}” is not a side of this battle, whose sides are {}. To name a further side: side NAME", known.join(" and "))]
    NoSuchSide { name: String, known: Vec<String> },
    #[error("The side “{0}” is already in this battle. Muster units for it, or name another.")]
    SideTaken(String),
    #[error(
        "“{0}” cannot be a name. Use 1 to 40 characters on one line, without quotation marks, “\\” or “: ”, and not “-”, “@” or “#” at the start; “and” and “none” are taken."
    )]
    BadName(String),
    #[error("Somebody in this battle is already called “{0}”. Choose another name.")]
    NameTaken(String),
    #[error("{0} men is out of range. A unit has 1 to 100,000 men.")]
    Men(u32),
    #[error(
        "{men} men at {scale} would be {figures} figures, and a unit has at most 1,000. Use a coarser figure scale."
    )]
    TooManyFigures { men: u32, figures: u32, scale: Scale },
    #[error("This battle has 200 units, the most it can hold. Dismiss one first: dismiss UNIT")]
    TooManyUnits,
    #[error(
        "A frontage of {0} figures is out of range. Use 1 to 1,000, or leave the frontage out."
    )]
    Frontage(u32),
    #[error("Nothing would change. Name something to change, such as: change UNIT --men 80")]
    NothingToChange,
    #[error("A unit with men cannot be destroyed by hand. Set its men to 0: change UNIT --men 0")]
    DestroyedByHand,
    #[error(
        "{0} has no men left, so it can only be destroyed. Give it men first: change UNIT --men 80"
    )]
    NoMen(String),
    #[error("{0} is in a melee. Take it out of contact first: change UNIT --apart")]
    InContactForChange(String),
    #[error("The battle is already fought at {0}.")]
    SameScale(Scale),
    #[error("No free leader is called “{name}” in this battle.{}", free_leaders(known))]
    NoSuchLeader { name: String, known: Vec<String> },
    #[error(
        "{leader} is of the side {of}, and {unit} is of the side {side}. Choose a unit of his side."
    )]
    OtherSidesLeader { leader: String, of: String, unit: String, side: String },
    #[error("{unit} already has the leader {leader}. Choose another unit.")]
    HasLeader { unit: String, leader: String },
    #[error("A melee has 1 to 40 contacts. Ask it in parts.")]
    ContactCount,
    #[error("{0} and {1} are of the same side. Name a unit of each of two sides.")]
    SameSide(String, String),
    #[error(
        "The striking units of one melee are all of one side, but {first} is of {side} and {other} is of {others}. Name the asking side's unit first in each contact."
    )]
    MixedStrikers { first: String, side: String, other: String, others: String },
    #[error(
        "The struck units of one melee are all of one side, but {first} is of {side} and {other} is of {others}. Ask two melees."
    )]
    MixedStruck { first: String, side: String, other: String, others: String },
    #[error("{0} and {1} meet twice in this request. Name each contact once.")]
    ContactTwice(String, String),
    #[error("{unit} cannot fight: it {}. {}", cannot(*standing), remedy(*standing))]
    CannotFight { unit: String, standing: Standing },
    #[error(
        "{unit} is on foot ({class}), and only a mounted unit charges. Ask again without the charge."
    )]
    FootCharge { unit: String, class: String },
    #[error(
        "{0} and {1} are already in contact, and a charge counts in the first round only. Ask again without the charge."
    )]
    LateCharge(String, String),
    #[error("No melee can be fought on. Ask a new one: melee UNIT UNIT")]
    NothingToFightOn,
    #[error("No melee is being fought. Ask for the odds of one: odds UNIT UNIT")]
    NothingToWeigh,
    #[error("{0} is not in a melee that can be fought on. Ask a new one: melee UNIT UNIT")]
    NotInMelee(String),
    #[error("No melee waits for a cast. Announce one: melee UNIT UNIT --cast")]
    NothingToCast,
    #[error(
        "A melee of {asking} against {casting} waits for the cast of {casting}. Take it back, or cast it first: cast"
    )]
    WaitingForCast { asking: String, casting: String },
    #[error("{0} has no missile weapon. Give it one: change UNIT --weapon bows")]
    NoWeapon(String),
    #[error("{weapon} do not reach long range. Shoot at short range, or not at all.")]
    OutOfRange { weapon: String },
    #[error("{0} is steady and needs no rally.")]
    Steady(String),
    #[error("{unit} cannot rally: it {}. Choose another unit.", cannot(*standing))]
    CannotRally { unit: String, standing: Standing },
    #[error(
        "{0} is in contact, and a unit rallies out of contact. Fight on, or take it out of contact first: change UNIT --apart"
    )]
    InContact(String),
    #[error("{0} has already tried to rally this turn. Begin the next turn first: turn")]
    RalliedAlready(String),
    #[error(
        "“{0}” does not describe a unit. Say how many of what, then the rest after commas: \"8 figures of heavy foot, seasoned, long spears\""
    )]
    BadDescription(String),
    #[error(
        "“{0}” is no dice. Say how many, then d, then the sides: 3d6. At most 100 dice of 2 to 1,000,000 sides."
    )]
    BadDice(String),
    #[error("A throw has 1 to 10 kinds of dice. Ask it in parts.")]
    DiceCount,
    #[error("What dice are for is said in 1 to 80 characters on one line. Shorten it.")]
    BadPurpose,
    #[error("A word is 1 to 80 characters on one line. Say it so.")]
    BadWord,
    #[error(
        "This battle has 40 words, the most that go into its rolls. Give a word anew under a name that has one: show"
    )]
    TooManyWords,
    #[error("They hold this office already. See who holds which: officers")]
    HoldsOffice,
    #[error("They do not hold this office. See who holds which: officers")]
    HoldsNoOffice,
    #[error(
        "This battle has 60 offices, the most it can have. Take one away first, or name a role."
    )]
    TooManyOffices,
    #[error("A reason is 1 to 200 characters on one line. Say briefly why.")]
    BadReason,
    #[error("There is nothing left to undo. An undo reaches back over the last 20 changes.")]
    NothingToUndo,
    #[error("No roll {roll} has been thrown in this battle.{}", rolls(*last))]
    NoSuchRoll { roll: u32, last: u32 },
    #[error(
        "This battle was imported without its dice, so it can be reported on and checked but not changed. Go on where it was opened."
    )]
    NoChain,
}

fn did_you_mean(meant: Option<&str>, list: &str) -> String {
    match meant {
        Some(meant) => format!(" Did you mean “{meant}”?"),
        None => format!(" See the list: {list}"),
    }
}

fn free_leaders(known: &[String]) -> String {
    if known.is_empty() {
        return " A leader is free when his unit was destroyed and he did not fall.".to_owned();
    }
    format!(" Free leaders: {}.", known.join(", "))
}

const fn cannot(standing: Standing) -> &'static str {
    match standing {
        Standing::Steady => "is steady",
        Standing::Shaken => "is shaken",
        Standing::Routing => "is routing",
        Standing::Left => "has left the field",
        Standing::Destroyed => "is destroyed",
    }
}

const fn remedy(standing: Standing) -> &'static str {
    match standing {
        Standing::Routing => "Rally it first: rally UNIT",
        _ => "Choose another unit.",
    }
}

fn rolls(last: u32) -> String {
    match last {
        0 => " Nothing has been thrown yet.".to_owned(),
        1 => " The only roll is 1.".to_owned(),
        last => format!(" Rolls go from 1 to {last}."),
    }
}
