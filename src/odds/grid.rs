//! The states of a fight of one unit against one, and how chance flows from each to the next.
//!
//! A state is the figures that each unit has lost since the fight began, and the wounds that each
//! leader can still take. Losses only grow and wounds are only taken, so one pass in the order of
//! losses, for each pair of wounds left, visits each state after all that lead to it. The one way
//! back is a round
//! without losses after which both stand: it leads to the state itself, and is solved instead of
//! repeated, as a geometric series.
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
use super::ends::Ends;
use super::prospects::{Prospects, STANDS, Tests};
use super::result::FinishOdds;
use super::transitions::{Arrival, Transitions};
use crate::combat::Melee;

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
            self.arrive(chance, [tally.lost[0], tally.lost[1]], wounds, &prospects, true);
        });
    }

    /// Takes what comes to `lost` with `chance` and has these `prospects`: the ends at once, and,
    /// where both stand and the fight `goes_on`, the state it leads to.
    fn arrive(
        &mut self,
        chance: f64,
        lost: [u32; 2],
        wounds: Wounds,
        prospects: &[Prospects; 2],
        goes_on: bool,
    ) {
        let at = self.at(lost);
        for (unit, prospects) in self.ends.units.iter_mut().zip(prospects) {
            unit.fall(chance * prospects.falls());
        }
        for hits in [[false, false], [true, false], [false, true], [true, true]] {
            let mut part = chance;
            for (prospects, hit) in prospects.iter().zip(hits) {
                part *= if hit { prospects.hit } else { 1.0 - prospects.hit };
            }
            if part > 0.0 {
                let outcomes = [0, 1].map(|place: usize| prospects[place].of(hits[place]));
                let both = self.ends.take(part, lost, outcomes);
                if goes_on {
                    let left = [0, 1].map(|place: usize| match hits[place] {
                        true if prospects[place].fells => 0,
                        hit => wounds[place] - u32::from(hit),
                    });
                    let level = self.level(left);
                    self.arrivals[level][at] += part * both;
                }
            }
        }
    }

    /// Follows all chance that is in states with these wounds left.
    pub fn follow(
        &mut self,
        wounds: Wounds,
        transitions: &Transitions<'_>,
    ) -> Result<(), OddsError> {
        let pass = Pass {
            wounds,
            level: self.level(wounds),
            transitions,
            hits: transitions.hits(),
            arrivals: transitions.arrivals(&self.tests),
            flow: vec![Vec::new(); transitions.kinds()],
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

/// One pass over all states with the same wounds left.
struct Pass<'p, 'a> {
    grid: &'p mut Grid<'a>,
    wounds: Wounds,
    level: usize,
    transitions: &'p Transitions<'p>,
    hits: [Vec<Hits>; 2],
    arrivals: Vec<Arrival>,
    /// What has come to each state, by kind of arrival; empty for kinds that have not occurred.
    flow: Vec<Vec<f64>>,
    /// The kills that each unit may make in the state at hand.
    kills: [Vec<f64>; 2],
}

impl Pass<'_, '_> {
    fn run(mut self) -> Result<(), OddsError> {
        let [most_first, most_second] = self.grid.figures;
        for first in 0..=most_first {
            for second in 0..=most_second {
                let lost = [first, second];
                self.gather(lost);
                let chance = self.grid.arrivals[self.level][self.grid.at(lost)];
                if chance >= LEFT_OUT {
                    self.leave(chance, lost)?;
                }
            }
        }
        Ok(())
    }

    /// Tests what has flowed to `lost`, kind by kind.
    fn gather(&mut self, lost: [u32; 2]) {
        let at = self.grid.at(lost);
        for kind in 0..self.flow.len() {
            let chance = self.flow[kind].get(at).copied().unwrap_or(0.0);
            if chance > 0.0 {
                #[cfg(test)]
                counting::tested();
                let prospects = self.prospects(lost, self.arrivals[kind]);
                self.grid.arrive(chance, lost, self.wounds, &prospects, true);
            }
        }
    }

    fn left(&self, lost: [u32; 2]) -> [u32; 2] {
        [0, 1].map(|place: usize| self.grid.figures[place] - lost[place])
    }

    /// The prospects of the units that have lost `lost` in all, after a round of the kind of
    /// `arrival`.
    fn prospects(&self, lost: [u32; 2], arrival: Arrival) -> [Prospects; 2] {
        let (melee, tests) = (self.transitions.melee, &self.grid.tests);
        let left = self.left(lost);
        let after = melee.aftermath(|place| left[place]);
        [0, 1].map(|place: usize| {
            let losses = arrival.losses[place];
            let outcomes =
                |leader| tests.outcomes(melee, place, left[place], losses, leader, after);
            let leader = self.wounds[place] > 0;
            let kept = outcomes(leader);
            Prospects {
                hit: arrival.hit[place],
                // Where it is destroyed, the throw is for his life.
                fells: self.wounds[place] == 1 || left[place] == 0,
                kept,
                fallen: if leader { outcomes(false) } else { kept },
            }
        })
    }

    /// Fights from the state `lost`, reached with `chance`, until the next loss or the end.
    fn leave(&mut self, chance: f64, lost: [u32; 2]) -> Result<(), OddsError> {
        let left = self.left(lost);
        for by in [0, 1] {
            self.hits[by][left[by] as usize].kills_into(left[1 - by], &mut self.kills[by]);
        }
        let none = self.kills.each_ref().map(|kills| kills[0]);
        let some = self.kills.each_ref();
        let some = some.map(|kills| Sum::of(kills[1..].iter().copied()));
        let prospects = self.prospects(lost, Arrival::QUIET);
        let gone = prospects.map(|prospects| prospects.kept[STANDS + 1..].iter().sum::<f64>());
        let broken = gone[0] + prospects[0].kept[STANDS] * gone[1];
        // Added up from what leaves, so that a state that is hardly ever left loses no digits.
        let leaves = some[0] + none[0] * (some[1] + none[1] * broken);
        if leaves <= 0.0 {
            return Err(OddsError::NoEnd { first_figures: left[0], second_figures: left[1] });
        }
        let visits = chance / leaves;
        self.grid.rounds.add(visits);
        let quiet = visits * none[0] * none[1];
        self.grid.arrive(quiet, lost, self.wounds, &prospects, false);
        self.spread(visits, lost);
        Ok(())
    }

    /// Lets what leaves the state `lost` with a loss flow to where it comes.
    fn spread(&mut self, visits: f64, lost: [u32; 2]) {
        let states = self.grid.arrivals[self.level].len();
        let left = self.left(lost);
        let at = self.grid.at(lost);
        let below = self.grid.figures[1] as usize + 1;
        let [on_second, on_first] = &self.kills;
        let counts = |chance: &f64| visits * chance >= LEFT_OUT;
        let Some(low) = on_second.iter().position(counts) else { return };
        let high = on_second.iter().rposition(counts).map_or(low, |last| last + 1);
        let runs = |place: usize| &self.transitions.losses[place].rows[left[place] as usize];
        for (first, run) in runs(0) {
            let losses = on_first.iter().enumerate();
            for (of_first, chance) in losses.take(run.end).skip(run.start) {
                if !counts(chance) {
                    continue;
                }
                let weight = visits * chance;
                let row = at + of_first * below;
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
                        to.resize(states, 0.0);
                        let to = &mut to[row + part.start..row + part.end];
                        #[cfg(test)]
                        counting::stepped(part.len());
                        for (to, chance) in to.iter_mut().zip(&on_second[part]) {
                            *to += weight * chance;
                        }
                    }
                }
            }
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
