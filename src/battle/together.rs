//! Figures beside those of a side's other units: of rounding, splitting a unit gains nothing.

use super::{Field, Mistake};
use crate::protocol::{Scale, Strength, Unit};

/// The most figures a unit has.
pub(super) const FIGURES: u32 = 1000;
/// The most men a unit has.
pub(super) const MEN: u32 = 100_000;

/// What `men` of a unit come to beside the others of its side and class.
///
/// The unit stands on the field as `before`, if it does. Whoever has no figure is told that a unit
/// needs `least`.
pub(super) fn strength(
    field: &Field,
    before: &Unit,
    unit: &Unit,
    (men, least): (u32, u32),
    of: impl Fn(&Unit) -> Strength,
) -> Result<Strength, Mistake> {
    if !(1..=MEN).contains(&men) {
        return Err(Mistake::Men(men));
    }
    let scale = field.scale;
    let figures = scale.figures(men);
    if figures > FIGURES {
        return Err(Mistake::TooManyFigures { men, figures, scale });
    }
    match figures_beside(field, before, unit, men, of) {
        0 => Err(Mistake::TooFew { men, figures: 0, least, scale }),
        figures => Ok(Strength { men, figures }),
    }
}

/// The same in figures alone, which may be none.
///
/// The figures of a side's class never exceed its men of that class / N, rounded half up.
pub(super) fn figures_beside(
    field: &Field,
    before: &Unit,
    unit: &Unit,
    men: u32,
    of: impl Fn(&Unit) -> Strength,
) -> u32 {
    let others = field
        .units
        .iter()
        .filter(|other| other.name != before.name && counted_together(other, unit));
    let beside = others.map(|other| of(other)).fold(Together::default(), Together::and);
    beside.figures_of(men, field.scale)
}

/// Whether two units' figures are rounded together.
pub(super) fn counted_together(one: &Unit, other: &Unit) -> bool {
    one.side == other.side && one.class == other.class && !one.single && !other.single
}

/// Men and figures of a side's class, so far.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Together {
    men: u32,
    figures: u32,
}

impl Together {
    /// And those of one more unit.
    pub fn and(self, strength: Strength) -> Self {
        Self { men: self.men + strength.men, figures: self.figures + strength.figures }
    }

    /// The figures of `men` more.
    pub fn figures_of(self, men: u32, scale: Scale) -> u32 {
        let left = scale.figures(self.men + men).saturating_sub(self.figures);
        scale.figures(men).min(left)
    }
}
