//! What was given with a request: texts by the name of their slot, as typed or picked.

use super::{Kind, Need, Position, Slot, Spec, Wrong, typed};
use crate::protocol::{Described, DiceAsk, Scale, Setting};
use std::str::FromStr;

/// The texts that fill a request's slots, and those of its further contacts.
///
/// The getters read a text by what it is needed for; each refuses, in one sentence, what cannot
/// be read so.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Values {
    given: Vec<(&'static str, String)>,
    further: Vec<Values>,
    request: &'static str,
}

impl Values {
    /// Nothing given yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Fills a slot; one that takes several texts may be filled again.
    pub fn put(&mut self, slot: &'static str, text: impl Into<String>) {
        self.given.push((slot, text.into()));
    }

    /// The same, to go on with.
    #[must_use]
    pub fn and(mut self, slot: &'static str, text: impl Into<String>) -> Self {
        self.put(slot, text);
        self
    }

    /// What was given for the contacts after the first, in order.
    pub fn further(&self) -> &[Self] {
        &self.further
    }

    /// Takes in what was given with a further contact: its own slots stay with it, the others
    /// belong to the whole request.
    pub(super) fn take_contact(&mut self, spec: &Spec, part: Self) {
        let each = |slot: &str| spec.slot(slot).is_some_and(|slot| slot.each);
        let (own, whole): (Vec<_>, Vec<_>) = part.given.into_iter().partition(|(n, _)| each(n));
        for (slot, text) in whole {
            // A flag that is set twice is set.
            if !self.flag(slot) {
                self.put(slot, text);
            }
        }
        self.further.push(Self { given: own, ..Self::new() });
    }

    /// Whether anything fills the slot.
    pub fn has(&self, slot: &str) -> bool {
        self.given.iter().any(|(name, _)| *name == slot)
    }

    /// Every text of a slot, in the order given.
    pub fn all<'a>(&'a self, slot: &'a str) -> impl Iterator<Item = &'a str> {
        self.given.iter().filter(move |(name, _)| *name == slot).map(|(_, text)| text.as_str())
    }

    /// The slots that are filled, with their texts, in the order given.
    pub fn given(&self) -> impl Iterator<Item = (&'static str, &str)> {
        self.given.iter().map(|(name, text)| (*name, text.as_str()))
    }

    /// A slot's text, if it was given; several are joined by spaces.
    pub fn maybe(&self, slot: &str) -> Option<String> {
        let texts: Vec<&str> = self.all(slot).collect();
        (!texts.is_empty()).then(|| texts.join(" "))
    }

    /// A slot's text.
    pub fn text(&self, slot: &str) -> Result<String, Wrong> {
        self.maybe(slot).ok_or_else(|| Wrong::missing(slot, self.request))
    }

    /// Whether a flag is set.
    pub fn flag(&self, slot: &str) -> bool {
        self.all(slot).any(|text| yes(text) == Some(true))
    }

    /// A yes or a no, if it was given.
    pub fn yes_or_no(&self, slot: &str) -> Result<Option<bool>, Wrong> {
        self.maybe_by(slot, &Kind::YesNo, yes)
    }

    /// A whole number, if it was given.
    pub fn maybe_number(&self, slot: &str) -> Result<Option<u32>, Wrong> {
        self.maybe_by(slot, &Kind::Men, number)
    }

    /// A whole number.
    pub fn number(&self, slot: &str) -> Result<u32, Wrong> {
        self.maybe_number(slot)?.ok_or_else(|| Wrong::missing(slot, self.request))
    }

    /// A figure scale, if it was given.
    pub fn maybe_scale(&self, slot: &str) -> Result<Option<Scale>, Wrong> {
        self.maybe_by(slot, &Kind::Scale, scale)
    }

    /// A figure scale.
    pub fn scale(&self, slot: &str) -> Result<Scale, Wrong> {
        self.maybe_scale(slot)?.ok_or_else(|| Wrong::missing(slot, self.request))
    }

    /// Several figure scales.
    pub fn scales(&self, slot: &str) -> Result<Vec<Scale>, Wrong> {
        let text = self.text(slot)?;
        let read = scales(&text);
        read.ok_or_else(|| unfit(&text, slot, Kind::Scales.check(&text)))
    }

    /// The word that was chosen, in small letters, if any.
    pub fn choice(&self, slot: &str) -> Option<String> {
        self.maybe(slot).map(|text| text.to_lowercase())
    }

    /// The number of a person or a role, if it was given.
    pub fn identity(&self, slot: &str) -> Result<Option<u64>, Wrong> {
        self.maybe_by(slot, &Kind::Person, |text| text.parse().ok())
    }

    /// A text that may be “none”, if it was given.
    pub fn setting(&self, slot: &str) -> Option<Setting<String>> {
        let none = |text: &str| text.eq_ignore_ascii_case("none");
        self.maybe(slot).map(|text| if none(&text) { Setting::None } else { Setting::To(text) })
    }

    /// A number of figures that may be “none”, if it was given; 0 is none too.
    pub fn figures_or_none(&self, slot: &str) -> Result<Option<Setting<u32>>, Wrong> {
        match self.setting(slot) {
            Some(Setting::To(_)) => Ok(self.maybe_number(slot)?.map(|figures| match figures {
                0 => Setting::None,
                figures => Setting::To(figures),
            })),
            none => Ok(none.map(|_| Setting::None)),
        }
    }

    /// A unit described in one line.
    pub fn described(&self, slot: &str) -> Result<Described, Wrong> {
        Ok(Described::from_str(&self.text(slot)?)?)
    }

    /// Dice of one kind or more.
    pub fn dice(&self, slot: &str) -> Result<Vec<DiceAsk>, Wrong> {
        let text = self.text(slot)?;
        Ok(text.split_whitespace().map(DiceAsk::from_str).collect::<Result<_, _>>()?)
    }

    fn maybe_by<T>(
        &self,
        slot: &str,
        kind: &Kind,
        read: impl Fn(&str) -> Option<T>,
    ) -> Result<Option<T>, Wrong> {
        let Some(text) = self.maybe(slot) else { return Ok(None) };
        read(&text).map(Some).ok_or_else(|| unfit(&text, slot, kind.check(&text)))
    }

    /// The same values, checked by the kinds of the request's slots and with what is usual filled
    /// in; contacts that were written in one text are read into their own values.
    pub(super) fn checked(&self, spec: &'static Spec) -> Result<Self, Wrong> {
        let mut values = self.clone();
        values.request = spec.name;
        for contact in &mut values.further {
            contact.request = spec.name;
        }
        if let Some(slot) = spec.slots.iter().find(|slot| matches!(slot.kind, Kind::Contacts)) {
            if let Some(text) = values.maybe(slot.name) {
                typed::contacts(spec, &text, &mut values)?;
            }
        }
        values.check(spec, spec.slots.iter())?;
        for contact in &values.further {
            contact.check(spec, spec.slots.iter().filter(|slot| slot.each))?;
        }
        for slot in spec.slots {
            if let Some(usual) = slot.usual
                && !values.has(slot.name)
            {
                values.put(slot.name, usual);
            }
        }
        Ok(values)
    }

    fn check<'a>(&self, spec: &Spec, slots: impl Iterator<Item = &'a Slot>) -> Result<(), Wrong> {
        for slot in slots {
            if !self.has(slot.name) {
                if slot.need != Need::Optional {
                    return Err(Wrong::missing(slot.name, spec.name));
                }
                continue;
            }
            self.check_texts(slot)?;
            if let Some(needed) = slot.needs.filter(|needed| !self.has(needed)) {
                return Err(Wrong::missing(needed, spec.name));
            }
            if let Some(other) = slot.excludes.filter(|other| self.has(other)) {
                return Err(exclude(slot.name, other));
            }
        }
        Ok(())
    }

    fn check_texts(&self, slot: &Slot) -> Result<(), Wrong> {
        let mut texts = 0;
        for text in self.all(slot.name) {
            slot.kind.check(text).map_err(|unfit| self::unfit(text, slot.name, Err(unfit)))?;
            texts += 1;
        }
        if texts > 1 && !matches!(slot.place, Position::Rest | Position::Options) {
            return Err(Wrong::new(format!("{} is given twice. Give it once.", slot.name)));
        }
        Ok(())
    }
}

/// Two slots that were given and exclude each other.
fn exclude(one: &str, other: &str) -> Wrong {
    Wrong::new(format!("{one} and {other} exclude each other. Use one of them."))
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

/// The sentence for a text that does not fit.
fn unfit(text: &str, slot: &str, checked: Result<(), Unfit>) -> Wrong {
    let text = short(text);
    match checked {
        Err(Unfit::Wrong(wrong)) => wrong,
        Err(Unfit::Because(why)) => Wrong::new(format!("“{text}” does not fit {slot}{why}.")),
        Ok(()) => Wrong::new(format!("“{text}” does not fit {slot}. Use another value.")),
    }
}

/// At most 60 characters of what was said, none of which moves the cursor.
pub(super) fn short(text: &str) -> String {
    const MOST: usize = 60;
    let shown = |c: char| if c.is_control() { '·' } else { c };
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
            Self::Dice => text
                .split_whitespace()
                .try_for_each(|dice| DiceAsk::from_str(dice).map(drop))
                .map_err(|mistake| Unfit::Wrong(mistake.into())),
            Self::Described => {
                Described::from_str(text).map(drop).map_err(|mistake| Unfit::Wrong(mistake.into()))
            }
            Self::Person | Self::Role => {
                fits(text.parse::<u64>().is_ok(), ": pick one from the list")
            }
            Self::PictureFile => {
                let end = std::path::Path::new(text).extension();
                let named = end.is_some_and(|end| end.eq_ignore_ascii_case("svg"));
                fits(named, ": a picture's file ends in .svg")
            }
            // Names are found, and words measured, by the referee.
            Self::Unit(_)
            | Self::FreeLeader
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
        self.range().is_some()
    }
}

/// A whole number, with or without commas at the thousands.
fn number(text: &str) -> Option<u32> {
    let digits = text.replace(',', "");
    digits.bytes().all(|c| c.is_ascii_digit()).then(|| digits.parse().ok()).flatten()
}

fn scale_is() -> String {
    format!(": a figure scale is a whole number of men from 1 to {}", Scale::COARSEST)
}

fn scale(text: &str) -> Option<Scale> {
    let men = text.strip_prefix("1:").unwrap_or(text);
    number(men).and_then(Scale::new)
}

fn scales(text: &str) -> Option<Vec<Scale>> {
    let parts = text.split([',', ' ']).filter(|part| !part.is_empty());
    let scales: Vec<Scale> = parts.map(scale).collect::<Option<_>>()?;
    (!scales.is_empty()).then_some(scales)
}

fn yes(text: &str) -> Option<bool> {
    match text.to_lowercase().as_str() {
        "yes" | "true" => Some(true),
        "no" | "false" => Some(false),
        _ => None,
    }
}
