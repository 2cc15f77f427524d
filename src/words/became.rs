//! What became of units: their losses, and tests of their morale.

use super::Post;
use super::phrases::{lost, outcome, strength, sum};
use crate::protocol::{MoraleTest, Outcome, Standing, UnitResult};

/// What became of one unit outside a melee's round.
pub(super) fn apart_headline(result: &UnitResult, test: Option<&MoraleTest>) -> String {
    let came = match test {
        _ if result.before == result.after => "no losses".to_owned(),
        None if result.outcome == Outcome::Stands => {
            format!("loses {}", lost(result.before, result.after))
        }
        _ => outcome(result.outcome, result.standing).to_owned(),
    };
    format!("{}: {came}.", result.unit)
}

/// The losses of those who had any.
pub(super) fn losses_alone(post: &mut Post, units: &[UnitResult]) {
    for result in units.iter().filter(|result| result.before != result.after) {
        post.line(1, format!("losses of {}", loss(result)));
    }
}

/// The losses of all.
pub(super) fn losses(post: &mut Post, units: &[UnitResult]) {
    post.line(0, "Losses");
    for result in units {
        post.line(1, loss(result));
    }
}

fn loss(result: &UnitResult) -> String {
    let gone = if result.before == result.after {
        "none".to_owned()
    } else {
        lost(result.before, result.after)
    };
    let left = match result.after.figures {
        0 => "nobody left".to_owned(),
        _ => format!("left {}", strength(result.after)),
    };
    format!("{}: {gone}; {left}", result.unit)
}

/// One unit's test outside a melee's round, or that it has no nerve left to test.
pub(super) fn nerve_after(post: &mut Post, result: &UnitResult, test: Option<&MoraleTest>) {
    match test {
        Some(test) => {
            post.line(0, "Morale");
            morale_test(post, test);
        }
        None if result.standing == Standing::Routing && result.lost > 0 => {
            post.line(0, "Morale: no test, it is routing already");
        }
        None => {}
    }
}

/// A test with its whole working.
pub(super) fn morale_test(post: &mut Post, test: &MoraleTest) {
    let needed = if test.was_shaken {
        format!("{} stands, less routs as it was shaken", test.stands_on)
    } else {
        format!("{} stands, {} falls back", test.stands_on, test.falls_back_on)
    };
    let came = match test.outcome {
        Outcome::Stands => "stands",
        Outcome::FallsBack => "falls back",
        Outcome::Routs | Outcome::Destroyed => "routs",
    };
    let sum = sum(&test.nerve);
    post.line(1, format!("{}: {sum} ({needed}): {came}", test.unit));
}
