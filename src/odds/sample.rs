//! Seeded simulation, for what is too large to be computed: the real melee, fought over and over.

use super::OddsError;
use super::accumulator::{SidesAccumulator, UnitAccumulator, contact_odds};
use super::chance::Sum;
use super::prospects::{OUTCOMES, STANDS, place_of};
use super::result::{FinishOdds, Kind, RoundOdds, Rounds, UnitOdds};
use crate::battle::Field;
use crate::combat::{Clash, Dice, Melee};
use crate::digest::Digest;
use crate::fair::{Faces, Stream};
use crate::protocol::{ContactAsk, MeleeRuling, Outcome, ThrowPurpose};
use crate::rules::Rules;
use std::sync::Arc;

/// The seed of every sampled result that names none.
pub const SEED: u64 = 1;
/// The most rounds of one sampled fight.
pub const ROUNDS_A_FIGHT: u32 = 1_000;
/// The most rounds of all sampled fights together.
pub const ROUNDS_IN_ALL: u32 = 1_000_000;

/// The most dice of all sampled fights together.
pub const DICE_IN_ALL: u64 = 120_000_000;

/// Dice that a sampled result may throw in its first rounds, and bounds for its samples.
const DICE: u32 = 4_000_000;
const SAMPLES: std::ops::RangeInclusive<u32> = 100..=20_000;

/// Faces for samples: the stream of faces of a public seed, which no real roll ever uses.
struct Seeded {
    stream: Stream,
    /// Dice thrown so far.
    thrown: u64,
}

impl Seeded {
    fn new(seed: u64) -> Self {
        let statement = format!("odds, seed {seed}\n");
        let stream = Faces::new(&Digest::ZERO, statement.as_bytes()).stream("samples");
        Self { stream, thrown: 0 }
    }
}

impl Dice for Seeded {
    fn throw(&mut self, _: ThrowPurpose<'_>, dice: u32, sides: u32) -> Vec<u32> {
        self.thrown += u64::from(dice);
        self.stream.faces(dice, sides)
    }
}

/// As many samples as the size of the melee allows: fewer, the more dice it throws.
pub(super) fn samples(melee: &Melee<'_>) -> u32 {
    let dice: u32 = melee.throwing_now().iter().flatten().map(|throwing| throwing.dice).sum();
    (DICE / dice.max(1)).clamp(*SAMPLES.start(), *SAMPLES.end())
}

/// The odds of a fight to the finish, counted over `samples` fights drawn from `seed`.
///
/// # Errors
/// The mistakes of asking that melee; [`OddsError::TooLong`] if a fight takes more than
/// [`ROUNDS_A_FIGHT`] rounds, or all of them together more than [`ROUNDS_IN_ALL`] or more dice than
/// [`DICE_IN_ALL`].
///
/// # Panics
/// If `samples` is 0.
pub fn sample_finish(
    rules: &Rules,
    field: &Field,
    asks: &[ContactAsk],
    round: u32,
    samples: u32,
    seed: u64,
) -> Result<FinishOdds, OddsError> {
    sample(rules, field, &Clash::new(asks, round), samples, seed)
}

/// The odds of fighting a melee on to the finish; see [`sample_finish`].
pub(super) fn sample(
    rules: &Rules,
    field: &Field,
    clash: &Clash,
    samples: u32,
    seed: u64,
) -> Result<FinishOdds, OddsError> {
    assert!(samples > 0, "nothing can be counted over no samples");
    let first = Melee::of(rules, field, clash)?;
    let field = only(field, &first);
    let mut dice = Seeded::new(seed);
    let mut count = Count::new(&first);
    let (mut rounds, mut squares, mut in_all) = (Sum::default(), Sum::default(), 0);
    for _ in 0..samples {
        let (took, outcomes, field) = fight_on(rules, &first, &field, &mut dice, &mut count)?;
        for (unit, combatant) in count.units.iter_mut().zip(&first.combatants) {
            let after = field.unit(&combatant.unit.name)?.now.figures;
            unit.lose(1.0, combatant.unit.now.figures - after);
        }
        count.end(&first, &outcomes);
        rounds.add(f64::from(took));
        squares.add(f64::from(took).powi(2));
        in_all += took;
        if in_all > ROUNDS_IN_ALL || dice.thrown > DICE_IN_ALL {
            return Err(OddsError::TooLong { rounds: in_all });
        }
    }
    let all = f64::from(samples);
    let expected = rounds.value() / all;
    let variance = (squares.value() / all - expected * expected).max(0.0);
    Ok(FinishOdds {
        kind: Kind::simulated(samples, seed),
        sides: first.sides.map(str::to_owned),
        standing: count.sides.odds(all),
        rounds: Rounds { expected, standard_error: (variance / all).sqrt() },
        units: count.units(&first, all),
    })
}

/// The field with no unit but those of `melee`, and nobody in contact yet.
fn only(field: &Field, melee: &Melee<'_>) -> Field {
    let mut field = field.clone();
    let fights = |name: &str| melee.combatants.iter().any(|combatant| combatant.unit.name == name);
    Arc::make_mut(&mut field.units).retain(|unit| fights(&unit.name));
    field.engagements = Arc::default();
    field
}

/// Fights one sample to the finish. Returns its rounds, each unit's last outcome, and the field.
fn fight_on(
    rules: &Rules,
    first: &Melee<'_>,
    field: &Field,
    dice: &mut Seeded,
    count: &mut Count,
) -> Result<(u32, Vec<Outcome>, Field), OddsError> {
    let mut field = field.clone();
    let mut outcomes = vec![Outcome::Stands; first.combatants.len()];
    let mut take = |field: &mut Field, ruling: &MeleeRuling| {
        count.falls(first, ruling);
        for result in &ruling.units {
            outcomes[place(first, &result.unit)] = result.outcome;
        }
        field.take_melee(ruling);
    };
    take(&mut field, &first.fight(dice));
    for rounds in 1..=ROUNDS_A_FIGHT {
        // What is left of a melee may be several, each fought once a round.
        let melees = Arc::clone(&field.engagements);
        if melees.is_empty() {
            return Ok((rounds, outcomes, field));
        }
        for engagement in melees.iter() {
            let unit = &engagement.contacts[0].ask.striker;
            let ruling = {
                let mut clash = Clash::again(&field, Some(unit))?;
                clash.asking = Some(first.sides[0].to_owned());
                Melee::of(rules, &field, &clash)?.fight(dice)
            };
            take(&mut field, &ruling);
        }
    }
    Err(OddsError::TooLong { rounds: ROUNDS_A_FIGHT })
}

/// Counts `samples` rounds drawn from `seed`.
pub(super) fn count_rounds(melee: &Melee<'_>, samples: u32, seed: u64) -> RoundOdds {
    assert!(samples > 0, "nothing can be counted over no samples");
    let mut dice = Seeded::new(seed);
    let mut count = Count::new(melee);
    let mut contacts = vec![0_u32; melee.contacts.len()];
    for _ in 0..samples {
        let ruling = melee.fight(&mut dice);
        count.falls(melee, &ruling);
        for (unit, result) in count.units.iter_mut().zip(&ruling.units) {
            unit.lose(1.0, result.lost);
        }
        let outcomes: Vec<Outcome> = ruling.units.iter().map(|unit| unit.outcome).collect();
        count.end(melee, &outcomes);
        for (stands, contact) in contacts.iter_mut().zip(&ruling.contacts) {
            *stands += u32::from(contact.stands);
        }
    }
    let all = f64::from(samples);
    RoundOdds {
        kind: Kind::simulated(samples, seed),
        round: melee.round(),
        sides: melee.sides.map(str::to_owned),
        standing: count.sides.odds(all),
        contacts: contact_odds(melee, contacts.into_iter().map(|n| f64::from(n) / all)),
        units: count.units(melee, all),
    }
}

fn place(melee: &Melee<'_>, unit: &str) -> usize {
    let mut combatants = melee.combatants.iter();
    let found = combatants.position(|combatant| combatant.unit.name == unit);
    found.expect("a later round has no new unit")
}

/// What was counted.
struct Count {
    units: Vec<UnitAccumulator>,
    sides: SidesAccumulator,
}

impl Count {
    fn new(melee: &Melee<'_>) -> Self {
        let combatants = melee.combatants.iter();
        Self {
            units: combatants.map(|combatant| UnitAccumulator::new(combatant.unit)).collect(),
            sides: SidesAccumulator::default(),
        }
    }

    fn falls(&mut self, melee: &Melee<'_>, ruling: &MeleeRuling) {
        for test in ruling.leaders.iter().filter(|test| test.fate.is_gone()) {
            self.units[place(melee, &test.unit)].fall(1.0);
        }
    }

    fn end(&mut self, melee: &Melee<'_>, outcomes: &[Outcome]) {
        let mut stand = [0.0; 2];
        for ((unit, combatant), outcome) in
            self.units.iter_mut().zip(&melee.combatants).zip(outcomes)
        {
            let mut chances = [0.0; OUTCOMES];
            chances[place_of(*outcome)] = 1.0;
            unit.come_to(1.0, &chances);
            stand[combatant.side] = chances[STANDS].max(stand[combatant.side]);
        }
        self.sides.add(1.0, stand, stand.map(|stands| 1.0 - stands));
    }

    fn units(&self, melee: &Melee<'_>, all: f64) -> Vec<UnitOdds> {
        let units = self.units.iter().zip(&melee.combatants);
        units.map(|(unit, combatant)| unit.odds(combatant.unit, melee.scale(), all)).collect()
    }
}
