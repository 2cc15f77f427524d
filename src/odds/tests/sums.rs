//! Whatever is asked, chances are chances: between 0 and 1, and 1 in all.

use super::{any, field, near, rules, unit};
use crate::odds::{Kind, Outcomes, SidesStand, UnitOdds, finish, round};
use crate::protocol::{ContactAsk, Unit};
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
    let (classes, grades) = (CLASSES.to_vec(), vec!["raw", "trained", "seasoned", "guard"]);
    let unit = any::any_unit(("", side), classes, grades, 6);
    prop::collection::vec(unit, count).prop_map(|mut units| {
        for (n, unit) in units.iter_mut().enumerate() {
            unit.name = format!("{} {n}", unit.side);
            if let Some(leader) = &mut unit.leader {
                leader.name = format!("Leader of {}", unit.name);
            }
        }
        units
    })
}

fn contact(by: &Unit, at: &Unit) -> impl Strategy<Value = ContactAsk> + use<> {
    any::contact(by, at, [by, at].map(|unit| unit.class.contains("horse")))
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

fn check(sides: &SidesStand, units: &[UnitOdds]) {
    check_chances(&[sides.first_alone, sides.second_alone, sides.both, sides.neither]);
    units.iter().for_each(check_unit);
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
    check(&odds.standing, &odds.units);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn one_against_one_sums_to_one((units, asks) in one_against_one()) {
        let (rules, field) = (rules(), field(units));
        let one = round(&rules, &field, &asks, 1).unwrap();
        check(&one.standing, &one.units);
        near(one.contacts[0].stands, one.standing.both, 1e-12);
        let all = finish(&rules, &field, &asks, 1).unwrap();
        check(&all.standing, &all.units);
        near(all.standing.both, 0.0, 0.0);
        near(all.units[0].outcomes.stands, all.standing.first_alone, 1e-12);
        near(all.units[1].outcomes.stands, all.standing.second_alone, 1e-12);
        prop_assert!(all.rounds.expected >= 1.0);
    }

    #[test]
    fn two_against_one_sums_to_one((units, asks) in two_against_one()) {
        let (rules, field) = (rules(), field(units));
        let odds = round(&rules, &field, &asks, 1).unwrap();
        check(&odds.standing, &odds.units);
    }
}
