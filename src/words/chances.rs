//! Chances in words.

use super::odds::percent;

/// A chance from 0 to 1 in percent, with as many decimals as a rare one needs.
pub(crate) fn rare(chance: f64) -> String {
    let of_hundred = 100.0 * chance;
    if of_hundred >= 0.1 {
        return percent(chance);
    }
    if of_hundred < LEAST {
        return format!("under {LEAST:.6} %");
    }
    let mut decimals = 2;
    while of_hundred * 10_f64.powi(decimals) < 9.95 {
        decimals += 1;
    }
    format!("{of_hundred:.0$} %", usize::try_from(decimals).unwrap_or_default())
}

/// What is rarer than this is not told apart, in percent.
const LEAST: f64 = 0.000_001;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chances_read_well() {
        assert_eq!(rare(0.31), "31.0 %");
        assert_eq!(rare(1.0 / 43.0), "2.3 %");
        assert_eq!(rare(1.0 / 1001.0), "0.10 %");
        assert_eq!(rare(1.0 / 1296.0), "0.077 %");
        assert_eq!(rare(1.0 / 46656.0), "0.0021 %");
        assert_eq!(rare(1e-30), "under 0.000001 %");
    }
}
