//! Dice against statistics: goodness of fit, serial independence, and the binomial law.
//!
//! Critical values: NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.4 (upper
//! critical values of the chi-square distribution, 0.001), from memory; `statrs` confirms each.

use drumhead::combat::strike;
use drumhead::digest::Digest;
use drumhead::fair::Faces;
use drumhead::rules::Rate;
use statrs::distribution::{Binomial, ChiSquared, ContinuousCDF as _, Discrete as _};

/// The handbook's critical value for so many degrees of freedom at 0.001.
fn critical(degrees: u32) -> f64 {
    let value = match degrees {
        5 => 20.515,
        19 => 43.820,
        35 => 66.619,
        99 => 148.230,
        other => panic!("no value noted for {other} degrees of freedom"),
    };
    let reference = ChiSquared::new(f64::from(degrees)).unwrap().inverse_cdf(0.999);
    assert!((value - reference).abs() < 0.001, "{degrees}: {value} against {reference}");
    value
}

/// `rolls` throws of `dice` dice, each from a roll of its own as in a battle.
fn throws(rolls: u32, dice: u32, sides: u32) -> impl Iterator<Item = Vec<u32>> {
    (0..rolls).map(move |roll| {
        let link = Digest::of(&roll.to_be_bytes());
        Faces::new(&link, format!("roll {roll}\n").as_bytes()).throw("a", dice, sides)
    })
}

fn chi_square(observed: &[u32], expected: impl Fn(usize) -> f64) -> f64 {
    observed
        .iter()
        .enumerate()
        .map(|(n, count)| (f64::from(*count) - expected(n)).powi(2) / expected(n))
        .sum()
}

#[test]
fn every_face_comes_as_often_as_every_other() {
    for sides in [6, 20, 100] {
        let mut counts = vec![0; sides as usize];
        for face in throws(3000, 60, sides).flatten() {
            counts[face as usize - 1] += 1;
        }
        let expected = 3000.0 * 60.0 / f64::from(sides);
        let statistic = chi_square(&counts, |_| expected);
        assert!(statistic < critical(sides - 1), "d{sides}: {statistic}");
    }
}

#[test]
fn a_face_says_nothing_about_the_next() {
    let mut counts = [0; 36];
    for throw in throws(3000, 60, 6) {
        for pair in throw.chunks_exact(2) {
            counts[((pair[0] - 1) * 6 + pair[1] - 1) as usize] += 1;
        }
    }
    let statistic = chi_square(&counts, |_| 3000.0 * 30.0 / 36.0);
    assert!(statistic < critical(35), "within a roll: {statistic}");

    let mut counts = [0; 36];
    let firsts: Vec<u32> = throws(40_000, 1, 6).flatten().collect();
    for pair in firsts.chunks_exact(2) {
        counts[((pair[0] - 1) * 6 + pair[1] - 1) as usize] += 1;
    }
    let statistic = chi_square(&counts, |_| 20_000.0 / 36.0);
    assert!(statistic < critical(35), "from roll to roll: {statistic}");
}

/// Five dice that kill on 5 or 6, against Binomial(5, 1/3) of `statrs`.
#[test]
fn kills_follow_the_binomial_law() {
    let rate = Rate { dice: 1, figures: 1, kills_on: 5 };
    let mut counts = [0; 6];
    for throw in throws(50_000, 5, 6) {
        counts[strike::kills(rate, &throw) as usize] += 1;
    }
    let law = Binomial::new(1.0 / 3.0, 5).unwrap();
    let statistic = chi_square(&counts, |kills| 50_000.0 * law.pmf(kills as u64));
    assert!(statistic < critical(5), "{statistic}");
}
