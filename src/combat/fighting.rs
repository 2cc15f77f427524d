//! Who fights: how many figures of a unit take part, and how contacts share them.

use crate::protocol::{Scale, Unit};
use crate::rules::Rules;

/// The ranks that fight where a unit has a frontage: the second of long spears does so while it
/// is unshaken and on its own front.
pub fn ranks(rules: &Rules, unit: &Unit, on_own_front: bool) -> u32 {
    let spears = unit.long_spears && !unit.shaken() && on_own_front;
    if spears { rules.ranks.long_spears } else { rules.ranks.fighting }
}

/// The figures that shoot, of `figures` standing.
pub fn shooting(rules: &Rules, scale: Scale, unit: &Unit, figures: u32) -> u32 {
    front(unit.front(scale), figures, rules.ranks.shooting)
}

/// Whether a unit is so deep that it is massed: a frontage is set, and the last of the rules'
/// ranks holds at least one figure.
pub fn massed(rules: &Rules, scale: Scale, unit: &Unit) -> bool {
    unit.front(scale).is_some_and(|front| unit.now.figures.div_ceil(front) >= rules.ranks.massed)
}

/// The figures, of `figures` standing, in the first ranks of a front; all of them without one.
pub fn front(front: Option<u32>, figures: u32, ranks: u32) -> u32 {
    front.map_or(figures, |front| figures.min(front.saturating_mul(ranks)))
}

/// Shares `figures` among contacts in proportion to their `weights`, by largest remainder; equal
/// remainders go to the contact named first. Then each empty contact in turn takes one figure
/// from the fullest, of equals the last named.
pub fn share(figures: u32, weights: &[u32]) -> Vec<u32> {
    let all: u64 = weights.iter().map(|weight| u64::from(*weight)).sum();
    if all == 0 {
        return vec![0; weights.len()];
    }
    let part = |weight: &u32| u64::from(figures) * u64::from(*weight);
    let mut shares: Vec<u32> =
        weights.iter().map(|weight| u32::try_from(part(weight) / all).unwrap_or(0)).collect();
    let mut order: Vec<usize> = (0..weights.len()).collect();
    order.sort_by_key(|at| std::cmp::Reverse(part(&weights[*at]) % all));
    let over = figures - shares.iter().sum::<u32>();
    for at in order.into_iter().take(over as usize) {
        shares[at] += 1;
    }
    for at in 0..shares.len() {
        let fullest = (0..shares.len()).max_by_key(|at| shares[*at]).unwrap_or(at);
        if shares[at] == 0 && shares[fullest] > 1 {
            shares[fullest] -= 1;
            shares[at] = 1;
        }
    }
    shares
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn contacts_share_in_proportion_to_the_enemy() {
        for (figures, weights, shares) in [
            (7, vec![5], vec![7]),
            (7, vec![4, 4], vec![4, 3]),
            (7, vec![1, 1, 1], vec![3, 2, 2]),
            (10, vec![12, 4], vec![8, 2]),
            (8, vec![30, 1, 1], vec![6, 1, 1]),
            (1, vec![1, 5, 5], vec![0, 1, 0]),
            (4, vec![3, 0], vec![3, 1]),
            (0, vec![2, 2], vec![0, 0]),
            (3, vec![0, 0], vec![0, 0]),
        ] {
            assert_eq!(share(figures, &weights), shares, "{figures} among {weights:?}");
        }
    }
}
