//! Every case of one round: how many dice of each throw kill.

use super::chance::Hits;
use crate::combat::Throw;
use crate::combat::{Bout, Tally};

/// The most cases of a round that are gone through one by one: the product, over all throws, of
/// the numbers of kills that a throw can come to. A larger round is sampled.
pub const ROUND_CASES: u64 = 1_000_000;

/// A walk through every case of a round.
pub(super) struct Walk<'a> {
    throws: Vec<(&'a Throw, Vec<f64>)>,
    tally: Tally,
}

impl<'a> Walk<'a> {
    /// A walk through the round of `bout`; none if it has more than [`ROUND_CASES`] cases.
    pub fn new(bout: &'a Bout<'_>) -> Option<Self> {
        let mut throws = Vec::new();
        let mut cases: u64 = 1;
        for throw in bout.contacts.iter().flat_map(|contact| &contact.throws) {
            let figures = |place: usize| bout.fighters[place].unit.now.figures;
            let dice = bout.dice(throw, figures(throw.by));
            cases = cases.saturating_mul(u64::from(dice.min(figures(throw.at))) + 1);
            if cases > ROUND_CASES {
                return None;
            }
            // Kills past the figures at the start of the round are excess whatever else happens.
            let most = figures(throw.at);
            let hits = Hits::new(bout.rules(), throw.matchup.rate, dice, most);
            throws.push((throw, hits.kills(most)));
        }
        let tally = Tally::new(bout);
        Some(Self { throws, tally })
    }

    /// Visits each case that can happen, with its chance. Cases that differ only in kills past
    /// the strength of a target may come as one.
    pub fn visit(mut self, mut visit: impl FnMut(f64, &Tally)) {
        step(&self.throws, &mut self.tally, 1.0, &mut visit);
    }
}

fn step(
    throws: &[(&Throw, Vec<f64>)],
    tally: &mut Tally,
    chance: f64,
    visit: &mut impl FnMut(f64, &Tally),
) {
    let Some(((throw, hits), rest)) = throws.split_first() else {
        visit(chance, tally);
        return;
    };
    for (count, of_hits) in (0..).zip(hits) {
        if *of_hits > 0.0 {
            let kills = tally.kill(throw, count);
            step(rest, tally, chance * of_hits, visit);
            tally.take_back(throw, count, kills);
        }
    }
}
