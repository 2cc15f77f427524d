//! What is typed: words on a line, read by the slots of a request.
//!
//! The local table reads its lines so, and a chat the further contacts of a melee, which people
//! write there as they would at the table.

mod grammar;
mod name;
mod trouble;
mod words;

pub use grammar::{help, option_names};
pub use name::{Named, named};
pub use words::words;

use super::{Spec, Values, Wrong};
use grammar::Part;

/// What joins one contact to the next.
pub(super) const JOINT: &str = "and";

/// Reads the words that follow a request's name, beside what its name gave.
///
/// # Errors
///
/// One sentence: words that do not fit, that are missing or that are too many.
pub fn read(named: &Named<'_>) -> Result<Values, Wrong> {
    let (spec, words) = (named.spec, named.rest);
    let contacts = spec.takes_contacts();
    let mut parts = words.split(|word| contacts && word.eq_ignore_ascii_case(JOINT));
    let mut values = grammar::read(spec, Part::First, parts.next().unwrap_or_default())?;
    for (slot, text) in named.given.given() {
        // Said by the name and as an option, a flag is said once.
        if !values.has(slot) {
            values.put(slot, text);
        }
    }
    for part in parts {
        let contact = grammar::read(spec, Part::Further, part)?;
        values.take_contact(contact, |slot| spec.slot(slot).is_some_and(|slot| slot.each));
    }
    Ok(values)
}

/// Reads further contacts that were written in one text, with or without “and” before the first.
pub(super) fn contacts(spec: &'static Spec, text: &str, values: &mut Values) -> Result<(), Wrong> {
    let words = words(text)?;
    let joins = |word: &String| word.eq_ignore_ascii_case(JOINT);
    let words = match words.split_first() {
        Some((first, rest)) if joins(first) => rest,
        _ => &words,
    };
    if words.is_empty() {
        return Ok(());
    }
    for part in words.split(joins) {
        let contact = grammar::read(spec, Part::Further, part)?;
        values.take_contact(contact, |slot| spec.slot(slot).is_some_and(|slot| slot.each));
    }
    Ok(())
}
