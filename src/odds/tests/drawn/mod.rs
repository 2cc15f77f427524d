//! Whatever the rules file says, exact odds, all faces and real rulings agree.
//!
//! Rules files are drawn at random: ladders of 3 to 13 rungs, cells, dice of 2 to 20 sides, test
//! dice, least dice, ranks, steps, thresholds and modifiers; and with them units and contacts. For
//! every sequence of faces a round is ruled by [`Melee::fight`] and worked out again by [`Plain`],
//! which is written from `docs/rules.md`; the distribution counted that way is held against the
//! exact one. Fights to the finish are held against a plain recursion over such rounds.

mod plain;
mod rules;

use super::brute::{Case, Cases, Every, case_of, hold};
use super::finish::Recursion;
use super::{any, field, near, strength};
use crate::combat::{Dice, Melee};
use crate::odds::chance::Sum;
use crate::odds::{Kind, OddsError, finish};
use crate::protocol::{ContactAsk, ThrowPurpose, Unit};
use plain::{Plain, class};
use proptest::prelude::*;
use rules::{CLASSES, Draft, GRADES, draft};
use std::collections::BTreeMap;

/// The most sequences of faces of one drawn round.
const FACES: u64 = 6_000;

/// A drawn clash: the rules file, the units of the asking side and then the others, their
/// contacts, and the round.
#[derive(Debug, Clone)]
struct Clash {
    draft: Draft,
    units: Vec<Unit>,
    asks: Vec<ContactAsk>,
    round: u32,
}

fn any_unit(name: &'static str, side: &'static str) -> impl Strategy<Value = Unit> {
    let classes = CLASSES.map(|(class, _)| class);
    any::any_unit((name, side), classes.to_vec(), GRADES.to_vec(), 4)
}

fn contact(by: &Unit, at: &Unit) -> impl Strategy<Value = ContactAsk> + use<> {
    any::contact(by, at, [by, at].map(|unit| CLASSES[class(unit)].1))
}

fn one_against_one() -> impl Strategy<Value = Clash> {
    let units = (any_unit("Wardens", "Vale"), any_unit("Spears", "Grey Banner"));
    (draft(), units, 1_u32..=2).prop_flat_map(|(draft, (first, second), round)| {
        contact(&first, &second).prop_map(move |ask| Clash {
            draft: draft.clone(),
            units: vec![first.clone(), second.clone()],
            asks: vec![ask],
            round,
        })
    })
}

/// Two units of one side against one of the other, which strikes both or is struck by both.
fn two_against_one() -> impl Strategy<Value = Clash> {
    let units = (
        any_unit("Wardens", "Vale"),
        any_unit("Riders", "Vale"),
        any_unit("Spears", "Grey Banner"),
    );
    (draft(), units, any::<bool>()).prop_flat_map(|(draft, (first, second, alone), strikes)| {
        let both = [&first, &second]
            .map(|unit| if strikes { contact(&alone, unit) } else { contact(unit, &alone) });
        both.prop_map(move |mut asks| {
            // All that are across a width are across the same one.
            if asks.iter().all(|ask| ask.width.is_some()) {
                for ask in &mut asks {
                    ask.width = Some(1);
                }
            }
            let mut units = vec![first.clone(), second.clone(), alone.clone()];
            // The fall of a general beside another unit is sampled.
            for leader in units[..2].iter_mut().filter_map(|unit| unit.leader.as_mut()) {
                leader.general = false;
            }
            if strikes {
                units.rotate_right(1);
            }
            Clash { draft: draft.clone(), units, asks: asks.to_vec(), round: 1 }
        })
    })
}

impl Clash {
    fn plain(&self) -> Plain<'_> {
        let Self { draft, units, asks, round } = self;
        Plain { draft, units, asks, round: *round }
    }

    /// The clash with fewer figures and then without leaders, until its faces are few enough.
    fn small(mut self) -> Option<Self> {
        while self.plain().faces() > FACES {
            let largest = self.units.iter_mut().max_by_key(|unit| unit.now.figures)?;
            if largest.now.figures > 1 {
                largest.now = strength(largest.now.figures - 1);
                continue;
            }
            self.units.iter_mut().find_map(|unit| unit.leader.take())?;
        }
        Some(self)
    }
}

/// Faces laid down for a ruling, with the sides of their dice; they must be asked for in order.
struct Laid(std::vec::IntoIter<(u32, Vec<u32>)>);

impl Dice for Laid {
    fn throw(&mut self, _: ThrowPurpose<'_>, dice: u32, sides: u32) -> Vec<u32> {
        let (laid, faces) = self.0.next().expect("a throw too many");
        assert_eq!((laid, faces.len()), (sides, dice as usize));
        faces
    }
}

/// Goes through all faces: each is ruled and worked out plainly, and the two must agree.
fn enumerated(clash: &Clash, melee: &Melee<'_>) -> Cases {
    let plain = clash.plain();
    let mut cases: BTreeMap<Case, Sum> = BTreeMap::new();
    let mut every = Every::default();
    loop {
        let mut thrown = Vec::new();
        let case = plain.fight(&mut |dice, sides| {
            let faces = every.faces(dice, sides);
            thrown.push((sides, faces.clone()));
            faces
        });
        let mut laid = Laid(thrown.into_iter());
        assert_eq!(case_of(&melee.fight(&mut laid)), case);
        assert!(laid.0.next().is_none(), "a throw too few");
        cases.entry(case).or_default().add(every.chance());
        if !every.next() {
            return cases.into_iter().map(|(case, sum)| (case, sum.value())).collect();
        }
    }
}

fn check_round(clash: &Clash) {
    let rules = clash.draft.rules();
    let field = field(clash.units.clone());
    let melee = Melee::join(&rules, &field, &clash.asks, clash.round).unwrap();
    hold(&enumerated(clash, &melee), &rules, &field, &clash.asks, clash.round);
}

fn check_finish(clash: &Clash) {
    let rules = clash.draft.rules();
    let field = field(clash.units.clone());
    let found = finish(&rules, &field, &clash.asks, 1);
    let mut recursion = Recursion::new(&rules, &clash.units, &clash.asks[0]);
    let Some(expected) = recursion.fight() else {
        assert!(matches!(found, Err(OddsError::NoEnd { .. })), "{found:?}");
        return;
    };
    let found = found.unwrap();
    assert_eq!(found.kind, Kind::Exact);
    for (found, expected) in Recursion::found(&found).into_iter().zip(expected) {
        // A fight that hardly ever ends takes very many rounds.
        near(found, expected, 1e-10 * expected.abs().max(1.0));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn a_round_agrees_with_all_its_faces(
        clash in one_against_one().prop_filter_map("too many faces", Clash::small)
    ) {
        check_round(&clash);
    }

    #[test]
    fn a_round_of_three_units_agrees_with_all_its_faces(
        clash in two_against_one().prop_filter_map("too many faces", Clash::small)
    ) {
        check_round(&clash);
    }

    #[test]
    fn a_fight_to_the_finish_agrees_with_a_plain_recursion(clash in one_against_one()) {
        check_finish(&clash);
    }
}
