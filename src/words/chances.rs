//! Chances in words.

use super::odds::percent;
use super::phrases::number;

/// A chance from 0 to 1 as people feel it: in percent, and `1 time in 40` where it is rare.
pub(crate) fn times(chance: f64) -> String {
    if chance >= 0.095 {
        return percent(chance);
    }
    let most = f64::from(u32::MAX);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "it is in range")]
    let every = (1.0 / chance).round().min(most) as u32;
    let least = if 1.0 / chance > most { "less than " } else { "" };
    format!("{least}1 time in {}", number(every))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chances_read_well() {
        assert_eq!(times(0.31), "31.0 %");
        assert_eq!(times(1.0 / 43.0), "1 time in 43");
        assert_eq!(times(1.0 / 46656.0), "1 time in 46,656");
        assert_eq!(times(1e-30), "less than 1 time in 4,294,967,295");
    }
}
