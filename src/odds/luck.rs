//! How uncommon a result was among all that might have come.

use super::chance::{Sum, binomial};
use crate::combat::strike;
use crate::rules::Rate;
use serde::{Deserialize, Serialize};

/// How lucky a result was: more is better.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Luck {
    /// What was to be expected.
    pub expected: f64,
    /// The chance of the same result or a better one.
    pub as_well: f64,
    /// The chance of the same result or a worse one.
    pub as_badly: f64,
}

impl Luck {
    /// The luck of a strike: how many of its dice kill, against all throws of as many dice at the
    /// same rate. Kills in excess count too: the dice cannot know how few are left.
    ///
    /// ```
    /// use drumhead::{odds::Luck, rules::Rate};
    /// let rate = Rate { dice: 1, figures: 1, kills_on: 6 };
    /// assert!((Luck::of_strike(rate, 6, &[6, 6]).as_well - 1.0 / 36.0).abs() < 1e-15);
    /// ```
    pub fn of_strike(rate: Rate, sides: u32, faces: &[u32]) -> Self {
        let hit = (1..=sides).map(|face| strike::kills(rate, &[face])).sum();
        let dice = u32::try_from(faces.len()).expect("a throw has few dice");
        let hits = i64::from(strike::kills(rate, faces));
        let chances = binomial(dice, hit, sides);
        Self::among((0..).zip(chances), hits)
    }

    /// The luck of `result` among results with their chances, which add up to 1; a result may
    /// come several times.
    pub fn among(results: impl IntoIterator<Item = (i64, f64)>, result: i64) -> Self {
        let [mut expected, mut as_well, mut as_badly] = [Sum::default(); 3];
        for (one, chance) in results {
            expected.add(one as f64 * chance);
            if one >= result {
                as_well.add(chance);
            }
            if one <= result {
                as_badly.add(chance);
            }
        }
        Self {
            expected: expected.value(),
            as_well: as_well.value().min(1.0),
            as_badly: as_badly.value().min(1.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use statrs::distribution::{Binomial, DiscreteCDF as _};

    #[test]
    fn a_strike_agrees_with_every_throw_of_its_dice() {
        let rate = Rate { dice: 1, figures: 1, kills_on: 5 };
        let throws =
            (0..6u32.pow(4)).map(|n| [n % 6 + 1, n / 6 % 6 + 1, n / 36 % 6 + 1, n / 216 + 1]);
        let kills = |faces: &[u32; 4]| faces.iter().filter(|face| **face >= 5).count();
        for mine in [[1, 2, 3, 4], [5, 1, 1, 1], [6, 5, 1, 1], [6, 6, 5, 2], [5, 5, 6, 6]] {
            let luck = Luck::of_strike(rate, 6, &mine);
            let share = |fits: &dyn Fn(usize) -> bool| {
                throws.clone().filter(|faces| fits(kills(faces))).count() as f64 / 1296.0
            };
            assert!((luck.as_well - share(&|other| other >= kills(&mine))).abs() < 1e-14);
            assert!((luck.as_badly - share(&|other| other <= kills(&mine))).abs() < 1e-14);
            assert!((luck.expected - 4.0 / 3.0).abs() < 1e-14);
        }
    }

    /// Tails of the binomial distribution as the library statrs computes them.
    #[test]
    fn a_large_strike_agrees_with_statrs() {
        for (dice, kills_on, hits) in [(60u32, 6, 22), (200, 4, 71), (37, 5, 0), (10, 2, 10)] {
            let rate = Rate { dice: 1, figures: 1, kills_on };
            let faces: Vec<u32> = (0..dice).map(|die| if die < hits { 6 } else { 1 }).collect();
            let luck = Luck::of_strike(rate, 6, &faces);
            let theirs = Binomial::new(f64::from(7 - kills_on) / 6.0, u64::from(dice)).unwrap();
            let badly = theirs.cdf(u64::from(hits));
            let well = if hits == 0 { 1.0 } else { theirs.sf(u64::from(hits) - 1) };
            assert!((luck.as_badly / badly - 1.0).abs() < 1e-9, "{luck:?} {badly}");
            assert!((luck.as_well / well - 1.0).abs() < 1e-9, "{luck:?} {well}");
        }
    }

    #[test]
    fn a_throw_of_no_dice_is_neither() {
        let luck = Luck::of_strike(Rate { dice: 1, figures: 1, kills_on: 6 }, 6, &[]);
        assert_eq!(luck, Luck { expected: 0.0, as_well: 1.0, as_badly: 1.0 });
    }
}
