//! Odds in words: always with the kind of number they are.

use super::Post;
use super::phrases::{figures, list, men, number};
use crate::odds::{
    Even, FinishOdds, Kind, MeleeOdds, RoundOdds, SECONDS_A_DIE, SECONDS_A_THROW, ScaleRow, Scales,
    SidesStand, UnitOdds,
};

/// The odds of one round and of the fight to the finish.
pub(super) fn odds(melees: &[MeleeOdds]) -> Post {
    let headline = |melee: &MeleeOdds| match &melee.finish {
        Ok(finish) => format!("To the finish: {}.", standing(finish.standing, &finish.sides)),
        Err(error) => error.to_string(),
    };
    let mut post = Post::new(melees.iter().map(headline).collect::<Vec<_>>().join(" "));
    for melee in melees {
        if let Ok(finish) = &melee.finish {
            to_the_finish(&mut post, finish);
        }
        one_round(&mut post, &melee.round);
    }
    post.line(0, "Nothing was thrown.");
    post
}

fn one_round(post: &mut Post, round: &RoundOdds) {
    let [asking, other] = &round.sides;
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
        "Nearest to an even fight with {met}: {}, {} of {}.",
        figures(strength.figures),
        men(strength.men),
        name.trim_start_matches("the ")
    ));
    post.line(1, standing(even.odds.standing, &even.odds.sides));
    to_the_finish(&mut post, &even.odds);
    post
}

/// The same armies at several figure scales.
pub(super) fn scales(scales: &Scales) -> Post {
    let allowed = percent(scales.share);
    let mut post = Post::new(format!(
        "The coarsest scale that misrepresents no unit by more than {allowed} is {}.",
        scales.coarsest
    ));
    let pairs = scales.pairs.iter().map(|[one, other]| format!("{one} against {other}"));
    post.line(0, format!("Fought to the finish: {}", list(pairs)));
    if !scales.unmatched.is_empty() {
        post.line(1, format!("without an opponent: {}", list(scales.unmatched.iter().cloned())));
    }
    for row in &scales.rows {
        scale_row(&mut post, row, &scales.favourite);
    }
    for scale in &scales.left_out {
        post.line(0, format!("{scale} is left out: it has too many figures to work out."));
    }
    lesson(&mut post, scales);
    post.line(
        0,
        format!("Time: {SECONDS_A_THROW:.0} seconds a throw and {SECONDS_A_DIE:.0} a die."),
    );
    post.line(0, "Nothing was thrown.");
    post
}

fn scale_row(post: &mut Post, row: &ScaleRow, favourite: &str) {
    post.line(0, format!("{}, {}", row.scale, kind(row.kind)));
    let minutes = if row.minutes < 1.5 {
        "about 1 minute".to_owned()
    } else {
        format!("about {:.0} minutes", row.minutes)
    };
    let dice = format!("{} dice a round", number(row.dice));
    post.line(1, format!("{}, {dice}, {minutes}", figures(row.figures)));
    let wins = format!("{favourite} wins {}", percent(row.favourite_wins));
    post.line(1, format!("{wins}, undecided {}", percent(row.undecided)));
    for lost in &row.losses {
        let (expected, spread) = (percent(lost.expected), percent(lost.deviation));
        post.line(1, format!("{} loses {expected} of its men (spread {spread})", lost.side));
    }
    let rounding = &row.rounding;
    if rounding.shown != rounding.men {
        let (shown, share) = (number(rounding.shown), off(rounding.share.abs()));
        let told = format!("{} stand for {shown}, {share} off", men(rounding.men));
        post.line(1, format!("most misrepresented: {}, {told}", rounding.unit));
    }
}

/// How far figures stand from men, in percent: that may be more than all of them.
fn off(share: f64) -> String {
    if share < 1.0 { percent(share) } else { format!("{:.0} %", 100.0 * share) }
}

/// What the coarsest scale costs and saves against the finest.
fn lesson(post: &mut Post, scales: &Scales) {
    let (Some(fine), Some(coarse)) = (scales.rows.first(), scales.rows.last()) else { return };
    if fine.scale == coarse.scale {
        return;
    }
    let spread = |row: &ScaleRow| percent(row.losses[0].deviation.max(row.losses[1].deviation));
    post.line(
        0,
        format!(
            "From {} to {}: {:.0} minutes become {:.0}, and the larger spread of losses goes from \
             {} to {}.",
            fine.scale,
            coarse.scale,
            fine.minutes,
            coarse.minutes,
            spread(fine),
            spread(coarse)
        ),
    );
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
    let (expected, deviation) = (losses.expected, losses.deviation);
    let lost =
        format!("loses {expected:.1} of {} (spread {deviation:.1})", figures(unit.before.figures));
    // Where every figure is a man, the figures have said it.
    if unit.before.men == unit.before.figures {
        return lost;
    }
    format!("{lost}, {:.0} men", losses.expected_men)
}

/// How a number was found.
pub(crate) fn kind(kind: Kind) -> String {
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
        assert_eq!([0.0625, 1.0, 2.0769].map(off), ["6.2 %", "100 %", "208 %"]);
        let found = [0.0, 1e-9, 0.4567, 0.99999, 1.0].map(percent);
        assert_eq!(found, ["0", "under 0.1", "45.7", "over 99.9", "100"].map(|n| format!("{n} %")));
    }
}
