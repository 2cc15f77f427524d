//! A request as the table of requests knows it.

use super::{Asked, Fronts, Kind, Need, Slot, Values, Wrong};

/// One request: how it is named, explained, filled in and read.
#[derive(Debug)]
pub struct Spec {
    /// Its name, which no other request has: the first word of its line.
    pub name: &'static str,
    /// Its name within its group in a chat.
    pub in_chat: &'static str,
    /// Where it belongs.
    pub group: Group,
    /// When somebody new needs it.
    pub tier: Tier,
    /// Other words by which the table understands it; one that is also the name of a flag sets it.
    pub aliases: &'static [&'static str],
    /// What it does, in at most 100 characters.
    pub about: &'static str,
    /// What else helps to ask it; may be empty.
    pub note: &'static str,
    /// Lines of the table that ask it.
    pub examples: &'static [Example],
    /// What is given with it, in the order in which the table takes it.
    pub slots: &'static [Slot],
    /// Who can ask it.
    pub fronts: Fronts,
    /// Builds what is asked from values that `Spec::read` has checked.
    pub build: fn(&Values) -> Result<Asked, Wrong>,
}

/// A request as it would be written on a line of the table.
pub type Example = &'static str;

/// Where a request belongs: in a chat, the command under which it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Group {
    /// A battle as a whole.
    Battle,
    /// Units and their leaders.
    Unit,
    /// Fighting and its dice.
    Fight,
    /// Turns, and what is taken back.
    Turn,
    /// Looking, without changing anything.
    Look,
    /// What needs no battle.
    Quick,
    /// The server's and a person's own.
    Setup,
    /// Requests that stand alone.
    Alone,
}

/// When somebody new needs a request.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tier {
    /// On a first evening.
    First,
    /// On a second evening.
    Second,
    /// For those who want to see the dice proved, and for those who run a group.
    Later,
}

impl Spec {
    /// A request by its name, where it belongs, when it is needed, and how what is asked is built.
    ///
    /// The rest is as with most requests: every front asks it, under this one name and with nothing
    /// given. What it does must be said with [`Spec::about`].
    pub const fn new(
        name: &'static str,
        group: Group,
        tier: Tier,
        build: fn(&Values) -> Result<Asked, Wrong>,
    ) -> Self {
        Self {
            name,
            in_chat: name,
            group,
            tier,
            aliases: &[],
            about: "",
            note: "",
            examples: &[],
            slots: &[],
            fronts: Fronts::Both,
            build,
        }
    }

    /// The same, under another name within its group in a chat.
    #[must_use]
    pub const fn in_chat(self, in_chat: &'static str) -> Self {
        Self { in_chat, ..self }
    }

    /// The same, for some fronts only.
    #[must_use]
    pub const fn only(self, fronts: Fronts) -> Self {
        Self { fronts, ..self }
    }

    /// The same, understood by other words too.
    #[must_use]
    pub const fn aliases(self, aliases: &'static [&'static str]) -> Self {
        Self { aliases, ..self }
    }

    /// The same, with what it does.
    #[must_use]
    pub const fn about(self, about: &'static str) -> Self {
        Self { about, ..self }
    }

    /// The same, with what else helps to ask it.
    #[must_use]
    pub const fn note(self, note: &'static str) -> Self {
        Self { note, ..self }
    }

    /// The same, with lines of the table that ask it.
    #[must_use]
    pub const fn examples(self, examples: &'static [Example]) -> Self {
        Self { examples, ..self }
    }

    /// The same, with what is given with it.
    #[must_use]
    pub const fn slots(self, slots: &'static [Slot]) -> Self {
        Self { slots, ..self }
    }
}

impl Spec {
    /// The slot of that name.
    pub fn slot(&self, name: &str) -> Option<&'static Slot> {
        self.slots.iter().find(|slot| slot.name == name)
    }

    /// The slots that the table takes, in its order.
    pub fn at_table(&self) -> impl Iterator<Item = &'static Slot> {
        self.slots.iter().filter(|slot| slot.fronts.table())
    }

    /// The options of its command in a chat: those that must be given first.
    pub fn chat_options(&self) -> Vec<ChatOption> {
        let names = |slot: &'static Slot| match slot.chat_names {
            [] => vec![slot.name],
            names => names.to_vec(),
        };
        let slots = self.slots.iter().filter(|slot| slot.fronts.chat());
        let option = |slot: &'static Slot| {
            names(slot).into_iter().map(move |name| ChatOption { name, slot })
        };
        let mut options: Vec<ChatOption> = slots.flat_map(option).collect();
        options.sort_by_key(|option| !option.required());
        options
    }

    /// Whether contacts of their own may follow the first one.
    pub fn takes_contacts(&self) -> bool {
        self.slots.iter().any(|slot| matches!(slot.kind, Kind::Contacts))
    }
}

/// One option of a command in a chat.
#[derive(Debug, Clone, Copy)]
pub struct ChatOption {
    /// Its name there.
    pub name: &'static str,
    /// The slot that it fills.
    pub slot: &'static Slot,
}

impl ChatOption {
    /// Whether it must be given.
    pub fn required(&self) -> bool {
        self.slot.need == Need::Required
    }
}

impl Group {
    /// Every group, in the order in which they are told.
    pub const ALL: [Self; 8] = [
        Self::Battle,
        Self::Unit,
        Self::Fight,
        Self::Turn,
        Self::Look,
        Self::Quick,
        Self::Setup,
        Self::Alone,
    ];

    /// The command under which its requests stand in a chat; none for those that stand alone.
    pub const fn command(self) -> Option<&'static str> {
        Some(match self {
            Self::Battle => "battle",
            Self::Unit => "unit",
            Self::Fight => "fight",
            Self::Turn => "turn",
            Self::Look => "look",
            Self::Quick => "quick",
            Self::Setup => "setup",
            Self::Alone => return None,
        })
    }

    /// What its requests are about, in at most 100 characters.
    pub const fn about(self) -> &'static str {
        match self {
            Self::Battle => "Open a battle, close it, and say who may do what in it.",
            Self::Unit => "Muster units, change them and give them leaders.",
            Self::Fight => "Fight, shoot, rally, and have a say in the dice.",
            Self::Turn => "Begin the next turn, or take something back.",
            Self::Look => {
                "Look at the battle, the odds, the record and the rules. Nothing changes."
            }
            Self::Quick => "A single clash or plain dice, with no battle at all.",
            Self::Setup => "What battles here begin with, and what is kept about you.",
            Self::Alone => "Help, and leaving.",
        }
    }

    /// Its heading in help.
    pub const fn heading(self) -> &'static str {
        match self {
            Self::Battle => "Battles",
            Self::Unit => "Units",
            Self::Fight => "Fighting",
            Self::Turn => "Turns",
            Self::Look => "Looking",
            Self::Quick => "Without a battle",
            Self::Setup => "Settings",
            Self::Alone => "Help",
        }
    }
}

impl Tier {
    /// Every tier, first things first.
    pub const ALL: [Self; 3] = [Self::First, Self::Second, Self::Later];
}
