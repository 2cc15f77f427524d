//! The procedures against worked examples, with faces laid down by hand.

mod circumstances;
mod clash;
mod conditions;
mod duel;
mod harm;
mod rally;
mod round;
mod shooting;

use super::*;
use crate::battle::{Field, muster};
use crate::protocol::{ContactAsk, MeleeRuling, Muster, Protocol, Scale, Unit};
use crate::rules::{Rules, SIX_SIDED};
use std::sync::Arc;

/// Faces laid down by hand, one list a throw, each checked against what is asked for.
struct Laid(Vec<(String, Vec<u32>)>);

impl Laid {
    fn new<'a>(throws: impl IntoIterator<Item = (&'a str, &'a [u32])>) -> Self {
        let mut throws: Vec<_> =
            throws.into_iter().map(|(name, faces)| (name.to_owned(), faces.to_vec())).collect();
        throws.reverse();
        Self(throws)
    }
}

impl Dice for Laid {
    fn throw(&mut self, what: ThrowPurpose<'_>, dice: u32, _sides: u32) -> Vec<u32> {
        let asked = match what {
            ThrowPurpose::Strike { by, at } | ThrowPurpose::Shot { by, at } => format!("{by}>{at}"),
            ThrowPurpose::Leader(name)
            | ThrowPurpose::Duel(name)
            | ThrowPurpose::Morale(name)
            | ThrowPurpose::Rally(name)
            | ThrowPurpose::Harm(name)
            | ThrowPurpose::Other(name) => name.to_owned(),
        };
        let (name, faces) = self.0.pop().unwrap_or_else(|| panic!("nothing laid for {asked}"));
        assert_eq!((asked, dice as usize), (name, faces.len()));
        faces
    }
}

impl Drop for Laid {
    fn drop(&mut self) {
        assert!(std::thread::panicking() || self.0.is_empty(), "not thrown: {:?}", self.0);
    }
}

fn rules() -> Rules {
    Rules::load("six-sided.toml", SIX_SIDED).unwrap()
}

fn field_scale() -> Scale {
    Scale::new(20).unwrap()
}

/// A field at 1:20; units as `(name, side, class, figures)`, trained and without a frontage.
fn field(units: &[(&str, &str, &str, u32)]) -> Field {
    let mut field = Field::new(Protocol::LATEST, field_scale());
    for (name, side, class, figures) in units {
        let ask = Muster::new(*name, *side, *class, figures * 20);
        field.enter(muster::muster(&rules(), &field, &ask).unwrap());
    }
    field
}

/// The same with heavy foot only.
fn foot(units: &[(&str, &str, u32)]) -> Field {
    let units: Vec<_> =
        units.iter().map(|(name, side, figures)| (*name, *side, "heavy foot", *figures)).collect();
    field(&units)
}

fn with(mut field: Field, name: &str, change: impl FnOnce(&mut Unit)) -> Field {
    let units = Arc::make_mut(&mut field.units);
    change(Arc::make_mut(units.iter_mut().find(|unit| unit.name == name).unwrap()));
    field
}

fn fight(field: &Field, asks: &[ContactAsk], mut dice: Laid) -> MeleeRuling {
    Melee::join(&rules(), field, asks, 1).unwrap().fight(&mut dice)
}
