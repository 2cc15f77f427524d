//! The odds of one round of a melee.

use super::chance::Sum;
use super::fate::{Chances, Fate, STANDS, Tests};
use super::ledger::{SidesLedger, UnitLedger};
use super::result::{ContactOdds, Kind, Outcomes, RoundOdds};
use super::walk::Walk;
use super::{OddsError, SEED, sample};
use crate::battle::{ContactAsk, Field};
use crate::combat::{Bout, Tally};
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
    let bout = Bout::join(rules, field, asks, round)?;
    if let Some(walk) = Walk::new(&bout) {
        return Ok(exact(&bout, walk));
    }
    Ok(sample::count_rounds(&bout, sample::samples(&bout), SEED))
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
    let bout = Bout::join(rules, field, asks, round)?;
    let tests = Tests::new(rules);
    Ok(Walk::new(&bout).map(|walk| {
        let mut cases = Vec::new();
        walk.visit(|chance, tally| {
            let units = fates(&tests, &bout, tally)
                .zip(0..)
                .map(|(fate, place)| UnitCase::new(&fate, tally, place))
                .collect();
            cases.push(Joint { chance, units });
        });
        cases
    }))
}

/// What may become of each fighter, in their order.
pub(super) fn fates<'b>(
    tests: &'b Tests<'_>,
    bout: &'b Bout<'_>,
    tally: &'b Tally,
) -> impl Iterator<Item = Fate> + use<'b> {
    let presence = bout.presence(|place| tally.left(place));
    (0..bout.fighters.len()).map(move |place| tests.fate(bout, place, tally, presence))
}

fn exact(bout: &Bout<'_>, walk: Walk<'_>) -> RoundOdds {
    let tests = Tests::new(bout.rules());
    let mut units: Vec<UnitLedger> =
        bout.fighters.iter().map(|fighter| UnitLedger::new(fighter.unit)).collect();
    let mut contacts = vec![Sum::default(); bout.contacts.len()];
    let mut sides = SidesLedger::default();
    let mut outcomes: Vec<Chances> = Vec::new();
    walk.visit(|chance, tally| {
        outcomes.clear();
        for (place, fate) in fates(&tests, bout, tally).enumerate() {
            let unit = &mut units[place];
            unit.lose(chance, tally.lost[place]);
            unit.fall(chance * fate.falls);
            unit.come_to(chance, &fate.outcomes());
            outcomes.push(fate.outcomes());
        }
        for (sum, contact) in contacts.iter_mut().zip(&bout.contacts) {
            let [throw, _] = &contact.throws;
            sum.add(chance * outcomes[throw.by][STANDS] * outcomes[throw.at][STANDS]);
        }
        let (stand, gone) = sides_stand(bout, &outcomes);
        sides.add(chance, stand, gone);
    });
    RoundOdds {
        kind: Kind::Exact,
        round: bout.round(),
        sides: bout.sides.map(str::to_owned),
        standing: sides.odds(1.0),
        contacts: contact_odds(bout, contacts.into_iter().map(Sum::value)),
        units: units
            .iter()
            .zip(&bout.fighters)
            .map(|(unit, fighter)| unit.odds(fighter.unit, bout.scale(), 1.0))
            .collect(),
    }
}

/// The chance that each side has a unit that stands, and that it has none.
fn sides_stand(bout: &Bout<'_>, outcomes: &[Chances]) -> ([f64; 2], [f64; 2]) {
    let mut gone = [1.0; 2];
    let mut stand = [0.0; 2];
    for (fighter, chances) in bout.fighters.iter().zip(outcomes) {
        let [stands, rest @ ..] = chances;
        let side = fighter.side;
        stand[side] += gone[side] * stands;
        gone[side] *= rest.iter().sum::<f64>();
    }
    (stand, gone)
}

/// The contacts with the chance that each stands.
pub(super) fn contact_odds(bout: &Bout<'_>, stands: impl Iterator<Item = f64>) -> Vec<ContactOdds> {
    let contacts = bout.contacts.iter().zip(stands);
    contacts
        .map(|(contact, stands)| ContactOdds {
            striker: contact.ask.striker.clone(),
            struck: contact.ask.struck.clone(),
            stands,
        })
        .collect()
}

impl UnitCase {
    fn new(fate: &Fate, tally: &Tally, place: usize) -> Self {
        Self {
            lost: tally.lost[place],
            killed: tally.killed[place],
            leader_falls: fate.falls,
            leader_kept: fate.kept.into(),
            leader_fallen: fate.fallen.into(),
        }
    }
}

impl From<Chances> for Outcomes {
    fn from([stands, falls_back, routs, destroyed]: Chances) -> Self {
        Self { stands, falls_back, routs, destroyed }
    }
}
