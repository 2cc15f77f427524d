//! What is given with a request: a slot, its kind, and how each front takes it.

use super::Kind;

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

/// Who can ask a request, or give a slot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fronts {
    /// Every front.
    Both,
    /// The local table alone.
    Table,
    /// A chat alone.
    Chat,
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
            Kind::NewName | Kind::Side | Kind::RulesName
                if matches!(self.place, Position::Option | Position::Options) =>
            {
                "NAME".to_owned()
            }
            Kind::Men | Kind::Figures | Kind::Number { .. } | Kind::Modifier => "NUMBER".to_owned(),
            Kind::OrNone(Kind::Figures) => "NUMBER|none".to_owned(),
            Kind::PictureFile => "FILE".to_owned(),
            _ => self.name.to_uppercase(),
        };
        of(&self.kind)
    }
}

impl Fronts {
    /// Whether the local table is one of them.
    pub const fn table(self) -> bool {
        matches!(self, Self::Both | Self::Table)
    }

    /// Whether a chat is one of them.
    pub const fn chat(self) -> bool {
        matches!(self, Self::Both | Self::Chat)
    }
}
