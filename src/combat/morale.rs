//! Morale: who must test, what modifies the score, and what a score means.
//!
//! To add a modifier: give it a key in `rules::Morale`, a [`MoraleCause`] and a line in [`terms`].
//! One that comes from how a unit meets another is a circumstance of the contact instead.

use super::circumstances::{self, Whose, held};
use super::losses::RoundLosses;
use super::{Dice, ThrowPurpose};
use crate::protocol::{
    Circumstance, Condition, Effect, Key, MoraleCause, MoraleTest, Nerve, Outcome, Scale, Term,
    Unit,
};
use crate::rules::{Deep, Outnumbered, Rules};

/// What a unit went through, as far as its nerve is concerned.
#[derive(Debug, Clone, Copy)]
pub struct Situation<'a> {
    /// What its grade adds.
    pub grade: i32,
    /// Whether a leader is attached and standing.
    pub leader: bool,
    /// Its figures at muster.
    pub muster: u32,
    /// Its figures left.
    pub left: u32,
    /// Its frontage in figures; none if it has no front rank.
    pub front: Option<u32>,
    /// What only a melee brings; none when shot at or harmed.
    pub melee: Option<InMelee>,
    /// What circumstances add.
    pub circumstances: &'a [Term],
}

/// What a round of melee adds to a unit's situation.
#[derive(Debug, Clone, Copy)]
pub struct InMelee {
    /// What it lost and killed this round, as far as morale may know.
    pub losses: RoundLosses,
    /// How far its side is outnumbered.
    pub outnumbered: Option<Outnumbered>,
    /// Whether a unit of its side in the melee was destroyed, or fled in the round before.
    pub comrade: bool,
}

/// How far a side with presence `ours` is outnumbered by one with `theirs`, if at all.
pub fn outnumbered(rules: &Rules, ours: u32, theirs: u32) -> Option<Outnumbered> {
    let holds = |degree: &&Outnumbered| theirs * degree.ours >= ours * degree.theirs;
    rules.morale.outnumbered.iter().rev().find(holds).copied()
}

/// Adds to `terms` what the circumstances that count add to a unit's nerve, each cause once.
pub(super) fn gather(terms: &mut Vec<Term>, circumstances: &[Circumstance]) {
    for circumstance in circumstances.iter().filter(|circumstance| circumstance.counts()) {
        let Effect::Nerve(by) = circumstance.effect else { continue };
        let cause = MoraleCause::Circumstance(circumstance.cause.clone());
        if !terms.iter().any(|term| term.cause == cause) {
            terms.push(Term { cause, by });
        }
    }
}

/// What the conditions of a unit add to its nerve.
pub(super) fn of_conditions(conditions: &[&Condition]) -> Vec<Term> {
    held(circumstances::of_conditions(conditions, Key::Nerve, Whose::Own))
        .into_iter()
        .map(|circumstance| Term {
            by: circumstance.step(),
            cause: MoraleCause::Circumstance(circumstance.cause),
        })
        .collect()
}

impl<'a> Situation<'a> {
    /// Of a unit with `left` figures, whose nerve is tried by no melee; its conditions add `nerve`.
    pub fn alone(rules: &Rules, scale: Scale, unit: &Unit, left: u32, nerve: &'a [Term]) -> Self {
        Self {
            grade: grade(rules, unit),
            leader: unit.leader.is_some(),
            muster: unit.muster.figures,
            left,
            front: unit.front(scale),
            melee: None,
            circumstances: nerve,
        }
    }

    fn is_deep(&self, deep: Deep) -> bool {
        self.front.is_some_and(|front| self.left >= front.saturating_mul(deep.ranks))
    }

    /// Whether a unit that was in a melee must test: it has a figure left, and had the worse of the
    /// round, or its side is outnumbered, or saw comrades go.
    pub fn must_test(&self, rules: &Rules) -> bool {
        let shaken_by = |melee: InMelee| {
            melee.losses.telling()
                || melee.losses.more_than_killed()
                || melee.outnumbered.is_some()
                || (melee.comrade && rules.morale.comrade.is_some())
        };
        self.left > 0 && self.melee.is_some_and(shaken_by)
    }
}

/// What a unit with `left` figures did after a round, tested or not.
pub fn settled(left: u32, tested: Option<Outcome>) -> Outcome {
    match tested {
        _ if left == 0 => Outcome::Destroyed,
        Some(outcome) => outcome,
        None => Outcome::Stands,
    }
}

/// Full quarters of its muster strength that a unit has lost, as many as count.
pub(super) fn quarters(rules: &Rules, muster: u32, lost: u32) -> u32 {
    (4 * lost / muster.max(1)).min(rules.morale.quarters_counted)
}

/// What is added to the dice, one term a cause.
pub fn terms(rules: &Rules, situation: &Situation<'_>) -> Vec<Term> {
    own(rules, situation).chain(situation.circumstances.iter().cloned()).collect()
}

/// What all terms come to.
pub fn modifier(rules: &Rules, situation: &Situation<'_>) -> i32 {
    let own: i32 = own(rules, situation).map(|term| term.by).sum();
    own + situation.circumstances.iter().map(|term| term.by).sum::<i32>()
}

/// The terms that come from no circumstance.
fn own(rules: &Rules, situation: &Situation<'_>) -> impl Iterator<Item = Term> + use<> {
    let morale = &rules.morale;
    let lost = situation.muster.saturating_sub(situation.left);
    let quarters = quarters(rules, situation.muster, lost);
    let counted = i32::try_from(quarters).unwrap_or(0);
    let term = |applies: bool, cause, by| applies.then_some(Term { cause, by });
    let melee = situation.melee;
    [
        Some(Term { cause: MoraleCause::Grade, by: situation.grade }),
        term(situation.leader, MoraleCause::Leader, morale.leader),
        term(quarters > 0, MoraleCause::Quarters(quarters), morale.quarter_lost * counted),
        term(
            melee.is_some_and(|melee| melee.losses.more_than_killed()),
            MoraleCause::LostMore,
            morale.lost_more,
        ),
        melee.and_then(|melee| melee.outnumbered).map(|degree| Term {
            cause: MoraleCause::Outnumbered { theirs: degree.theirs, ours: degree.ours },
            by: degree.modifier,
        }),
        melee
            .filter(|melee| melee.comrade)
            .and(morale.comrade)
            .map(|by| Term { cause: MoraleCause::Comrade, by }),
        morale
            .deep
            .filter(|deep| situation.is_deep(*deep))
            .map(|deep| Term { cause: MoraleCause::Deep, by: deep.modifier }),
    ]
    .into_iter()
    .flatten()
}

/// What a score means for a unit that was shaken before, or was not.
pub fn outcome(rules: &Rules, score: i32, was_shaken: bool) -> Outcome {
    match score {
        score if score >= rules.morale.stands_on => Outcome::Stands,
        score if score >= rules.morale.falls_back_on && !was_shaken => Outcome::FallsBack,
        _ => Outcome::Routs,
    }
}

/// Tests a unit's morale.
pub(super) fn test(
    rules: &Rules,
    unit: &Unit,
    situation: &Situation<'_>,
    dice: &mut impl Dice,
) -> MoraleTest {
    tested(rules, unit, terms(rules, situation), dice)
}

/// Tests a unit's morale by these terms.
pub(super) fn tested(
    rules: &Rules,
    unit: &Unit,
    terms: Vec<Term>,
    dice: &mut impl Dice,
) -> MoraleTest {
    let nerve = throw(rules, ThrowPurpose::Morale(&unit.name), terms, dice);
    let was_shaken = unit.shaken();
    MoraleTest {
        unit: unit.name.clone(),
        stands_on: rules.morale.stands_on,
        falls_back_on: rules.morale.falls_back_on,
        was_shaken,
        outcome: outcome(rules, nerve.score, was_shaken),
        nerve,
    }
}

/// Throws for a unit's nerve, to which these terms are added.
pub(super) fn throw(
    rules: &Rules,
    purpose: ThrowPurpose<'_>,
    terms: Vec<Term>,
    dice: &mut impl Dice,
) -> Nerve {
    let faces = dice.throw(purpose, rules.test.dice, rules.test.sides);
    Nerve { score: score(&faces, &terms), faces, terms }
}

/// The sum of faces and terms.
fn score(faces: &[u32], terms: &[Term]) -> i32 {
    let thrown: u32 = faces.iter().sum();
    let score = i32::try_from(thrown).expect("a test has few dice")
        + terms.iter().map(|term| term.by).sum::<i32>();
    #[cfg(test)]
    let score = score + i32::from(crate::altered::is(crate::altered::Altered::Term));
    score
}

/// What a unit's grade adds; nothing for a grade that the rules do not know.
pub fn grade(rules: &Rules, unit: &Unit) -> i32 {
    rules.grade(&unit.grade).map_or(0, |grade| grade.modifier)
}
