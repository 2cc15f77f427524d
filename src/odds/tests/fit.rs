//! Distributions against a reference library, hand-computed values and sampled rounds.

use super::{ask, field, near, pair, rules, unit};
use crate::combat::{Dice, Melee};
use crate::digest::Digest;
use crate::fair::{self, Stream};
use crate::odds::chance::{Hits, Sum, binomial, score};
use crate::odds::joint;
use crate::protocol::{ContactAsk, Facing, ThrowPurpose};
use crate::rules::Rate;
use statrs::distribution::{Binomial, Discrete as _};
use std::collections::BTreeMap;

#[test]
fn hits_agree_with_statrs() {
    for dice in [0, 1, 2, 5, 12, 24, 60, 120, 400] {
        for hit in 1..=6 {
            let reference = Binomial::new(f64::from(hit) / 6.0, u64::from(dice)).unwrap();
            for (kills, chance) in (0..).zip(binomial(dice, hit, 6)) {
                let expected = reference.pmf(kills);
                near(chance, expected, 1e-12);
            }
        }
    }
}

#[test]
fn very_many_dice_still_sum_to_one() {
    for (dice, hit) in [(20_000, 1), (20_000, 3), (20_000, 5), (1_000, 6)] {
        let chances = binomial(dice, hit, 6);
        near(Sum::of(chances.iter().copied()), 1.0, 1e-14);
        let mean = Sum::of((0_u32..).zip(&chances).map(|(k, p)| f64::from(k) * p));
        near(mean, f64::from(dice) * f64::from(hit) / 6.0, 1e-8);
    }
}

/// Three dice that kill on 5 or 6: 8, 12, 6 and 1 of 27.
#[test]
fn kills_stop_at_the_figures_there_are() {
    let rate = Rate { dice: 1, figures: 1, kills_on: 5 };
    let hits = Hits::new(&rules(), rate, 3, 2);
    for (figures, expected) in [(0, vec![27.0]), (1, vec![8.0, 19.0]), (2, vec![8.0, 12.0, 7.0])] {
        let found = hits.kills(figures);
        assert_eq!(found.len(), expected.len());
        for (found, expected) in found.into_iter().zip(expected) {
            near(found, expected / 27.0, 1e-15);
        }
    }
}

/// 2d6: 1 way to throw 2, 6 to throw 7, 1 to throw 12; counted by hand.
#[test]
fn two_dice_have_their_36_ways() {
    let (ways, all) = score(2, 6);
    let by_hand = [1, 2, 3, 4, 5, 6, 5, 4, 3, 2, 1];
    assert_eq!(all, 36);
    assert_eq!(ways, (2..=12).zip(by_hand).collect::<Vec<_>>());
    let (ways, all) = score(4, 20);
    assert_eq!((ways.len(), all), (77, 160_000));
}

/// The example of Neumaier's paper, from memory: plain addition gives 0.
#[test]
fn a_sum_keeps_small_terms_beside_large_ones() {
    near(Sum::of([1.0, 1e100, 1.0, -1e100]), 2.0, 0.0);
}

struct Faces(Stream);

impl Dice for Faces {
    fn throw(&mut self, _: ThrowPurpose<'_>, dice: u32, sides: u32) -> Vec<u32> {
        self.0.faces(dice, sides)
    }
}

/// Upper critical values of the chi-square distribution at the 0.001 level for 1 to 30 degrees of
/// freedom: NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.4, from memory.
const CRITICAL: [f64; 30] = [
    10.828, 13.816, 16.266, 18.467, 20.515, 22.458, 24.322, 26.124, 27.877, 29.588, 31.264, 32.909,
    34.528, 36.123, 37.697, 39.252, 40.790, 42.312, 43.820, 45.315, 46.797, 48.268, 49.728, 51.179,
    52.620, 54.052, 55.476, 56.892, 58.301, 59.703,
];

/// Rounds of the real melee, with faces from a stream as every roll has, against the exact
/// distribution of both units' losses.
#[test]
fn sampled_rounds_fit_the_exact_distribution() {
    const ROUNDS: u32 = 4_000;
    let [mut first, second] = pair(("heavy foot", 6), ("light foot", 7));
    first.leader = Some("Ida".into());
    let third = unit("Grey Levies", "Grey Banner", "levy", 4);
    let asks = [
        ContactAsk { facing: Facing::Flank, ..ask() },
        ContactAsk::new("Ford Wardens", "Grey Levies"),
    ];
    let (rules, field) = (rules(), field([first, second, third]));
    let mut exact: BTreeMap<Vec<u32>, f64> = BTreeMap::new();
    for case in joint(&rules, &field, &asks, 1).unwrap().unwrap() {
        let lost = case.units.iter().map(|unit| unit.lost).collect();
        *exact.entry(lost).or_default() += case.chance * f64::from(ROUNDS);
    }
    let melee = Melee::join(&rules, &field, &asks, 1).unwrap();
    let mut faces =
        Faces(fair::Faces::new(&Digest::of(b"fit"), b"sampled rounds\n").stream("samples"));
    let mut counted: BTreeMap<Vec<u32>, u32> = BTreeMap::new();
    for _ in 0..ROUNDS {
        let ruling = melee.fight(&mut faces);
        let lost = ruling.units.iter().map(|unit| unit.lost).collect();
        *counted.entry(lost).or_default() += 1;
    }
    // Cells with few expected rounds are put together, as the test asks.
    let mut cells: Vec<(f64, f64)> = Vec::new();
    let mut rare = (0.0, 0.0);
    for (lost, expected) in &exact {
        let found = f64::from(counted.remove(lost).unwrap_or(0));
        if *expected >= 50.0 {
            cells.push((found, *expected));
        } else {
            rare = (rare.0 + found, rare.1 + expected);
        }
    }
    cells.push(rare);
    assert!(counted.is_empty(), "impossible losses: {counted:?}");
    let freedom = cells.len() - 1;
    assert!((8..=CRITICAL.len()).contains(&freedom), "{freedom}");
    let squares = cells.iter().map(|(found, expected)| (found - expected).powi(2) / expected);
    let statistic = squares.sum::<f64>();
    let critical = CRITICAL[freedom - 1];
    assert!(statistic < critical, "{statistic} of {freedom} degrees, critical {critical}");
}
