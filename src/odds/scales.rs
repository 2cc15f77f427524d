//! The same armies at several figure scales.
//!
//! Each unit of one side fights its opposite number of the other, in muster order, to the finish.
//! The fights are independent, so what the sides lose and win together follows exactly from them.

use super::chance::Sum;
use super::finish::foreseen;
use super::{FinishOdds, Kind, OddsError, finish};
use crate::battle::Field;
use crate::combat::{Clash, Melee};
use crate::protocol::{ContactAsk, Scale, Unit};
use crate::rules::Rules;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::sync::{Arc, LazyLock};

/// The most figures of one unit for which a scale is worked out.
pub const SCALE_FIGURES: u32 = 320;
/// The most scales that are compared at once.
pub const MOST_SCALES: usize = 12;
/// The most work of one comparison, all fights at all scales together, counted as for the odds of a
/// fight to the finish: 1 to 2 seconds of one processor as people have it, so that nobody waits over
/// 5, whoever else asks.
pub const SCALE_WORK: u64 = 2_500_000_000;
/// Seconds that a throw takes at a table, besides its dice; an assumption.
pub const SECONDS_A_THROW: f64 = 15.0;
/// Seconds that each die of a throw takes; an assumption.
pub const SECONDS_A_DIE: f64 = 1.0;

/// The same armies at several figure scales, finest first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Scales {
    /// The units that fight each other.
    pub pairs: Vec<[String; 2]>,
    /// Units without an opposite number.
    pub unmatched: Vec<String>,
    /// The side that wins more often at the finest scale worked out.
    pub favourite: String,
    /// The share of its men by which no unit should be misrepresented, 0 to 1.
    pub share: f64,
    /// The coarsest figure scale at which none is.
    pub coarsest: Scale,
    /// One row a scale.
    pub rows: Vec<ScaleRow>,
    /// Scales that were left out, as a unit would have over [`SCALE_FIGURES`] figures, or the fights
    /// would take more work than is left of [`SCALE_WORK`].
    pub left_out: Vec<Scale>,
}

/// What a figure scale makes of the armies.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ScaleRow {
    /// The scale.
    pub scale: Scale,
    /// Figures on the table.
    pub figures: u32,
    /// Dice of the first round, all fights together.
    pub dice: u32,
    /// Minutes that the throws take, by [`SECONDS_A_THROW`] and [`SECONDS_A_DIE`].
    pub minutes: f64,
    /// The chance that the favourite wins more of the fights than the other side.
    pub favourite_wins: f64,
    /// The chance that neither side wins more of them.
    pub undecided: f64,
    /// What each side loses, in the order of the pairs.
    pub losses: [ShareLost; 2],
    /// The unit whose figures misrepresent its men most.
    pub rounding: Rounding,
    /// How the numbers were found.
    pub kind: Kind,
}

/// The share of its men that a side loses.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ShareLost {
    /// The side.
    pub side: String,
    /// The expected share, 0 to 1.
    pub expected: f64,
    /// Its standard deviation.
    pub deviation: f64,
}

/// How far figures stand from the men they represent.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Rounding {
    /// The unit.
    pub unit: String,
    /// Its men.
    pub men: u32,
    /// The men that its figures stand for.
    pub shown: u32,
    /// The difference as a share of its men; below 0 where the figures stand for fewer.
    pub share: f64,
}

/// Compares the armies at `scales`; with `names`, only those two units.
///
/// # Errors
/// The mistakes of asking those melees; [`OddsError::NoOpponents`] without a pair;
/// [`OddsError::NoEnd`] as for [`super::finish`].
pub fn scales(
    rules: &Rules,
    field: &Field,
    names: Option<[&str; 2]>,
    scales: &[Scale],
    share: f64,
) -> Result<Scales, OddsError> {
    let (pairs, unmatched) = match names {
        Some([one, other]) => {
            let name = |name| field.unit(name).map(|unit| unit.name.clone());
            (vec![[name(one)?, name(other)?]], Vec::new())
        }
        None => opposite_numbers(field)?,
    };
    let fighting = |unit: &&Arc<Unit>| pairs.iter().flatten().any(|name| *name == unit.name);
    let units: Vec<&Unit> = field.units.iter().filter(fighting).map(AsRef::as_ref).collect();
    let mut wanted = scales.to_vec();
    wanted.sort_by_key(|scale| scale.men());
    wanted.dedup();
    let fits = |scale: &Scale| {
        let mut field = field.clone();
        field.rescale(*scale);
        let figures = |unit: &&Unit| field.unit(&unit.name).map_or(0, |unit| unit.now.figures);
        units.iter().all(|unit| (1..=SCALE_FIGURES).contains(&figures(unit)))
    };
    let (wanted, mut left_out): (Vec<Scale>, Vec<Scale>) = wanted.into_iter().partition(fits);
    let wanted = affordable(rules, field, &pairs, wanted, &mut left_out)?;
    let tables = wanted
        .iter()
        .map(|scale| table(rules, field, &pairs, *scale))
        .collect::<Result<Vec<_>, _>>()?;
    let first = tables.first().ok_or(OddsError::NoScale { most: SCALE_FIGURES })?;
    let favourite = usize::from(first.wins[1] > first.wins[0]);
    let sides = first.sides.clone();
    Ok(Scales {
        favourite: sides[favourite].clone(),
        share,
        coarsest: coarsest(&units, share),
        rows: tables.into_iter().map(|table| table.row(favourite, &units)).collect(),
        pairs,
        unmatched,
        left_out,
    })
}

/// The scales that can be worked out within [`SCALE_WORK`], from the coarsest on; the others are
/// left out. Nothing is worked out yet.
fn affordable(
    rules: &Rules,
    field: &Field,
    pairs: &[[String; 2]],
    wanted: Vec<Scale>,
    left_out: &mut Vec<Scale>,
) -> Result<Vec<Scale>, OddsError> {
    let (mut affordable, mut left) = (Vec::new(), SCALE_WORK);
    // Each finer scale takes more than the one before, so after one too many comes another.
    for scale in wanted.into_iter().rev() {
        let work = if affordable.len() < MOST_SCALES && left > 0 {
            work_at(rules, field, pairs, scale, left)?
        } else {
            None
        };
        if let Some(work) = work {
            left -= work;
            affordable.push(scale);
        } else {
            left = 0;
            left_out.push(scale);
        }
    }
    affordable.reverse();
    left_out.sort_by_key(|scale| scale.men());
    Ok(affordable)
}

/// The work of all fights at one scale; none if it is more than what is left, or not known, because
/// a fight would have to be sampled.
fn work_at(
    rules: &Rules,
    field: &Field,
    pairs: &[[String; 2]],
    scale: Scale,
    left: u64,
) -> Result<Option<u64>, OddsError> {
    let mut field = field.clone();
    field.rescale(scale);
    let mut work = 0;
    for [one, other] in pairs {
        match foreseen(rules, &field, &Clash::new(&[ContactAsk::new(one, other)], 1))? {
            Some(of_pair) if work + of_pair <= left => work += of_pair,
            _ => return Ok(None),
        }
    }
    Ok(Some(work))
}

/// One processor stays free for those who ask for less.
static PROCESSORS: LazyLock<rayon::ThreadPool> = LazyLock::new(|| {
    let processors = std::thread::available_parallelism().map_or(1, usize::from);
    let threads = processors.saturating_sub(1).max(1);
    rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("the system gives threads")
});

/// The units of the two sides that fight, paired in muster order, and those left over.
fn opposite_numbers(field: &Field) -> Result<(Vec<[String; 2]>, Vec<String>), OddsError> {
    let [one, other, ..] = field.sides.as_slice() else { return Err(OddsError::NoOpponents) };
    let of = |side: &str| -> Vec<String> {
        let units = field.units.iter().filter(|unit| unit.side == side && unit.fights());
        units.map(|unit| unit.name.clone()).collect()
    };
    let (ours, theirs) = (of(one), of(other));
    let matched = ours.len().min(theirs.len());
    if matched == 0 {
        return Err(OddsError::NoOpponents);
    }
    let unmatched = ours[matched..].iter().chain(&theirs[matched..]).cloned().collect();
    let pairs = ours.into_iter().zip(theirs).map(|(ours, theirs)| [ours, theirs]).collect();
    Ok((pairs, unmatched))
}

/// All fights at one scale.
struct Table {
    scale: Scale,
    sides: [String; 2],
    figures: u32,
    dice: u32,
    seconds: f64,
    /// The chance that each side wins more fights.
    wins: [f64; 2],
    men: [f64; 2],
    lost: [f64; 2],
    variance: [f64; 2],
    kind: Kind,
}

fn table(
    rules: &Rules,
    field: &Field,
    pairs: &[[String; 2]],
    scale: Scale,
) -> Result<Table, OddsError> {
    let mut field = field.clone();
    field.rescale(scale);
    let mut table = Table {
        scale,
        sides: [String::new(), String::new()],
        figures: 0,
        dice: 0,
        seconds: 0.0,
        wins: [0.0; 2],
        men: [0.0; 2],
        lost: [0.0; 2],
        variance: [0.0; 2],
        kind: Kind::Exact,
    };
    let asks: Vec<[ContactAsk; 1]> =
        pairs.iter().map(|[one, other]| [ContactAsk::new(one, other)]).collect();
    // The fights take nearly all the time, and none needs another.
    let odds: Vec<_> =
        PROCESSORS.install(|| asks.par_iter().map(|ask| finish(rules, &field, ask, 1)).collect());
    let mut fights = Vec::with_capacity(pairs.len());
    for (ask, odds) in asks.iter().zip(odds) {
        let melee = Melee::join(rules, &field, ask, 1)?;
        table.sides = melee.sides.map(str::to_owned);
        let odds = odds?;
        let dice: u32 = melee.throwing_now()[0].iter().map(|throwing| throwing.dice).sum();
        table.dice += dice;
        let a_round = 2.0 * SECONDS_A_THROW + f64::from(dice) * SECONDS_A_DIE;
        table.seconds += odds.rounds.expected * a_round;
        table.take(&odds);
        fights.push([odds.standing.first_alone, odds.standing.second_alone]);
    }
    table.wins = more_wins(&fights);
    Ok(table)
}

impl Table {
    fn take(&mut self, odds: &FinishOdds) {
        if odds.kind != Kind::Exact {
            self.kind = odds.kind;
        }
        for (side, unit) in odds.units.iter().enumerate() {
            self.figures += unit.before.figures;
            let before = f64::from(unit.before.men);
            self.men[side] += before;
            self.lost[side] += unit.losses.expected_men;
            // The men lost with each number of figures, so that the last figure counts as it is.
            let squares = (0_u32..).zip(&unit.losses.chances).map(|(lost, chance)| {
                let left = f64::from(self.scale.after(unit.before, lost).men);
                chance * (before - left - unit.losses.expected_men).powi(2)
            });
            self.variance[side] += Sum::of(squares);
        }
    }

    fn row(self, favourite: usize, units: &[&Unit]) -> ScaleRow {
        let Self { scale, sides, figures, dice, seconds, wins, men, lost, variance, kind } = self;
        let mut sides = sides.into_iter();
        ScaleRow {
            scale,
            figures,
            dice,
            minutes: seconds / 60.0,
            favourite_wins: wins[favourite],
            undecided: (1.0 - wins[0] - wins[1]).max(0.0),
            losses: [0, 1].map(|side| ShareLost {
                side: sides.next().unwrap_or_default(),
                expected: lost[side] / men[side],
                deviation: variance[side].sqrt() / men[side],
            }),
            rounding: rounding(units, scale),
            kind,
        }
    }
}

/// The chance that each side wins more of independent fights than the other.
fn more_wins(fights: &[[f64; 2]]) -> [f64; 2] {
    // The chance of each lead of the first side, from −fights to +fights.
    let middle = fights.len();
    let mut lead = vec![0.0; 2 * middle + 1];
    lead[middle] = 1.0;
    for [first, second] in fights {
        let mut next = vec![0.0; lead.len()];
        for (place, chance) in lead.iter().enumerate().filter(|(_, chance)| **chance > 0.0) {
            next[place + 1] += chance * first;
            next[place - 1] += chance * second;
            next[place] += chance * (1.0 - first - second);
        }
        lead = next;
    }
    [Sum::of(lead[middle + 1..].iter().copied()), Sum::of(lead[..middle].iter().copied())]
}

/// The unit that a scale misrepresents most.
fn rounding(units: &[&Unit], scale: Scale) -> Rounding {
    units
        .iter()
        .map(|unit| {
            let (men, shown) = (unit.now.men, scale.figures(unit.now.men) * scale.men());
            let share = (f64::from(shown) - f64::from(men)) / f64::from(men.max(1));
            Rounding { unit: unit.name.clone(), men, shown, share }
        })
        .max_by(|a, b| a.share.abs().total_cmp(&b.share.abs()))
        .expect("a pair has two units")
}

/// The coarsest scale at which no unit is misrepresented by more than `share`; 1:1 always fits.
fn coarsest(units: &[&Unit], share: f64) -> Scale {
    (1..=Scale::COARSEST)
        .rev()
        .filter_map(Scale::new)
        .find(|scale| rounding(units, *scale).share.abs() <= share)
        .expect("at 1:1 figures are men")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two fights by hand: W/W, W/N, N/W lead for the first, and so on.
    #[test]
    fn the_lead_of_two_fights_is_that_worked_out_by_hand() {
        let [first, second] = more_wins(&[[0.5, 0.3], [0.6, 0.1]]);
        // Both won, or one won and the other undecided.
        assert!((first - (0.5 * 0.6 + 0.5 * 0.3 + 0.2 * 0.6)).abs() < 1e-12);
        assert!((second - (0.3 * 0.1 + 0.3 * 0.3 + 0.2 * 0.1)).abs() < 1e-12);
    }
}
