//! Losses and kills as a round's throws come in.

use super::bout::{Bout, Throw};

/// What each fighter of a melee lost and killed so far in a round, by its place among them.
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
    pub fn new(bout: &Bout<'_>) -> Self {
        let none = vec![0; bout.fighters.len()];
        Self {
            before: bout.fighters.iter().map(|fighter| fighter.unit.now.figures).collect(),
            lost: none.clone(),
            killed: none.clone(),
            excess: none,
        }
    }

    /// Figures left of the fighter in `place`.
    pub fn left(&self, place: usize) -> u32 {
        self.before[place] - self.lost[place]
    }

    /// Takes off what `hits` kill; the rest is excess. Returns the kills.
    pub fn kill(&mut self, throw: &Throw, hits: u32) -> u32 {
        let kills = hits.min(self.left(throw.at));
        self.lost[throw.at] += kills;
        self.killed[throw.by] += kills;
        self.excess[throw.at] += hits - kills;
        kills
    }

    /// Takes back the last throw, which hit `hits` times and killed `kills`.
    pub fn take_back(&mut self, throw: &Throw, hits: u32, kills: u32) {
        self.lost[throw.at] -= kills;
        self.killed[throw.by] -= kills;
        self.excess[throw.at] -= hits - kills;
    }
}
