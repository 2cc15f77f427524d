//! Chances in words.

use super::phrases::number;

/// A chance from 0 to 1 in whole percent; what is not quite impossible or certain never reads so.
pub(crate) fn percent(chance: f64) -> String {
    if chance > 0.0 && chance < 0.005 {
        "under 1 %".to_owned()
    } else if (0.995..1.0).contains(&chance) {
        "over 99 %".to_owned()
    } else {
        format!("{:.0} %", (chance * 100.0).round())
    }
}

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
        assert_eq!(
            [0.0, 0.001, 0.005, 0.125, 0.9949, 0.9999, 1.0].map(percent),
            ["0 %", "under 1 %", "1 %", "13 %", "99 %", "over 99 %", "100 %"]
        );
        assert_eq!(times(0.31), "31 %");
        assert_eq!(times(1.0 / 43.0), "1 time in 43");
        assert_eq!(times(1.0 / 46656.0), "1 time in 46,656");
        assert_eq!(times(1e-30), "less than 1 time in 4,294,967,295");
    }
}
