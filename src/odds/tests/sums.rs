//! Whatever is asked, chances are chances: between 0 and 1, and 1 in all.

use super::{field, near, rules, strength, unit};
use crate::odds::{Kind, Outcomes, SidesStand, UnitOdds, finish, round};
use crate::protocol::{ContactAsk, Facing, Ground, Holder, Standing, Unit};
use proptest::prelude::*;

const CLASSES: [&str; 7] = [
    "levy",
    "light foot",
    "heavy foot",
    "light horse",
    "medium horse",
    "heavy horse",
    "great beasts",
];

fn units(side: &'static str, count: usize) -> impl Strategy<Value = Vec<Unit>> {
    prop::collection::vec(any_unit(side), count).prop_map(|mut units| {
        for (n, unit) in units.iter_mut().enumerate() {
            unit.name = format!("{} {n}", unit.side);
            if let Some(leader) = &mut unit.leader {
                *leader = format!("Leader of {}", unit.name);
            }
        }
        units
    })
}

fn any_unit(side: &'static str) -> impl Strategy<Value = Unit> {
    (
        prop::sample::select(&CLASSES[..]),
        prop::sample::select(&["raw", "trained", "seasoned", "guard"][..]),
        1_u32..=6,
        0_u32..=4,
        prop::option::of(1_u32..=4),
        any::<[bool; 3]>(),
    )
        .prop_map(move |(class, grade, figures, gone, frontage, [spears, led, shaken])| Unit {
            grade: grade.into(),
            long_spears: spears,
            frontage,
            leader: led.then(String::new),
            muster: strength(figures + gone),
            standing: if shaken { Standing::Shaken } else { Standing::Steady },
            ..unit("", side, class, figures)
        })
}

fn contact(by: &Unit, at: &Unit) -> impl Strategy<Value = ContactAsk> + use<> {
    let mounted = [by, at].map(|unit| unit.class.contains("horse"));
    let (by, at) = (by.name.clone(), at.name.clone());
    let ground = prop::sample::select(&[Ground::Striker, Ground::Struck, Ground::Both][..]);
    let obstacle = prop::sample::select(&[Holder::Striker, Holder::Struck][..]);
    let (ground, obstacle) = (prop::option::of(ground), prop::option::of(obstacle));
    let facing = prop::sample::select(&[Facing::Front, Facing::Flank, Facing::Rear][..]);
    (any::<[bool; 2]>(), facing, ground, obstacle).prop_map(
        move |([charge, countercharge], facing, ground, obstacle)| ContactAsk {
            charge: charge && mounted[0],
            countercharge: countercharge && mounted[1],
            facing,
            ground,
            obstacle,
            ..ContactAsk::new(by.clone(), at.clone())
        },
    )
}

type Setup = (Vec<Unit>, Vec<ContactAsk>);

fn one_against_one() -> impl Strategy<Value = Setup> {
    (units("Vale", 1), units("Grey Banner", 1)).prop_flat_map(|(ours, theirs)| {
        let contact = contact(&ours[0], &theirs[0]);
        (Just([ours, theirs].concat()), prop::collection::vec(contact, 1))
    })
}

fn two_against_one() -> impl Strategy<Value = Setup> {
    (units("Vale", 2), units("Grey Banner", 1)).prop_flat_map(|(ours, theirs)| {
        let contacts = (contact(&ours[0], &theirs[0]), contact(&ours[1], &theirs[0]));
        let contacts = contacts.prop_map(|(first, second)| vec![first, second]);
        (Just([ours, theirs].concat()), contacts)
    })
}

fn check_sides(sides: &SidesStand) {
    let all = [sides.first_alone, sides.second_alone, sides.both, sides.neither];
    check_chances(&all);
}

fn check_chances(chances: &[f64]) {
    near(chances.iter().sum(), 1.0, 1e-12);
    assert!(chances.iter().all(|chance| (0.0..=1.0 + 1e-12).contains(chance)), "{chances:?}");
}

fn check_unit(unit: &UnitOdds) {
    let Outcomes { stands, falls_back, routs, destroyed } = unit.outcomes;
    check_chances(&[stands, falls_back, routs, destroyed]);
    check_chances(&unit.losses.chances);
    let all = *unit.losses.chances.last().unwrap();
    near(destroyed, all, 1e-12);
    near(unit.losses.expected_men, unit.losses.expected * 20.0, 1e-9);
    assert!(unit.losses.deviation <= f64::from(unit.before.figures));
    if let Some(leader) = &unit.leader {
        assert!((0.0..=1.0).contains(&leader.falls));
    }
}

/// Many rounds and many states leave no more than rounding behind.
#[test]
fn a_large_fight_with_leaders_sums_to_one() {
    let mut ours = unit("Ford Wardens", "Vale", "heavy foot", 40);
    let mut theirs = unit("Banner Spears", "Grey Banner", "light horse", 30);
    (ours.leader, theirs.leader) = (Some("Ida".into()), Some("Orm".into()));
    let asks = [ContactAsk::new("Ford Wardens", "Banner Spears")];
    let odds = finish(&rules(), &field([ours, theirs]), &asks, 1).unwrap();
    assert_eq!(odds.kind, Kind::Exact);
    check_sides(&odds.standing);
    odds.units.iter().for_each(check_unit);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn one_against_one_sums_to_one((units, asks) in one_against_one()) {
        let (rules, field) = (rules(), field(units));
        let one = round(&rules, &field, &asks, 1).unwrap();
        check_sides(&one.standing);
        one.units.iter().for_each(check_unit);
        near(one.contacts[0].stands, one.standing.both, 1e-12);
        let all = finish(&rules, &field, &asks, 1).unwrap();
        check_sides(&all.standing);
        all.units.iter().for_each(check_unit);
        near(all.standing.both, 0.0, 0.0);
        near(all.units[0].outcomes.stands, all.standing.first_alone, 1e-12);
        near(all.units[1].outcomes.stands, all.standing.second_alone, 1e-12);
        prop_assert!(all.rounds.expected >= 1.0);
    }

    #[test]
    fn two_against_one_sums_to_one((units, asks) in two_against_one()) {
        let (rules, field) = (rules(), field(units));
        let odds = round(&rules, &field, &asks, 1).unwrap();
        check_sides(&odds.standing);
        odds.units.iter().for_each(check_unit);
    }
}
