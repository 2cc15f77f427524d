//! Leaders at risk.

use super::{Dice, ThrowPurpose};
use crate::protocol::{Condition, Fate, Leader, LeaderTest, Reach, Unit, Who};
use crate::rules::Rules;

/// The dice that a leader adds to one contact of his unit.
pub fn might(rules: &Rules, leader: &Leader) -> u32 {
    leader.might.unwrap_or(rules.dice.leader)
}

/// The dice that a unit's leader adds, if it has one: none while he holds back.
pub(super) fn adds(rules: &Rules, unit: &Unit) -> u32 {
    unit.leader.as_ref().filter(|leader| !leader.back).map_or(0, |leader| might(rules, leader))
}

/// The lowest score on which a leader is hit whose unit lost `lost` of `before` figures; none if
/// he is not at risk, as one who holds back is not while his unit has a figure left.
pub(super) fn falls_on(rules: &Rules, leader: &Leader, before: u32, lost: u32) -> Option<u32> {
    match lost {
        0 => None,
        lost if lost >= before => Some(rules.leader.destroyed),
        _ if leader.back => None,
        lost if lost * 2 >= before => Some(rules.leader.half_lost),
        _ => Some(rules.leader.falls_on),
    }
}

/// The condition of a side whose general falls.
const DISMAYED: &str = "dismayed";

/// What stands on a side whose general fell, until the end of the turn after `turn`; none if the
/// rules know no such condition.
pub(super) fn dismayed(rules: &Rules, side: &str, turn: u32) -> Option<Condition> {
    known(rules, DISMAYED, Reach::Side(side.to_owned()), turn)
}

/// The condition of that name, until the end of the turn after `turn`; none if the rules know none.
pub(super) fn known(rules: &Rules, name: &str, on: Reach, turn: u32) -> Option<Condition> {
    let known = rules.condition(name)?;
    Some(Condition {
        name: known.name.clone(),
        on,
        effects: known.effects,
        until: Some(turn.saturating_add(1)),
        reason: None,
        by: Who::Referee,
    })
}

/// Whether a side whose leader this is loses its general if he is gone: who is spared does not fall.
pub const fn dismays(leader: &Leader) -> bool {
    leader.general && !leader.spared
}

/// Whether a leader is hit on `score`.
pub const fn hit(score: u32, falls_on: u32) -> bool {
    score >= falls_on
}

/// The wounds that a hit is to a leader whose unit has `left` figures: where it is destroyed, the
/// throw is for his life.
const fn wounds(leader: &Leader, left: u32) -> u32 {
    if left == 0 { leader.left() } else { 1 }
}

/// What becomes of a leader who is hit and whose unit has `left` figures.
pub const fn fate(leader: &Leader, left: u32) -> Fate {
    leader.fate(wounds(leader, left))
}

/// Tests a leader whose unit has `left` figures.
pub(super) fn test(
    rules: &Rules,
    leader: &Leader,
    (unit, left): (&str, u32),
    falls_on: u32,
    dice: &mut impl Dice,
) -> LeaderTest {
    let what = ThrowPurpose::Leader(&leader.name);
    let faces = dice.throw(what, rules.test.dice, rules.test.sides);
    let score = faces.iter().sum();
    let wounds = if hit(score, falls_on) { wounds(leader, left) } else { 0 };
    LeaderTest {
        leader: leader.name.clone(),
        unit: unit.to_owned(),
        falls_on,
        faces,
        score,
        fate: leader.fate(wounds),
        left: leader.left() - wounds,
    }
}
