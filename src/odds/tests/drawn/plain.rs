//! One round of a melee worked out a second time, plainly.
//!
//! It is written from `docs/rules.md` and shares no procedure and no type of a rule with the
//! program: its numbers are those that the drawn rules file was written from.

use super::rules::{CLASSES, Draft, GRADES, twelfths};
use crate::protocol::{ContactAsk, Facing, Ground, Holder, Standing, Unit};
use crate::rules::Rate;

/// A round to be worked out.
pub struct Plain<'a> {
    pub draft: &'a Draft,
    /// The units that fight: the asking side's first.
    pub units: &'a [Unit],
    pub asks: &'a [ContactAsk],
    pub round: u32,
}

/// For each unit: figures lost and killed, whether its leader fell, and what it did, as in
/// [`super::super::brute::Case`].
type Case = Vec<(u32, u32, bool, u8)>;

/// One throw: who, at whom, how many dice, and the lowest face that kills.
struct Throw {
    by: usize,
    at: usize,
    dice: u32,
    kills_on: u32,
}

impl Plain<'_> {
    /// How many sequences of faces there are at most: as many as if every unit and leader tested.
    pub fn faces(&self) -> u64 {
        let power = |of: u64, dice: u32| of.saturating_pow(dice);
        let dice = self.throws().iter().map(|throw| throw.dice).sum();
        let leaders = self.units.iter().filter(|unit| unit.leader.is_some()).count();
        let tests = u32::try_from(self.units.len() + leaders).unwrap();
        let test = power(self.draft.test.1.into(), self.draft.test.0);
        power(self.draft.sides.into(), dice).saturating_mul(power(test, tests))
    }

    /// Fights it with faces from `throw`, which is told how many dice of how many sides.
    pub fn fight(&self, throw: &mut impl FnMut(u32, u32) -> Vec<u32>) -> Case {
        let mut lost = vec![0; self.units.len()];
        let mut killed = lost.clone();
        for Throw { by, at, dice, kills_on } in self.throws() {
            for face in throw(dice, self.draft.sides) {
                if face >= kills_on && lost[at] < self.units[at].now.figures {
                    lost[at] += 1;
                    killed[by] += 1;
                }
            }
        }
        let (dice, sides) = self.draft.test;
        let mut fell = vec![false; self.units.len()];
        for (place, unit) in self.units.iter().enumerate() {
            if unit.leader.is_some() && lost[place] > 0 {
                let [general, half, destroyed] = self.draft.risk;
                let needed = match (unit.now.figures - lost[place], 2 * lost[place]) {
                    (0, _) => destroyed,
                    (_, twice) if twice >= unit.now.figures => half,
                    _ => general,
                };
                fell[place] = throw(dice, sides).iter().sum::<u32>() >= needed;
            }
        }
        let presence = |side: &str| -> u32 {
            let places = (0..self.units.len()).filter(|place| self.units[*place].side == side);
            let left = |place: usize| self.units[place].now.figures - lost[place];
            places.map(|place| left(place) * self.draft.classes[class(&self.units[place])].1).sum()
        };
        (0..self.units.len())
            .map(|place| {
                let unit = &self.units[place];
                let (lost, killed) = (lost[place], killed[place]);
                let other = self.units.iter().find(|other| other.side != unit.side).unwrap();
                let against = (presence(&unit.side), presence(&other.side));
                let led = unit.leader.is_some() && !fell[place];
                let nerve = self.nerve(unit, lost, killed, led, against);
                let outcome = match nerve {
                    _ if lost == unit.now.figures => 3,
                    None => 0,
                    Some(modifier) => {
                        let thrown: u32 = throw(dice, sides).iter().sum();
                        self.outcome(unit, i32::try_from(thrown).unwrap() + modifier)
                    }
                };
                (lost, killed, fell[place], outcome)
            })
            .collect()
    }

    /// What is added to a unit's test; none if it does not test.
    fn nerve(
        &self,
        unit: &Unit,
        lost: u32,
        killed: u32,
        led: bool,
        (ours, theirs): (u32, u32),
    ) -> Option<i32> {
        let morale = &self.draft.morale;
        let mut degrees = self.draft.outnumbered.iter();
        let degree = degrees.rfind(|(many, few, _)| theirs * few >= ours * many);
        if lost == 0 && degree.is_none() {
            return None;
        }
        let mut modifier = self.draft.grades[usize::from(unit.grade == GRADES[1])];
        if led {
            modifier += morale.leader;
        }
        let gone = unit.muster.figures - (unit.now.figures - lost);
        for quarter in 1..=morale.quarters_counted {
            if 4 * gone >= quarter * unit.muster.figures {
                modifier += morale.quarter_lost;
            }
        }
        if lost > killed {
            modifier += morale.lost_more;
        }
        modifier += degree.map_or(0, |(_, _, by)| *by);
        let struck = |ask: &ContactAsk| ask.struck == unit.name && ask.facing != Facing::Front;
        if self.asks.iter().any(struck) {
            modifier += morale.struck_side_or_rear;
        }
        Some(modifier)
    }

    /// 0 stands, 1 falls back, 2 routs.
    fn outcome(&self, unit: &Unit, score: i32) -> u8 {
        if score >= self.draft.morale.stands_on {
            0
        } else if score >= self.draft.morale.falls_back_on && unit.standing == Standing::Steady {
            1
        } else {
            2
        }
    }

    /// The throws of the round, in their order.
    fn throws(&self) -> Vec<Throw> {
        let find = |name: &str| self.units.iter().position(|unit| unit.name == name).unwrap();
        let mut throws = Vec::new();
        for (number, ask) in self.asks.iter().enumerate() {
            let (striker, struck) = (find(&ask.striker), find(&ask.struck));
            throws.push(self.throw(number, striker, struck, Holder::Striker));
            throws.push(self.throw(number, struck, striker, Holder::Struck));
        }
        throws
    }

    fn throw(&self, number: usize, by: usize, at: usize, role: Holder) -> Throw {
        let unit = &self.units[by];
        let fits = |ask: &&ContactAsk| ask.striker == unit.name || ask.struck == unit.name;
        let contacts = self.asks.iter().filter(fits).count();
        let place = self.asks[..number].iter().filter(fits).count();
        let ranks = if unit.long_spears { self.draft.ranks.1 } else { self.draft.ranks.0 };
        let fight = unit.frontage.map_or(u32::MAX, |front| front * ranks).min(unit.now.figures);
        // Dealt out one by one to the contacts, in the order named.
        let mut here = 0;
        for figure in 0..fight as usize {
            here += u32::from(figure % contacts == place);
        }
        let steps = self.steps(&self.asks[number], unit, &self.units[at], role);
        let rate = self.rate(class(unit), class(&self.units[at]), steps);
        let mut dice = 0;
        if here > 0 {
            dice = (here * rate.dice / rate.figures).max(self.draft.minimum);
            if place == 0 && unit.leader.is_some() {
                dice += self.draft.leader_dice;
            }
        }
        Throw { by, at, dice, kills_on: rate.kills_on }
    }

    fn steps(&self, ask: &ContactAsk, us: &Unit, them: &Unit, role: Holder) -> i32 {
        let table = &self.draft.steps;
        let mounted = |unit: &Unit| CLASSES[class(unit)].1;
        let strikes = role == Holder::Striker;
        let front = ask.facing == Facing::Front;
        let steady = |unit: &Unit| unit.standing == Standing::Steady;
        let our_spears = us.long_spears && steady(us) && (strikes || front) && mounted(them);
        let their_spears = them.long_spears && steady(them) && (!strikes || front) && mounted(us);
        let charges = if strikes { ask.charge } else { ask.countercharge };
        let ground = if strikes { Ground::Striker } else { Ground::Struck };
        let other = if strikes { Holder::Struck } else { Holder::Striker };
        let by_facing = match (ask.facing, strikes) {
            (Facing::Front, _) => 0,
            (Facing::Flank, true) => table.flank,
            (Facing::Rear, true) => table.rear,
            (Facing::Flank, false) => table.struck_flank,
            (Facing::Rear, false) => table.struck_rear,
        };
        [
            (charges && self.round == 1 && !their_spears, table.charge),
            (our_spears, table.long_spears),
            (their_spears, table.against_long_spears),
            (true, by_facing),
            (ask.ground == Some(ground), table.higher_ground),
            (ask.obstacle == Some(other), table.obstacle),
            (!steady(us), table.shaken),
        ]
        .into_iter()
        .map(|(applies, by)| if applies { by } else { 0 })
        .sum()
    }

    /// The rate of a class against another: from its cell or its weight, moved along the ladder.
    fn rate(&self, striker: usize, target: usize, steps: i32) -> Rate {
        let rungs = (self.draft.lowest..).zip(self.draft.rungs.iter().copied());
        let start = match self.draft.cells[3 * striker + target] {
            Some(cell) if steps == 0 => return cell,
            Some(cell) => {
                let kills = |rate| twelfths(rate, self.draft.sides);
                // The first of those as near is the lower rung.
                let nearest =
                    rungs.clone().min_by_key(|(_, rate)| kills(*rate).abs_diff(kills(cell)));
                nearest.unwrap().0
            }
            None => self.draft.classes[striker].0 - self.draft.classes[target].0,
        };
        let moved = start + steps;
        let held = rungs.clone().find(|(rung, _)| *rung >= moved).or_else(|| rungs.last());
        held.unwrap().1
    }
}

/// The place of a unit's class among [`CLASSES`].
pub fn class(unit: &Unit) -> usize {
    CLASSES.iter().position(|(name, _)| *name == unit.class).unwrap()
}
