//! A unit: who they are, how many are left, and how they stand.

use super::Strength;
use serde::{Deserialize, Serialize};

/// A unit of one side.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Unit {
    /// Its name.
    pub name: String,
    /// Its side.
    pub side: String,
    /// Its troop class.
    pub class: String,
    /// Its grade.
    pub grade: String,
    /// Whether it has long spears.
    pub long_spears: bool,
    /// Its missile weapon.
    pub weapon: Option<String>,
    /// Its front rank in figures; none if every figure fights.
    pub frontage: Option<u32>,
    /// The leader attached to it.
    pub leader: Option<String>,
    /// Its strength at muster, figures at the present scale.
    pub muster: Strength,
    /// Its strength now.
    pub now: Strength,
    /// How it stands.
    pub standing: Standing,
    /// Whether it has tried to rally this turn.
    pub rallied: bool,
}

/// How a unit stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// In good order.
    Steady,
    /// In disorder, but fighting.
    Shaken,
    /// Running: it does not fight.
    Routing,
    /// Gone from the field.
    Left,
    /// Without a figure.
    Destroyed,
}

impl Unit {
    /// Figures lost since muster, at the present scale.
    pub const fn figures_lost(&self) -> u32 {
        self.muster.figures.saturating_sub(self.now.figures)
    }

    /// Men lost since muster.
    pub const fn men_lost(&self) -> u32 {
        self.muster.men.saturating_sub(self.now.men)
    }

    /// Whether it can fight, shoot or be struck.
    pub const fn fights(&self) -> bool {
        matches!(self.standing, Standing::Steady | Standing::Shaken)
    }

    /// Whether it is shaken.
    pub const fn shaken(&self) -> bool {
        matches!(self.standing, Standing::Shaken)
    }
}
