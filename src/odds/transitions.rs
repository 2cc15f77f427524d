//! What a transitions over the states of a fight needs to know beforehand.

use super::chance::Hits;
use super::prospects::Tests;
use crate::combat::Melee;
use std::cmp::Ordering;
use std::ops::Range;

/// One way in which chance arrives: losses that stand for all of this kind, and each leader's
/// chance to fall.
#[derive(Debug, Clone, Copy)]
pub(super) struct Arrival {
    pub lost: [u32; 2],
    pub falls: [f64; 2],
}

impl Arrival {
    /// A round without losses.
    pub const QUIET: Self = Self { lost: [0, 0], falls: [0.0, 0.0] };
}

/// What a transitions over all losses needs, with a fixed set of leaders standing at the start of each
/// round.
#[derive(Debug)]
pub(super) struct Transitions<'a> {
    pub melee: &'a Melee<'a>,
    figures: [u32; 2],
    /// Dice of each unit's throw by the figures it has left.
    dice: [Vec<u32>; 2],
    pub risks: [Risks; 2],
}

/// The scores on which a unit's leader may fall, and where among the losses each begins to count.
#[derive(Debug)]
pub(super) struct Risks {
    /// Every score that occurs; the kind of a loss is one more than its place here.
    scores: Vec<Option<u32>>,
    /// By figures at the start of a round: kinds with the losses they cover. Kind 0 is no loss.
    pub spans: Vec<Vec<(usize, Range<usize>)>>,
}

impl Risks {
    fn new(melee: &Melee<'_>, place: usize, figures: u32) -> Self {
        let mut risks = Self { scores: Vec::new(), spans: Vec::new() };
        for before in 0..=figures {
            let mut spans: Vec<(usize, Range<usize>)> = vec![(0, 0..1)];
            for lost in 1..=before {
                let kind = risks.kind(melee.falls_on(place, before, lost));
                let at = lost as usize;
                match spans.last_mut() {
                    Some((last, span)) if *last == kind => span.end = at + 1,
                    _ => spans.push((kind, at..at + 1)),
                }
            }
            risks.spans.push(spans);
        }
        risks
    }

    fn kind(&mut self, falls_on: Option<u32>) -> usize {
        let known = self.scores.iter().position(|score| *score == falls_on);
        known.unwrap_or_else(|| {
            self.scores.push(falls_on);
            self.scores.len() - 1
        }) + 1
    }

    fn kinds(&self) -> usize {
        self.scores.len() + 1
    }
}

/// What the first unit lost beside the second.
pub(super) const MORE: [Ordering; 3] = [Ordering::Less, Ordering::Equal, Ordering::Greater];

impl<'a> Transitions<'a> {
    pub fn new(melee: &'a Melee<'a>) -> Self {
        let figures = [0, 1].map(|place: usize| melee.combatants[place].unit.now.figures);
        let dice = melee.contacts[0].attacks.each_ref().map(|attack| {
            let standing = 0..=figures[attack.by];
            standing.map(|standing| melee.dice(attack, standing)).collect()
        });
        Self {
            melee,
            figures,
            dice,
            risks: [0, 1].map(|place: usize| Risks::new(melee, place, figures[place])),
        }
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

    /// How many steps from state to state it takes at most.
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

    /// How many numbers it keeps at most.
    pub fn cells(&self) -> u64 {
        let states: u64 = self.figures.iter().map(|count| u64::from(count + 1)).product();
        (self.kinds() as u64) * states
    }

    pub fn kinds(&self) -> usize {
        self.risks[0].kinds() * self.risks[1].kinds() * MORE.len()
    }

    pub fn kind(&self, first: usize, second: usize, more: usize) -> usize {
        (first * self.risks[1].kinds() + second) * MORE.len() + more
    }

    /// What each kind asks of the tests: the smallest losses that are of this kind.
    pub fn arrivals(&self, tests: &Tests<'_>) -> Vec<Arrival> {
        let mut arrivals = Vec::new();
        for first in 0..self.risks[0].kinds() {
            for second in 0..self.risks[1].kinds() {
                for more in MORE {
                    let least = [u32::from(first > 0), u32::from(second > 0)];
                    let lost = match more {
                        Ordering::Less => [least[0], least[0] + 1],
                        Ordering::Equal => least,
                        Ordering::Greater => [least[1] + 1, least[1]],
                    };
                    let falls = |place: usize, kind: usize| {
                        kind.checked_sub(1)
                            .map_or(0.0, |at| tests.falls(self.risks[place].scores[at]))
                    };
                    arrivals.push(Arrival { lost, falls: [falls(0, first), falls(1, second)] });
                }
            }
        }
        arrivals
    }
}
