//! The exact odds of a single combat, fought on until one of the two falls.

use super::chance::{Sum, score};
use crate::combat::{SingleCombat, duel};
use crate::rules::Rules;
use serde::{Deserialize, Serialize};

/// The odds of a single combat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DuelOdds {
    /// The two, in the order asked.
    pub leaders: [String; 2],
    /// The chance of each to be the one who still stands.
    pub wins: [f64; 2],
    /// Rounds expected.
    pub rounds: f64,
}

/// What a fight comes to from some wounds on: who wins, and rounds.
#[derive(Debug, Clone, Copy, Default)]
struct Worth {
    wins: [f64; 2],
    rounds: f64,
}

/// The odds of a single combat until one falls, however many presses that takes.
pub fn duel_odds(rules: &Rules, single: &SingleCombat<'_>) -> DuelOdds {
    let left = single.fighters.each_ref().map(|fighter| fighter.leader.left() as usize);
    let cases = cases(rules, single);
    let nothing = Sum::of(cases.iter().filter(|(_, wounds)| *wounds == [0, 0]).map(|case| case.0));
    let mut known = vec![vec![Worth::default(); left[1] + 1]; left[0] + 1];
    for first in 0..=left[0] {
        for second in 0..=left[1] {
            known[first][second] = match (first, second) {
                (0, _) => Worth { wins: [0.0, 1.0], rounds: 0.0 },
                (_, 0) => Worth { wins: [1.0, 0.0], rounds: 0.0 },
                _ => {
                    let mut worth = Worth { wins: [0.0, 0.0], rounds: 1.0 };
                    for (chance, [ours, theirs]) in &cases {
                        if [*ours, *theirs] == [0, 0] {
                            continue;
                        }
                        let after = known[first.saturating_sub(*ours as usize)]
                            [second.saturating_sub(*theirs as usize)];
                        worth.rounds += chance * after.rounds;
                        for (wins, after) in worth.wins.iter_mut().zip(after.wins) {
                            *wins += chance * after;
                        }
                    }
                    // A round in which nothing happens leads to the same state.
                    let leaves = 1.0 - nothing;
                    Worth {
                        wins: worth.wins.map(|wins| wins / leaves),
                        rounds: worth.rounds / leaves,
                    }
                }
            };
        }
    }
    let Worth { wins, rounds } = known[left[0]][left[1]];
    let leaders = single.fighters.each_ref().map(|fighter| fighter.leader.name.clone());
    DuelOdds { leaders, wins, rounds }
}

/// The wounds that one round may bring to each, with their chances.
fn cases(rules: &Rules, single: &SingleCombat<'_>) -> Vec<(f64, [u32; 2])> {
    let (ways, all) = score(rules.test.dice, rules.test.sides);
    let might = single.might();
    let mut cases = Vec::new();
    for (ours, our_ways) in &ways {
        for (theirs, their_ways) in &ways {
            let chance = (*our_ways as f64 / all as f64) * (*their_ways as f64 / all as f64);
            let scores = [ours + might[0], theirs + might[1]];
            cases.push((chance, duel::wounds(single.table(), scores)));
        }
    }
    cases
}
