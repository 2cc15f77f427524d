//! SHA-256 values: how rules files, links and events are named.

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use sha2::{Digest as _, Sha256};
use std::fmt;
use std::str::FromStr;

/// A SHA-256 value (FIPS 180-4), written as 64 lower-case hexadecimal digits.
///
/// ```
/// use drumhead::digest::Digest;
/// let empty = Digest::of(b"");
/// assert!(empty.to_string().starts_with("e3b0c442"));
/// ```
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Digest([u8; 32]);

/// The text is not 64 hexadecimal digits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("this is not a SHA-256 value: 64 lower-case hexadecimal digits are needed")]
pub struct NotADigest;

impl Digest {
    /// What stands in place of a predecessor where there is none.
    pub const ZERO: Self = Self([0; 32]);

    /// The SHA-256 of `bytes`.
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// Takes 32 raw bytes as they are.
    pub const fn from_bytes(bytes: [u8; 32]) -> Self {
        Self(bytes)
    }

    /// The 32 raw bytes.
    pub const fn bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// The first 16 digits, enough for a person to compare.
    pub fn short(&self) -> String {
        hex::encode(&self.0[..8])
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&hex::encode(self.0))
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl Serialize for Digest {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Digest {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = std::borrow::Cow::<'de, str>::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

impl FromStr for Digest {
    type Err = NotADigest;

    fn from_str(text: &str) -> Result<Self, NotADigest> {
        // One value has one spelling, so that no two texts can stand for the same link.
        if text.bytes().any(|byte| byte.is_ascii_uppercase()) {
            return Err(NotADigest);
        }
        let mut bytes = [0; 32];
        hex::decode_to_slice(text, &mut bytes).map_err(|_| NotADigest)?;
        Ok(Self(bytes))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: NIST's example values for FIPS 180-4 (SHA-256, one and two blocks), from memory.
    #[test]
    fn sha256_gives_the_published_values() {
        for (message, expected) in [
            ("abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
            ("", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
            (
                "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
                "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
            ),
        ] {
            assert_eq!(Digest::of(message.as_bytes()).to_string(), expected, "{message}");
        }
    }

    #[test]
    fn text_and_value_convert_both_ways() {
        let digest = Digest::of(b"abc");
        assert_eq!(digest.to_string().parse(), Ok(digest));
        assert_eq!("abc".parse::<Digest>(), Err(NotADigest));
        assert_eq!(digest.to_string().to_uppercase().parse::<Digest>(), Err(NotADigest));
        let json = serde_json::to_string(&digest).unwrap();
        assert_eq!(serde_json::from_str::<Digest>(&json).unwrap(), digest);
        assert!(serde_json::from_str::<Digest>(&json.to_uppercase()).is_err());
        assert_eq!(digest.short(), "ba7816bf8f01cfea");
    }
}
