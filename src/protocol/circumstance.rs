//! Circumstances: what moves a throw or a unit's nerve beside matchup, figures and grade.
//!
//! A ruling holds each that applies, and each that was asked or might be expected and does not
//! count, with the reason. All of it is in codes; `words` puts them into sentences.

use serde::{Deserialize, Serialize};

/// One circumstance of a throw or of a unit's nerve.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Circumstance {
    /// What it is.
    pub cause: Cause,
    /// Where it comes from.
    pub source: Source,
    /// What it does if it counts.
    pub effect: Effect,
    /// Why it does not count; none if it does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why_not: Option<WhyNot>,
}

/// What a circumstance is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Cause {
    /// It charges.
    Charge,
    /// Its long spears meet a mounted unit.
    LongSpears,
    /// It rides against long spears.
    AgainstLongSpears,
    /// It strikes a flank.
    Flank,
    /// It strikes from the rear.
    Rear,
    /// It is struck on the flank.
    StruckFlank,
    /// It is struck from the rear.
    StruckRear,
    /// It is struck on the flank or from the rear, as its nerve sees it.
    StruckSideOrRear,
    /// It holds higher ground.
    HigherGround,
    /// It fights across what the other defends.
    Obstacle,
    /// It is shaken.
    Shaken,
    /// The target is in light cover.
    LightCover,
    /// The target is behind works.
    Works,
    /// The target is massed.
    Massed,
    /// It moved this turn.
    Moved,
    /// The referee asked for it, for this reason.
    Asked(String),
    /// A condition of this name stands on it, or on the target.
    Condition(String),
    /// What was asked and what conditions do is more than counts of them together.
    Held,
}

/// Where a circumstance comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Source {
    /// The options of the request: how the two units meet, or what protects the target.
    Options,
    /// The unit itself, which throws or whose nerve it is: what it carries and how it stands.
    Unit,
    /// The unit that it throws at.
    Target,
    /// The whole side of the unit that throws, or whose nerve it is.
    Side,
    /// The whole side of the unit that it throws at.
    TargetSide,
    /// The whole battle.
    Battle,
}

/// What a circumstance does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Effect {
    /// The throw's matchup moves by so many rungs.
    Step(i32),
    /// So much is added to the score of the unit's nerve.
    Nerve(i32),
    /// So many dice are added.
    Dice(u32),
}

/// Why a circumstance does not count.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum WhyNot {
    /// The unit is shaken.
    Shaken,
    /// The unit is taken on the flank.
    TakenOnFlank,
    /// The unit is taken from the rear.
    TakenFromRear,
    /// The charge goes into long spears.
    IntoLongSpears,
    /// The contact is past its first round.
    NotFirstRound,
    /// It was asked for both units.
    AskedForBoth,
    /// A condition of this name forbids it.
    Condition(String),
}

impl Circumstance {
    /// Whether it counts.
    pub const fn counts(&self) -> bool {
        self.why_not.is_none()
    }

    /// How many dice it adds: 0 if it does not count, or moves something else.
    pub const fn dice(&self) -> u32 {
        match (self.effect, &self.why_not) {
            (Effect::Dice(dice), None) => dice,
            _ => 0,
        }
    }

    /// By how many rungs it moves a throw: 0 if it does not count, or moves something else.
    pub const fn step(&self) -> i32 {
        match (self.effect, &self.why_not) {
            (Effect::Step(by), None) => by,
            _ => 0,
        }
    }
}
