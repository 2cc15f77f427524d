//! Exact distributions under the very procedures that rule real melees.
//!
//! [`round`] gives the odds of one round of a melee as it would be asked, [`joint`] its whole
//! distribution case by case, [`finish`] the odds of a fight fought on until nobody is left to
//! fight it, and [`even`] the strength that makes such a fight even.
//!
//! Who fights, with how many dice, what kills, who tests and what a score means is asked of
//! [`crate::combat`]: no rule stands here, so that odds and rulings cannot drift apart.
//! What is too large to be computed is sampled with that same code, from a public seed, and every
//! result says of what [`Kind`] it is.
//!
//! How it is done: `chance` holds the distributions of dice, `prospects` what a round's losses do to
//! one unit, `cases` every case of a round, `round` and `finish` the sums over them, `grid` the
//! states of a fight of one unit against one and `transitions` the ways between them, `sample` the
//! simulation, `accumulator` what adds up to a result, `even` the search for an even fight, `duel`
//! single combat, `scales` the same armies at several figure scales, `luck` how uncommon a throw was.

mod accumulator;
mod cases;
mod chance;
mod duel;
mod ends;
mod even;
mod finish;
mod grid;
mod luck;
mod prospects;
mod result;
mod round;
mod sample;
mod scales;
mod transitions;

pub use cases::ROUND_CASES;
pub use duel::{DuelOdds, duel_odds};
pub use even::{Even, MOST_FIGURES, STRENGTH_WORK, even};
pub use finish::{FINISH_CELLS, FINISH_TERMS, finish, finish_of};
pub use luck::Luck;
pub use result::{
    ContactOdds, FinishOdds, Kind, LeaderOdds, Losses, Outcomes, RoundOdds, Rounds, SidesStand,
    UnitOdds,
};
pub use round::{Joint, UnitCase, joint, joint_of, round, round_of};
pub use sample::{DICE_IN_ALL, ROUNDS_A_FIGHT, ROUNDS_IN_ALL, SEED, sample_finish};
pub use scales::{
    MOST_SCALES, Rounding, SCALE_FIGURES, SCALE_WORK, SECONDS_A_DIE, SECONDS_A_THROW, ScaleRow,
    Scales, ShareLost, scales,
};

use crate::battle::{Field, Mistake};
use crate::combat::Clash;
use crate::rules::Rules;

/// The odds of a melee.
#[derive(Debug, Clone)]
pub struct MeleeOdds {
    /// Of its next round.
    pub round: RoundOdds,
    /// Of fighting it to the finish, if it has an end.
    pub finish: Result<FinishOdds, OddsError>,
}

/// The odds of a melee that is about to be fought.
///
/// # Errors
/// The mistakes of asking for it.
pub fn melee(rules: &Rules, field: &Field, clash: &Clash) -> Result<MeleeOdds, OddsError> {
    let round = round_of(rules, field, clash)?;
    match finish_of(rules, field, clash) {
        Err(error @ OddsError::Mistake(_)) => Err(error),
        finish => Ok(MeleeOdds { round, finish }),
    }
}

/// Why there are no odds.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum OddsError {
    /// The melee could not be fought either.
    #[error(transparent)]
    Mistake(#[from] Mistake),
    /// The fight can reach a point from which it never ends, or it did not end while sampled.
    #[error(
        "This fight has no end: at {first_figures} against {second_figures} figures, nobody can be killed and no nerve can break. Ask for the odds of one round instead."
    )]
    NoEnd {
        /// Figures left of the asking side.
        first_figures: u32,
        /// Figures left of the other side.
        second_figures: u32,
    },
    /// The fight was sampled, and took too many rounds.
    #[error(
        "This fight is too long for its odds: {rounds} sampled rounds did not decide it. Ask for the odds of one round instead."
    )]
    TooLong {
        /// Rounds that a sample, or all of them together, had taken.
        rounds: u32,
    },
    /// No strength of the unit that could be tried makes the fight even.
    #[error(
        "No even fight was found: with {most} figures, the most that could be tried, {unit} is still more likely to lose than to win. Ask at a coarser figure scale, or for a stronger class."
    )]
    NoEven {
        /// The unit whose figures were sought.
        unit: String,
        /// The most figures that were tried.
        most: u32,
    },
    /// Nobody can be set against anybody.
    #[error("No two units of different sides can fight. Muster a unit of each side first.")]
    NoOpponents,
    /// No scale asked for can be worked out.
    #[error(
        "At every scale asked for, a unit would have no figure or over {most}, or all fights together would take too long to work out. Ask for coarser scales, or name two units."
    )]
    NoScale {
        /// The most figures of a unit.
        most: u32,
    },
    /// The unit sought is in neither place of the contact.
    #[error(
        "“{0}” is not in this contact. Name the unit whose figures you seek as one of its two units."
    )]
    NotInContact(String),
}

#[cfg(test)]
mod tests;
