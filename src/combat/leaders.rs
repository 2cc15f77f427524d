//! Leaders at risk.

use super::{Dice, ThrowPurpose};
use crate::protocol::LeaderTest;
use crate::rules::Rules;

/// The lowest score on which a leader falls whose unit lost `lost` of `before` figures;
/// none if he is not at risk.
pub(super) fn falls_on(rules: &Rules, before: u32, lost: u32) -> Option<u32> {
    match lost {
        0 => None,
        lost if lost >= before => Some(rules.leader.destroyed),
        lost if lost * 2 >= before => Some(rules.leader.half_lost),
        _ => Some(rules.leader.falls_on),
    }
}

/// Whether a leader falls on `score`.
pub const fn falls(score: u32, falls_on: u32) -> bool {
    score >= falls_on
}

/// Tests a leader.
pub(super) fn test(
    rules: &Rules,
    leader: &str,
    unit: &str,
    falls_on: u32,
    dice: &mut impl Dice,
) -> LeaderTest {
    let faces = dice.throw(ThrowPurpose::Leader(leader), rules.test.dice, rules.test.sides);
    let score = faces.iter().sum();
    let (leader, unit) = (leader.to_owned(), unit.to_owned());
    LeaderTest { leader, unit, falls_on, faces, score, falls: falls(score, falls_on) }
}
