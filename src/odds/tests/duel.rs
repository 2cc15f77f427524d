//! Single combat against the values of the rules.

use super::{field, near, pair};
use crate::combat::SingleCombat;
use crate::odds::duel_odds;
use crate::protocol::Leader;
use crate::rules::{Rules, SIX_SIDED};

/// The rules of these tests with single combat.
fn rules() -> Rules {
    let duel = "[duel]\nwound = 3\ntwo_wounds = 6\nrounds = 3\nnerve = -1\n";
    Rules::load("duel.toml", &format!("{SIX_SIDED}\n{duel}")).unwrap()
}

/// The table of "Single combat" in docs/rules.md, which was worked out without this program, by
/// going through the 1,296 cases of a round.
#[test]
fn the_odds_are_those_of_the_rules() {
    for (might, wounds, wins, rounds) in [
        ([1, 1], [1, 1], [0.500_000_000, 0.500_000_000], 2.090_322_581),
        ([1, 1], [2, 1], [0.693_548_387, 0.306_451_613], 2.899_479_709),
        ([2, 1], [1, 1], [0.678_627_145, 0.321_372_855], 2.021_840_874),
        ([3, 2], [2, 2], [0.750_686_840, 0.249_313_160], 4.055_870_434),
    ] {
        let mut units = pair(("heavy foot", 4), ("heavy foot", 4));
        for (at, name) in [(0, "Ida"), (1, "Orm")] {
            let (might, wounds) = (Some(might[at]), wounds[at] + 1);
            // One wound was taken before: what counts is what is left.
            units[at].leader = Some(Leader { might, wounds, taken: 1, ..Leader::new(name) });
        }
        let (rules, field) = (rules(), field(units));
        let leaders = ["Ida".to_owned(), "Orm".to_owned()];
        let odds = duel_odds(&rules, &SingleCombat::weighed(&rules, &field, &leaders).unwrap());
        for at in [0, 1] {
            near(odds.wins[at], wins[at], 1e-8);
        }
        near(odds.rounds, rounds, 1e-8);
    }
}
