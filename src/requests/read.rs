//! Reading: values checked by the kinds of a request's slots, once for every front.

use super::values::unfit;
use super::{Asked, Kind, Need, Position, Slot, Spec, Values, Wrong, typed};

impl Spec {
    /// Reads what was given into what is asked.
    ///
    /// # Errors
    ///
    /// One sentence for whoever asked: a value that does not fit, one that is missing, or two that
    /// exclude each other.
    pub fn read(&'static self, values: &Values) -> Result<Asked, Wrong> {
        (self.build)(&checked(self, values)?)
    }
}

/// The same values, checked and with what is usual filled in; contacts that were written in one
/// text are read into their own values.
fn checked(spec: &'static Spec, given: &Values) -> Result<Values, Wrong> {
    let mut values = given.clone();
    values.request = spec.name;
    if let Some(slot) = spec.slots.iter().find(|slot| matches!(slot.kind, Kind::Contacts))
        && let Some(text) = values.maybe(slot.name)
    {
        typed::contacts(spec, &text, &mut values)?;
    }
    check(spec, &values, spec.slots.iter())?;
    for contact in &mut values.further {
        contact.request = spec.name;
        check(spec, contact, spec.slots.iter().filter(|slot| slot.each))?;
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

fn check<'a>(
    spec: &Spec,
    values: &Values,
    slots: impl Iterator<Item = &'a Slot>,
) -> Result<(), Wrong> {
    for slot in slots {
        if !values.has(slot.name) {
            if slot.need == Need::Required {
                return Err(Wrong::missing(slot.name, spec.name));
            }
            continue;
        }
        check_texts(values, slot)?;
        if let Some(needed) = slot.needs.filter(|needed| !values.has(needed)) {
            return Err(Wrong::missing(needed, spec.name));
        }
        if let Some(other) = slot.excludes.filter(|other| values.has(other)) {
            let sentence =
                format!("{} and {other} exclude each other. Use one of them.", slot.name);
            return Err(Wrong::new(sentence));
        }
    }
    Ok(())
}

fn check_texts(values: &Values, slot: &Slot) -> Result<(), Wrong> {
    for text in values.all(slot.name) {
        slot.kind.check(text).map_err(|why| unfit(text, slot.name, Err(why)))?;
    }
    let several = matches!(slot.place, Position::Rest | Position::Options);
    if !several && values.all(slot.name).nth(1).is_some() {
        return Err(Wrong::new(format!("{} is given twice. Give it once.", slot.name)));
    }
    Ok(())
}
