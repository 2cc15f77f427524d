//! What can be asked wrongly. Each says what was wrong and what to do; none changes anything.

use super::particulars::{
    cannot, did_you_mean, few, hidden, leaders, no_known_condition, place, remedy, rolls,
    same_side, too_few, what_stands, wounds,
};
use super::{Hint, Told};
use crate::protocol::{Scale, Standing};
use std::fmt;

/// A mistake of whoever asked.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs, reason = "the sentence of each variant says what its fields mean")]
pub enum Mistake {
    #[error(
        "No battle is open here. Go on with a closed one (reopen), or open one{then}", then = self.then()
    )]
    NoBattle,
    #[error(
        "The battle “{0}” is still open here, and a place holds one at a time. Close it first{then}", then = self.then()
    )]
    AlreadyOpen(String),
    #[error(
        "A battle here is already called “{0}”. Choose another name, or go on with it{then}", then = self.then()
    )]
    BattleNameTaken(String),
    #[error("No battle here is called “{name}”. {}{then}", did_you_mean(meant.as_deref()), then = self.then())]
    NoSuchBattle { name: String, meant: Option<String> },
    #[error("The battle “{0}” is not closed. Go on with it.")]
    NotClosed(String),
    #[error("No battle in this record is called “{name}”. It holds: {}.", few(known))]
    NoSuchBattleInRecord { name: String, known: Vec<String> },
    #[error("This record holds no battle.")]
    EmptyRecord,
    #[error(
        "This record holds only quick rulings and plain dice. To name them: --battle \"Quick rulings\""
    )]
    OnlyQuickInRecord,
    #[error("Several battles fit. Name one by its id: --battle ID. They are: {}.", few(known))]
    WhichBattle { known: Vec<String> },
    #[error(
        "This battle has {events} events, and {what} tells {most} at most. The command “drumhead export” writes all of it to a file."
    )]
    TooManyEvents { what: &'static str, events: u64, most: u64 },
    #[error("There are no rules called “{name}”. The rules here are: {}.", known.join(", "))]
    NoSuchRules { name: String, known: Vec<String> },
    #[error("No unit is called “{name}” in this battle. {}{then}", did_you_mean(meant.as_deref()), then = self.then())]
    NoSuchUnit { name: String, meant: Option<String> },
    #[error("“{name}” is not a {kind} in these rules. Use one of: {}.", known.join(", "))]
    NotInRules { kind: &'static str, name: String, known: Vec<String> },
    #[error("“{name}” is not a side of this battle, whose sides are {}. To name a further side{then}", known.join(" and "), then = self.then())]
    NoSuchSide { name: String, known: Vec<String> },
    #[error("The side “{0}” is already in this battle. Muster units for it, or name another.")]
    SideTaken(String),
    #[error(
        "“{0}” cannot be a name. Use 1 to 40 characters on one line, without quotation marks, “\\” or “: ”, and not “-”, “@” or “#” at the start; “and” and “none” are taken."
    )]
    BadName(String),
    #[error("The name “{0}” is already taken in this battle. Choose another.")]
    NameTaken(String),
    #[error(
        "The name “{name}” looks too much like “{like}”, which is another's here. Choose one that nobody mixes up with it."
    )]
    TooLike { name: String, like: String },
    #[error(
        "{}cannot be seen, or only looks like a space. Type the name or the text anew, with plain spaces.", hidden(.0)
    )]
    Hidden(String),
    #[error("{0} men is out of range. A unit has 1 to 100,000 men.")]
    Men(u32),
    #[error(
        "{men} men at {scale} would be {figures} figures, and a unit has at most 1,000. Use a coarser figure scale."
    )]
    TooManyFigures { men: u32, figures: u32, scale: Scale },
    #[error("This battle has 200 units, the most it can hold. Dismiss one first{then}", then = self.then())]
    TooManyUnits,
    #[error(
        "A frontage of {0} figures is out of range. Use 1 to 1,000, or leave the frontage out."
    )]
    Frontage(u32),
    #[error("{}", too_few(*men, *figures, *least, *scale))]
    TooFew { men: u32, figures: u32, least: u32, scale: Scale },
    #[error(
        "At {scale} no figure would be left of {}. Choose a finer scale, or dismiss them first.", units.join(", ")
    )]
    NoFigures { units: Vec<String>, scale: Scale },
    #[error("A single has 1 to 60 hits, not {0}. Give it that many.")]
    Hits(u32),
    #[error("{0} is a single: it has hits, and neither men nor a frontage. Leave these out.")]
    SingleWith(String),
    #[error(
        "{unit} mustered {mustered} men, and {men} are more. Dice were thrown since, so reinforce it{then}", then = self.then()
    )]
    MoreThanMustered { unit: String, men: u32, mustered: u32 },
    #[error("{unit} cannot be reinforced: it {}. Muster another unit.", standing.map_or("is a single", cannot))]
    CannotReinforce { unit: String, standing: Option<Standing> },
    #[error("{unit} cannot be harmed: it {}. Choose another unit.", cannot(*standing))]
    CannotHarm { unit: String, standing: Standing },
    #[error("{0} is a single and has no men. Say how many hits it loses{then}", then = self.then())]
    NoMenToHarm(String),
    #[error("A harm is 1 to 200 dice, 1 to 100,000 men or 1 to 1,000 figures. Change it to fit.")]
    HarmRange,
    #[error(
        "The dice of these rules show 1 to {sides}, and not {kills_on}. Say on what they kill within that."
    )]
    HarmKillsOn { kills_on: u32, sides: u32 },
    #[error("{unit} has no nerve to test: it {}. {}{then}", cannot(*standing), remedy(*standing), then = self.then())]
    NoNerve { unit: String, standing: Standing },
    #[error(
        "{0} and {1} are in contact already, and how they meet is settled. Leave the options out to fight on."
    )]
    AlreadyMet(String, String),
    #[error(
        "This melee was fought {0} times this turn, and the rules say no more. Wait for the next turn, or let the referee ask."
    )]
    RoundsFought(u32),
    #[error("{0} and {1} are not in contact. Name a pair that is.")]
    NotMet(String, String),
    #[error("{}", no_known_condition(name, known))]
    NoKnownCondition { name: String, known: Vec<String> },
    #[error("The rules say what “{0}” does. Leave its effects out, or choose another name.")]
    ConditionKnown(String),
    #[error("“{name}” stands on {on}. Set it there.")]
    StandsElsewhere { name: String, on: String },
    #[error("“{name}” does not stand there. {}", what_stands(known))]
    NoSuchCondition { name: String, known: Vec<String> },
    #[error("A condition does something: steps and nerve from -3 to +3, dice up to 6.")]
    BadEffects,
    #[error("200 conditions stand in this battle. Lift one first.")]
    TooManyConditions,
    #[error("{unit} may not {what}: {condition}. Lift that first, or ask for something else.")]
    MayNot { unit: String, what: &'static str, condition: String },
    #[error("Steps of your own are −3 to +3, and need a reason of 1 to 200 characters: --why.")]
    BadSteps,
    #[error("Name 1 to 20 units that shoot.")]
    ShooterCount,
    #[error("{0} is named twice, and shoots once. Name it once.")]
    ShooterTwice(String),
    #[error("{0} All that shoot together must be of one side.")]
    MixedShooters(TwoSides),
    #[error("A width is 1 to 1,000 figures abreast, not {0}.")]
    Width(u32),
    #[error(
        "{0} and {1} figures abreast are two widths, and a melee is fought across one. Ask for the contacts one after the other."
    )]
    TwoWidths(u32, u32),
    #[error("Nothing would change. Name something to change, such as{then}", then = self.then())]
    NothingToChange,
    #[error("A unit with men cannot be destroyed by hand. Set its men to 0{then}", then = self.then())]
    DestroyedByHand,
    #[error(
        "{0} has no men left, so it can only be destroyed. Give it men first{then}", then = self.then()
    )]
    NoMen(String),
    #[error("{0} is in a melee. Take it out of contact first{then}", then = self.then())]
    InContactForChange(String),
    #[error("At most {0} figure scales are compared at once. Name fewer.")]
    TooManyScales(usize),
    #[error("This battle is already at {0}. Choose another scale.")]
    SameScale(Scale),
    #[error("No leader is called “{name}” in this battle{}", leaders(known))]
    NoSuchLeader { name: String, known: Vec<String> },
    #[error("{0}. Choose a unit of the leader's own side.")]
    OtherSidesLeader(TwoSides),
    #[error("{0} has no leader. Give it one{then}", then = self.then())]
    NoLeader(String),
    #[error("A leader has might 1 to 6 and can take 1 to 6 wounds, not {0}. Give him that many.")]
    LeaderNumber(u32),
    #[error("{leader} has taken {} already. Let him take more than that.", wounds(*taken))]
    WoundsTaken { leader: String, taken: u32 },
    #[error(
        "{side} has the general {general}, and a side has one. Let him be general no more first."
    )]
    TwoGenerals { side: String, general: String },
    #[error("{0} is out of the fight until the battle's end. Choose another leader.")]
    OutOfTheFight(String),
    #[error(
        "{0} is in contact, and a leader comes and goes out of contact. Take it out of contact first{then}", then = self.then()
    )]
    InContactForLeader(String),
    #[error("{leader} {} already. Choose the other place, or another unit.", place(*back))]
    PlacedSo { leader: String, back: bool },
    #[error(
        "{0} is in contact, where only the referee gives its leader another place. Let the referee ask."
    )]
    InContactForPlace(String),
    #[error(
        "{0} has chosen his place this turn already. Wait for the next turn, or let the referee ask."
    )]
    PlacedAlready(String),
    #[error(
        "These rules have no table [{table}], and so no {what}. Use a rules file that has one, such as open-field."
    )]
    NoTable { what: &'static str, table: &'static str },
    #[error("{0} and {1} are not of two sides. Name a leader of each side.")]
    NoFoes(String, String),
    #[error("{0} has fought another leader this turn already. Wait for the next turn.")]
    FoughtAlready(String),
    #[error(
        "{0} and {1} do not lead units in contact with each other. To let them meet all the same{then}", then = self.then()
    )]
    DoNotMeet(String, String),
    #[error("{unit} already has the leader {leader}. Choose another unit.")]
    HasLeader { unit: String, leader: String },
    #[error("A melee has 1 to 40 contacts. Fight several melees.")]
    ContactCount,
    #[error("{} Name one unit from each of two sides.", same_side(.0, .1))]
    SameSide(String, String),
    #[error(
        "The striking units of one melee are all on one side, but {0}. Name the striking side's unit first in each contact."
    )]
    MixedStrikers(TwoSides),
    #[error("The struck units of one melee are all on one side, but {0}. Fight two melees.")]
    MixedStruck(TwoSides),
    #[error("{0} and {1} meet twice in this request. Name each contact once.")]
    ContactTwice(String, String),
    #[error("{unit} cannot fight: it {}. {}{then}", cannot(*standing), remedy(*standing), then = self.then())]
    CannotFight { unit: String, standing: Standing },
    #[error(
        "{unit} is on foot ({class}), and only a mounted unit can charge. Ask again without the charge."
    )]
    FootCharge { unit: String, class: String },
    #[error("No contact stands any more. Begin a new melee{then}", then = self.then())]
    NothingToFightOn,
    #[error("No melee is being fought. Ask for the odds of one{then}", then = self.then())]
    NothingToWeigh,
    #[error("{0} is not in a melee. Begin one{then}", then = self.then())]
    NotInMelee(String),
    #[error("No roll is waiting for a cast. Announce one{then}", then = self.then())]
    NothingToCast,
    #[error(
        "A roll of {asking} against {casting} is waiting for {casting} to cast it, and nothing else can be done before that. Take it back (undo, with a reason), or cast it{then}", then = self.then()
    )]
    WaitingForCast { asking: String, casting: String },
    #[error("{0} has no missile weapon. Give it one{then}", then = self.then())]
    NoWeapon(String),
    #[error("{weapon} do not reach long range. Shoot at short range, or not at all.")]
    OutOfRange { weapon: String },
    #[error("{0} is steady and needs no rally.")]
    Steady(String),
    #[error("{unit} cannot rally: it {}. Choose another unit.", cannot(*standing))]
    CannotRally { unit: String, standing: Standing },
    #[error(
        "{0} is in contact, and a unit rallies out of contact. Fight on, or take it out of contact first{then}", then = self.then()
    )]
    InContact(String),
    #[error("{0} has already tried to rally this turn. Begin the next turn first{then}", then = self.then())]
    RalliedAlready(String),
    #[error(
        "“{0}” does not describe a unit. Say how many of what, then the rest after commas: \"8 figures of line foot, seasoned, long spears\""
    )]
    BadDescription(String),
    #[error(
        "“{0}” cannot be thrown. Write how many dice, then d, then their sides: 3d6. At most 100 dice of 2 to 1,000,000 sides."
    )]
    BadDice(String),
    #[error("A throw takes 1 to 10 kinds of dice. Make several throws.")]
    DiceCount,
    #[error("Say what the dice are for in 1 to 80 characters, on one line.")]
    BadPurpose,
    #[error("A cast is a text of your own: 8 to 80 characters, on one line. Type one{then}", then = self.then())]
    BadCast,
    #[error("Nobody in this request has a die to throw. Name units that can reach each other.")]
    NothingToThrow,
    #[error("The word of “{0}” belongs to somebody else. Give yours under another name.")]
    WordTaken(String),
    #[error("A word has 1 to 80 characters, on one line. Change it to fit.")]
    BadWord,
    #[error(
        "This battle has 40 words, the most that go into its rolls. Give a word under a name that already has one{then}", then = self.then()
    )]
    TooManyWords,
    #[error("They hold this office already. See who holds which{then}", then = self.then())]
    HoldsOffice,
    #[error("They do not hold this office. See who holds which{then}", then = self.then())]
    HoldsNoOffice,
    #[error(
        "This battle has 60 offices, the most it can have. Take one away first, or name a role."
    )]
    TooManyOffices,
    #[error("A reason has 1 to 200 characters, on one line. Say briefly why.")]
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

/// Two of different sides, where both should be of one; each by its name and its side's.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TwoSides(pub [String; 2], pub [String; 2]);

impl TwoSides {
    /// One and another, each with its side.
    pub fn new(one: [&str; 2], other: [&str; 2]) -> Self {
        Self(one.map(str::to_owned), other.map(str::to_owned))
    }
}

impl fmt::Display for TwoSides {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self([one, side], [other, others]) = self;
        write!(f, "{one} fights for {side} and {other} for {others}")
    }
}

impl Mistake {
    /// The sentence and what it tells to ask, apart, so that each front can spell it in its own
    /// way; `Display` puts them together as the local table does.
    pub fn told(&self) -> Told {
        let whole = self.to_string();
        match self.hint() {
            Some(hint) => {
                let sentence = whole.strip_suffix(&format!(": {hint}"));
                Told::with(sentence.unwrap_or(&whole), hint)
            }
            None => Told::plain(whole),
        }
    }

    /// What to ask, where the sentence ends with a request.
    fn hint(&self) -> Option<Hint> {
        let change = || Hint::new("change").word("unit", "UNIT");
        let two = |hint: Hint| hint.word("striker", "UNIT").word("struck", "UNIT");
        Some(match self {
            Self::NoBattle => Hint::new("open").word("name", "NAME").option("scale", "20"),
            Self::AlreadyOpen(_) => Hint::new("close"),
            Self::BattleNameTaken(_) => Hint::new("reopen").word("battle", "NAME"),
            Self::NoSuchBattle { meant: None, .. } => Hint::new("battles"),
            Self::NoSuchUnit { meant: None, .. } | Self::TooManyWords => Hint::new("show"),
            Self::NoSuchSide { .. } => Hint::new("side").word("name", "NAME"),
            Self::TooManyUnits => Hint::new("dismiss").word("unit", "UNIT"),
            Self::NothingToChange | Self::NoMen(_) => change().option("men", "80"),
            Self::DestroyedByHand => change().option("men", "0"),
            Self::DoNotMeet(..) => {
                Hint::new("duel").word("first", "LEADER").word("second", "LEADER").flag("meet")
            }
            Self::NoLeader(_) => change().option("leader", "NAME"),
            Self::InContactForChange(_) | Self::InContact(_) | Self::InContactForLeader(_) => {
                Hint::new("part").word("unit", "UNIT").option("why", "REASON")
            }
            Self::MoreThanMustered { .. } => {
                let hint = Hint::new("reinforce").word("unit", "UNIT");
                hint.option("men", "40").option("why", "REASON")
            }
            Self::NoMenToHarm(_) => {
                let hint = Hint::new("harm").word("unit", "UNIT");
                hint.option("figures", "2").option("why", "REASON")
            }
            Self::CannotFight { standing: Standing::Routing, .. }
            | Self::NoNerve { standing: Standing::Routing, .. } => {
                Hint::new("rally").word("unit", "UNIT")
            }
            Self::NothingToFightOn | Self::NotInMelee(_) => two(Hint::new("melee")),
            Self::NothingToWeigh => two(Hint::new("odds")),
            Self::NothingToCast => two(Hint::new("melee")).flag("cast"),
            Self::WaitingForCast { .. } | Self::BadCast => Hint::new("cast").word("text", "TEXT"),
            Self::NoWeapon(_) => change().option("weapon", "bows"),
            Self::HoldsOffice | Self::HoldsNoOffice => {
                Hint::new("log").flag("all").in_chat("officers")
            }
            Self::RalliedAlready(_) => Hint::new("turn"),
            _ => return None,
        })
    }

    /// The hint behind its colon, at the end of a sentence that has one.
    fn then(&self) -> String {
        self.hint().map_or_else(String::new, |hint| format!(": {hint}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_many_battles_the_latest_ten_are_named() {
        let known: Vec<String> = (1..=12).map(|n| format!("Ford {n}")).collect();
        assert_eq!(
            Mistake::WhichBattle { known: known.clone() }.to_string(),
            "Several battles fit. Name one by its id: --battle ID. They are: Ford 3, Ford 4, \
             Ford 5, Ford 6, Ford 7, Ford 8, Ford 9, Ford 10, Ford 11, Ford 12 and 2 older."
        );
        let name = "Mill".to_owned();
        assert_eq!(
            Mistake::NoSuchBattleInRecord { name, known: known[2..].to_vec() }.to_string(),
            "No battle in this record is called “Mill”. It holds: Ford 3, Ford 4, Ford 5, Ford 6, \
             Ford 7, Ford 8, Ford 9, Ford 10, Ford 11, Ford 12."
        );
    }
}
