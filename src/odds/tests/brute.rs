//! One round against all the faces that the real melee may be given.

use super::{ask, field, front, near, pair, rules, rules_with, unit};
use crate::battle::Field;
use crate::combat::{Dice, Melee};
use crate::odds::chance::Sum;
use crate::odds::{Outcomes, joint, round};
use crate::protocol::{
    ContactAsk, Facing, Fate, Ground, MeleeRuling, Outcome, Standing, ThrowPurpose, Unit,
};
use crate::rules::Rules;
use std::collections::BTreeMap;

/// Hands out every sequence of faces there is, one after the other, like a counter with a digit for
/// each die.
#[derive(Default)]
pub(super) struct Every {
    /// The faces of this sequence, each with the sides of its die.
    laid: Vec<(u32, u32)>,
    at: usize,
}

impl Every {
    /// Goes on to the next sequence; false after the last.
    pub fn next(&mut self) -> bool {
        self.laid.truncate(self.at);
        self.at = 0;
        while let Some((face, sides)) = self.laid.pop() {
            if face < sides {
                self.laid.push((face + 1, sides));
                return true;
            }
        }
        false
    }

    pub fn chance(&self) -> f64 {
        let dice = self.laid[..self.at].iter();
        dice.map(|(_, sides)| 1.0 / f64::from(*sides)).product()
    }
}

impl Dice for Every {
    fn throw(&mut self, _: ThrowPurpose<'_>, dice: u32, sides: u32) -> Vec<u32> {
        self.faces(dice, sides)
    }
}

impl Every {
    /// The next faces of this sequence.
    pub fn faces(&mut self, dice: u32, sides: u32) -> Vec<u32> {
        let mut faces = Vec::new();
        for _ in 0..dice {
            if self.at == self.laid.len() {
                self.laid.push((1, sides));
            }
            faces.push(self.laid[self.at].0);
            self.at += 1;
        }
        faces
    }
}

/// For each unit: figures lost and killed, what became of its leader (0 nothing, 1 a wound, 2 he is
/// gone), and what it did.
pub(super) type Case = Vec<(u32, u32, u8, u8)>;
/// Every case with its chance.
pub(super) type Cases = BTreeMap<Case, f64>;

const OUTCOMES: [Outcome; 4] =
    [Outcome::Stands, Outcome::FallsBack, Outcome::Routs, Outcome::Destroyed];

pub(super) fn case_of(ruling: &MeleeRuling) -> Case {
    let units = ruling.units.iter();
    units
        .map(|unit| {
            let test = ruling.leaders.iter().find(|test| test.unit == unit.unit);
            let fate = match test.map(|test| test.fate) {
                None | Some(Fate::Unhurt) => 0,
                Some(Fate::Wounded) => 1,
                Some(Fate::Falls | Fate::Out) => 2,
            };
            let outcome = (0..).zip(OUTCOMES).find(|(_, known)| *known == unit.outcome);
            (unit.lost, unit.killed, fate, outcome.unwrap().0)
        })
        .collect()
}

fn enumerated(rules: &Rules, field: &Field, asks: &[ContactAsk]) -> Cases {
    let melee = Melee::join(rules, field, asks, 1).unwrap();
    let mut cases: BTreeMap<Case, Sum> = BTreeMap::new();
    let mut every = Every::default();
    loop {
        let case = case_of(&melee.fight(&mut every));
        cases.entry(case).or_default().add(every.chance());
        if !every.next() {
            let values = cases.into_iter();
            return values.map(|(case, sum)| (case, sum.value())).collect();
        }
    }
}

fn chances(outcomes: &Outcomes) -> [f64; 4] {
    [outcomes.stands, outcomes.falls_back, outcomes.routs, outcomes.destroyed]
}

fn computed(rules: &Rules, field: &Field, asks: &[ContactAsk], number: u32) -> Cases {
    let mut cases = Cases::new();
    for case in joint(rules, field, asks, number).unwrap().unwrap() {
        let mut partial = vec![(Case::new(), case.chance)];
        for unit in &case.units {
            let mut longer = Vec::new();
            for (units, chance) in partial {
                let (falls, wounded) = (unit.leader_falls, unit.leader_wounded);
                for (fate, of_fate, outcomes) in [
                    (0, 1.0 - wounded - falls, &unit.leader_kept),
                    (1, wounded, &unit.leader_kept),
                    (2, falls, &unit.leader_fallen),
                ] {
                    for (outcome, of_outcome) in (0..).zip(chances(outcomes)) {
                        let mut units = units.clone();
                        units.push((unit.lost, unit.killed, fate, outcome));
                        longer.push((units, chance * of_fate * of_outcome));
                    }
                }
            }
            partial = longer;
        }
        for (units, chance) in partial.into_iter().filter(|(_, chance)| *chance > 0.0) {
            *cases.entry(units).or_default() += chance;
        }
    }
    cases
}

/// The joint distribution, and what a round's odds make of it, agree with all faces.
#[track_caller]
fn check(rules: &Rules, field: &Field, asks: &[ContactAsk]) {
    hold(&enumerated(rules, field, asks), rules, field, asks, 1);
}

/// Holds the exact distribution of round `number` against what was `enumerated`.
#[track_caller]
pub(super) fn hold(
    enumerated: &Cases,
    rules: &Rules,
    field: &Field,
    asks: &[ContactAsk],
    number: u32,
) {
    let computed = computed(rules, field, asks, number);
    assert_eq!(enumerated.keys().collect::<Vec<_>>(), computed.keys().collect::<Vec<_>>());
    for (case, chance) in enumerated {
        near(computed[case], *chance, 1e-12);
    }
    let odds = round(rules, field, asks, number).unwrap();
    let chance_that = |holds: &dyn Fn(&Case) -> bool| {
        let cases = enumerated.iter().filter(|(case, _)| holds(case));
        cases.map(|(_, chance)| chance).sum::<f64>()
    };
    for (place, unit) in odds.units.iter().enumerate() {
        for (lost, chance) in (0..).zip(&unit.losses.chances) {
            near(*chance, chance_that(&|case| case[place].0 == lost), 1e-12);
        }
        for (outcome, chance) in (0..).zip(chances(&unit.outcomes)) {
            near(chance, chance_that(&|case| case[place].3 == outcome), 1e-12);
        }
        let falls = unit.leader.as_ref().map_or(0.0, |leader| leader.falls);
        near(falls, chance_that(&|case| case[place].2 == 2), 1e-12);
    }
    let place = |name: &str| odds.units.iter().position(|unit| unit.unit == name).unwrap();
    for contact in &odds.contacts {
        let both = [place(&contact.striker), place(&contact.struck)];
        let stands = |case: &Case| both.iter().all(|at| case[*at].3 == 0);
        near(contact.stands, chance_that(&stands), 1e-12);
    }
    let first = &odds.sides[0];
    let side_stands = |case: &Case, ours: bool| {
        let units = odds.units.iter().zip(case);
        let mut ours = units.filter(|(unit, _)| (unit.side == *first) == ours);
        ours.any(|(_, unit)| unit.3 == 0)
    };
    for (found, sides) in [
        (odds.standing.first_alone, (true, false)),
        (odds.standing.second_alone, (false, true)),
        (odds.standing.both, (true, true)),
        (odds.standing.neither, (false, false)),
    ] {
        let holds = |case: &Case| (side_stands(case, true), side_stands(case, false)) == sides;
        near(found, chance_that(&holds), 1e-12);
    }
}

/// Open Field with dice of three sides, so that all their faces can be gone through: 1 in 3
/// kills instead of 1 in 6, and a test throws 2 to 6 with bounds lowered to match.
fn three_sided() -> Rules {
    rules_with(&[
        ("sides = 6 ", "sides = 3 "),
        ("\nsides = 6\n", "\nsides = 3\n"),
        ("kills_on = 6", "kills_on = 3"),
        ("kills_on = 5", "kills_on = 2"),
        ("kills_on = 4", "kills_on = 1"),
        ("falls_on = 12", "falls_on = 6"),
        ("half_lost = 11", "half_lost = 5"),
        ("destroyed = 8", "destroyed = 4"),
        ("stands_on = 6", "stands_on = 4"),
        ("falls_back_on = 4", "falls_back_on = 3"),
    ])
}

fn led(unit: Unit, leader: &str) -> Unit {
    Unit { leader: Some(leader.into()), ..unit }
}

#[test]
fn two_against_two_with_the_dice_of_open_field() {
    let field = field(pair(("heavy foot", 2), ("light foot", 2)));
    check(&rules(), &field, &[ask()]);
}

#[test]
fn two_against_two_shaken_on_the_flank() {
    let [first, mut second] = pair(("heavy foot", 2), ("heavy foot", 2));
    second.standing = Standing::Shaken;
    second.muster.figures = 5;
    let flank = ContactAsk { facing: Facing::Flank, ground: Some(Ground::Struck), ..ask() };
    check(&three_sided(), &field([first, second]), &[flank]);
}

#[test]
fn leaders_on_both_sides() {
    let [first, second] = pair(("heavy foot", 1), ("light foot", 3));
    let (first, second) = (led(first, "Ida"), led(second, "Orm"));
    check(&three_sided(), &field([first, second]), &[ask()]);
}

/// One who can take two wounds, one who holds back, and one with more might than figures.
#[test]
fn leaders_who_fight() {
    let [first, second] = pair(("heavy foot", 2), ("light foot", 2));
    let (mut first, mut second) = (led(first, "Ida"), led(second, "Orm"));
    let ida = first.leader.as_mut().unwrap();
    (ida.might, ida.wounds) = (Some(3), 2);
    second.leader.as_mut().unwrap().back = true;
    check(&three_sided(), &field([first, second]), &[ask()]);
}

#[test]
fn a_charge_with_a_leader_against_a_frontage() {
    let [first, mut second] = pair(("light horse", 2), ("light foot", 3));
    second.frontage = Some(front(1));
    let charge = ContactAsk { charge: true, ..ask() };
    check(&three_sided(), &field([led(first, "Ida"), second]), &[charge]);
}

#[test]
fn two_units_share_the_kills_on_one_in_the_order_asked() {
    let units = [
        led(unit("Ford Wardens", "Vale", "light foot", 1), "Ida"),
        unit("Vale Riders", "Vale", "light foot", 1),
        unit("Banner Spears", "Grey Banner", "light foot", 2),
    ];
    let rear =
        ContactAsk { facing: Facing::Rear, ..ContactAsk::new("Vale Riders", "Banner Spears") };
    check(&three_sided(), &field(units.clone()), &[ask(), rear.clone()]);
    check(&three_sided(), &field(units), &[rear, ask()]);
}
