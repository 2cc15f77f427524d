//! One round of a melee worked out a second time, plainly.
//!
//! It is written from `docs/rules.md` and shares no procedure and no type of a rule with the
//! program: its numbers are those that the drawn rules file was written from.

use super::rules::{CLASSES, DISMAYED, Draft, GRADES, twelfths};
use crate::protocol::{ContactAsk, Facing, Ground, Holder, Scale, Standing, Unit};
use crate::rules::Rate;

/// A round to be worked out.
pub struct Plain<'a> {
    pub draft: &'a Draft,
    /// The units that fight: the asking side's first.
    pub units: &'a [Unit],
    pub asks: &'a [ContactAsk],
    pub round: u32,
}

/// For each unit: figures lost and killed, what became of its leader, and what it did, as in
/// [`super::super::brute::Case`].
type Case = Vec<(u32, u32, u8, u8)>;

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
        // 0 unhurt, 1 wounded, 2 gone.
        let mut fates = vec![0; self.units.len()];
        for (place, unit) in self.units.iter().enumerate() {
            let Some(leader) = &unit.leader else { continue };
            let left = unit.now.figures - lost[place];
            if lost[place] == 0 || (leader.back && left > 0) {
                continue;
            }
            let [general, half, destroyed] = self.draft.risk;
            let needed = match (left, 2 * lost[place]) {
                (0, _) => destroyed,
                (_, twice) if twice >= unit.now.figures => half,
                _ => general,
            };
            if throw(dice, sides).iter().sum::<u32>() >= needed {
                fates[place] = if left == 0 || leader.taken + 1 == leader.wounds { 2 } else { 1 };
            }
        }
        let left = |place: usize| self.units[place].now.figures - lost[place];
        let presence = |side: &str| self.presence(side, &left);
        let gone = |side: &str| {
            (0..self.units.len()).any(|place| self.units[place].side == side && left(place) == 0)
        };
        let without_general = |side: &str| {
            let mut units = self.units.iter().zip(&fates);
            units.any(|(unit, fate)| {
                let leader = unit.leader.as_ref();
                let fell = leader.is_some_and(|leader| leader.general && !leader.spared);
                unit.side == side && fell && *fate == 2
            })
        };
        (0..self.units.len())
            .map(|place| {
                let unit = &self.units[place];
                let (lost, killed) = (lost[place], killed[place]);
                let other = self.units.iter().find(|other| other.side != unit.side).unwrap();
                let against = (presence(&unit.side), presence(&other.side));
                let led = unit.leader.is_some() && fates[place] < 2;
                let nerve = self.nerve(unit, lost, killed, led, (against, gone(&unit.side)));
                let dismayed = if without_general(&unit.side) { DISMAYED } else { 0 };
                let outcome = match nerve.map(|modifier| modifier + dismayed) {
                    _ if lost == unit.now.figures => 3,
                    None => 0,
                    Some(modifier) => {
                        let thrown: u32 = throw(dice, sides).iter().sum();
                        self.outcome(unit, i32::try_from(thrown).unwrap() + modifier)
                    }
                };
                (lost, killed, fates[place], outcome)
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
        ((ours, theirs), comrade): ((u32, u32), bool),
    ) -> Option<i32> {
        let morale = &self.draft.morale;
        let mut degrees = self.draft.outnumbered.iter();
        let degree = degrees.rfind(|(many, few, _)| theirs * few >= ours * many);
        let enough =
            lost > 0 && morale.tested_share.is_none_or(|share| lost * share >= unit.now.figures);
        let moved = morale.comrade.filter(|_| comrade);
        if !enough && lost <= killed && degree.is_none() && moved.is_none() {
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
        modifier += degree.map_or(0, |(_, _, by)| *by) + moved.unwrap_or(0);
        if let (Some(deep), Some(front)) = (morale.deep, unit.front(Scale::new(20).unwrap()))
            && unit.now.figures - lost >= deep.ranks * front
        {
            modifier += deep.modifier;
        }
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
        let here = self.figures();
        let mut throws = Vec::new();
        for (number, ask) in self.asks.iter().enumerate() {
            let [striker, struck] = self.units_of(ask);
            for (by, at, role) in
                [(striker, struck, Holder::Striker), (struck, striker, Holder::Struck)]
            {
                let steps = self.steps(ask, &self.units[by], &self.units[at], role);
                let rate = self.rate(class(&self.units[by]), class(&self.units[at]), steps);
                let dice = here[number][usize::from(by == struck)] * rate.dice / rate.figures;
                throws.push(Throw { by, at, dice, kills_on: rate.kills_on });
            }
        }
        let flat: Vec<u32> = here.into_iter().flatten().collect();
        // One die a side against each unit that it would have none against.
        for target in 0..self.units.len() {
            let against: Vec<usize> =
                (0..throws.len()).filter(|throw| throws[*throw].at == target).collect();
            if against.iter().all(|throw| throws[*throw].dice == 0)
                && let Some(first) = against.iter().find(|throw| flat[**throw] > 0)
            {
                throws[*first].dice = self.draft.minimum;
            }
        }
        for (place, unit) in self.units.iter().enumerate() {
            let mut best: Option<usize> = None;
            for throw in (0..throws.len()).filter(|throw| throws[*throw].by == place) {
                if best.is_none_or(|best| flat[throw] > flat[best]) {
                    best = Some(throw);
                }
            }
            let Some(leader) = unit.leader.as_ref().filter(|leader| !leader.back) else { continue };
            if let Some(best) = best {
                let might = leader.might.unwrap_or(self.draft.leader_dice);
                throws[best].dice += might.min(flat[best]);
            }
        }
        throws
    }

    fn units_of(&self, ask: &ContactAsk) -> [usize; 2] {
        [&ask.striker, &ask.struck]
            .map(|name| self.units.iter().position(|unit| unit.name == *name).unwrap())
    }

    /// The ranks of a unit that fight in a contact.
    fn ranks(&self, ask: &ContactAsk, place: usize) -> u32 {
        let unit = &self.units[place];
        let own_front = ask.striker == unit.name || ask.facing == Facing::Front;
        let spears = unit.long_spears && unit.standing == Standing::Steady && own_front;
        if spears { self.draft.ranks.1 } else { self.draft.ranks.0 }
    }

    /// All figures of a unit that fight, before they are shared.
    fn whole(&self, place: usize) -> u32 {
        let unit = &self.units[place];
        let its = self.asks.iter().filter(|ask| self.units_of(ask).contains(&place));
        let ranks = its.map(|ask| self.ranks(ask, place)).max().unwrap();
        unit.now.figures.min(self.front(place).map_or(u32::MAX, |front| front * ranks))
    }

    fn front(&self, place: usize) -> Option<u32> {
        self.units[place].front(Scale::new(20).unwrap())
    }

    /// The figures of striker and struck in each contact: shared, and let in by front and width.
    fn figures(&self) -> Vec<[u32; 2]> {
        let mut here = vec![[0; 2]; self.asks.len()];
        for place in 0..self.units.len() {
            let its: Vec<(usize, usize)> = (0..self.asks.len())
                .filter_map(|n| {
                    let of = self.units_of(&self.asks[n]);
                    of.iter().position(|unit| *unit == place).map(|role| (n, of[1 - role]))
                })
                .collect();
            let whole = self.whole(place);
            let all: u32 = its.iter().map(|(_, enemy)| self.whole(*enemy)).sum();
            // Whole figures, and what is left over of each share in parts of one figure.
            let exact: Vec<u32> = its.iter().map(|(_, enemy)| whole * self.whole(*enemy)).collect();
            let mut shares: Vec<u32> = exact.iter().map(|part| part / all).collect();
            let mut over: Vec<u32> = exact.iter().map(|part| part % all).collect();
            while shares.iter().sum::<u32>() < whole {
                let most = *over.iter().max().unwrap();
                let first = over.iter().position(|part| *part == most).unwrap();
                shares[first] += 1;
                over[first] = 0;
            }
            for n in 0..shares.len() {
                let fullest = (0..shares.len()).max_by_key(|n| shares[*n]).unwrap();
                if shares[n] == 0 && shares[fullest] > 1 {
                    shares[fullest] -= 1;
                    shares[n] = 1;
                }
            }
            for ((n, _), share) in its.into_iter().zip(shares) {
                let ask = &self.asks[n];
                let role = usize::from(self.units_of(ask)[1] == place);
                let most =
                    self.front(place).map_or(u32::MAX, |front| front * self.ranks(ask, place));
                here[n][role] = share.min(most);
            }
        }
        self.let_in(&mut here);
        here
    }

    /// Files abreast are taken up contact by contact, by as many figures as stand in ranks.
    fn let_in(&self, here: &mut [[u32; 2]]) {
        for target in 0..self.units.len() {
            let Some(mut files) = self.front(target) else { continue };
            for (n, ask) in self.asks.iter().enumerate() {
                let of = self.units_of(ask);
                let Some(role) = of.iter().position(|unit| *unit == target) else { continue };
                if role == 1 && ask.facing != Facing::Front {
                    continue;
                }
                let ranks = self.ranks(ask, of[1 - role]);
                let figures = &mut here[n][1 - role];
                *figures = (*figures).min(files * ranks);
                files -= figures.div_ceil(ranks);
            }
        }
        for role in [0, 1] {
            let mut files = self.width().unwrap_or(0);
            for (n, ask) in self.asks.iter().enumerate() {
                if ask.width.is_some() {
                    let ranks = self.ranks(ask, self.units_of(ask)[role]);
                    here[n][role] = here[n][role].min(files * ranks);
                    files -= here[n][role].div_ceil(ranks);
                }
            }
        }
    }

    fn width(&self) -> Option<u32> {
        self.asks.iter().find_map(|ask| ask.width)
    }

    /// A side's presence, with so many figures left of each unit.
    fn presence(&self, side: &str, left: &dyn Fn(usize) -> u32) -> u32 {
        let mut order = Vec::new();
        for ask in self.asks {
            for place in self.units_of(ask) {
                if self.units[place].side == side && !order.contains(&place) {
                    order.push(place);
                }
            }
        }
        let mut room = self.width().map_or(u32::MAX, |width| 2 * width);
        let mut presence = 0;
        for place in order {
            let mut its = self.asks.iter().filter(|ask| self.units_of(ask).contains(&place));
            let mut figures = left(place);
            if its.all(|ask| ask.width.is_some()) {
                figures = figures.min(room);
                room -= figures;
            }
            presence += figures * self.draft.classes[class(&self.units[place])].1;
        }
        presence
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
