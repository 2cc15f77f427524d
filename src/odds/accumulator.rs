//! Chances as they come in, case by case, until they are a result.

use super::chance::Sum;
use super::prospects::{Chances, OUTCOMES};
use super::result::{ContactOdds, LeaderOdds, Losses, Outcomes, SidesStand, UnitOdds};
use crate::combat::Melee;
use crate::protocol::{Scale, Unit};

/// What has come in for one unit.
#[derive(Debug, Clone)]
pub(super) struct UnitAccumulator {
    losses: Vec<Sum>,
    outcomes: [Sum; OUTCOMES],
    falls: Sum,
}

impl UnitAccumulator {
    pub fn new(unit: &Unit) -> Self {
        Self {
            losses: vec![Sum::default(); unit.now.figures as usize + 1],
            outcomes: Default::default(),
            falls: Sum::default(),
        }
    }

    pub fn lose(&mut self, chance: f64, lost: u32) {
        self.losses[lost as usize].add(chance);
    }

    pub fn come_to(&mut self, chance: f64, outcomes: &Chances) {
        for (sum, of_outcome) in self.outcomes.iter_mut().zip(outcomes) {
            sum.add(chance * of_outcome);
        }
    }

    pub fn fall(&mut self, chance: f64) {
        self.falls.add(chance);
    }

    /// The odds of `unit`, where the chances of everything that came in add up to `all`.
    pub fn odds(&self, unit: &Unit, scale: Scale, all: f64) -> UnitOdds {
        let [stands, falls_back, routs, destroyed] = self.outcomes.map(|sum| sum.value() / all);
        UnitOdds {
            unit: unit.name.clone(),
            side: unit.side.clone(),
            before: unit.now,
            losses: self.losses(unit, scale, all),
            outcomes: Outcomes { stands, falls_back, routs, destroyed },
            leader: unit.leader.as_ref().map(|leader| LeaderOdds {
                leader: leader.name.clone(),
                falls: self.falls.value() / all,
            }),
        }
    }

    fn losses(&self, unit: &Unit, scale: Scale, all: f64) -> Losses {
        let chances: Vec<f64> = self.losses.iter().map(|sum| sum.value() / all).collect();
        let mean = |of: &dyn Fn(u32) -> f64| {
            Sum::of((0..).zip(&chances).map(|(lost, chance)| of(lost) * chance))
        };
        let expected = mean(&|lost| f64::from(lost));
        let variance = mean(&|lost| (f64::from(lost) - expected).powi(2));
        let gone = |lost| unit.now.men - scale.after(unit.now, lost).men;
        let expected_men = mean(&|lost| f64::from(gone(lost)));
        Losses { expected, deviation: variance.max(0.0).sqrt(), expected_men, chances }
    }
}

/// What has come in for the two sides.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct SidesAccumulator {
    first_alone: Sum,
    second_alone: Sum,
    both: Sum,
    neither: Sum,
}

impl SidesAccumulator {
    /// The sides have a unit that stands with the chances `stand`, each on its own, and none with
    /// the chances `gone`.
    pub fn add(&mut self, chance: f64, stand: [f64; 2], gone: [f64; 2]) {
        self.first_alone.add(chance * stand[0] * gone[1]);
        self.second_alone.add(chance * gone[0] * stand[1]);
        self.both.add(chance * stand[0] * stand[1]);
        self.neither.add(chance * gone[0] * gone[1]);
    }

    /// Adds the chances that the first alone stands, the second alone, neither, where a fight
    /// ended.
    pub fn ended(&mut self, [first, second, neither]: [f64; 3]) {
        self.first_alone.add(first);
        self.second_alone.add(second);
        self.neither.add(neither);
    }

    /// The odds, where the chances of everything that came in add up to `all`.
    pub fn odds(&self, all: f64) -> SidesStand {
        SidesStand {
            first_alone: self.first_alone.value() / all,
            second_alone: self.second_alone.value() / all,
            both: self.both.value() / all,
            neither: self.neither.value() / all,
        }
    }
}

/// The contacts with the chance that each stands.
pub(super) fn contact_odds(
    melee: &Melee<'_>,
    stands: impl Iterator<Item = f64>,
) -> Vec<ContactOdds> {
    let contacts = melee.contacts.iter().zip(stands);
    contacts
        .map(|(contact, stands)| ContactOdds {
            striker: contact.ask.striker.clone(),
            struck: contact.ask.struck.clone(),
            stands,
        })
        .collect()
}
