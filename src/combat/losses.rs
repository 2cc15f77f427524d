//! What a round's losses may mean to nerve.

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

/// How much a unit lost in a round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Loss {
    /// No figure.
    None,
    /// A figure or more.
    Some,
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
    /// The losses of a unit that lost `lost` figures in a round and killed `killed`.
    pub const fn of(lost: u32, killed: u32) -> Self {
        Self::new(Loss::of(lost), Balance::of(lost, killed))
    }

    /// The losses of every unit for which the two hold.
    pub const fn new(loss: Loss, balance: Balance) -> Self {
        Self { loss, balance }
    }

    /// Whether it lost a figure.
    pub const fn any(self) -> bool {
        match self.loss {
            Loss::None => false,
            Loss::Some => true,
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
    /// What the loss of `lost` figures is.
    pub const fn of(lost: u32) -> Self {
        if lost == 0 { Self::None } else { Self::Some }
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
