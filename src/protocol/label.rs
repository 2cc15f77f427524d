//! What a throw is for, and the label under which receipts name it. Labels are frozen.

/// What a throw is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ThrowPurpose<'a> {
    /// One unit strikes another in a melee.
    Strike {
        /// Who throws.
        by: &'a str,
        /// At whom.
        at: &'a str,
    },
    /// One unit shoots at another.
    Shot {
        /// Who shoots.
        by: &'a str,
        /// At whom.
        at: &'a str,
    },
    /// A leader at risk.
    Leader(&'a str),
    /// A leader in single combat.
    Duel(&'a str),
    /// A unit's morale.
    Morale(&'a str),
    /// A unit's rally.
    Rally(&'a str),
    /// Harm to a unit from elsewhere.
    Harm(&'a str),
    /// Anything else, as it was asked.
    Other(&'a str),
}

impl ThrowPurpose<'_> {
    /// Its label under protocol 1.
    pub fn label(self) -> String {
        #[cfg(test)]
        if crate::altered::is(crate::altered::Altered::Label) {
            return "altered".to_owned();
        }
        match self {
            Self::Strike { by, at } => format!("{by} at {at}"),
            Self::Shot { by, at } => format!("{by} shooting at {at}"),
            Self::Leader(leader) => format!("{leader} at risk"),
            Self::Duel(leader) => format!("{leader} in single combat"),
            Self::Morale(unit) => format!("nerve of {unit}"),
            Self::Rally(unit) => format!("rally of {unit}"),
            Self::Harm(unit) => format!("harm to {unit}"),
            Self::Other(purpose) => purpose.to_owned(),
        }
    }
}
