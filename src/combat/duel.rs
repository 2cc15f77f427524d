//! Single combat between two leaders.

use super::{Dice, ThrowPurpose, leaders, morale};
use crate::battle::{Field, Mistake};
use crate::protocol::{
    Condition, DuelAsk, DuelEnd, DuelRound, DuelRuling, Duelist, Fate, Leader, MoraleCause,
    MoraleTest, Reach, Term, Unit,
};
use crate::rules::{Duel, Rules};

/// The most rounds of one press: who still stands then may be pressed on in a later turn.
pub const MOST_ROUNDS: u32 = 100;

/// The condition of the unit whose leader wins.
const HEARTENED: &str = "heartened";

/// A single combat before its dice.
pub struct SingleCombat<'a> {
    rules: &'a Rules,
    duel: Duel,
    turn: u32,
    to: DuelEnd,
    /// The two, in the order asked.
    pub fighters: [Fighter<'a>; 2],
}

/// One of the two, with his unit if he has one.
pub struct Fighter<'a> {
    /// The leader.
    pub leader: &'a Leader,
    /// His side.
    pub side: &'a str,
    unit: Option<&'a Unit>,
}

/// The wounds of each of two whose scores are these.
pub fn wounds(duel: Duel, scores: [u32; 2]) -> [u32; 2] {
    let taken = match scores[0].abs_diff(scores[1]) {
        apart if apart >= duel.two_wounds => 2,
        apart if apart >= duel.wound => 1,
        _ => 0,
    };
    if scores[0] < scores[1] { [taken, 0] } else { [0, taken] }
}

impl<'a> SingleCombat<'a> {
    /// The single combat that is asked for.
    ///
    /// # Errors
    /// If the rules have none, or these two may not fight.
    pub fn of(rules: &'a Rules, field: &'a Field, ask: &DuelAsk) -> Result<Self, Mistake> {
        let single = Self::weighed(rules, field, &ask.leaders)?;
        let Self { fighters: [first, second], turn, duel, .. } = single;
        for fighter in [&first, &second] {
            if fighter.leader.fought {
                return Err(Mistake::FoughtAlready(fighter.leader.name.clone()));
            }
        }
        let in_contact = match (first.unit, second.unit) {
            (Some(one), Some(other)) => field
                .engagement_of(&one.name)
                .is_some_and(|engagement| engagement.joins(&one.name, &other.name)),
            _ => false,
        };
        if !in_contact && !ask.meet {
            let [one, other] = [&first, &second].map(|fighter| fighter.leader.name.clone());
            return Err(Mistake::DoNotMeet(one, other));
        }
        Ok(Self { rules, duel, turn, to: ask.to, fighters: [first, second] })
    }

    /// The same of any two leaders of two sides, wherever they are, to weigh it.
    ///
    /// # Errors
    /// If the rules have no single combat, or these two never fight.
    pub fn weighed(
        rules: &'a Rules,
        field: &'a Field,
        leaders: &[String; 2],
    ) -> Result<Self, Mistake> {
        let duel = rules.duel.ok_or(Mistake::NoTable { what: "single combat", table: "duel" })?;
        let [first, second] = leaders.each_ref().map(|name| fighter(field, name));
        let (first, second) = (first?, second?);
        if first.side == second.side {
            let of = |fighter: &Fighter<'_>| fighter.leader.name.clone();
            return Err(Mistake::NoFoes(of(&first), of(&second)));
        }
        let (turn, to) = (field.turn, DuelEnd::End);
        Ok(Self { rules, duel, turn, to, fighters: [first, second] })
    }

    /// How far apart their scores must be.
    pub const fn table(&self) -> Duel {
        self.duel
    }

    /// The might of each.
    pub fn might(&self) -> [u32; 2] {
        self.fighters.each_ref().map(|fighter| leaders::might(self.rules, fighter.leader))
    }

    /// Fights one press.
    pub fn fight(&self, dice: &mut impl Dice) -> DuelRuling {
        let mut left = self.fighters.each_ref().map(|fighter| fighter.leader.left());
        let mut rounds: Vec<DuelRound> = Vec::new();
        while !self.ends(left, &rounds) {
            let round = self.round(dice);
            for (left, wounds) in left.iter_mut().zip(round.wounds) {
                *left = left.saturating_sub(wounds);
            }
            rounds.push(round);
        }
        let duelists = [0, 1].map(|at: usize| self.duelist(at, left[at]));
        let loser = duelists.iter().position(|duelist| duelist.fate.is_gone());
        let conditions = loser.map_or_else(Vec::new, |loser| self.conditions(loser, &duelists));
        let unit = loser.and_then(|loser| self.fighters[loser].unit);
        let morale = unit.filter(|unit| unit.fights()).map(|unit| self.test(unit, dice));
        DuelRuling { turn: self.turn, to: self.to, duelists, rounds, conditions, morale }
    }

    fn ends(&self, left: [u32; 2], rounds: &[DuelRound]) -> bool {
        let fought = u32::try_from(rounds.len()).unwrap_or(MOST_ROUNDS);
        let agreed = match self.to {
            DuelEnd::Wound => rounds.iter().any(|round| round.wounds != [0, 0]),
            DuelEnd::Rounds => fought >= self.duel.rounds,
            DuelEnd::End => false,
        };
        agreed || left.contains(&0) || fought >= MOST_ROUNDS
    }

    fn round(&self, dice: &mut impl Dice) -> DuelRound {
        let might = self.might();
        let faces = self.fighters.each_ref().map(|fighter| {
            let what = ThrowPurpose::Duel(&fighter.leader.name);
            dice.throw(what, self.rules.test.dice, self.rules.test.sides)
        });
        let scores = [0, 1].map(|at: usize| faces[at].iter().sum::<u32>() + might[at]);
        DuelRound { wounds: wounds(self.duel, scores), faces, scores }
    }

    fn duelist(&self, at: usize, left: u32) -> Duelist {
        let Fighter { leader, side, unit } = &self.fighters[at];
        Duelist {
            leader: leader.name.clone(),
            side: (*side).to_owned(),
            unit: unit.map(|unit| unit.name.clone()),
            might: leaders::might(self.rules, leader),
            before: leader.left(),
            left,
            fate: leader.fate(leader.left() - left),
        }
    }

    /// What stands after the fall of one: the victor's unit is heartened, a general's side dismayed.
    fn conditions(&self, loser: usize, duelists: &[Duelist; 2]) -> Vec<Condition> {
        let fallen = &self.fighters[loser];
        let heartened = self.fighters[1 - loser].unit.and_then(|unit| {
            leaders::known(self.rules, HEARTENED, Reach::Unit(unit.name.clone()), self.turn)
        });
        let general = fallen.leader.general && duelists[loser].fate == Fate::Falls;
        let dismayed = leaders::dismayed(self.rules, fallen.side, self.turn).filter(|_| general);
        heartened.into_iter().chain(dismayed).collect()
    }

    /// The test of a unit whose leader fell: grade, quarters lost, and what the rules say.
    fn test(&self, unit: &Unit, dice: &mut impl Dice) -> MoraleTest {
        let quarters = morale::quarters(self.rules, unit.muster.figures, unit.figures_lost());
        let lost = self.rules.morale.quarter_lost * i32::try_from(quarters).unwrap_or(0);
        let grade = Term { cause: MoraleCause::Grade, by: morale::grade(self.rules, unit) };
        let quarters = Term { cause: MoraleCause::Quarters(quarters), by: lost };
        let fell = Term { cause: MoraleCause::Duel, by: self.duel.nerve };
        let terms = [Some(grade), Some(quarters).filter(|quarters| quarters.by != 0), Some(fell)];
        morale::tested(self.rules, unit, terms.into_iter().flatten().collect(), dice)
    }
}

/// The leader called exactly `name`, if he may fight.
fn fighter<'a>(field: &'a Field, name: &str) -> Result<Fighter<'a>, Mistake> {
    let led = field.units.iter().find_map(|unit| {
        let leader = unit.leader.as_ref().filter(|leader| leader.name == name)?;
        Some(Fighter { leader, side: &unit.side, unit: Some(unit) })
    });
    if let Some(led) = led {
        return Ok(led);
    }
    match field.free_leaders.iter().find(|free| free.leader.name == name) {
        Some(free) if free.out => Err(Mistake::OutOfTheFight(name.to_owned())),
        Some(free) => Ok(Fighter { leader: &free.leader, side: &free.side, unit: None }),
        None => {
            let known = field.leaders().map(|leader| leader.name.clone()).collect();
            Err(Mistake::NoSuchLeader { name: name.to_owned(), known })
        }
    }
}
