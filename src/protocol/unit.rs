//! A unit: who they are, how many are left, and how they stand.

use super::{Abreast, Leader, Scale, Strength, is_false};
use serde::{Deserialize, Serialize};

/// A unit of one side.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[allow(clippy::struct_excessive_bools, reason = "each is a fact of its own")]
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
    /// How wide its front rank is; none if every figure fights.
    pub frontage: Option<Abreast>,
    /// The leader attached to it.
    pub leader: Option<Leader>,
    /// Whether it is a single: one body with hits in the place of figures, and no men.
    #[serde(default, skip_serializing_if = "is_false")]
    pub single: bool,
    /// Its strength at muster, figures at the present scale.
    pub muster: Strength,
    /// Its strength now.
    pub now: Strength,
    /// How it stands.
    pub standing: Standing,
    /// Whether it has tried to rally this turn.
    pub rallied: bool,
    /// Whether it was tested for being shot at this turn.
    #[serde(default, skip_serializing_if = "is_false")]
    pub shot_at: bool,
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

    /// Its front rank in figures at a scale.
    pub fn front(&self, scale: Scale) -> Option<u32> {
        self.frontage.map(|front| front.figures(scale))
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
