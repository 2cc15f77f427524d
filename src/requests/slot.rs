//! What is given with a request: a slot, its kind, and how each front takes it.

use super::Fronts;

/// One thing that is given with a request.
#[derive(Debug, Clone, Copy)]
pub struct Slot {
    /// Its name, which no other slot of the request has.
    pub name: &'static str,
    /// What it means, in at most 100 characters.
    pub about: &'static str,
    /// What may fill it.
    pub kind: Kind,
    /// Whether it must be given.
    pub need: Need,
    /// How a line of the table gives it.
    pub place: Position,
    /// Which fronts take it.
    pub fronts: Fronts,
    /// What stands in it when nothing is given.
    pub usual: Option<&'static str>,
    /// A slot that must be given with it.
    pub needs: Option<&'static str>,
    /// A slot that must not be given with it.
    pub excludes: Option<&'static str>,
    /// Each contact has its own.
    pub each: bool,
    /// Another name by which a line of the table may give it.
    pub also: Option<&'static str>,
    /// A chat's names for it where they differ; several where it may be given several times.
    pub chat_names: &'static [&'static str],
}

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
    /// A unit described in one line.
    Described,
    /// Further contacts, as a line of the table writes them.
    Contacts,
    /// A person of the chat, by the platform's number.
    Person,
    /// A role of the chat, by the platform's number.
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
    /// Those that can be struck, of another side than the unit in that slot.
    Against(&'static str),
    /// Those that can shoot.
    Shooting,
    /// Those of a melee that can be fought on.
    InMelee,
    /// Those that may rally.
    Rallying,
}

/// Whether a slot must be given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// It must.
    Required,
    /// It must at the table; a chat that is not given it fills it in itself.
    AtTable,
    /// It may be left out.
    Optional,
}

/// How a line of the table gives a slot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Position {
    /// By its place among the words.
    Word,
    /// By all the words that are left.
    Rest,
    /// By its name.
    Option,
    /// By its name, as often as wanted.
    Options,
}

/// A slot that must be given, by its place.
pub const fn word(name: &'static str, about: &'static str, kind: Kind) -> Slot {
    Slot {
        name,
        about,
        kind,
        need: Need::Required,
        place: Position::Word,
        fronts: Fronts::Both,
        usual: None,
        needs: None,
        excludes: None,
        each: false,
        also: None,
        chat_names: &[],
    }
}

/// A slot that may be given, by its name.
pub const fn option(name: &'static str, about: &'static str, kind: Kind) -> Slot {
    Slot { need: Need::Optional, place: Position::Option, ..word(name, about, kind) }
}

/// A slot that is given or not.
pub const fn flag(name: &'static str, about: &'static str) -> Slot {
    option(name, about, Kind::Flag)
}

impl Slot {
    /// The same, but it may be left out.
    #[must_use]
    pub const fn optional(self) -> Self {
        Self { need: Need::Optional, ..self }
    }

    /// The same, but it must be given.
    #[must_use]
    pub const fn required(self) -> Self {
        Self { need: Need::Required, ..self }
    }

    /// The same, but a chat that is not given it fills it in itself.
    #[must_use]
    pub const fn filled_in_chat(self) -> Self {
        Self { need: Need::AtTable, ..self }
    }

    /// The same, by all the words that are left.
    #[must_use]
    pub const fn rest(self) -> Self {
        Self { place: Position::Rest, ..self }
    }

    /// The same, as often as wanted; a chat has these names for it.
    #[must_use]
    pub const fn several(self, chat_names: &'static [&'static str]) -> Self {
        Self { place: Position::Options, chat_names, ..self }
    }

    /// The same, for some fronts only.
    #[must_use]
    pub const fn only(self, fronts: Fronts) -> Self {
        Self { fronts, ..self }
    }

    /// The same, with what stands in it when nothing is given.
    #[must_use]
    pub const fn usually(self, usual: &'static str) -> Self {
        Self { usual: Some(usual), ..self }
    }

    /// The same, but only together with another slot.
    #[must_use]
    pub const fn with(self, needs: &'static str) -> Self {
        Self { needs: Some(needs), ..self }
    }

    /// The same, but not together with another slot.
    #[must_use]
    pub const fn without(self, excludes: &'static str) -> Self {
        Self { excludes: Some(excludes), ..self }
    }

    /// The same, but each contact has its own.
    #[must_use]
    pub const fn each(self) -> Self {
        Self { each: true, ..self }
    }

    /// The same, under another name too.
    #[must_use]
    pub const fn also(self, also: &'static str) -> Self {
        Self { also: Some(also), ..self }
    }

    /// What its value is called in help at the table.
    pub fn value_name(&self) -> String {
        let of = |kind: &Kind| match kind {
            Kind::Choice(choices) => {
                choices.iter().map(|choice| choice.name).collect::<Vec<_>>().join("|")
            }
            Kind::YesNo => "yes|no".to_owned(),
            Kind::NewName if self.place == Position::Option => "NAME".to_owned(),
            Kind::PictureFile => "FILE".to_owned(),
            _ => self.name.to_uppercase(),
        };
        of(&self.kind)
    }
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
            _ => &[],
        }
    }

    /// The most characters that a front should take; none if it is not words.
    pub const fn most(&self) -> Option<u32> {
        match self {
            Self::Text { most } => Some(*most),
            Self::Described | Self::Dice | Self::Scales => Some(200),
            Self::NewName => Some(60),
            _ => None,
        }
    }
}
