//! The chain of links, revealed backwards.
//!
//! Source of the scheme: L. Lamport, "Password authentication with insecure communication", 1981.

use crate::digest::Digest;
use std::fmt;
use std::sync::OnceLock;
use zeroize::{Zeroize, ZeroizeOnDrop, Zeroizing};

/// The 32 bytes that a chain hangs from; whoever knows them knows every face to come.
///
/// They are never shown: `Debug` says only that they are there. They are wiped when dropped.
#[derive(Clone, PartialEq, Eq)]
pub struct Secret([u8; 32]);

impl Zeroize for Secret {
    fn zeroize(&mut self) {
        self.0.zeroize();
    }
}

impl Drop for Secret {
    fn drop(&mut self) {
        self.zeroize();
    }
}

impl ZeroizeOnDrop for Secret {}

impl Secret {
    /// Takes a secret from the operating system's random source.
    ///
    /// This is the one place where randomness enters the program.
    pub fn draw() -> Result<Self, rand::rngs::SysError> {
        use rand::TryRng as _;
        let mut secret = Self([0; 32]);
        rand::rngs::SysRng.try_fill_bytes(&mut secret.0)?;
        Ok(secret)
    }

    /// A secret read back from where it was kept.
    pub const fn from_bytes(bytes: [u8; 32]) -> Self {
        Self(bytes)
    }

    /// A secret of these bytes; none unless there are 32.
    pub fn of(bytes: &[u8]) -> Option<Self> {
        let mut secret = Self([0; 32]);
        (bytes.len() == 32).then(|| secret.0.copy_from_slice(bytes))?;
        Some(secret)
    }

    /// The bytes, to be kept where no player sees them.
    pub const fn bytes(&self) -> &[u8; 32] {
        &self.0
    }
}

impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Secret(not shown)")
    }
}

/// So many links of a chain are kept, so that a roll need not go down to its link from the last.
const KEPT: u32 = 64;

/// A chain of `length` links, each the SHA-256 of the next; link 0 is its anchor.
#[derive(Debug, Clone)]
pub struct Chain {
    secret: Secret,
    length: u32,
    /// The last link and others a [`Self::step`] apart below it, once one is asked for: as secret as
    /// the last.
    kept: OnceLock<Vec<Secret>>,
}

impl Chain {
    /// Links in a chain unless something else is asked.
    pub const LENGTH: u32 = 1024;

    /// A chain of `length` links, at least 1, whose last is `secret`.
    pub fn new(secret: Secret, length: u32) -> Self {
        Self { secret, length: length.max(1), kept: OnceLock::new() }
    }

    /// How many rolls it is good for.
    pub const fn length(&self) -> u32 {
        self.length
    }

    /// The secret it hangs from.
    pub const fn secret(&self) -> &Secret {
        &self.secret
    }

    /// Link 0, which is posted before any die is thrown.
    pub fn anchor(&self) -> Digest {
        self.link(0).unwrap_or(Digest::ZERO)
    }

    /// Link `n`, from 0 (the anchor) to the length; none past it.
    pub fn link(&self, n: u32) -> Option<Digest> {
        let below = self.length.checked_sub(n)?;
        let kept = &self.kept()[(below / self.step()) as usize];
        Some(Digest::from_bytes(*kept.link_below(below % self.step())))
    }

    /// How many links lie from one that is kept to the next.
    const fn step(&self) -> u32 {
        self.length.div_ceil(KEPT)
    }

    fn kept(&self) -> &[Secret] {
        self.kept.get_or_init(|| {
            let steps = (self.length / self.step()) as usize;
            // As long as it will be from the start: growing would leave copies behind.
            let mut kept = Vec::with_capacity(steps + 1);
            kept.push(self.secret.clone());
            for n in 0..steps {
                kept.push(Secret(*kept[n].link_below(self.step())));
            }
            kept
        })
    }
}

impl Secret {
    /// The link so many below the one of these bytes; those in between are as secret.
    fn link_below(&self, hashes: u32) -> Zeroizing<[u8; 32]> {
        let mut link = Zeroizing::new(self.0);
        for _ in 0..hashes {
            *link = *Digest::of(link.as_slice()).bytes();
        }
        link
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    pub(crate) fn counting_chain() -> Chain {
        Chain::new(Secret::from_bytes(std::array::from_fn(|n| u8::try_from(n).unwrap())), 4)
    }

    /// Source: the test values of the protocol, docs/checking.md.
    #[test]
    fn links_are_those_of_the_protocol() {
        let chain = counting_chain();
        for (n, link) in [
            (0, "cefc1232dee44cc53fccf8cc078f657f4db4f1d0303725375a0694f7d395e2ea"),
            (1, "4e05063392f42b5180353ef82da86c714042155044d91ab3253f1bab08120a0a"),
            (2, "2f287b4d3d4910f6cada9e1bd1b4648099e8c52c81aa4a6aebfa6fc86f19834e"),
            (3, "630dcd2966c4336691125448bbb25b4ff412a49c732db2c8abc1b8581bd710dd"),
            (4, "000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f"),
        ] {
            assert_eq!(chain.link(n).map(|link| link.to_string()).as_deref(), Some(link));
        }
        assert_eq!(chain.link(5), None);
        assert_eq!(Some(chain.anchor()), chain.link(0));
        assert_eq!(chain.length(), 4);
    }

    /// However many of them are kept: each link is the SHA-256 of the next, down from the secret.
    #[test]
    fn every_link_is_the_digest_of_the_next() {
        for length in [1, 2, 63, 64, 65, 130, 1024] {
            let chain = Chain::new(Secret::from_bytes([9; 32]), length);
            assert_eq!(chain.link(length), Some(Digest::from_bytes([9; 32])));
            for n in 0..length {
                let next = chain.link(n + 1).unwrap();
                assert_eq!(chain.link(n), Some(Digest::of(next.bytes())), "{n} of {length}");
            }
        }
    }

    /// A chain without a link could throw nothing.
    #[test]
    fn the_shortest_chain_has_one_link() {
        let secret = Secret::from_bytes([7; 32]);
        let chain = Chain::new(secret.clone(), 0);
        assert_eq!((chain.length(), chain.secret()), (1, &secret));
        assert_eq!(secret.bytes(), &[7; 32], "what is kept is what it was made of");
        assert_eq!(chain.link(1), Some(Digest::from_bytes([7; 32])));
        assert_eq!(chain.link(2), None);
    }

    /// What is read back from where it was kept is the secret itself, or nothing.
    #[test]
    fn a_secret_is_of_32_bytes_and_no_other_number() {
        assert_eq!(Secret::of(&[7; 32]), Some(Secret::from_bytes([7; 32])));
        for bytes in [&[][..], &[7; 31], &[7; 33]] {
            assert_eq!(Secret::of(bytes), None, "{}", bytes.len());
        }
    }

    #[test]
    fn a_secret_does_not_show_itself() {
        let shown = format!("{:?} {:#?}", counting_chain(), counting_chain().secret());
        assert!(shown.contains("Secret(not shown)"));
        assert!(!shown.contains("0001") && !shown.contains("1, 2"), "{shown}");
    }

    #[test]
    fn a_secret_is_wiped_when_dropped() {
        const fn wiped_when_dropped<T: ZeroizeOnDrop>() {}
        wiped_when_dropped::<Secret>();
        assert!(std::mem::needs_drop::<Secret>() && std::mem::needs_drop::<Chain>());
        let mut secret = Secret::from_bytes([7; 32]);
        secret.zeroize();
        assert_eq!(secret.bytes(), &[0; 32]);
    }

    #[test]
    fn two_secrets_drawn_differ() {
        assert_ne!(Secret::draw().unwrap(), Secret::draw().unwrap());
    }
}
