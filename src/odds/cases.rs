//! Every case of one round: how many dice of each throw kill.

use super::chance::Hits;
use crate::combat::{Attack, Melee, Tally, Throwing};

/// The most cases of a round that are gone through one by one: the product, over all throws, of
/// the numbers of kills that a throw can come to. A larger round is sampled.
pub const ROUND_CASES: u64 = 1_000_000;

/// Every case of a round, to be visited one by one.
pub(super) struct Cases<'a> {
    attacks: Vec<(&'a Attack, Vec<f64>)>,
    tally: Tally,
}

impl<'a> Cases<'a> {
    /// The cases of the round of `melee`; none if there are more than [`ROUND_CASES`], or if units
    /// do not fare independently of each other given the losses.
    pub fn new(melee: &'a Melee<'_>) -> Option<Self> {
        if dismay_spreads(melee) {
            return None;
        }
        let mut attacks = Vec::new();
        let mut cases: u64 = 1;
        let throwing = melee.throwing_now().into_iter().flatten();
        let every = melee.contacts.iter().flat_map(|contact| &contact.attacks);
        for (attack, Throwing { dice, .. }) in every.zip(throwing) {
            let figures = |place: usize| melee.combatants[place].unit.now.figures;
            cases = cases.saturating_mul(u64::from(dice.min(figures(attack.at))) + 1);
            if cases > ROUND_CASES {
                return None;
            }
            // Kills past the figures at the start of the round are excess whatever else happens.
            let most = figures(attack.at);
            let hits = Hits::new(melee.rules(), attack.matchup.rate, dice, most);
            attacks.push((attack, hits.kills(most)));
        }
        let tally = Tally::new(melee);
        Some(Self { attacks, tally })
    }

    /// Visits each case that can happen, with its chance. Cases that differ only in kills past
    /// the strength of a target may come as one.
    pub fn visit(mut self, mut visit: impl FnMut(f64, &Tally)) {
        step(&self.attacks, &mut self.tally, 1.0, &mut visit);
    }
}

/// Whether the fall of a general may dismay a unit that he does not lead.
fn dismay_spreads(melee: &Melee<'_>) -> bool {
    let side = |place: usize| melee.combatants[place].side;
    let places = 0..melee.combatants.len();
    places.clone().any(|general| {
        let beside = |place: usize| place != general && side(place) == side(general);
        melee.dismays(general) && places.clone().any(beside)
    })
}

fn step(
    attacks: &[(&Attack, Vec<f64>)],
    tally: &mut Tally,
    chance: f64,
    visit: &mut impl FnMut(f64, &Tally),
) {
    let Some(((attack, hits), rest)) = attacks.split_first() else {
        visit(chance, tally);
        return;
    };
    for (count, of_hits) in (0..).zip(hits) {
        if *of_hits > 0.0 {
            let kills = tally.kill(attack, count);
            step(rest, tally, chance * of_hits, visit);
            tally.take_back(attack, count, kills);
        }
    }
}
