//! The shape of a rules file: what each key means. An unknown key is refused.

use serde::{Deserialize, Serialize};

/// A rules file as it is read, before it is checked.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RulesFile {
    pub form: u32,
    pub name: String,
    pub title: String,
    pub dice: CombatDice,
    pub test: TestDice,
    pub ranks: Ranks,
    pub muster: Option<MusterLimits>,
    pub turn: Option<TurnLimits>,
    pub class: Vec<ClassEntry>,
    pub rung: Vec<RungEntry>,
    #[serde(default)]
    pub cell: Vec<CellEntry>,
    pub steps: Steps,
    pub leader: LeaderRisk,
    pub grade: Vec<Grade>,
    pub morale: Morale,
    pub rally: Rally,
    #[serde(default)]
    pub weapon: Vec<Weapon>,
    pub shooting: ShootingSteps,
    #[serde(default)]
    pub condition: Vec<ConditionEntry>,
    pub duel: Option<Duel>,
}

/// Single combat: each throws the test's dice and adds his might.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Duel {
    /// So far apart, the lower takes one wound; reached by two of equal might.
    pub wound: u32,
    /// So far apart, two; no less than for one.
    pub two_wounds: u32,
    /// Rounds of a press that is agreed to last for some, 1 to 20.
    pub rounds: u32,
    /// What is added to the test of a unit whose leader falls, -10 to 10.
    pub nerve: i32,
}

/// A condition that can be set by its name.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ConditionEntry {
    pub name: String,
    pub on: Vec<StandsOn>,
    #[serde(default)]
    pub strike: i32,
    #[serde(default)]
    pub struck: i32,
    #[serde(default)]
    pub shoot: i32,
    #[serde(default)]
    pub shot: i32,
    #[serde(default)]
    pub nerve: i32,
    #[serde(default)]
    pub dice: u32,
    /// Whether it may charge.
    pub charge: Option<bool>,
    /// Whether it may shoot.
    pub shooting: Option<bool>,
}

/// On what a condition may stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StandsOn {
    /// A unit.
    Unit,
    /// Every unit of a side.
    Side,
    /// Every unit of the battle.
    Battle,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ClassEntry {
    pub name: String,
    pub weight: Option<i32>,
    pub presence: u32,
    pub mounted: bool,
    pub protection: i32,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RungEntry {
    pub rung: i32,
    pub dice: u32,
    pub figures: u32,
    pub kills_on: u32,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CellEntry {
    pub striker: String,
    pub target: String,
    pub dice: u32,
    pub figures: u32,
    pub kills_on: u32,
}

/// The dice of combat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CombatDice {
    /// Sides of every die, 2 to 100.
    pub sides: u32,
    /// Dice of a side against an enemy unit that its figures reach and would get no die against,
    /// 0 to 10.
    pub minimum: u32,
    /// Dice that a leader adds to one contact of his unit, 0 to 10.
    pub leader: u32,
}

/// The dice of leaders at risk, morale and rally.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TestDice {
    /// How many are thrown and added, 1 to 4.
    pub dice: u32,
    /// Sides of each, 2 to 20.
    pub sides: u32,
}

/// How many ranks take part where a unit has a frontage, 1 to 10 each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ranks {
    /// In a melee.
    pub fighting: u32,
    /// In a melee, with long spears.
    pub long_spears: u32,
    /// When shooting.
    pub shooting: u32,
    /// A target at least this deep is massed.
    pub massed: u32,
}

/// What can be mustered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MusterLimits {
    /// The fewest figures of a unit at a scale coarser than 1:1, 1 to 100.
    pub smallest: u32,
}

/// How often a turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TurnLimits {
    /// A melee is fought, 1 to 100.
    pub rounds: u32,
}

/// Steps along the ladder in a melee, −10 to 10 each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Steps {
    /// To a mounted unit that charges, first round of the contact only.
    pub charge: i32,
    /// To steady long spears that meet a mounted unit on their own front.
    pub long_spears: i32,
    /// To that mounted unit, which also loses its charge.
    pub against_long_spears: i32,
    /// To the striker that comes in on the flank.
    pub flank: i32,
    /// To the striker that comes in from the rear.
    pub rear: i32,
    /// To the unit struck on the flank.
    pub struck_flank: i32,
    /// To the unit struck from the rear.
    pub struck_rear: i32,
    /// To the unit that holds higher ground than the other.
    pub higher_ground: i32,
    /// To the unit that fights across what the other defends.
    pub obstacle: i32,
    /// To a shaken unit.
    pub shaken: i32,
}

/// The scores on which a leader whose unit lost a figure falls.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LeaderRisk {
    /// In general.
    pub falls_on: u32,
    /// When his unit lost half or more of the figures it had at the start of the round.
    pub half_lost: u32,
    /// When his unit was destroyed.
    pub destroyed: u32,
}

/// A grade of training.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Grade {
    /// Its name.
    pub name: String,
    /// What it adds to morale and rally, −10 to 10.
    pub modifier: i32,
    /// Whether units with no grade given have this one; true for exactly one grade.
    #[serde(default)]
    pub default: bool,
}

/// Morale after a round: scores and modifiers, −10 to 10 each.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Morale {
    /// The lowest score that stands.
    pub stands_on: i32,
    /// The lowest score that falls back; less routs.
    pub falls_back_on: i32,
    /// A leader is attached and standing.
    pub leader: i32,
    /// For each full quarter of the muster strength lost so far.
    pub quarter_lost: i32,
    /// At most so many quarters count, 0 to 4.
    pub quarters_counted: u32,
    /// The unit lost more figures this round than it killed.
    pub lost_more: i32,
    /// The unit was struck on the flank or from the rear this round.
    pub struck_side_or_rear: i32,
    /// A unit tests when it lost a figure in so many of those it began the round with, or more;
    /// 1 to 100, and none where any loss is a reason to test.
    pub tested_share: Option<u32>,
    /// A unit of its side in the melee was destroyed this round, or fled in the round before; none
    /// where that moves nobody.
    pub comrade: Option<i32>,
    /// What being deep does; none where it does nothing.
    pub deep: Option<Deep>,
    /// Degrees of being outnumbered, mildest first.
    pub outnumbered: Vec<Outnumbered>,
}

/// What standing in many ranks does to nerve.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Deep {
    /// Full ranks that a unit with a frontage has left, or more, 1 to 10.
    pub ranks: u32,
    /// What it adds to the score, −10 to 10.
    pub modifier: i32,
}

/// One degree of being outnumbered: the other side has `theirs` presence for each `ours`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Outnumbered {
    /// The other side's share, 1 to 100.
    pub theirs: u32,
    /// The unit's own side's share, 1 to 100.
    pub ours: u32,
    /// What it adds to the score, −10 to 10.
    pub modifier: i32,
}

/// The scores of a rally.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rally {
    /// A shaken unit is steady again on this or more.
    pub steady_on: i32,
    /// A routing unit is shaken on this or more; on less it leaves the field.
    pub shaken_on: i32,
    /// For each full quarter of the muster strength lost, as many as count in morale, −10 to 10.
    #[serde(default)]
    pub quarter_lost: i32,
}

/// A missile weapon.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Weapon {
    /// Its name.
    pub name: String,
    /// Its power at short range, −20 to 20.
    pub short: i32,
    /// Its power at long range, −20 to 20; none if it does not reach.
    pub long: Option<i32>,
}

/// Steps along the ladder when shooting, −10 to 10 each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ShootingSteps {
    /// The target is in light cover.
    pub light_cover: i32,
    /// The target is behind works.
    pub works: i32,
    /// The shooter is shaken.
    pub shaken: i32,
    /// The target is massed.
    pub massed: i32,
    /// The shooter moved this turn.
    #[serde(default)]
    pub moved: i32,
}
