//! What can be asked of the referee that changes a battle.
//!
//! Every front builds these same values. Each has a one-line form, which a roll's statement
//! contains: `words` writes it and the local table reads it.

use super::{
    Appointee, Change, ConditionAsk, Described, DuelAsk, HarmAsk, Muster, Reach, Scale, is_false,
    is_zero,
};
use serde::{Deserialize, Serialize};
use std::fmt;

/// A request that, when granted, becomes an event of the record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Request {
    /// Open a battle here.
    Open(Open),
    /// Name a further side.
    Side {
        /// Its name.
        name: String,
    },
    /// Muster a unit.
    Muster(Muster),
    /// Change a unit.
    Change(Change),
    /// Take a unit out of contact.
    Part {
        /// Its name.
        unit: String,
        /// The enemy it parts from; none for all that it is in contact with.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        from: Option<String>,
        /// Why.
        reason: String,
    },
    /// Take a unit off the list.
    Dismiss {
        /// Its name.
        unit: String,
    },
    /// Attach a leader to another unit of his side.
    Attach {
        /// The leader's name.
        leader: String,
        /// The unit's name.
        unit: String,
    },
    /// A leader leaves his unit, to stand alone.
    Detach {
        /// The unit's name.
        unit: String,
    },
    /// A leader leads from the front, or holds back.
    Lead {
        /// His unit's name.
        unit: String,
        /// Whether he holds back.
        back: bool,
    },
    /// Change the figure scale.
    Rescale {
        /// The new scale.
        scale: Scale,
    },
    /// Fight a melee.
    Melee(MeleeAsk),
    /// Fight a melee on for another round.
    Again {
        /// Any unit in it; none for the latest.
        unit: Option<String>,
    },
    /// Cast the roll that was announced, as the other side.
    Cast {
        /// The caster's own text, 8 to 80 characters.
        text: String,
    },
    /// Shoot.
    Shoot(ShootAsk),
    /// Rally a unit.
    Rally {
        /// Its name.
        unit: String,
    },
    /// Let two leaders fight each other.
    Duel(DuelAsk),
    /// Harm a unit from elsewhere.
    Harm(HarmAsk),
    /// Test a unit's nerve.
    Nerve {
        /// Its name.
        unit: String,
        /// Why.
        reason: String,
    },
    /// Reinforce a unit: it has more men, now and at muster.
    Reinforce {
        /// Its name.
        unit: String,
        /// How many more.
        men: u32,
        /// Why.
        reason: String,
    },
    /// Rule a clash of two described units, with nothing registered.
    Quick(QuickAsk),
    /// Throw plain dice.
    Throw {
        /// The dice, in the order in which they are thrown.
        dice: Vec<DiceAsk>,
        /// What they are for.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        purpose: Option<String>,
    },
    /// Begin the next turn.
    Turn,
    /// Set a condition.
    Condition(ConditionAsk),
    /// Lift a condition.
    Lift {
        /// Its name.
        name: String,
        /// On what it stands.
        on: Reach,
    },
    /// Give a word that goes into every later roll.
    Word {
        /// Who gives it.
        name: String,
        /// The text.
        text: String,
    },
    /// Take back the last thing done.
    Undo {
        /// Why.
        reason: String,
    },
    /// Give somebody an office.
    Appoint {
        /// Who is to hold it.
        who: Appointee,
        /// The side they are to be captain of; none for a referee.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        side: Option<String>,
    },
    /// Take an office away.
    Relieve {
        /// Who holds it.
        who: Appointee,
        /// The side they are captain of; none for a referee.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        side: Option<String>,
    },
    /// Close the battle.
    Close,
    /// Open a closed battle again.
    Reopen {
        /// Its name.
        battle: String,
    },
}

/// Opening a battle.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Open {
    /// Its name.
    pub name: String,
    /// The figure scale.
    pub scale: Scale,
    /// The rules by name; none for those that ship.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rules: Option<String>,
    /// Sides named at once; others come with their first unit.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sides: Vec<String>,
    /// Whether every roll against a side is cast by that side.
    #[serde(default, skip_serializing_if = "is_false")]
    pub casts: bool,
}

/// Asking a melee.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct MeleeAsk {
    /// Its contacts, in the order in which they throw.
    pub contacts: Vec<ContactAsk>,
    /// Announce only: the other side's cast throws.
    #[serde(default, skip_serializing_if = "is_false")]
    pub cast: bool,
}

/// One contact: a striking unit of the side that asks, and the unit it strikes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ContactAsk {
    /// The striking unit.
    pub striker: String,
    /// The unit it strikes.
    pub struck: String,
    /// The striker charges.
    #[serde(default, skip_serializing_if = "is_false")]
    pub charge: bool,
    /// The struck unit charges too.
    #[serde(default, skip_serializing_if = "is_false")]
    pub countercharge: bool,
    /// Which side of the struck unit is hit.
    #[serde(default, skip_serializing_if = "Facing::is_front")]
    pub facing: Facing,
    /// Who holds higher ground.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ground: Option<Ground>,
    /// Who defends an obstacle between them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub obstacle: Option<Holder>,
    /// Figures abreast that a gate, a bridge or a breach between them lets through.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width: Option<u32>,
    /// Steps to the striker's throw, asked by hand, −3 to 3.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub ours: i32,
    /// Steps to the struck unit's throw, asked by hand, −3 to 3.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub theirs: i32,
    /// Why, where steps are asked by hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// Asking a quick ruling of two described units.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct QuickAsk {
    /// The figure scale.
    pub scale: Scale,
    /// The striking unit.
    pub striker: Described,
    /// The unit it strikes.
    pub struck: Described,
    /// How they meet; its names are not used.
    pub how: ContactAsk,
}

/// Some dice of one kind, such as `3d6`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct DiceAsk {
    /// How many, 1 to 100.
    pub count: u32,
    /// Sides of each, 2 to 1,000,000.
    pub sides: u32,
}

/// The side of the struck unit that is hit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Facing {
    /// Its front.
    #[default]
    Front,
    /// Its flank.
    Flank,
    /// Its rear.
    Rear,
}

/// One of the two units of a contact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Holder {
    /// The striking unit.
    Striker,
    /// The unit it strikes.
    Struck,
}

/// Who holds higher ground than the other, as it was asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Ground {
    /// The striking unit.
    Striker,
    /// The unit it strikes.
    Struck,
    /// Both, so that neither stands higher and it counts for nobody.
    Both,
}

/// Asking units of one side to shoot at another.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ShootAsk {
    /// Who shoots, in the order in which they throw.
    pub shooters: Vec<String>,
    /// At whom.
    pub target: String,
    /// How far away it is.
    #[serde(default)]
    pub range: ShotRange,
    /// What protects the target.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cover: Option<Cover>,
    /// Whether they moved this turn.
    #[serde(default, skip_serializing_if = "is_false")]
    pub moved: bool,
}

/// The range of a shot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ShotRange {
    /// Short range.
    #[default]
    Short,
    /// Long range.
    Long,
}

/// What protects a target.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Cover {
    /// Light cover.
    Light,
    /// Works.
    Works,
}

impl Facing {
    /// Whether it is the front.
    #[allow(clippy::trivially_copy_pass_by_ref, reason = "serde asks with a reference")]
    pub const fn is_front(&self) -> bool {
        matches!(self, Self::Front)
    }
}

impl ContactAsk {
    /// A plain contact, front to front.
    pub fn new(striker: impl Into<String>, struck: impl Into<String>) -> Self {
        Self {
            striker: striker.into(),
            struck: struck.into(),
            charge: false,
            countercharge: false,
            facing: Facing::Front,
            ground: None,
            obstacle: None,
            width: None,
            ours: 0,
            theirs: 0,
            why: None,
        }
    }
}

impl Request {
    /// Whether it needs no battle: it is answered from the place's own dice.
    pub const fn is_quick(&self) -> bool {
        matches!(self, Self::Quick(_) | Self::Throw { .. })
    }
}

impl fmt::Display for DiceAsk {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}d{}", self.count, self.sides)
    }
}
