//! What some options can be, in the words of the local table.

use crate::protocol::{Cover, Facing, Ground, Holder, Setting, Standing};

/// Whose unit something is.
#[derive(Debug, Clone, Copy, poise::ChoiceParameter)]
pub(super) enum Whose {
    #[name = "ours"]
    Ours,
    #[name = "theirs"]
    Theirs,
}

/// Whose unit holds higher ground.
#[derive(Debug, Clone, Copy, poise::ChoiceParameter)]
pub(super) enum Higher {
    #[name = "ours"]
    Ours,
    #[name = "theirs"]
    Theirs,
    #[name = "both"]
    Both,
}

/// Where a striker comes in.
#[derive(Debug, Clone, Copy, poise::ChoiceParameter)]
pub(super) enum Side {
    #[name = "front"]
    Front,
    #[name = "flank"]
    Flank,
    #[name = "rear"]
    Rear,
}

/// What protects a target.
#[derive(Debug, Clone, Copy, poise::ChoiceParameter)]
pub(super) enum CoverWord {
    #[name = "light"]
    Light,
    #[name = "works"]
    Works,
}

/// How a unit stands.
#[derive(Debug, Clone, Copy, poise::ChoiceParameter)]
pub(super) enum StandingWord {
    #[name = "steady"]
    Steady,
    #[name = "shaken"]
    Shaken,
    #[name = "routing"]
    Routing,
    #[name = "left"]
    Left,
    #[name = "destroyed"]
    Destroyed,
}

impl From<Whose> for Holder {
    fn from(whose: Whose) -> Self {
        match whose {
            Whose::Ours => Self::Striker,
            Whose::Theirs => Self::Struck,
        }
    }
}

impl From<Higher> for Ground {
    fn from(higher: Higher) -> Self {
        match higher {
            Higher::Ours => Self::Striker,
            Higher::Theirs => Self::Struck,
            Higher::Both => Self::Both,
        }
    }
}

impl From<Side> for Facing {
    fn from(side: Side) -> Self {
        match side {
            Side::Front => Self::Front,
            Side::Flank => Self::Flank,
            Side::Rear => Self::Rear,
        }
    }
}

impl From<CoverWord> for Cover {
    fn from(cover: CoverWord) -> Self {
        match cover {
            CoverWord::Light => Self::Light,
            CoverWord::Works => Self::Works,
        }
    }
}

impl From<StandingWord> for Standing {
    fn from(standing: StandingWord) -> Self {
        match standing {
            StandingWord::Steady => Self::Steady,
            StandingWord::Shaken => Self::Shaken,
            StandingWord::Routing => Self::Routing,
            StandingWord::Left => Self::Left,
            StandingWord::Destroyed => Self::Destroyed,
        }
    }
}

/// A name to set, or “none” to take away.
pub(super) fn setting(text: String) -> Setting<String> {
    if text.eq_ignore_ascii_case("none") { Setting::None } else { Setting::To(text) }
}
