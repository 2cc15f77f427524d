//! Who fights: how many figures of a unit take part, and how contacts share them.

use crate::protocol::Unit;
use crate::rules::Rules;

/// The figures that fight, of `figures` standing: all of them, or the front ranks of a frontage.
pub fn fighting(rules: &Rules, unit: &Unit, figures: u32) -> u32 {
    let ranks = if unit.long_spears { rules.ranks.long_spears } else { rules.ranks.fighting };
    front(unit, figures, ranks)
}

/// The figures that shoot, of `figures` standing.
pub fn shooting(rules: &Rules, unit: &Unit, figures: u32) -> u32 {
    front(unit, figures, rules.ranks.shooting)
}

/// Whether a unit is so deep that it is massed: a frontage is set, and the last of the rules'
/// ranks holds at least one figure.
pub fn massed(rules: &Rules, unit: &Unit) -> bool {
    unit.frontage.is_some_and(|front| unit.now.figures.div_ceil(front) >= rules.ranks.massed)
}

/// The share of the contact in place `place` (from 0) among `contacts`: even, and what is left
/// over goes one each to those named first.
pub fn share(fighting: u32, contacts: u32, place: u32) -> u32 {
    fighting / contacts + u32::from(place < fighting % contacts)
}

fn front(unit: &Unit, figures: u32, ranks: u32) -> u32 {
    unit.frontage.map_or(figures, |front| figures.min(front.saturating_mul(ranks)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn contacts_share_evenly_and_the_first_named_take_what_is_left_over() {
        for (figures, contacts, shares) in [
            (7, 1, vec![7]),
            (7, 2, vec![4, 3]),
            (7, 3, vec![3, 2, 2]),
            (8, 3, vec![3, 3, 2]),
            (1, 3, vec![1, 0, 0]),
            (0, 2, vec![0, 0]),
        ] {
            let found: Vec<u32> =
                (0..contacts).map(|place| share(figures, contacts, place)).collect();
            assert_eq!(found, shares, "{figures} among {contacts}");
        }
    }
}
