//! The faces of one roll.

use crate::digest::Digest;
use hmac::{Hmac, KeyInit as _, Mac as _};
use sha2::Sha256;

/// The stream of faces that a link and a statement give: HMAC-SHA256 blocks (FIPS 198-1,
/// RFC 2104), cut into big-endian 32-bit words, without bias for any number of sides.
pub struct Stream {
    keyed: Hmac<Sha256>,
    next_block: u32,
    block: [u8; 32],
    used: usize,
}

impl Stream {
    /// The stream of `link` for `statement`, from its first word.
    pub fn new(link: &Digest, statement: &[u8]) -> Self {
        let mut keyed =
            Hmac::<Sha256>::new_from_slice(link.bytes()).expect("HMAC takes a key of any length");
        keyed.update(statement);
        Self { keyed, next_block: 0, block: [0; 32], used: 32 }
    }

    /// The next face of a die of `sides` sides, from 1 to `sides`.
    ///
    /// # Panics
    /// If `sides` is 0.
    pub fn face(&mut self, sides: u32) -> u32 {
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

    /// The next `dice` faces of dice of `sides` sides.
    pub fn faces(&mut self, dice: u32, sides: u32) -> Vec<u32> {
        (0..dice).map(|_| self.face(sides)).collect()
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
        let mut stream = Stream::new(&link.parse().unwrap(), b"x\n");
        assert_eq!(stream.faces(3, 100), [52, 17, 75]);
        assert_eq!(stream.faces(4, 20), [10, 6, 15, 2]);
        assert_eq!(stream.faces(2, 2), [1, 1]);
        assert_eq!(stream.faces(1, 1), [1]);
        assert_eq!(stream.faces(2, 1_000_000), [693_723, 349_060]);
    }

    /// Source: the test values of the protocol, docs/checking.md.
    #[test]
    fn the_uneven_tail_is_rejected() {
        let link = "630dcd2966c4336691125448bbb25b4ff412a49c732db2c8abc1b8581bd710dd";
        let mut stream = Stream::new(&link.parse().unwrap(), b"rejection\n");
        let expected =
            [24_397_221, 1_761_527_697, 1_268_849_883, 1_218_409_990, 2_619_141_794, 1_645_386_576];
        assert_eq!(stream.faces(6, 3_000_000_000), expected);
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
