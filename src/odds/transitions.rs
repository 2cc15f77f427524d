//! What following a fight of one unit against one from state to state needs to know beforehand.

use super::chance::Hits;
use super::prospects::Tests;
use crate::combat::{Balance, Loss, Melee, RoundLosses};
use std::ops::Range;

/// One kind in which chance arrives at a state: what the tests after a round ask of it beside the
/// figures left, namely each unit's losses as far as morale may know and each leader's chance to
/// be hit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Arrival {
    pub losses: [RoundLosses; 2],
    pub hit: [f64; 2],
}

impl Arrival {
    /// A round without losses, in which no leader is at risk.
    pub const QUIET: Self =
        Self { losses: [RoundLosses::new(Loss::Slight, Balance::LostAsMany); 2], hit: [0.0, 0.0] };
}

/// The transitions between the states of a fight, with a fixed set of leaders standing at the
/// start of each round.
#[derive(Debug)]
pub(super) struct Transitions<'a> {
    pub melee: &'a Melee<'a>,
    figures: [u32; 2],
    /// Dice of each unit's throw by the figures it has left.
    dice: [Vec<u32>; 2],
    /// What each unit's losses are, by its figures at the start of a round.
    pub losses: [Runs<LossKind>; 2],
    /// How each unit's losses compare with its kills, by the losses of the first; along the losses
    /// of the second.
    pub balances: Runs<[Balance; 2]>,
}

/// What a unit's loss in a round means to it, whatever it killed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct LossKind {
    loss: Loss,
    /// The score on which its leader is hit; none if he is not at risk.
    falls_on: Option<u32>,
}

/// A table in rows, along which few values come in long runs.
#[derive(Debug)]
pub(super) struct Runs<T> {
    /// Every value that occurs.
    pub values: Vec<T>,
    /// By row, its runs: the place of the value among `values`, and where it stands.
    pub rows: Vec<Vec<(usize, Range<usize>)>>,
}

impl<T: PartialEq> Runs<T> {
    /// The table of `value` in the rows from 0 to `last`, each from 0 to what `end` says of it.
    fn new(last: u32, end: impl Fn(u32) -> u32, value: impl Fn(u32, u32) -> T) -> Self {
        let mut runs = Self { values: Vec::new(), rows: Vec::new() };
        for row in 0..=last {
            let mut found: Vec<(usize, Range<usize>)> = Vec::new();
            for (at, value) in (0..=end(row)).map(|column| value(row, column)).enumerate() {
                let value = runs.place(value);
                match found.last_mut() {
                    Some((last, run)) if *last == value => run.end = at + 1,
                    _ => found.push((value, at..at + 1)),
                }
            }
            runs.rows.push(found);
        }
        runs
    }

    fn place(&mut self, value: T) -> usize {
        let known = self.values.iter().position(|known| *known == value);
        known.unwrap_or_else(|| {
            self.values.push(value);
            self.values.len() - 1
        })
    }
}

impl<'a> Transitions<'a> {
    pub fn new(melee: &'a Melee<'a>) -> Self {
        let figures = [0, 1].map(|place: usize| melee.combatants[place].unit.now.figures);
        // How many the other has left changes nothing for a unit in its one contact.
        let dice = [0, 1].map(|throw: usize| {
            let by = melee.contacts[0].attacks[throw].by;
            let with = |standing| move |place| if place == by { standing } else { figures[place] };
            let standing = 0..=figures[by];
            standing.map(|standing| melee.throwing(with(standing))[0][throw].dice).collect()
        });
        let losses = [0, 1].map(|place: usize| {
            Runs::new(
                figures[place],
                |before| before,
                |before, lost| LossKind {
                    loss: Loss::of(melee.rules(), lost, before),
                    falls_on: melee.falls_on(place, before, lost),
                },
            )
        });
        // What one unit lost, the other killed.
        let balances = Runs::new(
            figures[0],
            |_| figures[1],
            |first, second| [Balance::of(first, second), Balance::of(second, first)],
        );
        Self { melee, figures, dice, losses, balances }
    }

    /// The hits of each unit's throw by the figures it has left.
    pub fn hits(&self) -> [Vec<Hits>; 2] {
        self.melee.contacts[0].attacks.each_ref().map(|attack| {
            let most = self.figures[attack.at];
            let dice = self.dice[attack.by].iter();
            dice.map(|dice| Hits::new(self.melee.rules(), attack.matchup.rate, *dice, most))
                .collect()
        })
    }

    /// How many transitions there are at most.
    pub fn terms(&self) -> u64 {
        let mut terms = 0;
        for first in 1..=self.figures[0] {
            for second in 1..=self.figures[1] {
                let by_first = self.dice[0][first as usize].min(second);
                let by_second = self.dice[1][second as usize].min(first);
                terms += u64::from(by_first + 1) * u64::from(by_second + 1);
            }
        }
        terms
    }

    /// How many numbers following them keeps at most.
    pub fn cells(&self) -> u64 {
        (self.kinds() as u64) * self.states()
    }

    /// How many losses of the first unit one round may come to, with none.
    pub fn reach(&self) -> u32 {
        let most = self.dice[1].iter().copied().max().unwrap_or(0);
        most.min(self.figures[0]) + 1
    }

    /// How many pairs of figures lost there are.
    pub fn states(&self) -> u64 {
        self.figures.iter().map(|count| u64::from(count + 1)).product()
    }

    /// In how many kinds chance may arrive at a state.
    pub fn kinds(&self) -> usize {
        let [first, second] = &self.losses;
        first.values.len() * second.values.len() * self.balances.values.len()
    }

    /// The place among [`Self::arrivals`] of the kind with these losses and this balance, each
    /// given by its place among the values of its table.
    pub fn kind(&self, losses: [usize; 2], balance: usize) -> usize {
        let [first, second] = losses;
        (first * self.losses[1].values.len() + second) * self.balances.values.len() + balance
    }

    /// What each kind asks of the tests.
    pub fn arrivals(&self, tests: &Tests<'_>) -> Vec<Arrival> {
        let mut arrivals = Vec::with_capacity(self.kinds());
        for first in &self.losses[0].values {
            for second in &self.losses[1].values {
                for [of_first, of_second] in &self.balances.values {
                    let losses = [
                        RoundLosses::new(first.loss, *of_first),
                        RoundLosses::new(second.loss, *of_second),
                    ];
                    let hit = [first, second].map(|kind| tests.hit(kind.falls_on));
                    arrivals.push(Arrival { losses, hit });
                }
            }
        }
        arrivals
    }
}
