//! What was given with a request: texts by the name of their slot, as typed or picked.

use super::kind::{Unfit, modifier, number, scale, scales, short, yes};
use super::{Kind, Wrong};
use crate::protocol::{Appointee, Described, DiceAsk, Scale, Setting};
use std::str::FromStr;

/// The texts that fill a request's slots, and those of its further contacts.
///
/// The getters read a text by what it is needed for; each refuses, in one sentence, what cannot
/// be read so.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Values {
    given: Vec<(&'static str, String)>,
    pub(super) further: Vec<Values>,
    pub(super) request: &'static str,
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
    pub(super) fn take_contact(&mut self, part: Self, each: impl Fn(&str) -> bool) {
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

    /// Whether a slot's text is a whole number.
    pub fn is_number(&self, slot: &str) -> bool {
        self.maybe(slot).is_some_and(|text| number(&text).is_some())
    }

    /// That something must be given, by whatever name people know it.
    pub fn missing(&self, what: &str) -> Wrong {
        Wrong::missing(what, self.request)
    }

    /// A number from −3 to +3; 0 if it was not given.
    pub fn modifier(&self, slot: &str) -> Result<i32, Wrong> {
        Ok(self.maybe_by(slot, &Kind::Modifier, modifier)?.unwrap_or(0))
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

    /// Who holds an office, if it was given.
    pub fn appointee(&self, slot: &str) -> Result<Option<Appointee>, Wrong> {
        self.maybe_by(slot, &Kind::Appointee, |text| text.parse().ok())
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
}

/// The sentence for a text that does not fit.
pub(super) fn unfit(text: &str, slot: &str, checked: Result<(), Unfit>) -> Wrong {
    let text = short(text);
    match checked {
        Err(Unfit::Wrong(wrong)) => wrong,
        Err(Unfit::Because(why)) => Wrong::new(format!("“{text}” does not fit {slot}{why}.")),
        Ok(()) => Wrong::new(format!("“{text}” does not fit {slot}. Use another value.")),
    }
}
