//! The faces of one roll: a stream for each of its throws.

use crate::digest::Digest;
use hmac::{Hmac, KeyInit as _, Mac as _};
use sha2::Sha256;
use std::collections::HashSet;

/// The source of a roll's faces: a link and a statement, from which each throw draws a stream of
/// its own under its label, so that no throw shifts another.
pub struct Faces {
    keyed: Hmac<Sha256>,
    /// The labels given so far.
    labels: HashSet<String>,
}

impl Faces {
    /// The faces of `link` for `statement`.
    ///
    /// # Panics
    /// Never: HMAC takes a key of any length.
    pub fn new(link: &Digest, statement: &[u8]) -> Self {
        let mut keyed =
            Hmac::<Sha256>::new_from_slice(link.bytes()).expect("HMAC takes a key of any length");
        keyed.update(statement);
        Self { keyed, labels: HashSet::new() }
    }

    /// The label under which the next throw for `purpose` stands in the receipt: a second one of
    /// the same roll gets ` (2)` behind it, a third ` (3)`.
    pub fn label(&mut self, purpose: &str) -> String {
        let counted = (2_u32..).map(|count| format!("{purpose} ({count})"));
        let mut labels = std::iter::once(purpose.to_owned()).chain(counted);
        let label = labels.find(|label| !self.labels.contains(label));
        let label = label.expect("a roll has fewer throws than there are numbers");
        self.labels.insert(label.clone());
        label
    }

    /// The faces of `dice` dice of `sides` sides thrown under `label`.
    ///
    /// # Panics
    /// If `sides` is 0.
    pub fn throw(&self, label: &str, dice: u32, sides: u32) -> Vec<u32> {
        self.stream(label).faces(dice, sides)
    }

    /// The stream of a label, from its first word.
    pub fn stream(&self, label: &str) -> Stream {
        let mut keyed = self.keyed.clone();
        keyed.update(label.as_bytes());
        keyed.update(b"\n");
        Stream { keyed, next_block: 0, block: [0; 32], used: 32 }
    }
}

/// The stream of faces of one throw: HMAC-SHA256 blocks (FIPS 198-1, RFC 2104), cut into big-endian
/// 32-bit words, without bias for any number of sides.
pub struct Stream {
    keyed: Hmac<Sha256>,
    next_block: u32,
    block: [u8; 32],
    used: usize,
}

impl Stream {
    /// The next `dice` faces of dice of `sides` sides.
    ///
    /// # Panics
    /// If `sides` is 0.
    pub fn faces(&mut self, dice: u32, sides: u32) -> Vec<u32> {
        (0..dice).map(|_| self.face(sides)).collect()
    }

    /// The next face of a die of `sides` sides, from 1 to `sides`.
    fn face(&mut self, sides: u32) -> u32 {
        assert!(sides > 0, "a die has at least one side");
        let sides = u64::from(sides);
        let bound = (1 << 32) - (1 << 32) % sides;
        loop {
            let word = u64::from(self.word());
            if word < bound {
                return u32::try_from(word % sides + 1).expect("a face is at most the sides");
            }
        }
    }

    fn word(&mut self) -> u32 {
        if self.used == self.block.len() {
            let mut keyed = self.keyed.clone();
            keyed.update(&self.next_block.to_be_bytes());
            self.block = keyed.finalize().into_bytes().into();
            self.next_block += 1;
            self.used = 0;
        }
        let word = &self.block[self.used..self.used + 4];
        self.used += 4;
        u32::from_be_bytes(word.try_into().expect("four bytes"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the test values of the protocol, docs/checking.md.
    #[test]
    fn faces_are_those_of_the_protocol() {
        let link = "2f287b4d3d4910f6cada9e1bd1b4648099e8c52c81aa4a6aebfa6fc86f19834e";
        let mut faces = Faces::new(&link.parse().unwrap(), b"x\n");
        for (purpose, dice, sides, expected) in [
            ("a", 3, 100, vec![53, 41, 31]),
            ("b", 12, 20, vec![19, 17, 12, 10, 18, 15, 19, 7, 8, 3, 2, 18]),
            ("a", 2, 2, vec![1, 2]),
        ] {
            let label = faces.label(purpose);
            assert_eq!(faces.throw(&label, dice, sides), expected, "{label}");
        }
        assert_eq!(faces.label("a"), "a (3)");
    }

    /// Source: the test values of the protocol, docs/checking.md.
    #[test]
    fn the_uneven_tail_is_rejected() {
        let link = "630dcd2966c4336691125448bbb25b4ff412a49c732db2c8abc1b8581bd710dd";
        let faces = Faces::new(&link.parse().unwrap(), b"rejection\n");
        let expected =
            [2_445_051_012, 676_560_421, 820_070_163, 1_033_784_851, 1_897_216_032, 2_361_563_552];
        assert_eq!(faces.throw("r", 6, 3_000_000_000), expected);
    }

    /// With `w` sides, where `w` is over half of all words and is itself the first word, the even
    /// part ends just before `w`: the word is drawn again.
    #[test]
    fn the_first_word_of_the_uneven_tail_is_rejected() {
        let faces = Faces::new(&Digest::of(b"tail"), b"statement\n");
        let labels = ["a", "b", "c", "d"];
        let label = labels.into_iter().find(|label| faces.stream(label).word() > 1 << 31);
        let label = label.expect("one of four words is over half");
        let mut words = faces.stream(label);
        let sides = words.word();
        let even = std::iter::repeat_with(|| words.word()).find(|word| *word < sides).unwrap();
        assert_eq!(faces.throw(label, 1, sides), [even + 1]);
    }

    #[test]
    #[should_panic(expected = "a die has at least one side")]
    fn a_die_without_sides_is_not_thrown() {
        Faces::new(&Digest::ZERO, b"").throw("a", 1, 0);
    }

    /// A throw that turns out longer keeps the faces that it had, and shifts no other.
    #[test]
    fn a_longer_throw_keeps_its_faces() {
        let faces = Faces::new(&Digest::of(b"link"), b"statement\n");
        let short = faces.throw("Ford Wardens at Banner Foot", 5, 20);
        let long = faces.throw("Ford Wardens at Banner Foot", 9, 20);
        assert_eq!(short, long[..5]);
        assert_ne!(long, faces.throw("Banner Foot at Ford Wardens", 9, 20));
    }

    /// Source: RFC 4231, test cases 1, 2, 3 and 6 (HMAC-SHA-256), from memory.
    #[test]
    fn hmac_gives_the_values_of_rfc_4231() {
        let ones = [0x0b; 20];
        let aas = [0xaa; 20];
        let long = [0xaa; 131];
        let cases: [(&[u8], &[u8], &str); 4] = [
            (
                &ones,
                b"Hi There",
                "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7",
            ),
            (
                b"Jefe",
                b"what do ya want for nothing?",
                "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843",
            ),
            (&aas, &[0xdd; 50], "773ea91e36800e46854db8ebd09181a72959098b3ef8c122d9635514ced565fe"),
            (
                &long,
                b"Test Using Larger Than Block-Size Key - Hash Key First",
                "60e431591ee0b67f0d8a26aacbf5b77f8e0bc6213728c5140546040f0ee37f54",
            ),
        ];
        for (key, message, expected) in cases {
            let mut mac = Hmac::<Sha256>::new_from_slice(key).unwrap();
            mac.update(message);
            assert_eq!(hex::encode(mac.finalize().into_bytes()), expected);
        }
    }
}
