//! What a round's losses may mean to nerve.

use crate::rules::Rules;

/// What morale may know of the figures that a unit lost and killed in a round.
///
/// It holds no number: a modifier can go by nothing but the distinctions made here, and the odds
/// tell cases apart by exactly these. They ask [`Loss::of`] and [`Balance::of`] about every loss
/// there is instead of knowing the answers, so a further variant of either is followed without a
/// change; what needs a further number or a further part changes a signature, and the compiler
/// then names each place that must give it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RoundLosses {
    loss: Loss,
    balance: Balance,
}

/// How much a unit lost in a round, of the figures that it began it with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Loss {
    /// Nothing, or too little to try its nerve.
    Slight,
    /// Enough to try its nerve.
    Telling,
}

/// What a unit lost in a round beside what it killed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Balance {
    /// It lost fewer figures than it killed.
    LostFewer,
    /// It lost as many as it killed.
    LostAsMany,
    /// It lost more than it killed.
    LostMore,
}

impl RoundLosses {
    /// The losses of every unit for which the two hold.
    pub const fn new(loss: Loss, balance: Balance) -> Self {
        Self { loss, balance }
    }

    /// Whether it lost enough to try its nerve.
    pub const fn telling(self) -> bool {
        match self.loss {
            Loss::Slight => false,
            Loss::Telling => true,
        }
    }

    /// Whether it lost more figures than it killed.
    pub const fn more_than_killed(self) -> bool {
        match self.balance {
            Balance::LostFewer | Balance::LostAsMany => false,
            Balance::LostMore => true,
        }
    }
}

impl Loss {
    /// What the loss of `lost` figures is to a unit that had `before`.
    pub fn of(rules: &Rules, lost: u32, before: u32) -> Self {
        let enough = rules.morale.tested_share.is_none_or(|share| lost * share >= before);
        if lost > 0 && enough { Self::Telling } else { Self::Slight }
    }
}

impl Balance {
    /// What losing `lost` figures and killing `killed` is.
    pub const fn of(lost: u32, killed: u32) -> Self {
        if lost < killed {
            Self::LostFewer
        } else if lost == killed {
            Self::LostAsMany
        } else {
            Self::LostMore
        }
    }
}
