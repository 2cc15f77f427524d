//! The odds of one round of a melee.

use super::accumulator::{SidesAccumulator, UnitAccumulator, contact_odds};
use super::cases::Cases;
use super::chance::Sum;
use super::prospects::{Chances, Prospects, STANDS, Tests};
use super::result::{Kind, Outcomes, RoundOdds};
use super::{OddsError, SEED, sample};
use crate::battle::Field;
use crate::combat::{Clash, Melee, Tally};
use crate::protocol::ContactAsk;
use crate::rules::Rules;
use serde::{Deserialize, Serialize};

/// One case of a round: the losses of every unit, and what these lead to.
///
/// Given the losses, units fare independently of each other: the joint chance of this case and of
/// an outcome for each unit is `chance` times the chances of those outcomes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Joint {
    /// The chance of these losses and kills.
    pub chance: f64,
    /// The units: the asking side's first, each in muster order.
    pub units: Vec<UnitCase>,
}

/// What one case of a round means for one unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct UnitCase {
    /// Figures it lost.
    pub lost: u32,
    /// Figures it killed.
    pub killed: u32,
    /// The chance that its leader falls; 0 without one.
    pub leader_falls: f64,
    /// The chance that he takes a wound with which he does not fall.
    pub leader_wounded: f64,
    /// What it may do if he does not fall, or if it has none.
    pub leader_kept: Outcomes,
    /// What it may do if he falls.
    pub leader_fallen: Outcomes,
}

/// The odds of round `round`, from 1, of the contacts asked, as a ruling would fight it. To fight
/// a melee on, give the contacts that still stand, and the next round.
///
/// They are exact if the round has at most [`super::ROUND_CASES`] cases, otherwise sampled from
/// the public [`SEED`].
///
/// # Errors
/// The mistakes of asking that melee.
pub fn round(
    rules: &Rules,
    field: &Field,
    asks: &[ContactAsk],
    round: u32,
) -> Result<RoundOdds, OddsError> {
    round_of(rules, field, &Clash::new(asks, round))
}

/// The odds of one round of a melee; see [`round`].
///
/// # Errors
/// The mistakes of asking for it.
pub fn round_of(rules: &Rules, field: &Field, clash: &Clash) -> Result<RoundOdds, OddsError> {
    let melee = Melee::of(rules, field, clash)?;
    if let Some(cases) = Cases::new(&melee) {
        return Ok(exact(&melee, cases));
    }
    Ok(sample::count_rounds(&melee, sample::samples(&melee), SEED))
}

/// Every case of round `round`, from 1, of the contacts asked; none if there are more than
/// [`super::ROUND_CASES`]. A case may come in several parts, whose chances add up.
///
/// # Errors
/// The mistakes of asking that melee.
pub fn joint(
    rules: &Rules,
    field: &Field,
    asks: &[ContactAsk],
    round: u32,
) -> Result<Option<Vec<Joint>>, OddsError> {
    joint_of(rules, field, &Clash::new(asks, round))
}

/// Every case of one round of a melee; see [`joint`].
///
/// # Errors
/// The mistakes of asking for it.
pub fn joint_of(
    rules: &Rules,
    field: &Field,
    clash: &Clash,
) -> Result<Option<Vec<Joint>>, OddsError> {
    let melee = Melee::of(rules, field, clash)?;
    let tests = Tests::new(rules);
    Ok(Cases::new(&melee).map(|every| {
        let mut cases = Vec::new();
        every.visit(|chance, tally| {
            let units = prospects(&tests, &melee, tally)
                .zip(0..)
                .map(|(prospects, place)| UnitCase::new(&prospects, tally, place))
                .collect();
            cases.push(Joint { chance, units });
        });
        cases
    }))
}

/// What may become of each combatant, in their order.
pub(super) fn prospects<'b>(
    tests: &'b Tests<'_>,
    melee: &'b Melee<'_>,
    tally: &'b Tally,
) -> impl Iterator<Item = Prospects> + use<'b> {
    let after = melee.aftermath(|place| tally.left(place));
    (0..melee.combatants.len()).map(move |place| tests.prospects(melee, place, tally, after))
}

fn exact(melee: &Melee<'_>, cases: Cases<'_>) -> RoundOdds {
    let tests = Tests::new(melee.rules());
    let mut units: Vec<UnitAccumulator> =
        melee.combatants.iter().map(|combatant| UnitAccumulator::new(combatant.unit)).collect();
    let mut contacts = vec![Sum::default(); melee.contacts.len()];
    let mut sides = SidesAccumulator::default();
    let mut outcomes: Vec<Chances> = Vec::new();
    cases.visit(|chance, tally| {
        outcomes.clear();
        for (place, prospects) in prospects(&tests, melee, tally).enumerate() {
            let unit = &mut units[place];
            unit.lose(chance, tally.lost[place]);
            unit.fall(chance * prospects.falls());
            unit.come_to(chance, &prospects.outcomes());
            outcomes.push(prospects.outcomes());
        }
        for (sum, contact) in contacts.iter_mut().zip(&melee.contacts) {
            let [attack, _] = &contact.attacks;
            sum.add(chance * outcomes[attack.by][STANDS] * outcomes[attack.at][STANDS]);
        }
        let (stand, gone) = sides_stand(melee, &outcomes);
        sides.add(chance, stand, gone);
    });
    RoundOdds {
        kind: Kind::Exact,
        round: melee.round(),
        sides: melee.sides.map(str::to_owned),
        standing: sides.odds(1.0),
        contacts: contact_odds(melee, contacts.into_iter().map(Sum::value)),
        units: units
            .iter()
            .zip(&melee.combatants)
            .map(|(unit, combatant)| unit.odds(combatant.unit, melee.scale(), 1.0))
            .collect(),
    }
}

/// The chance that each side has a unit that stands, and that it has none.
fn sides_stand(melee: &Melee<'_>, outcomes: &[Chances]) -> ([f64; 2], [f64; 2]) {
    let mut gone = [1.0; 2];
    let mut stand = [0.0; 2];
    for (combatant, chances) in melee.combatants.iter().zip(outcomes) {
        let [stands, rest @ ..] = chances;
        let side = combatant.side;
        stand[side] += gone[side] * stands;
        gone[side] *= rest.iter().sum::<f64>();
    }
    (stand, gone)
}

impl UnitCase {
    fn new(prospects: &Prospects, tally: &Tally, place: usize) -> Self {
        Self {
            lost: tally.lost[place],
            killed: tally.killed[place],
            leader_falls: prospects.falls(),
            leader_wounded: prospects.hit - prospects.falls(),
            leader_kept: prospects.kept.into(),
            leader_fallen: prospects.fallen.into(),
        }
    }
}

impl From<Chances> for Outcomes {
    fn from([stands, falls_back, routs, destroyed]: Chances) -> Self {
        Self { stands, falls_back, routs, destroyed }
    }
}
