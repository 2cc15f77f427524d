//! How lucky throws and melees were, against their exact odds.

use crate::battle::Field;
use crate::combat::Clash;
use crate::odds::{self, Luck, RoundOdds};
use crate::protocol::{HarmHow, HarmRuling, HarmThrow, MeleeRuling, Ruling, Strike, ThrowPurpose};
use crate::rules::{Rate, Rules};

/// The most cases of a round that are gone through for a report: a melee of 60 figures against 60
/// has 3,721.
const CASES: u64 = 20_000;

/// One strike's luck.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ThrowLuck {
    pub roll: u32,
    /// Who throws at whom.
    pub label: String,
    pub dice: u32,
    /// Dice that kill, those in excess too.
    pub hits: u32,
    pub luck: Luck,
}

/// One round's luck as a whole: figures killed less figures lost, as its asking side sees it.
#[derive(Debug, Clone)]
pub(super) struct MeleeLuck {
    pub roll: u32,
    pub sides: [String; 2],
    pub killed: u32,
    pub lost: u32,
    pub luck: Luck,
    /// The round, so that its odds can be drawn.
    pub fought: Fought,
}

/// A round as it was fought.
#[derive(Debug, Clone)]
pub(super) struct Fought {
    field: Field,
    clash: Clash,
    /// Figures that each unit lost.
    pub lost: Vec<u32>,
}

impl Fought {
    /// What this round might have cost.
    pub fn odds(&self, rules: &Rules) -> Option<RoundOdds> {
        odds::round_of(rules, &self.field, &self.clash).ok()
    }
}

impl MeleeLuck {
    /// How uncommon the round was, either way.
    pub fn rarity(&self) -> f64 {
        self.luck.as_well.min(self.luck.as_badly)
    }
}

/// The luck of each strike of a ruling that had dice.
pub(super) fn throws(roll: u32, ruling: &Ruling) -> Vec<ThrowLuck> {
    let one = |what: ThrowPurpose<'_>, strike: &Strike| {
        let luck = Luck::of_strike(strike.matchup.rate, strike.sides, &strike.faces);
        let hits = strike.kills + strike.excess;
        ThrowLuck { roll, label: what.label(), dice: strike.dice, hits, luck }
    };
    let all: Vec<ThrowLuck> = match ruling {
        Ruling::Melee(melees) => {
            let contacts = melees.iter().flat_map(|melee| &melee.contacts);
            let strikes = contacts.flat_map(|contact| &contact.strikes);
            strikes
                .map(|strike| one(ThrowPurpose::Strike { by: &strike.by, at: &strike.at }, strike))
                .collect()
        }
        Ruling::Shooting(shooting) => {
            let strikes = shooting.shots.iter().map(|shot| &shot.strike);
            strikes
                .map(|strike| one(ThrowPurpose::Shot { by: &strike.by, at: &strike.at }, strike))
                .collect()
        }
        Ruling::Harm(harm) => of_harm(roll, harm),
        // A quick ruling and plain dice belong to no unit of the battle.
        Ruling::Rally(_)
        | Ruling::Nerve(_)
        | Ruling::Duel(_)
        | Ruling::Quick(_)
        | Ruling::Throw(_) => Vec::new(),
    };
    all.into_iter().filter(|throw| throw.dice > 0).collect()
}

/// The luck of harm's dice that may kill; dice for men are no kills.
fn of_harm(roll: u32, harm: &HarmRuling) -> Vec<ThrowLuck> {
    let HarmHow::Dice { dice, kills_on } = harm.harm.how else { return Vec::new() };
    let rate = Rate { dice: 1, figures: 1, kills_on };
    let one = |throw: &HarmThrow| ThrowLuck {
        roll,
        label: ThrowPurpose::Harm(&harm.target.unit).label(),
        dice,
        hits: harm.target.lost + harm.target.excess,
        luck: Luck::of_strike(rate, throw.sides, &throw.faces),
    };
    harm.thrown.iter().map(one).collect()
}

/// The luck of a round as a whole, fought on `field`; none if it has too many cases.
pub(super) fn melee(
    rules: &Rules,
    field: &Field,
    roll: u32,
    ruling: &MeleeRuling,
) -> Option<MeleeLuck> {
    if cases(ruling) > CASES {
        return None;
    }
    let clash = Clash::ruled(field, ruling);
    let ours: Vec<bool> = ruling.units.iter().map(|unit| unit.side == ruling.sides[0]).collect();
    let all = odds::joint_of(rules, field, &clash).ok()??;
    let differences = all.iter().map(|case| {
        let units = case.units.iter().zip(&ours).filter(|(_, ours)| **ours);
        let gained = units.map(|(unit, _)| i64::from(unit.killed) - i64::from(unit.lost));
        (gained.sum(), case.chance)
    });
    let sum = |of: fn(&crate::protocol::UnitResult) -> u32| {
        ruling.units.iter().zip(&ours).filter(|(_, ours)| **ours).map(|(unit, _)| of(unit)).sum()
    };
    let (killed, lost): (u32, u32) = (sum(|unit| unit.killed), sum(|unit| unit.lost));
    let luck = Luck::among(differences, i64::from(killed) - i64::from(lost));
    let each = ruling.units.iter().map(|unit| unit.lost).collect();
    let fought = Fought { field: field.clone(), clash, lost: each };
    Some(MeleeLuck { roll, sides: ruling.sides.clone(), killed, lost, luck, fought })
}

/// How many cases a round has: the product, over its throws, of the kills that each can come to.
fn cases(ruling: &MeleeRuling) -> u64 {
    let strikes = ruling.contacts.iter().flat_map(|contact| &contact.strikes);
    strikes.fold(1, |cases, strike| cases.saturating_mul(u64::from(strike.dice) + 1))
}
