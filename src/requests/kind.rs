//! What may fill a slot, and whether a text does.

use super::Wrong;
use crate::battle::is_text;
use crate::protocol::{Appointee, Described, DiceAsk, Scale};
use std::str::FromStr as _;

/// What may fill a slot.
///
/// Reading refuses what is not of the kind. How many men or figures a unit may have, how long a
/// name or a reason may be and which names there are is the referee's to refuse, in one place for
/// every front; the numbers here only tell a front what to offer.
#[derive(Debug, Clone, Copy)]
pub enum Kind {
    /// The name of a unit; which ones are offered.
    Unit(Whose),
    /// The name of a leader without a unit.
    FreeLeader,
    /// The name of any leader.
    Leader,
    /// The name of a side.
    Side,
    /// A troop class of the rules.
    Class,
    /// A grade of the rules.
    Grade,
    /// A missile weapon of the rules.
    Weapon,
    /// The name of rules.
    RulesName,
    /// The name of a battle here.
    BattleName,
    /// The name of a request.
    RequestName,
    /// A name that is given now.
    NewName,
    /// Words, usually at most so many characters.
    Text {
        /// Characters.
        most: u32,
    },
    /// The number of a roll, from 1.
    Roll,
    /// A figure scale, such as 20 or 1:20.
    Scale,
    /// Several figure scales, with commas or spaces between them.
    Scales,
    /// Men.
    Men,
    /// Figures of a front rank.
    Figures,
    /// A whole number within its range.
    Number {
        /// The least.
        least: u32,
        /// The most.
        most: u32,
    },
    /// A whole number from −3 to +3, with its sign.
    Modifier,
    /// One of a few words.
    Choice(&'static [Choice]),
    /// One of a few words, each but the first an option of its own at the table.
    Flags(&'static [Choice]),
    /// Given or not.
    Flag,
    /// Yes or no.
    YesNo,
    /// A value of that kind, or none.
    OrNone(&'static Kind),
    /// Dice such as 3d6; several with spaces between them.
    Dice,
    /// A whole number, or dice such as 3d6.
    NumberOrDice,
    /// A unit described in one line.
    Described,
    /// Further contacts, as a line of the table writes them.
    Contacts,
    /// Who holds an office, as the record names them: `person-7` or `role-7`.
    Appointee,
    /// A person of the chat; the chat fills in how the record names them.
    Person,
    /// A role of the chat; the chat fills in how the record names it.
    Role,
    /// A file for a picture.
    PictureFile,
}

/// One of the words of a choice.
#[derive(Debug, Clone, Copy)]
pub struct Choice {
    /// The word.
    pub name: &'static str,
    /// What it means.
    pub about: &'static str,
}

/// Which units are offered; any may be named.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Whose {
    /// All.
    Any,
    /// Those that can fight.
    Fighting,
    /// Those that are on the field, be it routing.
    Standing,
    /// Those that can be struck, of another side than the unit in that slot.
    Against(&'static str),
    /// Those that can shoot.
    Shooting,
    /// Those of a melee that can be fought on.
    InMelee,
    /// Those that may rally.
    Rallying,
    /// Those that have a leader.
    Led,
}

/// Why a text does not fit its slot.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(super) enum Unfit {
    /// The rest of a sentence that begins by saying so; without its full stop.
    #[error("{0}")]
    Because(String),
    /// The referee's own sentence.
    #[error(transparent)]
    Wrong(Wrong),
}

impl Kind {
    /// The least and the most that a front should offer for a number; none if it is not one.
    pub const fn range(&self) -> Option<(u32, u32)> {
        Some(match self {
            Self::Roll => (1, u32::MAX),
            Self::Men => (0, 100_000),
            Self::Figures | Self::Scale => (1, 1000),
            Self::Number { least, most } => (*least, *most),
            // A front that takes only numbers says none with a 0.
            Self::OrNone(Self::Figures) => (0, 1000),
            _ => return None,
        })
    }

    /// The words of a choice; none if it is not one.
    pub const fn choices(&self) -> &'static [Choice] {
        match self {
            Self::Choice(choices) | Self::Flags(choices) => choices,
            Self::Modifier => MODIFIERS,
            _ => &[],
        }
    }

    /// The most characters that a front should take; none if it is not words.
    pub const fn most(&self) -> Option<u32> {
        match self {
            Self::Text { most } => Some(*most),
            Self::Described | Self::Dice | Self::NumberOrDice | Self::Scales => Some(200),
            Self::NewName => Some(60),
            _ => None,
        }
    }
}

/// At most 60 characters of what was said, all of which can be seen.
pub(crate) fn short(text: &str) -> String {
    const MOST: usize = 60;
    let shown = |c: char| if is_text(c.encode_utf8(&mut [0; 4]), 1) { c } else { '·' };
    let short: String = text.chars().take(MOST).map(shown).collect();
    if text.chars().nth(MOST).is_some() { short + "…" } else { short }
}

impl Kind {
    /// Whether a text is of this kind.
    pub(super) fn check(&self, text: &str) -> Result<(), Unfit> {
        let fits = |fits: bool, why: &str| {
            if fits { Ok(()) } else { Err(Unfit::Because(why.to_owned())) }
        };
        match self {
            Self::Roll => fits(number(text).is_some(), ": use the number of a roll, such as 7"),
            Self::Men => fits(number(text).is_some(), ": men are a whole number from 1 to 100,000"),
            Self::Figures => fits(number(text).is_some(), ": use a whole number of figures"),
            Self::Number { least, most } => fits(
                number(text).is_some_and(|n| (*least..=*most).contains(&n)),
                &format!(": use a whole number from {least} to {most}"),
            ),
            Self::Modifier => fits(modifier(text).is_some(), ": use a whole number from -3 to +3"),
            Self::Scale => fits(scale(text).is_some(), &scale_is()),
            Self::Scales => fits(scales(text).is_some(), &scale_is()),
            Self::Choice(choices) | Self::Flags(choices) => {
                let words: Vec<&str> = choices.iter().map(|choice| choice.name).collect();
                let fit = words.iter().any(|word| word.eq_ignore_ascii_case(text));
                fits(fit, &format!(". Use one of: {}", words.join(", ")))
            }
            Self::Flag | Self::YesNo => fits(yes(text).is_some(), ": use yes or no"),
            Self::OrNone(_) if text.eq_ignore_ascii_case("none") => Ok(()),
            Self::OrNone(kind) => kind.check(text).map_err(|unfit| match unfit {
                Unfit::Because(why) => Unfit::Because(why + ", or none"),
                wrong @ Unfit::Wrong(_) => wrong,
            }),
            Self::NumberOrDice => fits(
                number(text).is_some() || Self::Dice.check(text).is_ok(),
                ": use a whole number, or at most 100 dice of 2 to 1,000,000 sides, such as 3d6",
            ),
            Self::Dice => text
                .split_whitespace()
                .try_for_each(|dice| DiceAsk::from_str(dice).map(drop))
                .map_err(|mistake| Unfit::Wrong(mistake.into())),
            Self::Described => {
                Described::from_str(text).map(drop).map_err(|mistake| Unfit::Wrong(mistake.into()))
            }
            Self::Appointee | Self::Person | Self::Role => fits(
                Appointee::from_str(text).is_ok(),
                ": use person-N or role-ID, as the record names them",
            ),
            Self::PictureFile => {
                let end = std::path::Path::new(text).extension();
                let named = end.is_some_and(|end| end.eq_ignore_ascii_case("svg"));
                fits(named, ": a picture's file ends in .svg")
            }
            // Names are found, and words measured, by the referee.
            Self::Unit(_)
            | Self::FreeLeader
            | Self::Leader
            | Self::Side
            | Self::Class
            | Self::Grade
            | Self::Weapon
            | Self::RulesName
            | Self::BattleName
            | Self::RequestName
            | Self::NewName
            | Self::Text { .. }
            | Self::Contacts => Ok(()),
        }
    }

    /// Whether its texts are numbers, which may have a sign before them.
    pub(super) const fn is_number(&self) -> bool {
        self.range().is_some() || matches!(self, Self::Modifier)
    }
}

/// A whole number, with or without commas at the thousands.
pub(super) fn number(text: &str) -> Option<u32> {
    let digits = text.replace(',', "");
    digits.bytes().all(|c| c.is_ascii_digit()).then(|| digits.parse().ok()).flatten()
}

/// What a modifier may be, as a front offers it.
const MODIFIERS: &[Choice] = &[
    Choice { name: "-3", about: "Three less" },
    Choice { name: "-2", about: "Two less" },
    Choice { name: "-1", about: "One less" },
    Choice { name: "+1", about: "One more" },
    Choice { name: "+2", about: "Two more" },
    Choice { name: "+3", about: "Three more" },
];

/// A whole number from −3 to +3; a sign may stand before it.
pub(super) fn modifier(text: &str) -> Option<i32> {
    let plain = text.replace('−', "-");
    plain.parse().ok().filter(|by| (-3..=3).contains(by))
}

fn scale_is() -> String {
    format!(": a figure scale is a whole number of men from 1 to {}", Scale::COARSEST)
}

pub(super) fn scale(text: &str) -> Option<Scale> {
    let men = text.strip_prefix("1:").unwrap_or(text);
    number(men).and_then(Scale::new)
}

pub(super) fn scales(text: &str) -> Option<Vec<Scale>> {
    let parts = text.split([',', ' ']).filter(|part| !part.is_empty());
    let scales: Vec<Scale> = parts.map(scale).collect::<Option<_>>()?;
    (!scales.is_empty()).then_some(scales)
}

pub(super) fn yes(text: &str) -> Option<bool> {
    match text.to_lowercase().as_str() {
        "yes" | "true" => Some(true),
        "no" | "false" => Some(false),
        _ => None,
    }
}
