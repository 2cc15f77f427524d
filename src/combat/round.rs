//! One round of a melee, simultaneous. The order of dice is the order of the code in
//! [`Melee::fight`]: contacts, leaders at risk, morale.

use super::contact::Attack;
use super::melee::{Aftermath, Led, Melee};
use super::tally::Tally;
use super::throwing::Throwing;
use super::{Dice, ThrowPurpose, leaders, morale, strike};
use crate::protocol::{
    Condition, ContactRuling, Fate, LeaderTest, MeleeRuling, MoraleTest, Outcome, Strike,
    UnitResult,
};

impl Melee<'_> {
    /// Fights one round.
    pub fn fight(&self, dice: &mut impl Dice) -> MeleeRuling {
        let mut tally = Tally::new(self);
        let strikes: Vec<[Strike; 2]> = self
            .contacts
            .iter()
            .zip(self.throwing_now())
            .map(|(contact, throwing)| {
                [0, 1].map(|throw: usize| {
                    self.strike(&contact.attacks[throw], throwing[throw], &mut tally, dice)
                })
            })
            .collect();
        let leaders = self.leaders(&tally, dice);
        let after = self.aftermath(|place| tally.left(place));
        let conditions = self.dismay(&leaders);
        let morale = self.morale(&tally, &leaders, after, dice);
        let units = self.results(&tally, &morale);
        let stands = |place: usize| units[place].outcome == Outcome::Stands;
        let contacts = self
            .contacts
            .iter()
            .zip(strikes)
            .map(|(contact, strikes)| ContactRuling {
                contact: contact.ask.clone(),
                round: contact.round,
                stands: stands(contact.attacks[0].by) && stands(contact.attacks[0].at),
                strikes,
            })
            .collect();
        MeleeRuling {
            turn: self.turn,
            round: self.round,
            this_turn: self.this_turn(),
            beyond: self.rules.rounds.filter(|most| self.this_turn() > *most),
            sides: self.sides.map(str::to_owned),
            contacts,
            units,
            leaders,
            presence: after.presence,
            conditions,
            morale,
        }
    }

    fn strike(
        &self,
        attack: &Attack,
        throwing: Throwing,
        tally: &mut Tally,
        dice: &mut impl Dice,
    ) -> Strike {
        let (by, at) = (&self.combatants[attack.by], &self.combatants[attack.at]);
        let what = ThrowPurpose::Strike { by: &by.unit.name, at: &at.unit.name };
        let faces = dice.throw(what, throwing.dice, self.rules.dice.sides);
        let hits = strike::kills(attack.matchup.rate, &faces);
        let kills = tally.kill(attack, hits);
        Strike {
            by: by.unit.name.clone(),
            by_class: by.class.name.clone(),
            at: at.unit.name.clone(),
            at_class: at.class.name.clone(),
            fighting: throwing.fighting,
            circumstances: attack.circumstances.clone(),
            matchup: attack.matchup,
            leader_dice: throwing.leader_dice,
            added_dice: throwing.added_dice,
            dice: throwing.dice,
            sides: self.rules.dice.sides,
            faces,
            kills,
            excess: hits - kills,
        }
    }

    fn leaders(&self, tally: &Tally, dice: &mut impl Dice) -> Vec<LeaderTest> {
        self.combatants
            .iter()
            .enumerate()
            .filter_map(|(place, combatant)| {
                let leader = combatant.unit.leader.as_ref()?;
                let falls_on = self.falls_on(place, tally.before[place], tally.lost[place])?;
                let unit = (combatant.unit.name.as_str(), tally.left(place));
                Some(leaders::test(self.rules, leader, unit, falls_on, dice))
            })
            .collect()
    }

    /// Whether the general of a side fell.
    fn lost_general(&self, side: usize, leaders: &[LeaderTest]) -> bool {
        self.combatants.iter().enumerate().any(|(place, combatant)| {
            let fell =
                |test: &LeaderTest| test.fate == Fate::Falls && test.unit == combatant.unit.name;
            combatant.side == side && self.dismays(place) && leaders.iter().any(fell)
        })
    }

    /// The sides whose general fell are dismayed, where the rules know what that is.
    fn dismay(&self, leaders: &[LeaderTest]) -> Vec<Condition> {
        let lost = [0, 1].into_iter().filter(|side| self.lost_general(*side, leaders));
        lost.filter_map(|side| self.dismayed(side)).collect()
    }

    fn morale(
        &self,
        tally: &Tally,
        leaders: &[LeaderTest],
        after: Aftermath,
        dice: &mut impl Dice,
    ) -> Vec<MoraleTest> {
        let mut tests = Vec::new();
        for (place, combatant) in self.combatants.iter().enumerate() {
            let losses = tally.losses(self.rules, place);
            let gone = |test: &LeaderTest| test.fate.is_gone() && test.unit == combatant.unit.name;
            let led = Led {
                leader: combatant.unit.leader.is_some() && !leaders.iter().any(gone),
                dismayed: self.lost_general(combatant.side, leaders),
            };
            let situation = self.situation(place, tally.left(place), led, losses, after);
            if situation.must_test(self.rules) {
                tests.push(morale::test(self.rules, combatant.unit, &situation, dice));
            }
        }
        tests
    }

    fn results(&self, tally: &Tally, morale: &[MoraleTest]) -> Vec<UnitResult> {
        self.combatants
            .iter()
            .enumerate()
            .map(|(place, combatant)| {
                let unit = combatant.unit;
                let lost = tally.lost[place];
                let after = self.scale.after(unit.now, lost);
                let test = morale.iter().find(|test| test.unit == unit.name);
                let outcome = morale::settled(after.figures, test.map(|test| test.outcome));
                UnitResult {
                    unit: unit.name.clone(),
                    side: unit.side.clone(),
                    before: unit.now,
                    after,
                    lost,
                    killed: tally.killed[place],
                    excess: tally.excess[place],
                    outcome,
                    standing: outcome.standing(unit.standing),
                }
            })
            .collect()
    }
}
