//! The states of a fight of one unit against one, and how chance flows from each to the next.
//!
//! A state is the figures that each unit has lost since the fight began, and the wounds that each
//! leader can still take. Losses only grow and wounds are only taken, so one pass in the order of
//! losses, for a run of pairs of wounds left, visits each state after all that lead to it. The one
//! way back is a round without losses after which both stand: it leads to the state itself, and is
//! solved instead of repeated, as a geometric series.
//!
//! Within a pass, chance arrives at a state in kinds: what the tests after a round ask of it beside
//! the figures left, namely all that morale may know of each unit's losses, and on what score each
//! leader at risk is hit. So the tests are worked out once a state and kind, and not once for each
//! of the many states that lead there.
//!
//! A transition with a chance below [`LEFT_OUT`] is left out. Of at most [`super::FINISH_TERMS`]
//! that is less than 1e-30 altogether, far below the rounding of `f64` beside a chance of 1.

use super::OddsError;
use super::cases::Cases;
use super::chance::{Hits, Sum};
use super::ends::{Ended, Ends};
use super::prospects::{Chances, Prospects, STANDS, Tests};
use super::result::FinishOdds;
use super::transitions::{Arrival, Transitions};
use crate::combat::{Melee, RoundLosses};

/// The chance below which a transition is left out.
const LEFT_OUT: f64 = 1e-40;

/// The wounds that the leader of each of the two units can still take; 0 without one.
pub(super) type Wounds = [u32; 2];

/// The leaders that stand, as a mask: 1 for the first unit's, 2 for the second's.
pub(super) fn mask_of(wounds: Wounds) -> usize {
    usize::from(wounds[0] > 0) + 2 * usize::from(wounds[1] > 0)
}

/// Chances of a fight, from its beginning to its end.
#[derive(Debug)]
pub(super) struct Grid<'a> {
    tests: Tests<'a>,
    figures: [u32; 2],
    /// The wounds left as the fight begins.
    wounds: Wounds,
    /// The chance of coming to a state at all, by wounds left, then by losses.
    arrivals: Vec<Vec<f64>>,
    ends: Ends,
    rounds: Sum,
}

impl<'a> Grid<'a> {
    pub fn new(melee: &Melee<'a>, wounds: Wounds) -> Self {
        let figures = [0, 1].map(|place: usize| melee.combatants[place].unit.now.figures);
        let states = (figures[0] as usize + 1) * (figures[1] as usize + 1);
        Self {
            tests: Tests::new(melee.rules()),
            figures,
            wounds,
            arrivals: vec![vec![0.0; states]; levels(wounds)],
            ends: Ends::new(melee),
            rounds: Sum::default(),
        }
    }

    fn at(&self, lost: [u32; 2]) -> usize {
        lost[0] as usize * (self.figures[1] as usize + 1) + lost[1] as usize
    }

    /// The place among the arrivals of those with these wounds left.
    const fn level(&self, wounds: Wounds) -> usize {
        (wounds[0] * (self.wounds[1] + 1) + wounds[1]) as usize
    }

    /// Fights the first round, case by case: a charge counts in no other.
    pub fn begin(&mut self, melee: &Melee<'_>, cases: Cases<'_>) {
        let wounds = self.wounds;
        self.rounds.add(1.0);
        cases.visit(|chance, tally| {
            let after = melee.aftermath(|place| tally.left(place));
            let prospects = [0, 1].map(|place| self.tests.prospects(melee, place, tally, after));
            let (lost, mut ended) = ([tally.lost[0], tally.lost[1]], Ended::default());
            let coming = std::iter::once((wounds, chance));
            self.arrive(&coming, lost, &prospects, true, &mut ended);
            self.ends.take(lost, &ended);
        });
    }

    /// Takes what comes to `lost` with these wounds left, each with its chance, and has these
    /// `prospects`: the ends at once, and, where both stand and the fight `goes_on`, the state it
    /// leads to.
    fn arrive(
        &mut self,
        coming: &(impl Iterator<Item = (Wounds, f64)> + Clone),
        lost: [u32; 2],
        prospects: &[Prospects; 2],
        goes_on: bool,
        ended: &mut Ended,
    ) {
        let at = self.at(lost);
        let destroyed = [0, 1].map(|place: usize| lost[place] == self.figures[place]);
        // What each does, by which of the two leaders fall.
        let outcomes = [0, 1, 2, 3].map(|falls: usize| {
            [0, 1].map(|place: usize| prospects[place].led(falls & (1 << place) == 0))
        });
        let both = outcomes.map(|of| of[0][STANDS] * of[1][STANDS]);
        let mut fallen = [0.0; 4];
        for hit in [[false, false], [true, false], [false, true], [true, true]] {
            let of = |place: usize| {
                if hit[place] { prospects[place].hit } else { 1.0 - prospects[place].hit }
            };
            let of_hits = of(0) * of(1);
            if of_hits <= 0.0 {
                continue;
            }
            for (mut left, chance) in coming.clone() {
                let mut falls = 0;
                for place in [0, 1] {
                    if hit[place] {
                        // Where the unit is destroyed, the throw is for his life.
                        left[place] = if destroyed[place] { 0 } else { left[place] - 1 };
                        falls |= usize::from(left[place] == 0) << place;
                    }
                }
                fallen[falls] += chance * of_hits;
                if goes_on && both[falls] > 0.0 {
                    let level = self.level(left);
                    self.arrivals[level][at] += chance * of_hits * both[falls];
                }
            }
        }
        for (falls, chance) in fallen.into_iter().enumerate() {
            if chance > 0.0 {
                ended.add(chance, outcomes[falls]);
                ended.falls[0] += if falls & 1 != 0 { chance } else { 0.0 };
                ended.falls[1] += if falls & 2 != 0 { chance } else { 0.0 };
            }
        }
    }

    /// Follows all chance that is in states with these wounds left, of which no pair leads to one
    /// before it.
    pub fn follow(
        &mut self,
        wounds: &[Wounds],
        transitions: &Transitions<'_>,
    ) -> Result<(), OddsError> {
        let pass = Pass {
            wounds,
            levels: wounds.iter().map(|wounds| self.level(*wounds)).collect(),
            transitions,
            hits: transitions.hits(),
            arrivals: transitions.arrivals(&self.tests),
            flow: vec![Vec::new(); transitions.kinds()],
            reach: transitions.reach(),
            kills: [Vec::new(), Vec::new()],
            grid: self,
        };
        pass.run()
    }

    pub fn odds(&self, melee: &Melee<'_>) -> FinishOdds {
        self.ends.odds(melee, self.rounds.value())
    }
}

/// How many pairs of wounds left there are, from these on.
pub(super) const fn levels(wounds: Wounds) -> usize {
    ((wounds[0] + 1) * (wounds[1] + 1)) as usize
}

/// One pass over all states, with several pairs of wounds left at once: what the tests come to is the
/// same for all of them.
struct Pass<'p, 'a> {
    grid: &'p mut Grid<'a>,
    wounds: &'p [Wounds],
    /// The places of their arrivals.
    levels: Vec<usize>,
    transitions: &'p Transitions<'p>,
    hits: [Vec<Hits>; 2],
    arrivals: Vec<Arrival>,
    /// What has come to each state, by kind of arrival, then by state and by wounds left; empty for
    /// kinds that have not occurred. No round leads further than `reach` rows of states, so that the
    /// rows are used again.
    flow: Vec<Vec<f64>>,
    reach: u32,
    /// The kills that each unit may make in the state at hand.
    kills: [Vec<f64>; 2],
}

/// What the tests of one state have come to so far, for each unit by its losses.
type Tested = [Vec<(RoundLosses, [Chances; 2])>; 2];

impl Pass<'_, '_> {
    fn run(mut self) -> Result<(), OddsError> {
        let [most_first, most_second] = self.grid.figures;
        let mut chances = vec![0.0; self.levels.len()];
        for first in 0..=most_first {
            for second in 0..=most_second {
                let lost = [first, second];
                let mut tested = Tested::default();
                self.gather(lost, &mut tested);
                let at = self.grid.at(lost);
                for (chance, level) in chances.iter_mut().zip(&self.levels) {
                    *chance = self.grid.arrivals[*level][at];
                }
                if chances.iter().any(|chance| *chance >= LEFT_OUT) {
                    self.leave(&mut chances, lost, &mut tested)?;
                }
            }
        }
        Ok(())
    }

    /// Tests what has flowed to `lost`, kind by kind.
    fn gather(&mut self, lost: [u32; 2], tested: &mut Tested) {
        let count = self.wounds.len();
        let at = self.slot(lost) * count;
        let mut ended = Ended::default();
        for kind in 0..self.flow.len() {
            let Some(chances) = self.flow[kind].get(at..at + count) else { continue };
            if chances.iter().all(|chance| *chance <= 0.0) {
                continue;
            }
            #[cfg(test)]
            counting::tested();
            let prospects = self.prospects(lost, self.arrivals[kind], tested);
            let coming = self.wounds.iter().copied().zip(chances.iter().copied());
            self.grid.arrive(&coming, lost, &prospects, true, &mut ended);
            self.flow[kind][at..at + count].fill(0.0);
        }
        self.grid.ends.take(lost, &ended);
    }

    /// The place of a state in what flows.
    fn slot(&self, lost: [u32; 2]) -> usize {
        self.grid.at([lost[0] % self.reach, lost[1]])
    }

    fn left(&self, lost: [u32; 2]) -> [u32; 2] {
        [0, 1].map(|place: usize| self.grid.figures[place] - lost[place])
    }

    /// The prospects of the units that have lost `lost` in all, after a round of the kind of
    /// `arrival`.
    fn prospects(&self, lost: [u32; 2], arrival: Arrival, tested: &mut Tested) -> [Prospects; 2] {
        let (melee, tests) = (self.transitions.melee, &self.grid.tests);
        let left = self.left(lost);
        [0, 1].map(|place: usize| {
            let losses = arrival.losses[place];
            let leader = self.wounds[0][place] > 0;
            let known = tested[place].iter().find(|(known, _)| *known == losses);
            let known = known.map(|(_, chances)| *chances);
            let [kept, fallen] = known.unwrap_or_else(|| {
                let after = melee.aftermath(|place| left[place]);
                let outcomes =
                    |leader| tests.outcomes(melee, place, left[place], losses, leader, after);
                let kept = outcomes(leader);
                let chances = [kept, if leader { outcomes(false) } else { kept }];
                tested[place].push((losses, chances));
                chances
            });
            Prospects { hit: arrival.hit[place], fells: leader, kept, fallen }
        })
    }

    /// Fights from the state `lost`, reached with these `chances`, until the next loss or the end.
    fn leave(
        &mut self,
        chances: &mut [f64],
        lost: [u32; 2],
        tested: &mut Tested,
    ) -> Result<(), OddsError> {
        let left = self.left(lost);
        for by in [0, 1] {
            self.hits[by][left[by] as usize].kills_into(left[1 - by], &mut self.kills[by]);
        }
        let none = self.kills.each_ref().map(|kills| kills[0]);
        let some = self.kills.each_ref();
        let some = some.map(|kills| Sum::of(kills[1..].iter().copied()));
        let prospects = self.prospects(lost, Arrival::QUIET, tested);
        let gone = prospects.map(|prospects| prospects.kept[STANDS + 1..].iter().sum::<f64>());
        let broken = gone[0] + prospects[0].kept[STANDS] * gone[1];
        // Added up from what leaves, so that a state that is hardly ever left loses no digits.
        let leaves = some[0] + none[0] * (some[1] + none[1] * broken);
        if leaves <= 0.0 {
            return Err(OddsError::NoEnd { first_figures: left[0], second_figures: left[1] });
        }
        let mut ended = Ended::default();
        for (visits, wounds) in chances.iter_mut().zip(self.wounds) {
            *visits /= leaves;
            self.grid.rounds.add(*visits);
            let quiet = std::iter::once((*wounds, *visits * none[0] * none[1]));
            self.grid.arrive(&quiet, lost, &prospects, false, &mut ended);
        }
        self.grid.ends.take(lost, &ended);
        self.spread(chances, lost);
        Ok(())
    }

    /// Lets what leaves the state `lost` with a loss flow to where it comes; `visits` are those with
    /// each pair of wounds left.
    fn spread(&mut self, visits: &[f64], lost: [u32; 2]) {
        let count = visits.len();
        let numbers = self.grid.at([self.reach, 0]) * count;
        let most = visits.iter().copied().fold(0.0, f64::max);
        let left = self.left(lost);
        let rows: Vec<usize> =
            (0..self.reach).map(|of_first| self.slot([lost[0] + of_first, lost[1]])).collect();
        let [on_second, on_first] = &self.kills;
        let counts = |chance: &f64| most * chance >= LEFT_OUT;
        let Some(low) = on_second.iter().position(counts) else { return };
        let high = on_second.iter().rposition(counts).map_or(low, |last| last + 1);
        let runs = |place: usize| &self.transitions.losses[place].rows[left[place] as usize];
        for (first, run) in runs(0) {
            let losses = on_first.iter().enumerate();
            for (of_first, weight) in losses.take(run.end).skip(run.start) {
                if !counts(weight) {
                    continue;
                }
                let row = rows[of_first];
                // A round without losses does not leave the state.
                let low = if of_first == 0 { low.max(1) } else { low };
                let parts = &self.transitions.balances.rows[of_first];
                for (second, run) in runs(1) {
                    let (start, end) = (run.start.max(low), run.end.min(high));
                    if start >= end {
                        continue;
                    }
                    for (balance, part) in parts {
                        let part = part.start.max(start)..part.end.min(end);
                        if part.is_empty() {
                            continue;
                        }
                        let kind = self.transitions.kind([*first, *second], *balance);
                        let to = &mut self.flow[kind];
                        to.resize(numbers, 0.0);
                        let to = &mut to[(row + part.start) * count..(row + part.end) * count];
                        #[cfg(test)]
                        counting::stepped(part.len() * count);
                        flow(to, visits, *weight, &on_second[part]);
                    }
                }
            }
        }
    }
}

/// Adds to each state of a run, and in it to each pair of wounds left, its visits times the chance of
/// coming there.
fn flow(to: &mut [f64], visits: &[f64], weight: f64, chances: &[f64]) {
    if let [visits] = visits {
        let weight = visits * weight;
        for (to, chance) in to.iter_mut().zip(chances) {
            *to += weight * chance;
        }
        return;
    }
    for (to, chance) in to.chunks_exact_mut(visits.len()).zip(chances) {
        let weight = weight * chance;
        for (to, visits) in to.iter_mut().zip(visits) {
            *to += visits * weight;
        }
    }
}

/// Counts what a thread does, for the tests of this room.
#[cfg(test)]
pub(super) mod counting {
    use std::cell::Cell;

    thread_local! {
        /// Steps from one state to another, and states tested in one kind of arrival.
        static DONE: Cell<(u64, u64)> = const { Cell::new((0, 0)) };
    }

    pub fn stepped(steps: usize) {
        DONE.with(|done| done.set((done.get().0 + steps as u64, done.get().1)));
    }

    pub fn tested() {
        DONE.with(|done| done.set((done.get().0, done.get().1 + 1)));
    }

    /// What this thread does meanwhile.
    pub fn counted(work: impl FnOnce()) -> (u64, u64) {
        DONE.with(|done| done.set((0, 0)));
        work();
        DONE.with(Cell::get)
    }
}
