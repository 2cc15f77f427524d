//! Odds as data: every number in full precision, and of a stated kind.

use crate::protocol::Strength;
use serde::{Deserialize, Serialize};

/// How the numbers of a result were found.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Computed over every case; only the rounding of `f64` stands between them and the truth,
    /// and what a fight to the finish leaves out: steps less likely than 1 in 10⁴⁰.
    Exact,
    /// Counted over samples.
    Simulated {
        /// How many samples.
        samples: u32,
        /// The public seed they were drawn from: the same seed gives the same numbers.
        seed: u64,
        /// The standard error of a chance of one half, the largest that any chance here has.
        standard_error: f64,
    },
}

/// The odds of one round of a melee.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RoundOdds {
    /// How they were found.
    pub kind: Kind,
    /// The round of the melee, from 1.
    pub round: u32,
    /// The asking side, then the other.
    pub sides: [String; 2],
    /// Which sides have a unit in this melee that stands after the round.
    pub standing: SidesStand,
    /// The contacts in the order asked.
    pub contacts: Vec<ContactOdds>,
    /// The units: the asking side's first, each in muster order.
    pub units: Vec<UnitOdds>,
}

/// The odds of a fight to the finish: until no contact is left of which both units stand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FinishOdds {
    /// How they were found.
    pub kind: Kind,
    /// The asking side, then the other.
    pub sides: [String; 2],
    /// Which sides have a unit that stands at the end; with one unit a side, never both.
    pub standing: SidesStand,
    /// Rounds fought until the end.
    pub rounds: Rounds,
    /// The units: the asking side's first, each in muster order. Losses are those of the whole
    /// fight, outcomes those of each unit's last round.
    pub units: Vec<UnitOdds>,
}

/// The chance that each of two sides has a unit that stands; the four add up to 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SidesStand {
    /// The asking side has one, the other has none.
    pub first_alone: f64,
    /// The other side has one, the asking side has none.
    pub second_alone: f64,
    /// Both have one.
    pub both: f64,
    /// Neither has one.
    pub neither: f64,
}

/// The odds of one contact.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ContactOdds {
    /// The striking unit.
    pub striker: String,
    /// The unit it strikes.
    pub struck: String,
    /// The chance that both stand, so that it can be fought on.
    pub stands: f64,
}

/// The odds of one unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct UnitOdds {
    /// The unit.
    pub unit: String,
    /// Its side.
    pub side: String,
    /// Its strength at the start.
    pub before: Strength,
    /// What it may lose.
    pub losses: Losses,
    /// What it may do.
    pub outcomes: Outcomes,
    /// What may become of its leader, if it has one.
    pub leader: Option<LeaderOdds>,
}

/// The distribution of a unit's losses.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Losses {
    /// The chance of losing exactly 0, 1, … figures, up to all of them.
    pub chances: Vec<f64>,
    /// Expected losses in figures.
    pub expected: f64,
    /// Their standard deviation in figures. Over the square root of the samples it is the
    /// standard error of `expected`, where that was simulated.
    pub deviation: f64,
    /// Expected losses in men: the last figure takes whatever men remain.
    pub expected_men: f64,
}

/// The chance of each outcome; the four add up to 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Outcomes {
    /// It stands.
    pub stands: f64,
    /// It falls back, shaken.
    pub falls_back: f64,
    /// It routs.
    pub routs: f64,
    /// It is destroyed.
    pub destroyed: f64,
}

/// The odds of a leader.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LeaderOdds {
    /// His name.
    pub leader: String,
    /// The chance that he falls.
    pub falls: f64,
}

/// How many rounds a fight takes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Rounds {
    /// Expected rounds.
    pub expected: f64,
    /// The standard error of `expected`; 0 where it was computed.
    pub standard_error: f64,
}

impl Kind {
    pub(super) fn simulated(samples: u32, seed: u64) -> Self {
        Self::Simulated { samples, seed, standard_error: 0.5 / f64::from(samples).sqrt() }
    }

    /// The standard error of a chance found to be `chance`: 0 where it was computed.
    ///
    /// ```
    /// use drumhead::odds::Kind;
    /// assert_eq!(Kind::Exact.standard_error(0.3), 0.0);
    /// ```
    pub fn standard_error(self, chance: f64) -> f64 {
        match self {
            Self::Exact => 0.0,
            Self::Simulated { samples, .. } => {
                (chance * (1.0 - chance) / f64::from(samples)).max(0.0).sqrt()
            }
        }
    }
}
