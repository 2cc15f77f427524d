//! The odds against values, libraries and procedures from outside this module.

mod any;
mod balance;
mod brute;
mod drawn;
mod duel;
mod even;
mod finish;
mod fit;
mod sums;
mod table;
mod work;

use super::FinishOdds;
use crate::battle::Field;
use crate::protocol::{Abreast, ContactAsk, Protocol, Scale, Standing, Strength, Unit};
use crate::rules::{Rules, SIX_SIDED};
use std::sync::Arc;

/// Men for a figure in these tests.
const SCALE: u32 = 20;

fn rules() -> Rules {
    Rules::load("six-sided.toml", SIX_SIDED).unwrap()
}

/// The rules with some of their text replaced; what is replaced must be there.
fn rules_with(changes: &[(&str, &str)]) -> Rules {
    let mut text = SIX_SIDED.to_owned();
    for (from, to) in changes {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    Rules::load("changed.toml", &text).unwrap()
}

/// A front of so many figures.
fn front(figures: u32) -> Abreast {
    Abreast::of(figures, Scale::new(SCALE).unwrap())
}

fn strength(figures: u32) -> Strength {
    Strength { men: figures * SCALE, figures }
}

/// A trained, steady unit with every figure in the fight.
fn unit(name: &str, side: &str, class: &str, figures: u32) -> Unit {
    Unit {
        name: name.into(),
        side: side.into(),
        class: class.into(),
        grade: "trained".into(),
        long_spears: false,
        weapon: None,
        frontage: None,
        leader: None,
        single: false,
        muster: strength(figures),
        now: strength(figures),
        standing: Standing::Steady,
        rallied: false,
        shot_at: false,
    }
}

fn field(units: impl IntoIterator<Item = Unit>) -> Field {
    Field {
        sides: Arc::new(vec!["Vale".into(), "Grey Banner".into()]),
        units: Arc::new(units.into_iter().map(Arc::new).collect()),
        ..Field::new(Protocol::LATEST, Scale::new(SCALE).unwrap())
    }
}

/// Units of the Vale and of the Grey Banner: each class with its figures, first Vale's.
fn pair(first: (&str, u32), second: (&str, u32)) -> [Unit; 2] {
    [
        unit("Ford Wardens", "Vale", first.0, first.1),
        unit("Banner Spears", "Grey Banner", second.0, second.1),
    ]
}

fn ask() -> ContactAsk {
    ContactAsk::new("Ford Wardens", "Banner Spears")
}

/// What a fight to the finish comes to, in the order of the columns of the table of the rules: the
/// first alone stands, the second alone, neither; rounds; figures that each loses.
fn worth(odds: &FinishOdds) -> [f64; 6] {
    [
        odds.standing.first_alone,
        odds.standing.second_alone,
        odds.standing.neither,
        odds.rounds.expected,
        odds.units[0].losses.expected,
        odds.units[1].losses.expected,
    ]
}

#[track_caller]
fn near(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} is not within {within} of {expected}");
}
