//! The odds against values, libraries and procedures from outside this module.

mod brute;
mod drawn;
mod even;
mod finish;
mod fit;
mod sums;
mod table;

use crate::battle::Field;
use crate::protocol::{ContactAsk, Scale, Standing, Strength, Unit};
use crate::rules::{OPEN_FIELD, Rules};
use std::sync::Arc;

/// Men for a figure in these tests.
const SCALE: u32 = 20;

fn rules() -> Rules {
    Rules::load("open-field.toml", OPEN_FIELD).unwrap()
}

/// Open Field with some of its text replaced; what is replaced must be there.
fn rules_with(changes: &[(&str, &str)]) -> Rules {
    let mut text = OPEN_FIELD.to_owned();
    for (from, to) in changes {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    Rules::load("changed.toml", &text).unwrap()
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
        muster: strength(figures),
        now: strength(figures),
        standing: Standing::Steady,
        rallied: false,
    }
}

fn field(units: impl IntoIterator<Item = Unit>) -> Field {
    Field {
        protocol: crate::protocol::Protocol::LATEST,
        scale: Scale::new(SCALE).unwrap(),
        turn: 1,
        sides: Arc::new(vec!["Vale".into(), "Grey Banner".into()]),
        units: Arc::new(units.into_iter().map(Arc::new).collect()),
        free_leaders: Arc::default(),
        engagements: Arc::default(),
        pending: None,
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

#[track_caller]
fn near(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} is not within {within} of {expected}");
}
