//! Dice and kills of one throw.

use crate::rules::Rate;

/// Dice for `fighting` figures at a rate, rounded down.
pub const fn dice(rate: Rate, fighting: u32) -> u32 {
    fighting * rate.dice / rate.figures
}

/// How many faces kill.
pub fn kills(rate: Rate, faces: &[u32]) -> u32 {
    let count = faces.iter().filter(|face| **face >= rate.kills_on).count();
    u32::try_from(count).expect("a throw has few dice")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ten figures at 1 for 2 are five dice, eight at 1 for 3 two, three at 2 for 1 six: common
    /// practice, no source.
    #[test]
    fn dice_counts_agree_with_common_practice() {
        let rate = |dice, figures| Rate { dice, figures, kills_on: 6 };
        assert_eq!(dice(rate(1, 2), 10), 5);
        assert_eq!(dice(rate(1, 3), 8), 2);
        assert_eq!(dice(rate(2, 1), 3), 6);
    }

    #[test]
    fn every_face_from_kills_on_upward_kills() {
        let rate = Rate { dice: 1, figures: 1, kills_on: 5 };
        assert_eq!(kills(rate, &[1, 4, 5, 6, 6]), 3);
        assert_eq!(kills(rate, &[]), 0);
    }
}
