//! The ends of a fight of one unit against one, as they come in.

use super::accumulator::{SidesAccumulator, UnitAccumulator};
use super::prospects::{Chances, STANDS};
use super::result::{FinishOdds, Kind, Rounds};
use crate::combat::Melee;

/// What has come in at the end of a fight of one unit against one.
#[derive(Debug)]
pub(super) struct Ends {
    pub units: [UnitAccumulator; 2],
    pub sides: SidesAccumulator,
}

/// The ends that come after the same losses. They are few, so that their sums lose nothing.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Ended {
    /// The chance that it ends.
    chance: f64,
    /// The chance that the leader of each falls.
    pub falls: [f64; 2],
    /// What each came to.
    outcomes: [Chances; 2],
    /// The first alone stands, the second alone, neither.
    sides: [f64; 3],
}

impl Ended {
    /// Adds the ends among outcomes that come with `chance`: all but both standing.
    pub fn add(&mut self, chance: f64, outcomes: [&Chances; 2]) {
        let stands = outcomes.map(|of| of[STANDS]);
        let gone = outcomes.map(|of| of[STANDS + 1..].iter().sum::<f64>());
        self.chance += chance * (gone[0] + stands[0] * gone[1]);
        for place in [0, 1] {
            let sums = &mut self.outcomes[place];
            sums[STANDS] += chance * stands[place] * gone[1 - place];
            for (sum, of) in sums.iter_mut().zip(outcomes[place]).skip(STANDS + 1) {
                *sum += chance * of;
            }
        }
        self.sides[0] += chance * stands[0] * gone[1];
        self.sides[1] += chance * gone[0] * stands[1];
        self.sides[2] += chance * gone[0] * gone[1];
    }
}

impl Ends {
    pub fn new(melee: &Melee<'_>) -> Self {
        Self {
            units: [0, 1].map(|place: usize| UnitAccumulator::new(melee.combatants[place].unit)),
            sides: SidesAccumulator::default(),
        }
    }

    /// Takes the ends that came after losses `lost`.
    pub fn take(&mut self, lost: [u32; 2], ended: &Ended) {
        for (place, unit) in self.units.iter_mut().enumerate() {
            unit.fall(ended.falls[place]);
            unit.lose(ended.chance, lost[place]);
            unit.come_to(1.0, &ended.outcomes[place]);
        }
        self.sides.ended(ended.sides);
    }

    pub fn odds(&self, melee: &Melee<'_>, rounds: f64) -> FinishOdds {
        let unit =
            |place: usize| self.units[place].odds(melee.combatants[place].unit, melee.scale(), 1.0);
        FinishOdds {
            kind: Kind::Exact,
            sides: melee.sides.map(str::to_owned),
            standing: self.sides.odds(1.0),
            rounds: Rounds { expected: rounds, standard_error: 0.0 },
            units: vec![unit(0), unit(1)],
        }
    }
}
