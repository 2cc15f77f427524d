//! Chances in words.

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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chances_read_well() {
        assert_eq!(
            [0.0, 0.001, 0.005, 0.125, 0.9949, 0.9999, 1.0].map(percent),
            ["0 %", "under 1 %", "1 %", "13 %", "99 %", "over 99 %", "100 %"]
        );
    }
}
