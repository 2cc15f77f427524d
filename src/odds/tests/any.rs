//! Units and contacts drawn at random.

use super::{front, strength, unit};
use crate::protocol::{ContactAsk, Facing, Ground, Holder, Leader, Standing, Unit};
use proptest::prelude::*;

/// A unit of one of these classes and grades, with 1 to `most` figures left.
pub(super) fn any_unit(
    (name, side): (&'static str, &'static str),
    classes: Vec<&'static str>,
    grades: Vec<&'static str>,
    most: u32,
) -> impl Strategy<Value = Unit> {
    let kind = (prop::sample::select(classes), prop::sample::select(grades));
    let numbers = (1..=most, 0..most, prop::option::of(1..most));
    (kind, numbers, any::<[bool; 2]>(), prop::option::of(leader(name))).prop_map(
        move |((class, grade), (figures, gone, frontage), [spears, shaken], leader)| Unit {
            grade: grade.into(),
            long_spears: spears,
            frontage: frontage.map(front),
            leader,
            muster: strength(figures + gone),
            standing: if shaken { Standing::Shaken } else { Standing::Steady },
            ..unit(name, side, class, figures)
        },
    )
}

/// The leader of the unit called `name`: often a plain one, else of any might and wounds, perhaps
/// holding back, spared or general.
fn leader(name: &'static str) -> impl Strategy<Value = Leader> {
    let plain = Just(Leader::new(format!("Leader of {name}")));
    let might = prop::option::of(1_u32..=3);
    let wounds = (1_u32..=3).prop_flat_map(|wounds| (Just(wounds), 0..wounds));
    let other = (might, wounds, any::<[bool; 3]>());
    let other = other.prop_map(move |(might, (wounds, taken), [back, spared, general])| Leader {
        might,
        wounds,
        taken,
        back,
        spared,
        general,
        ..Leader::new(format!("Leader of {name}"))
    });
    prop_oneof![plain, other]
}

/// How `by` meets `at`; only those of the two that are `mounted` charge.
pub(super) fn contact(
    by: &Unit,
    at: &Unit,
    mounted: [bool; 2],
) -> impl Strategy<Value = ContactAsk> + use<> {
    let (by, at) = (by.name.clone(), at.name.clone());
    let facing = prop::sample::select(&[Facing::Front, Facing::Flank, Facing::Rear][..]);
    let ground = prop::sample::select(&[Ground::Striker, Ground::Struck, Ground::Both][..]);
    let obstacle = prop::sample::select(&[Holder::Striker, Holder::Struck][..]);
    let ground = (prop::option::of(ground), prop::option::of(obstacle));
    let width = prop_oneof![3 => Just(None), 1 => Just(Some(2))];
    (any::<[bool; 2]>(), facing, ground, width).prop_map(
        move |([charge, countercharge], facing, (ground, obstacle), width)| ContactAsk {
            charge: charge && mounted[0],
            countercharge: countercharge && mounted[1],
            facing,
            ground,
            obstacle,
            width,
            ..ContactAsk::new(by.clone(), at.clone())
        },
    )
}
