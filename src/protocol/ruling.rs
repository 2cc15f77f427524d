//! A ruling as data: its whole working in order, as the post, the record and the checker read it.

use super::{
    Circumstance, Condition, ContactAsk, DiceAsk, DuelRuling, Fate, HarmRuling, Nerve, NerveRuling,
    Scale, ShootAsk, Standing, Strength, is_none,
};
use crate::rules::Matchup;
use serde::{Deserialize, Serialize};

/// What the referee ruled.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Ruling {
    /// One round of a melee; of each, where what was asked is several.
    Melee(Vec<MeleeRuling>),
    /// Shooting at one unit.
    Shooting(Box<ShootingRuling>),
    /// One unit's rally.
    Rally(RallyRuling),
    /// Two leaders who fought each other.
    Duel(Box<DuelRuling>),
    /// Harm to one unit from elsewhere: the only ruling that may have thrown nothing.
    Harm(Box<HarmRuling>),
    /// One unit's nerve, tested on demand.
    Nerve(NerveRuling),
    /// A clash of two described units.
    Quick(QuickRuling),
    /// Plain dice.
    Throw(PlainThrow),
}

/// A clash of two described units, which leaves no trace on the field.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct QuickRuling {
    /// The figure scale.
    pub scale: Scale,
    /// The round.
    pub melee: MeleeRuling,
}

/// Plain dice.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PlainThrow {
    /// What they are for.
    pub purpose: Option<String>,
    /// The dice that were asked, in order.
    pub dice: Vec<DiceAsk>,
    /// Their faces, one list for each.
    pub faces: Vec<Vec<u32>>,
    /// The sum of all faces.
    pub total: u32,
}

/// One round of a melee.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct MeleeRuling {
    /// The turn.
    pub turn: u32,
    /// The round of this melee, from 1.
    pub round: u32,
    /// Its rounds in this turn, with this one.
    pub this_turn: u32,
    /// The most rounds a turn, if this one is beyond them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub beyond: Option<u32>,
    /// The asking side, then the other.
    pub sides: [String; 2],
    /// The contacts with their throws: those that stood, in the order in which they were made, then
    /// the new ones.
    pub contacts: Vec<ContactRuling>,
    /// What became of each unit: the asking side's first, each in muster order.
    pub units: Vec<UnitResult>,
    /// Leaders at risk, in the same order.
    pub leaders: Vec<LeaderTest>,
    /// Each side's presence after losses, in the order of `sides`.
    pub presence: [u32; 2],
    /// The conditions that it sets, before morale is tested.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub conditions: Vec<Condition>,
    /// Morale tests, in the same order.
    pub morale: Vec<MoraleTest>,
}

/// One contact's round.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ContactRuling {
    /// The contact as it was asked, with full names; circumstances say what of it counted.
    pub contact: ContactAsk,
    /// Its own round, from 1.
    pub round: u32,
    /// The asking side's throw, then the other's.
    pub strikes: [Strike; 2],
    /// Whether both units stand, so that it can be fought on.
    pub stands: bool,
}

/// One unit's throw at another.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Strike {
    /// Who throws.
    pub by: String,
    /// Their troop class.
    pub by_class: String,
    /// At whom.
    pub at: String,
    /// Their troop class.
    pub at_class: String,
    /// Figures that fight here.
    pub fighting: u32,
    /// What moves the throw along the ladder, and what was expected to and does not.
    pub circumstances: Vec<Circumstance>,
    /// The matchup that those which count lead to.
    pub matchup: Matchup,
    /// Dice that a leader adds.
    pub leader_dice: u32,
    /// Dice that conditions add.
    #[serde(default, skip_serializing_if = "is_none")]
    pub added_dice: u32,
    /// Dice thrown in all.
    pub dice: u32,
    /// Sides of each.
    pub sides: u32,
    /// The faces.
    pub faces: Vec<u32>,
    /// Figures killed.
    pub kills: u32,
    /// Kills past the figures that were there, which count for nothing.
    pub excess: u32,
}

/// What a round did to one unit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct UnitResult {
    /// The unit.
    pub unit: String,
    /// Its side.
    pub side: String,
    /// Its strength at the start of the round.
    pub before: Strength,
    /// Its strength after.
    pub after: Strength,
    /// Figures it lost this round.
    pub lost: u32,
    /// Figures it killed this round.
    pub killed: u32,
    /// Kills against it past its strength.
    pub excess: u32,
    /// What it did.
    pub outcome: Outcome,
    /// How it stands after.
    pub standing: Standing,
}

/// What a unit did after a round.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// It stands.
    Stands,
    /// It falls back, out of contact and shaken.
    FallsBack,
    /// It routs.
    Routs,
    /// It was destroyed.
    Destroyed,
}

/// A leader at risk.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LeaderTest {
    /// The leader.
    pub leader: String,
    /// His unit.
    pub unit: String,
    /// The lowest score on which he is hit.
    pub falls_on: u32,
    /// The faces.
    pub faces: Vec<u32>,
    /// Their sum.
    pub score: u32,
    /// What it comes to.
    pub fate: Fate,
    /// The wounds that he can still take after it.
    #[serde(default, skip_serializing_if = "super::is_none")]
    pub left: u32,
}

/// A morale test.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct MoraleTest {
    /// The unit.
    pub unit: String,
    /// What was thrown for its nerve.
    #[serde(flatten)]
    pub nerve: Nerve,
    /// The lowest score that stands.
    pub stands_on: i32,
    /// The lowest score that falls back.
    pub falls_back_on: i32,
    /// Whether it was shaken before, so that it routs instead of falling back.
    pub was_shaken: bool,
    /// What it does.
    pub outcome: Outcome,
}

/// Shooting at one unit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ShootingRuling {
    /// The turn.
    pub turn: u32,
    /// What was asked, with full names.
    pub shot: ShootAsk,
    /// The target's protection.
    pub protection: i32,
    /// What each unit shot, in the order asked.
    pub shots: Vec<Shot>,
    /// What it did to the target.
    pub target: UnitResult,
    /// The target's morale test, if it lost enough for one, has any figure left, and was not
    /// tested for shooting this turn.
    pub morale: Option<MoraleTest>,
}

/// What one unit shot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Shot {
    /// The weapon.
    pub weapon: String,
    /// Its power at this range.
    pub power: i32,
    /// The throw.
    pub strike: Strike,
}

/// A rally.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct RallyRuling {
    /// The turn.
    pub turn: u32,
    /// The unit.
    pub unit: String,
    /// How it stood before.
    pub before: Standing,
    /// What was thrown for its nerve.
    #[serde(flatten)]
    pub nerve: Nerve,
    /// The lowest score that would do.
    pub needed: i32,
    /// What came of it.
    pub outcome: RallyOutcome,
}

/// What came of a rally.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RallyOutcome {
    /// A shaken unit is steady again.
    Steady,
    /// A shaken unit stays shaken.
    StaysShaken,
    /// A routing unit is shaken.
    Shaken,
    /// A routing unit leaves the field.
    Leaves,
}

impl Outcome {
    /// How a unit that stood as `before` stands after this.
    pub const fn standing(self, before: Standing) -> Standing {
        match self {
            Self::Stands => before,
            Self::FallsBack => Standing::Shaken,
            Self::Routs => Standing::Routing,
            Self::Destroyed => Standing::Destroyed,
        }
    }
}

impl RallyOutcome {
    /// How the unit stands after this.
    pub const fn standing(self) -> Standing {
        match self {
            Self::Steady => Standing::Steady,
            Self::StaysShaken | Self::Shaken => Standing::Shaken,
            Self::Leaves => Standing::Left,
        }
    }
}
