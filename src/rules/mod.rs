//! What a rules file says, once it has been checked.
//!
//! [`Rules::load`] is the only way to a [`Rules`]: whoever holds one may trust that every class
//! meets every other, that the ladder goes up, and that all numbers are in range.
//! What the keys of the file mean is written in `file`; what is refused, in `load`, and how, with its
//! line and its key, in `place`.

mod condition;
mod file;
mod ladder;
mod load;
mod place;

pub use condition::{Effects, Key};
pub use file::{
    CombatDice, Deep, Duel, Grade, LeaderRisk, Morale, MusterLimits, Outnumbered, Rally, Ranks,
    ShootingSteps, StandsOn, Steps, TestDice, TurnLimits, Weapon,
};
pub use ladder::{Base, Ladder, Matchup, Rate};
pub use place::RulesError;

use crate::digest::Digest;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The rules that ship with the program, as they stand in their file.
pub const OPEN_FIELD: &str = include_str!("../../config/rules/open-field.toml");

/// The example of a table given cell by cell, as it stands in its file.
pub const CELL_BY_CELL: &str = include_str!("../../config/rules/cell-by-cell.toml");

/// The rules of the tests' own.
#[cfg(test)]
pub const SIX_SIDED: &str = include_str!("../../tests/rules/six-sided.toml");

/// The rules files that ship with the program: the file's name, and its text.
pub const SHIPPED: [(&str, &str); 2] =
    [("open-field.toml", OPEN_FIELD), ("cell-by-cell.toml", CELL_BY_CELL)];

/// One checked rules file.
#[derive(Debug, Clone)]
pub struct Rules {
    /// The name a battle asks for.
    pub name: String,
    /// The name people read.
    pub title: String,
    /// SHA-256 of the file's bytes.
    pub sha256: Digest,
    /// The file as it was read.
    pub text: Arc<str>,
    /// Combat dice.
    pub dice: CombatDice,
    /// The dice of every test of nerve or luck.
    pub test: TestDice,
    /// How many ranks take part.
    pub ranks: Ranks,
    /// The fewest figures of a unit at a scale coarser than 1:1.
    pub smallest: u32,
    /// How often a melee is fought in a turn; none where that is as often as anybody asks.
    pub rounds: Option<u32>,
    /// Troop classes, in the file's order.
    pub classes: Vec<Class>,
    /// The rungs.
    pub ladder: Ladder,
    /// Matchups given cell by cell: striker's and target's class, by name.
    pub cells: BTreeMap<(String, String), Rate>,
    /// Steps in a melee.
    pub steps: Steps,
    /// When a leader falls.
    pub leader: LeaderRisk,
    /// Grades, in the file's order.
    pub grades: Vec<Grade>,
    /// Morale after a round.
    pub morale: Morale,
    /// Rally.
    pub rally: Rally,
    /// Missile weapons, in the file's order.
    pub weapons: Vec<Weapon>,
    /// Steps when shooting.
    pub shooting: ShootingSteps,
    /// Conditions, in the file's order.
    pub conditions: Vec<KnownCondition>,
    /// Single combat, if there is any.
    pub duel: Option<Duel>,
}

/// A condition that can be set by its name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KnownCondition {
    /// Its name.
    pub name: String,
    /// On what it may stand.
    pub on: Vec<StandsOn>,
    /// What it does.
    pub effects: Effects,
}

/// A troop class.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Class {
    /// Its name.
    pub name: String,
    /// Its weight in matchups; none if all its matchups are given cell by cell.
    pub weight: Option<i32>,
    /// What one figure counts for when sides are compared, 1 to 100.
    pub presence: u32,
    /// Whether it rides.
    pub mounted: bool,
    /// What is taken from a missile weapon's power against it.
    pub protection: i32,
}

impl Rules {
    /// Reads and checks a rules file; `file` names it in errors.
    ///
    /// ```
    /// use drumhead::rules::{OPEN_FIELD, Rules};
    /// let rules = Rules::load("open-field.toml", OPEN_FIELD).unwrap();
    /// assert_eq!(rules.classes.len(), 8);
    /// ```
    pub fn load(file: &str, text: &str) -> Result<Self, RulesError> {
        load::load(file, text)
    }

    /// The class of that name, exactly as the file writes it.
    pub fn class(&self, name: &str) -> Option<&Class> {
        self.classes.iter().find(|class| class.name == name)
    }

    /// The grade of that name, exactly as the file writes it.
    pub fn grade(&self, name: &str) -> Option<&Grade> {
        self.grades.iter().find(|grade| grade.name == name)
    }

    /// The weapon of that name, exactly as the file writes it.
    pub fn weapon(&self, name: &str) -> Option<&Weapon> {
        self.weapons.iter().find(|weapon| weapon.name == name)
    }

    /// The condition of that name, exactly as the file writes it.
    pub fn condition(&self, name: &str) -> Option<&KnownCondition> {
        self.conditions.iter().find(|condition| condition.name == name)
    }

    /// The grade of a unit with none given.
    pub fn default_grade(&self) -> &Grade {
        #[cfg(test)]
        if crate::altered::is(crate::altered::Altered::Default) {
            return &self.grades[0];
        }
        self.grades.iter().find(|grade| grade.default).unwrap_or(&self.grades[0])
    }

    /// The matchup of a striker's class against a target's, moved along the ladder by `steps`.
    ///
    /// A given cell stands for the unmodified matchup; steps then move from the rung nearest to
    /// it in expected kills for a figure, ties to the lower rung.
    pub fn matchup(&self, striker: &Class, target: &Class, steps: i32) -> Matchup {
        let cell = self.cells.get(&(striker.name.clone(), target.name.clone()));
        match (cell, striker.weight, target.weight) {
            (Some(cell), _, _) => self.ladder.matchup_from_cell(*cell, steps, self.dice.sides),
            (None, Some(ours), Some(theirs)) => self.ladder.matchup_from_rung(ours - theirs, steps),
            (None, _, _) => unreachable!("loading refuses a pair with neither cell nor weights"),
        }
    }
}

#[cfg(test)]
mod tests;
