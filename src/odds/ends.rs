//! The ends of a fight of one unit against one, as they come in.

use super::accumulator::{SidesAccumulator, UnitAccumulator};
use super::prospects::STANDS;
use super::result::{FinishOdds, Kind, Rounds};
use crate::combat::Melee;

/// What has come in at the end of a fight of one unit against one.
#[derive(Debug)]
pub(super) struct Ends {
    pub units: [UnitAccumulator; 2],
    pub sides: SidesAccumulator,
}

impl Ends {
    pub fn new(melee: &Melee<'_>) -> Self {
        Self {
            units: [0, 1].map(|place: usize| UnitAccumulator::new(melee.combatants[place].unit)),
            sides: SidesAccumulator::default(),
        }
    }

    /// Takes the ends of a fight among outcomes that come with `chance` after losses `lost`:
    /// all but both standing. Returns the chance that both stand.
    pub fn take(&mut self, chance: f64, lost: [u32; 2], outcomes: [&[f64; 4]; 2]) -> f64 {
        let stands = outcomes.map(|of| of[STANDS]);
        let gone = outcomes.map(|of| of[STANDS + 1..].iter().sum::<f64>());
        let ended = gone[0] + stands[0] * gone[1];
        if ended > 0.0 {
            for place in [0, 1] {
                let unit = &mut self.units[place];
                unit.lose(chance * ended, lost[place]);
                let mut of = *outcomes[place];
                of[STANDS] *= gone[1 - place];
                unit.come_to(chance, &of);
            }
            self.sides.end(chance, stands, gone);
        }
        stands[0] * stands[1]
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
