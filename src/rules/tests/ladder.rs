//! The ladder's arithmetic: which of two rates kills more, and which rung is nearest to a cell.

use super::*;
use std::cmp::Ordering;

/// Expected kills for a figure, in sixths: 3 for 2 on a 6 is 3/2, and so on.
#[test]
fn rates_compare_by_expected_kills_for_a_figure() {
    for (one, other, expected) in [
        (rate(1, 1, 6), rate(1, 1, 6), Ordering::Equal),
        (rate(2, 2, 5), rate(1, 1, 5), Ordering::Equal),
        (rate(2, 1, 6), rate(1, 1, 5), Ordering::Equal),
        (rate(2, 3, 6), rate(1, 1, 6), Ordering::Less),
        (rate(1, 1, 6), rate(2, 3, 6), Ordering::Greater),
        (rate(3, 2, 6), rate(1, 1, 6), Ordering::Greater),
        (rate(1, 1, 1), rate(1, 1, 2), Ordering::Greater),
    ] {
        assert_eq!(one.compare(other, 6), expected, "{one:?} and {other:?}");
    }
}

#[test]
fn the_ladder_tells_every_rung_lowest_first() {
    let rungs: Vec<(i32, Rate)> = six_sided().ladder.rungs().collect();
    let expected = [
        (-3, rate(1, 4, 6)),
        (-2, rate(1, 3, 6)),
        (-1, rate(1, 2, 6)),
        (0, rate(1, 1, 6)),
        (1, rate(1, 1, 5)),
        (2, rate(2, 1, 5)),
        (3, rate(2, 1, 4)),
    ];
    assert_eq!(rungs, expected);
}

/// In sixths for a figure the rungs are 1/4, 1/3, 1/2, 1, 2, 4 and 6.
#[test]
fn steps_go_from_the_rung_nearest_to_a_cell() {
    let ladder = six_sided().ladder;
    for (cell, nearest) in [
        (rate(1, 20, 6), -3),
        (rate(2, 7, 6), -3),
        (rate(7, 20, 6), -2),
        (rate(2, 5, 6), -2),
        // 5/12 is as near to 1/3 as to 1/2: the lower it is; and so with 3/2, with 3 and with 5.
        (rate(5, 12, 6), -2),
        (rate(3, 2, 6), 0),
        (rate(1, 1, 4), 1),
        (rate(5, 1, 6), 2),
        (rate(9, 20, 6), -1),
        (rate(2, 3, 6), -1),
        (rate(4, 5, 6), 0),
        (rate(11, 7, 6), 1),
        (rate(13, 4, 6), 2),
        (rate(3, 1, 5), 3),
        (rate(20, 1, 1), 3),
    ] {
        let base = Base::Cell { rate: cell, nearest };
        let given = Matchup { base, rung: None, rate: cell };
        assert_eq!(ladder.matchup_from_cell(cell, 0, 6), given);
        for steps in [-2, 1] {
            let rung = (nearest + steps).clamp(-3, 3);
            let rate = ladder.rungs().find(|(number, _)| *number == rung).unwrap().1;
            let moved = Matchup { base, rung: Some(rung), rate };
            assert_eq!(ladder.matchup_from_cell(cell, steps, 6), moved, "{cell:?} by {steps}");
        }
    }
}

#[test]
fn a_weapons_power_finds_its_rung_by_itself() {
    let ladder = six_sided().ladder;
    for (base, steps, rung, expected) in [
        (-1, 3, 2, rate(2, 1, 5)),
        (2, -3, -1, rate(1, 2, 6)),
        (-20, 3, -3, rate(1, 4, 6)),
        (3, 3, 3, rate(2, 1, 4)),
    ] {
        let expected = Matchup { base: Base::Rung(base), rung: Some(rung), rate: expected };
        assert_eq!(ladder.matchup_from_rung(base, steps), expected);
    }
}

/// Names are compared byte for byte: the gate has matched what people type before.
#[test]
fn classes_grades_and_weapons_are_found_by_their_exact_names() {
    let rules = six_sided();
    assert_eq!(rules.class("heavy foot").map(|class| class.weight), Some(Some(2)));
    assert_eq!(rules.grade("seasoned").map(|grade| grade.modifier), Some(2));
    assert_eq!(rules.weapon("heavy bows").map(|weapon| weapon.long), Some(Some(-1)));
    assert_eq!(rules.default_grade().name, "trained");
    assert_eq!((rules.class("Levy"), rules.grade(""), rules.weapon("Bows")), (None, None, None));
}
