//! What a round's losses do to one unit: whether its leader is hit, and what it does.

use super::chance::score;
use crate::combat::{Aftermath, Led, Melee, RoundLosses, Tally, leaders, morale};
use crate::protocol::{Outcome, Unit};
use crate::rules::Rules;

/// The number of outcomes.
pub(super) const OUTCOMES: usize = 4;
/// The place of "stands" among the outcomes.
pub(super) const STANDS: usize = 0;

/// The place of an outcome in an array of chances.
pub(super) const fn place_of(outcome: Outcome) -> usize {
    match outcome {
        Outcome::Stands => STANDS,
        Outcome::FallsBack => 1,
        Outcome::Routs => 2,
        Outcome::Destroyed => 3,
    }
}

/// The chance of each outcome, in the order of [`place_of`].
pub(super) type Chances = [f64; OUTCOMES];

/// What may become of a unit in a round whose losses are known.
#[derive(Debug, Clone, Copy)]
pub(super) struct Prospects {
    /// The chance that its leader is hit; 0 without one.
    pub hit: f64,
    /// Whether he falls if he is hit, or else takes a wound.
    pub fells: bool,
    /// What it does if he does not fall, or if it has none.
    pub kept: Chances,
    /// What it does if he falls.
    pub fallen: Chances,
}

impl Prospects {
    /// The chance that its leader falls.
    pub const fn falls(&self) -> f64 {
        if self.fells { self.hit } else { 0.0 }
    }

    /// What it does if its leader, if it has one, stands or fell.
    pub const fn led(&self, stands: bool) -> &Chances {
        if stands { &self.kept } else { &self.fallen }
    }

    /// What it does, whatever its leader does.
    pub fn outcomes(&self) -> Chances {
        let falls = self.falls();
        std::array::from_fn(|at| (1.0 - falls) * self.kept[at] + falls * self.fallen[at])
    }
}

/// The largest morale modifier that is worked out beforehand; others are on demand.
const WORKED_OUT: i32 = 24;

/// The chances of every test of one rules file.
#[derive(Debug)]
pub(super) struct Tests<'a> {
    rules: &'a Rules,
    ways: Vec<(u32, u64)>,
    all: u64,
    /// Outcomes by modifier from `-WORKED_OUT`, of a steady and of a shaken unit.
    nerve: [Vec<Chances>; 2],
}

impl<'a> Tests<'a> {
    pub fn new(rules: &'a Rules) -> Self {
        let (ways, all) = score(rules.test.dice, rules.test.sides);
        let mut tests = Self { rules, ways, all, nerve: [Vec::new(), Vec::new()] };
        tests.nerve = [false, true].map(|shaken| {
            (-WORKED_OUT..=WORKED_OUT).map(|modifier| tests.nerve(modifier, shaken)).collect()
        });
        tests
    }

    /// The chance that a leader is hit who is hit on `falls_on`; none is at no risk.
    pub fn hit(&self, falls_on: Option<u32>) -> f64 {
        let Some(falls_on) = falls_on else { return 0.0 };
        let ways = self.ways.iter();
        let hitting = ways.filter(|(score, _)| leaders::hit(*score, falls_on));
        hitting.map(|(_, ways)| ways).sum::<u64>() as f64 / self.all as f64
    }

    /// What the combatant in `place` may do after a round that `tally` holds.
    pub fn prospects(
        &self,
        melee: &Melee<'_>,
        place: usize,
        tally: &Tally,
        after: Aftermath,
    ) -> Prospects {
        let (left, losses) = (tally.left(place), tally.losses(self.rules, place));
        let falls_on = melee.falls_on(place, tally.before[place], tally.lost[place]);
        let led = melee.combatants[place].unit.leader.is_some();
        let with = |leader| self.outcomes(melee, place, left, losses, leader, after);
        let kept = with(led);
        Prospects {
            hit: self.hit(falls_on),
            fells: melee.fells(place, left),
            kept,
            fallen: if led { with(false) } else { kept },
        }
    }

    /// The outcomes of the combatant in `place` with `left` figures after a round with these
    /// `losses`, with or without a leader.
    pub fn outcomes(
        &self,
        melee: &Melee<'_>,
        place: usize,
        left: u32,
        losses: RoundLosses,
        leader: bool,
        after: Aftermath,
    ) -> Chances {
        let unit: &Unit = melee.combatants[place].unit;
        // Whose leader stood and stands no more fell in this round.
        let led = Led { leader, dismayed: !leader && melee.dismays(place) };
        let situation = melee.situation(place, left, led, losses, after);
        if !situation.must_test(self.rules) {
            let mut chances = [0.0; OUTCOMES];
            chances[place_of(morale::settled(left, None))] = 1.0;
            return chances;
        }
        let modifier = morale::modifier(self.rules, &situation);
        let worked_out = usize::try_from(modifier + WORKED_OUT)
            .ok()
            .and_then(|at| self.nerve[usize::from(unit.shaken())].get(at));
        match worked_out {
            Some(chances) => *chances,
            None => self.nerve(modifier, unit.shaken()),
        }
    }

    /// The outcomes of a unit that tests with `modifier`.
    fn nerve(&self, modifier: i32, shaken: bool) -> Chances {
        let mut ways = [0; OUTCOMES];
        for (thrown, count) in &self.ways {
            let score = i32::try_from(*thrown).expect("a test has few dice") + modifier;
            ways[place_of(morale::outcome(self.rules, score, shaken))] += count;
        }
        ways.map(|ways| ways as f64 / self.all as f64)
    }
}
