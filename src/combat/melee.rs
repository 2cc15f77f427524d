//! One round of a melee, simultaneous. The order of dice is the order of the code in
//! [`Bout::fight`]: contacts, leaders at risk, morale.

use super::bout::{Bout, Throw};
use super::tally::Tally;
use super::{Dice, What, leaders, morale, strike};
use crate::battle::{
    ContactRuling, LeaderTest, MeleeRuling, MoraleTest, Outcome, Strike, UnitResult,
};

impl Bout<'_> {
    /// Fights one round.
    pub fn fight(&self, dice: &mut impl Dice) -> MeleeRuling {
        let mut tally = Tally::new(self);
        let strikes: Vec<[Strike; 2]> = self
            .contacts
            .iter()
            .map(|contact| {
                let [ours, theirs] = &contact.throws;
                [self.strike(ours, &mut tally, dice), self.strike(theirs, &mut tally, dice)]
            })
            .collect();
        let leaders = self.leaders(&tally, dice);
        let presence = self.presence(|place| tally.left(place));
        let morale = self.morale(&tally, &leaders, presence, dice);
        let units = self.results(&tally, &morale);
        let stands = |place: usize| units[place].outcome == Outcome::Stands;
        let contacts = self
            .contacts
            .iter()
            .zip(strikes)
            .map(|(contact, strikes)| ContactRuling {
                contact: contact.ask.clone(),
                stands: stands(contact.throws[0].by) && stands(contact.throws[0].at),
                strikes,
            })
            .collect();
        MeleeRuling {
            turn: self.turn,
            round: self.round,
            sides: self.sides.map(str::to_owned),
            contacts,
            parted: self.parted.clone(),
            units,
            leaders,
            presence,
            morale,
        }
    }

    fn strike(&self, throw: &Throw, tally: &mut Tally, dice: &mut impl Dice) -> Strike {
        let (by, at) = (&self.fighters[throw.by], &self.fighters[throw.at]);
        let fighting = self.fighting(throw, by.unit.now.figures);
        let count = self.dice(throw, by.unit.now.figures);
        let what = What::Strike { by: &by.unit.name, at: &at.unit.name };
        let faces = dice.throw(what, count, self.rules.dice.sides);
        let hits = strike::kills(throw.matchup.rate, &faces);
        let kills = tally.kill(throw, hits);
        Strike {
            by: by.unit.name.clone(),
            by_class: by.class.name.clone(),
            at: at.unit.name.clone(),
            at_class: at.class.name.clone(),
            fighting,
            steps: throw.steps.clone(),
            matchup: throw.matchup,
            leader_dice: if fighting > 0 { throw.leader_dice } else { 0 },
            dice: count,
            sides: self.rules.dice.sides,
            faces,
            kills,
            excess: hits - kills,
        }
    }

    fn leaders(&self, tally: &Tally, dice: &mut impl Dice) -> Vec<LeaderTest> {
        self.fighters
            .iter()
            .enumerate()
            .filter_map(|(place, fighter)| {
                let leader = fighter.unit.leader.as_deref()?;
                let falls_on = self.falls_on(place, tally.before[place], tally.lost[place])?;
                Some(leaders::test(self.rules, leader, &fighter.unit.name, falls_on, dice))
            })
            .collect()
    }

    fn morale(
        &self,
        tally: &Tally,
        leaders: &[LeaderTest],
        presence: [u32; 2],
        dice: &mut impl Dice,
    ) -> Vec<MoraleTest> {
        let mut tests = Vec::new();
        for (place, fighter) in self.fighters.iter().enumerate() {
            let (left, lost) = (tally.left(place), tally.lost[place]);
            let fell = leaders.iter().any(|test| test.falls && test.unit == fighter.unit.name);
            let leader = fighter.unit.leader.is_some() && !fell;
            let killed = tally.killed[place];
            let situation = self.situation(place, left, leader, lost, killed, presence);
            if situation.must_test() {
                tests.push(morale::test(self.rules, fighter.unit, &situation, dice));
            }
        }
        tests
    }

    fn results(&self, tally: &Tally, morale: &[MoraleTest]) -> Vec<UnitResult> {
        self.fighters
            .iter()
            .enumerate()
            .map(|(place, fighter)| {
                let unit = fighter.unit;
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
