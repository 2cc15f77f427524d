//! Figure scale: how many men one figure stands for.

use serde::{Deserialize, Serialize};
use std::fmt;

/// A figure scale `1:N`, N from 1 to 1,000.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "u32", into = "u32")]
pub struct Scale(u32);

/// Men, and the figures that stand for them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Strength {
    /// Men.
    pub men: u32,
    /// Figures.
    pub figures: u32,
}

/// A width on the ground, in men abreast: it stays as wide whatever the figure scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Abreast(u32);

impl Abreast {
    /// So many figures abreast at a scale.
    pub const fn of(figures: u32, scale: Scale) -> Self {
        Self(figures.saturating_mul(scale.0))
    }

    /// The figures that stand abreast in it at a scale: at least 1.
    ///
    /// ```
    /// use drumhead::protocol::{Abreast, Scale};
    /// let [coarse, fine] = [20, 5].map(|men| Scale::new(men).unwrap());
    /// let front = Abreast::of(7, fine);
    /// assert_eq!(front.figures(coarse), 2);
    /// assert_eq!(front.figures(fine), 7);
    /// ```
    pub const fn figures(self, scale: Scale) -> u32 {
        let figures = (2 * self.0 + scale.0) / (2 * scale.0);
        if figures == 0 { 1 } else { figures }
    }
}

impl Scale {
    /// The coarsest scale, 1:1,000.
    pub const COARSEST: u32 = 1000;

    /// The scale `1:men`; none if `men` is 0 or over [`Scale::COARSEST`].
    pub const fn new(men: u32) -> Option<Self> {
        if men >= 1 && men <= Self::COARSEST { Some(Self(men)) } else { None }
    }

    /// The men that one figure stands for.
    pub const fn men(self) -> u32 {
        self.0
    }

    /// The figures that stand for `men`: men / N rounded half up.
    ///
    /// ```
    /// use drumhead::protocol::Scale;
    /// let scale = Scale::new(20).unwrap();
    /// assert_eq!(scale.figures(70), 4);
    /// assert_eq!(scale.figures(3), 0);
    /// ```
    pub const fn figures(self, men: u32) -> u32 {
        (2 * men + self.0) / (2 * self.0)
    }

    /// What is left after `lost` figures: each takes N men with it, the last takes all that remain.
    ///
    /// Figures lost past the strength count for nothing.
    pub const fn after(self, strength: Strength, lost: u32) -> Strength {
        let figures = strength.figures.saturating_sub(lost);
        let men =
            if figures == 0 { 0 } else { strength.men.saturating_sub(lost.saturating_mul(self.0)) };
        Strength { men, figures }
    }
}

impl fmt::Display for Scale {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "1:{}", self.0)
    }
}

impl TryFrom<u32> for Scale {
    type Error = String;

    fn try_from(men: u32) -> Result<Self, String> {
        Self::new(men).ok_or_else(|| format!("1:{men} is not a figure scale"))
    }
}

impl From<Scale> for u32 {
    fn from(scale: Scale) -> Self {
        scale.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn losses(scale: u32, men: u32) -> Vec<u32> {
        let scale = Scale::new(scale).unwrap();
        let mut strength = Strength { men, figures: scale.figures(men) };
        let mut left = vec![strength.men];
        while strength.figures > 0 {
            strength = scale.after(strength, 1);
            left.push(strength.men);
        }
        left
    }

    /// Men and figures at 1:20 and 1:1: common practice, no source.
    #[test]
    fn conversions_agree_with_common_practice() {
        let scale = Scale::new(20).unwrap();
        for (men, figures) in [(60, 3), (80, 4), (120, 6), (160, 8), (240, 12)] {
            assert_eq!(scale.figures(men), figures, "{men} men");
        }
        assert!((0..500).all(|men| Scale::new(1).unwrap().figures(men) == men));
    }

    #[test]
    fn halves_round_up_and_the_last_figure_takes_what_remains() {
        assert_eq!(losses(20, 65), [65, 45, 25, 0]);
        assert_eq!(losses(20, 70), [70, 50, 30, 10, 0]);
        assert_eq!(losses(20, 9), [9], "which is refused at muster");
        assert_eq!(losses(5, 12), [12, 7, 0], "2.4 figures are 2");
        assert_eq!(losses(5, 13), [13, 8, 3, 0], "2.6 figures are 3");
    }

    /// The definition itself, in exact arithmetic: the nearest whole number, halves upward.
    #[test]
    fn every_small_case_is_the_nearest_whole_number() {
        for n in 1..=60 {
            for men in 1..=600_u32 {
                let nearest = (2 * men + n) / (2 * n);
                assert_eq!(Scale::new(n).unwrap().figures(men), nearest, "{men} at 1:{n}");
                let left = losses(n, men);
                assert!(left.windows(2).all(|pair| pair[1] < pair[0]), "{men} at 1:{n}: {left:?}");
            }
        }
    }
}
