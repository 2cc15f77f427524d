//! The distributions of dice: hits of a throw, the score of a test, and sums that lose nothing.

use crate::combat::strike;
use crate::rules::{Rate, Rules};

/// A sum of many numbers of very different size, with the rounding of each addition kept aside
/// and put back at the end (Neumaier's variant of Kahan summation, from memory).
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Sum {
    total: f64,
    rounded_off: f64,
}

impl Sum {
    pub fn add(&mut self, term: f64) {
        let total = self.total + term;
        self.rounded_off += if self.total.abs() >= term.abs() {
            (self.total - total) + term
        } else {
            (term - total) + self.total
        };
        self.total = total;
    }

    pub fn value(self) -> f64 {
        self.total + self.rounded_off
    }

    pub fn of(terms: impl IntoIterator<Item = f64>) -> f64 {
        let mut sum = Self::default();
        terms.into_iter().for_each(|term| sum.add(term));
        sum.value()
    }
}

/// How many dice of a throw kill: a binomial distribution, kept up to a number of hits past which
/// more make no difference.
#[derive(Debug, Clone)]
pub(super) struct Hits {
    /// The chance of exactly so many hits.
    exactly: Vec<f64>,
    /// The chance of so many hits or more.
    at_least: Vec<f64>,
}

impl Hits {
    /// The hits of `dice` dice at `rate`, where more than `most` make no difference.
    pub fn new(rules: &Rules, rate: Rate, dice: u32, most: u32) -> Self {
        let sides = rules.dice.sides;
        let hit = (1..=sides).map(|face| strike::kills(rate, &[face])).sum::<u32>();
        let mut exactly = binomial(dice, hit, sides);
        let mut above = Sum::default();
        let mut at_least: Vec<f64> = exactly
            .iter()
            .rev()
            .map(|chance| {
                above.add(*chance);
                above.value()
            })
            .collect();
        at_least.reverse();
        let keep = usize::try_from(most).map_or(usize::MAX, |most| most.saturating_add(1));
        exactly.truncate(keep);
        at_least.truncate(keep);
        Self { exactly, at_least }
    }

    /// The chance of 0, 1, … kills of a target with `figures` figures left.
    pub fn kills(&self, figures: u32) -> Vec<f64> {
        let mut kills = Vec::new();
        self.kills_into(figures, &mut kills);
        kills
    }

    /// Puts the chance of 0, 1, … kills of a target with `figures` figures left into `kills`.
    pub fn kills_into(&self, figures: u32, kills: &mut Vec<f64>) {
        let figures = figures as usize;
        kills.clear();
        if figures < self.exactly.len() {
            kills.extend_from_slice(&self.exactly[..figures]);
            kills.push(self.at_least[figures]);
        } else {
            kills.extend_from_slice(&self.exactly);
        }
    }
}

/// The chance of 0, 1, … successes of `dice` dice, each a success on `hit` of `sides` faces.
///
/// It goes outward from the most likely number by the ratio of neighbours and is then brought to
/// a sum of 1, so that no power underflows however many dice there are.
pub(super) fn binomial(dice: u32, hit: u32, sides: u32) -> Vec<f64> {
    let count = dice as usize;
    let mut chances = vec![0.0; count + 1];
    let miss = sides - hit;
    if miss == 0 {
        chances[count] = 1.0;
        return chances;
    }
    let odds = f64::from(hit) / f64::from(miss);
    let likeliest = (count + 1) * hit as usize / sides as usize;
    chances[likeliest] = 1.0;
    for k in likeliest..count {
        chances[k + 1] = chances[k] * (count - k) as f64 / (k + 1) as f64 * odds;
    }
    for k in (0..likeliest).rev() {
        chances[k] = chances[k + 1] * (k + 1) as f64 / (count - k) as f64 / odds;
    }
    let all = Sum::of(chances.iter().copied());
    for chance in &mut chances {
        *chance /= all;
    }
    chances
}

/// In how many ways each sum of `dice` dice comes, and how many ways there are in all.
pub(super) fn score(dice: u32, sides: u32) -> (Vec<(u32, u64)>, u64) {
    let mut ways = vec![(0, 1)];
    for _ in 0..dice {
        let most = ways[ways.len() - 1].0 + sides;
        let ways_to = |sum: u32| {
            ways.iter()
                .filter(|(before, _)| (1..=sides).contains(&(sum.saturating_sub(*before))))
                .map(|(_, ways)| ways)
                .sum()
        };
        let least = ways[0].0 + 1;
        ways = (least..=most).map(|sum| (sum, ways_to(sum))).collect();
    }
    let all = ways.iter().map(|(_, ways)| ways).sum();
    (ways, all)
}
