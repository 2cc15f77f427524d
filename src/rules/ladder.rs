//! The ladder of rungs, and how steps move along it.

use serde::{Deserialize, Serialize};
use std::cmp::Ordering;

/// How many dice for how many figures, and the lowest face that kills.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rate {
    /// Dice thrown for each `figures` figures, 1 to 20.
    pub dice: u32,
    /// Figures that `dice` dice are thrown for, 1 to 20.
    pub figures: u32,
    /// The lowest face that kills, 1 to the sides of a die.
    pub kills_on: u32,
}

/// Where a matchup started, before any step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Base {
    /// A rung, from weights or from a weapon's power.
    Rung(i32),
    /// A cell of the table; steps move from this rung, the nearest to it.
    Cell {
        /// The cell as the rules file gives it.
        rate: Rate,
        /// The nearest rung.
        nearest: i32,
    },
}

/// A matchup with its steps taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Matchup {
    /// Where it started.
    pub base: Base,
    /// The rung reached; none where a cell is used as given.
    pub rung: Option<i32>,
    /// What is thrown.
    pub rate: Rate,
}

/// The rungs of a rules file, lowest first, without a gap.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ladder {
    lowest: i32,
    rungs: Vec<Rate>,
}

impl Rate {
    /// Compares two rates by expected kills for a figure, exactly.
    pub fn compare(self, other: Self, sides: u32) -> Ordering {
        let (a, b) = (self.expected(sides), other.expected(sides));
        (a.0 * b.1).cmp(&(b.0 * a.1))
    }

    /// Expected kills for a figure as a fraction, without the die's sides below the line.
    fn expected(self, sides: u32) -> (i64, i64) {
        (i64::from(self.dice) * i64::from(sides + 1 - self.kills_on), i64::from(self.figures))
    }
}

impl Ladder {
    /// Takes rungs that loading has found to be without gap and in ascending order.
    pub(super) fn new(lowest: i32, rungs: Vec<Rate>) -> Self {
        Self { lowest, rungs }
    }

    /// Every rung with its number, lowest first.
    pub fn rungs(&self) -> impl Iterator<Item = (i32, Rate)> + '_ {
        (self.lowest..).zip(self.rungs.iter().copied())
    }

    /// The matchup that starts at rung `base` and moves by `steps`, held within the ladder.
    pub fn matchup_from_rung(&self, base: i32, steps: i32) -> Matchup {
        let rung = self.hold(base + steps);
        Matchup { base: Base::Rung(base), rung: Some(rung), rate: self.rate(rung) }
    }

    /// The matchup of a given cell, moved by `steps` from the rung nearest to it.
    pub(super) fn matchup_from_cell(&self, cell: Rate, steps: i32, sides: u32) -> Matchup {
        let nearest = self.nearest(cell, sides);
        let base = Base::Cell { rate: cell, nearest };
        if steps == 0 {
            return Matchup { base, rung: None, rate: cell };
        }
        let rung = self.hold(nearest + steps);
        Matchup { base, rung: Some(rung), rate: self.rate(rung) }
    }

    fn hold(&self, rung: i32) -> i32 {
        let highest = self.rungs().last().map_or(self.lowest, |(rung, _)| rung);
        rung.clamp(self.lowest, highest)
    }

    fn rate(&self, rung: i32) -> Rate {
        let place = usize::try_from(rung - self.lowest).unwrap_or(0);
        self.rungs[place]
    }

    /// The rung nearest to `cell` in expected kills for a figure; of two as near, the lower.
    fn nearest(&self, cell: Rate, sides: u32) -> i32 {
        let (kills, figures) = cell.expected(sides);
        // |a/b - c/d| = |ad - bc| / bd; the cell's own denominator is common to all and drops out.
        let distance = |rate: Rate| {
            let (k, f) = rate.expected(sides);
            ((k * figures - kills * f).abs(), f)
        };
        self.rungs()
            .min_by(|a, b| {
                let ((da, fa), (db, fb)) = (distance(a.1), distance(b.1));
                (da * fb).cmp(&(db * fa))
            })
            .map_or(self.lowest, |(rung, _)| rung)
    }
}
