//! Odds in words: always with the kind of number they are.

use super::Post;
use super::phrases::{figures, list, men, number};
use crate::odds::{Even, FinishOdds, Kind, OddsError, RoundOdds, SidesStand, UnitOdds};

/// The odds of one round and of the fight to the finish.
pub(super) fn odds(round: &RoundOdds, finish: &Result<FinishOdds, OddsError>) -> Post {
    let [asking, other] = &round.sides;
    let mut post = match finish {
        Ok(finish) => {
            let mut post =
                Post::new(format!("To the finish: {}.", standing(finish.standing, &finish.sides)));
            to_the_finish(&mut post, finish);
            post
        }
        Err(error) => Post::new(error.to_string()),
    };
    post.line(
        0,
        format!("Round {} of {asking} against {other}, {}", round.round, kind(round.kind)),
    );
    for unit in &round.units {
        post.line(1, format!("{}: {}", unit.unit, outcomes(unit)));
        post.line(2, losses(unit));
        if let Some(leader) = &unit.leader {
            post.line(2, format!("{} falls: {}", leader.leader, percent(leader.falls)));
        }
    }
    post.line(0, "Nothing was thrown.");
    post
}

fn to_the_finish(post: &mut Post, finish: &FinishOdds) {
    let rounds = finish.rounds.expected;
    post.line(
        0,
        format!("Fought on until it ends, {}: {rounds:.1} rounds expected", kind(finish.kind)),
    );
    for unit in &finish.units {
        post.line(1, format!("{}: {}", unit.unit, losses(unit)));
        if let Some(leader) = &unit.leader {
            post.line(2, format!("{} falls: {}", leader.leader, percent(leader.falls)));
        }
    }
}

/// The strength that makes an even fight.
pub(super) fn even(even: &Even, met: &str) -> Post {
    let (strength, name) = (even.strength, &even.unit);
    let mut post = Post::new(format!(
        "An even fight for {met}: {}, {} of {}.",
        figures(strength.figures),
        men(strength.men),
        name.trim_start_matches("any ")
    ));
    post.line(1, standing(even.odds.standing, &even.odds.sides));
    to_the_finish(&mut post, &even.odds);
    post
}

/// Who stands at the end, most telling first.
fn standing(standing: SidesStand, sides: &[String; 2]) -> String {
    let [asking, other] = sides;
    let both = (standing.both > 0.0).then(|| format!("both {}", percent(standing.both)));
    list(
        [
            Some(format!("{asking} alone stands {}", percent(standing.first_alone))),
            Some(format!("{other} alone {}", percent(standing.second_alone))),
            both,
            Some(format!("neither {}", percent(standing.neither))),
        ]
        .into_iter()
        .flatten(),
    )
}

fn outcomes(unit: &UnitOdds) -> String {
    let chances = &unit.outcomes;
    list([
        format!("stands {}", percent(chances.stands)),
        format!("falls back {}", percent(chances.falls_back)),
        format!("routs {}", percent(chances.routs)),
        format!("destroyed {}", percent(chances.destroyed)),
    ])
}

fn losses(unit: &UnitOdds) -> String {
    let losses = &unit.losses;
    format!(
        "loses {:.1} of {} (spread {:.1}), {:.0} men",
        losses.expected,
        figures(unit.before.figures),
        losses.deviation,
        losses.expected_men
    )
}

fn kind(kind: Kind) -> String {
    match kind {
        Kind::Exact => "exact".to_owned(),
        Kind::Simulated { samples, standard_error, .. } => format!(
            "simulated {} times, give or take {:.1} percentage points (one standard error)",
            number(samples),
            100.0 * standard_error
        ),
    }
}

/// A chance in percent with one decimal, never rounded to certainty.
pub(crate) fn percent(chance: f64) -> String {
    let percent = 100.0 * chance;
    let text = match percent {
        p if p <= 0.0 => "0".to_owned(),
        p if p < 0.05 => "under 0.1".to_owned(),
        p if p >= 100.0 => "100".to_owned(),
        p if p > 99.95 => "over 99.9".to_owned(),
        p => format!("{p:.1}"),
    };
    format!("{text} %")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chance_is_never_rounded_to_certainty() {
        let found = [0.0, 1e-9, 0.4567, 0.99999, 1.0].map(percent);
        assert_eq!(found, ["0", "under 0.1", "45.7", "over 99.9", "100"].map(|n| format!("{n} %")));
    }
}
