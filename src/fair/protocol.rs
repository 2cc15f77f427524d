//! The number of the protocol that a battle is thrown, ruled and recorded by.

use serde::{Deserialize, Serialize};
use std::fmt;

/// A protocol: what is hashed, how dice are drawn, and every rule of procedure whose outcome an
/// audit compares.
///
/// A battle keeps the protocol it was opened under. A later one is a further variant here, and the
/// compiler then names each place where the two may differ.
///
/// ```
/// use drumhead::fair::Protocol;
/// assert_eq!(Protocol::LATEST.to_string(), "1");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "u32", into = "u32")]
pub enum Protocol {
    /// Protocol 1.
    One,
}

/// A protocol that this release does not know.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("protocol {0} is not known to this release, which knows protocol 1")]
pub struct UnknownProtocol(pub u32);

impl Protocol {
    /// The protocol of battles opened now.
    pub const LATEST: Self = Self::One;

    /// Its number, as receipts and openings write it.
    pub const fn number(self) -> u32 {
        match self {
            Self::One => 1,
        }
    }
}

impl fmt::Display for Protocol {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.number())
    }
}

impl TryFrom<u32> for Protocol {
    type Error = UnknownProtocol;

    fn try_from(number: u32) -> Result<Self, UnknownProtocol> {
        match number {
            1 => Ok(Self::One),
            other => Err(UnknownProtocol(other)),
        }
    }
}

impl From<Protocol> for u32 {
    fn from(protocol: Protocol) -> Self {
        protocol.number()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_protocol_is_its_number_and_no_other_is_known() {
        assert_eq!(serde_json::to_string(&Protocol::One).unwrap(), "1");
        assert_eq!(serde_json::from_str::<Protocol>("1").unwrap(), Protocol::One);
        assert_eq!(Protocol::One.to_string(), "1");
        assert_eq!(Protocol::try_from(1), Ok(Protocol::One));
        for number in [0, 2] {
            assert_eq!(Protocol::try_from(number), Err(UnknownProtocol(number)));
        }
    }
}
