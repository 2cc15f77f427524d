//! Losses and kills as a round's throws come in.

use super::contact::Attack;
use super::losses::{Balance, Loss, RoundLosses};
use super::melee::Melee;
use crate::rules::Rules;

/// What each combatant of a melee lost and killed so far in a round, by its place among them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tally {
    /// Figures at the start of the round.
    pub before: Vec<u32>,
    /// Figures lost.
    pub lost: Vec<u32>,
    /// Figures killed.
    pub killed: Vec<u32>,
    /// Kills against it past its strength, which count for nothing.
    pub excess: Vec<u32>,
}

impl Tally {
    /// Nothing lost or killed yet.
    pub fn new(melee: &Melee<'_>) -> Self {
        let none = vec![0; melee.combatants.len()];
        Self {
            before: melee.combatants.iter().map(|combatant| combatant.unit.now.figures).collect(),
            lost: none.clone(),
            killed: none.clone(),
            excess: none,
        }
    }

    /// Figures left of the combatant in `place`.
    pub fn left(&self, place: usize) -> u32 {
        self.before[place] - self.lost[place]
    }

    /// What morale may know of the round of the combatant in `place`.
    pub fn losses(&self, rules: &Rules, place: usize) -> RoundLosses {
        let (lost, killed) = (self.lost[place], self.killed[place]);
        RoundLosses::new(Loss::of(rules, lost, self.before[place]), Balance::of(lost, killed))
    }

    /// Takes off what `hits` kill; the rest is excess. Returns the kills.
    pub fn kill(&mut self, attack: &Attack, hits: u32) -> u32 {
        let kills = hits.min(self.left(attack.at));
        self.lost[attack.at] += kills;
        self.killed[attack.by] += kills;
        self.excess[attack.at] += hits - kills;
        kills
    }

    /// Takes back the last throw, which hit `hits` times and killed `kills`.
    pub fn take_back(&mut self, attack: &Attack, hits: u32, kills: u32) {
        self.lost[attack.at] -= kills;
        self.killed[attack.by] -= kills;
        self.excess[attack.at] -= hits - kills;
    }
}
