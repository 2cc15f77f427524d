//! A ruling in words: what came of it first, then its whole working in order.

use super::became::{apart_headline, losses, losses_alone, morale_test, nerve_after};
use super::condition::condition_on;
use super::harm::{harm, harm_story, nerve, nerve_story};
use super::phrases::{
    count, does_not_count, list, outcome, rally_outcome, rate, signed, standing, steps, sum, wounds,
};
use super::{Post, duel};
use crate::protocol::{
    Circumstance, Cover, Fate, LeaderTest, MeleeRuling, Outcome, PlainThrow, QuickRuling,
    RallyRuling, Ruling, ShootingRuling, Shot, ShotRange, Strike, ThrowPurpose, UnitResult,
};
use crate::rules::Base;

pub(super) fn ruling(ruling: &Ruling) -> Post {
    match ruling {
        Ruling::Melee(melees) => one_post(melees, melee),
        Ruling::Shooting(ruling) => shooting(ruling),
        Ruling::Rally(ruling) => rally(ruling),
        Ruling::Duel(ruling) => duel::ruling(ruling),
        Ruling::Harm(ruling) => harm(ruling),
        Ruling::Nerve(ruling) => nerve(ruling),
        Ruling::Quick(ruling) => {
            let mut post = melee(&ruling.melee);
            post.line(0, nobody_changed(ruling));
            post
        }
        Ruling::Throw(throw) => plain(throw),
    }
}

/// A ruling without its working: what came of it, what it was, losses, leaders who fell.
pub(super) fn story(ruling: &Ruling) -> Post {
    match ruling {
        Ruling::Melee(melees) => one_post(melees, melee_story),
        Ruling::Shooting(ruling) => {
            let mut post = Post::new(apart_headline(&ruling.target, ruling.morale.as_ref()));
            post.line(0, shooting_title(ruling));
            for Shot { strike, .. } in &ruling.shots {
                let (by, at) = (&strike.by, &strike.at);
                post.line(1, ThrowPurpose::Shot { by, at }.label());
            }
            losses_alone(&mut post, std::slice::from_ref(&ruling.target));
            post
        }
        Ruling::Rally(ruling) => {
            let mut post = Post::new(rally_headline(ruling));
            post.line(0, rally_title(ruling));
            post
        }
        Ruling::Duel(ruling) => duel::story(ruling),
        Ruling::Harm(ruling) => harm_story(ruling),
        Ruling::Nerve(ruling) => nerve_story(ruling),
        Ruling::Quick(ruling) => {
            let mut post = melee_story(&ruling.melee);
            post.line(1, nobody_changed(ruling));
            post
        }
        Ruling::Throw(throw) => plain(throw),
    }
}

/// Several melees of one roll in one post, each after the other.
fn one_post(melees: &[MeleeRuling], post: impl Fn(&MeleeRuling) -> Post) -> Post {
    let posts: Vec<Post> = melees.iter().map(post).collect();
    let mut whole =
        Post::new(posts.iter().map(|post| post.headline.as_str()).collect::<Vec<_>>().join(" "));
    whole.lines = posts.into_iter().flat_map(|post| post.lines).collect();
    whole
}

fn melee_story(ruling: &MeleeRuling) -> Post {
    let mut post = Post::new(headline(&ruling.units));
    post.line(0, melee_title(ruling));
    losses_alone(&mut post, &ruling.units);
    for test in ruling.leaders.iter().filter(|test| test.fate != Fate::Unhurt) {
        post.line(1, leader(test));
    }
    post
}

fn nobody_changed(ruling: &QuickRuling) -> String {
    format!("A quick ruling at {}: nobody's units have changed.", ruling.scale)
}

fn melee_title(ruling: &MeleeRuling) -> String {
    let [asking, other] = &ruling.sides;
    let (turn, round) = (ruling.turn, ruling.round);
    let beyond = ruling.beyond.map_or(String::new(), |most| {
        format!("; its round {} of this turn, and the rules say {most}", ruling.this_turn)
    });
    format!("Melee of {asking} against {other}: turn {turn}, round {round}{beyond}")
}

fn melee(ruling: &MeleeRuling) -> Post {
    let mut post = Post::new(headline(&ruling.units));
    post.line(0, melee_title(ruling));
    for contact in &ruling.contacts {
        for strike in &contact.strikes {
            self::strike(&mut post, strike, &against(strike));
        }
    }
    losses(&mut post, &ruling.units);
    leaders(&mut post, &ruling.leaders);
    for one in &ruling.conditions {
        post.line(1, condition_on(one));
    }
    morale(&mut post, ruling);
    post
}

/// What each unit did: first those to whom something happened.
fn headline(units: &[UnitResult]) -> String {
    let said = |result: &UnitResult| {
        format!("{}: {}.", result.unit, outcome(result.outcome, result.standing))
    };
    let (stand, moved): (Vec<_>, Vec<_>) =
        units.iter().partition(|result| result.outcome == Outcome::Stands);
    moved.into_iter().chain(stand).map(said).collect::<Vec<_>>().join(" ")
}

fn against(strike: &Strike) -> String {
    format!("{} against {}", strike.by_class, strike.at_class)
}

/// The unmodified matchup: a rung, which steps may move or the ladder's end may hold, or a cell.
fn start(strike: &Strike, moved: bool) -> String {
    let matchup = &strike.matchup;
    match matchup.base {
        Base::Rung(base) => match matchup.rung {
            Some(rung) if !moved && rung == base => format!("rung {}", signed(rung)),
            Some(rung) if !moved => {
                format!("matchup {}, held at rung {}", signed(base), signed(rung))
            }
            _ => format!("matchup {}", signed(base)),
        },
        Base::Cell { .. } if matchup.rung.is_none() => "by the table".to_owned(),
        Base::Cell { rate, nearest } => {
            let rate = self::rate(rate, strike.sides);
            format!("by the table {rate}, nearest rung {}", signed(nearest))
        }
    }
}

/// Where its steps lead a throw.
fn reached(strike: &Strike) -> String {
    let moved: i32 = strike.circumstances.iter().map(Circumstance::step).sum();
    let start = match strike.matchup.base {
        Base::Rung(rung) | Base::Cell { nearest: rung, .. } => rung,
    };
    match strike.matchup.rung {
        Some(rung) if rung != start + moved => format!("held at rung {}", signed(rung)),
        Some(rung) => format!("rung {}", signed(rung)),
        None => "the table as given".to_owned(),
    }
}

fn strike(post: &mut Post, strike: &Strike, against: &str) {
    post.line(0, format!("{} at {}", strike.by, strike.at));
    let fight = if strike.fighting == 1 { "figure fights" } else { "figures fight" };
    let steps = steps(&strike.circumstances);
    let start = start(strike, steps.is_some());
    post.line(1, format!("{} {fight}, {against}: {start}", strike.fighting));
    if let Some(steps) = steps {
        post.line(1, format!("{steps}: {}", reached(strike)));
    }
    for circumstance in &strike.circumstances {
        if let Some(said) = does_not_count(circumstance) {
            post.line(1, said);
        }
    }
    let leader = match strike.leader_dice {
        0 => String::new(),
        n => format!(", {n} of them for the leader"),
    };
    let added = match strike.added_dice {
        0 => String::new(),
        n => format!(", {n} of them by conditions"),
    };
    let dice = count(strike.dice, "die", "dice");
    post.line(1, format!("{}: {dice}{leader}{added}", rate(strike.matchup.rate, strike.sides)));
    if strike.dice == 0 {
        return;
    }
    let faces = strike.faces.iter().map(u32::to_string).collect::<Vec<_>>().join(" ");
    let excess = match strike.excess {
        0 => String::new(),
        n => format!(", {n} more in excess count for nothing"),
    };
    post.line(1, format!("thrown {faces}: {}{excess}", count(strike.kills, "kill", "kills")));
}

fn leaders(post: &mut Post, tests: &[LeaderTest]) {
    if tests.is_empty() {
        return;
    }
    post.line(0, "Leaders at risk");
    for test in tests {
        post.line(1, leader(test));
    }
}

fn leader(test: &LeaderTest) -> String {
    let faces = test.faces.iter().map(u32::to_string).collect::<Vec<_>>().join(" + ");
    let came = match test.fate {
        Fate::Unhurt => "unhurt".to_owned(),
        Fate::Wounded => format!("wounded, {} left", wounds(test.left)),
        Fate::Falls => "he falls".to_owned(),
        Fate::Out => "he is out of the fight".to_owned(),
    };
    // Who can take more than one wound is hit before he falls.
    let comes = if test.left > 1 || test.fate == Fate::Wounded { "hit" } else { "falls" };
    format!(
        "{} of {}: thrown {faces} = {}, {comes} on {} or more: {came}",
        test.leader, test.unit, test.score, test.falls_on
    )
}

fn morale(post: &mut Post, ruling: &MeleeRuling) {
    let [asking, other] = &ruling.sides;
    let [ours, theirs] = ruling.presence;
    post.line(0, format!("Morale: presence {asking} {ours}, {other} {theirs}"));
    for test in &ruling.morale {
        morale_test(post, test);
    }
    let untested: Vec<String> = ruling
        .units
        .iter()
        .filter(|result| {
            result.outcome == Outcome::Stands
                && !ruling.morale.iter().any(|test| test.unit == result.unit)
        })
        .map(|result| result.unit.clone())
        .collect();
    if !untested.is_empty() {
        post.line(1, format!("no reason to test: {}", list(untested)));
    }
}

fn shooting_title(ruling: &ShootingRuling) -> String {
    let range = match ruling.shot.range {
        ShotRange::Short => "short",
        ShotRange::Long => "long",
    };
    let cover = match ruling.shot.cover {
        None => "",
        Some(Cover::Light) => ", target in light cover",
        Some(Cover::Works) => ", target behind works",
    };
    let mut weapons: Vec<&str> = Vec::new();
    for shot in &ruling.shots {
        if !weapons.contains(&shot.weapon.as_str()) {
            weapons.push(&shot.weapon);
        }
    }
    let (turn, weapons) = (ruling.turn, list(weapons.into_iter().map(str::to_owned)));
    format!("Shooting: turn {turn}, {weapons} at {range} range{cover}")
}

fn shooting(ruling: &ShootingRuling) -> Post {
    let target = &ruling.target;
    let mut post = Post::new(apart_headline(&ruling.target, ruling.morale.as_ref()));
    post.line(0, shooting_title(ruling));
    for shot in &ruling.shots {
        let (power, protection) = (signed(shot.power), ruling.protection);
        let against = format!("power {power} less protection {protection}");
        strike(&mut post, &shot.strike, &against);
    }
    losses(&mut post, std::slice::from_ref(target));
    nerve_after(&mut post, target, ruling.morale.as_ref());
    post
}

fn rally_headline(ruling: &RallyRuling) -> String {
    format!("{}: {}.", ruling.unit, rally_outcome(ruling.outcome))
}

fn rally_title(ruling: &RallyRuling) -> String {
    format!("Rally: turn {}, until now {}", ruling.turn, standing(ruling.before))
}

fn rally(ruling: &RallyRuling) -> Post {
    let mut post = Post::new(rally_headline(ruling));
    post.line(0, rally_title(ruling));
    let sum = sum(&ruling.nerve);
    post.line(1, format!("{sum}, needs {}", ruling.needed));
    post
}

fn plain(throw: &PlainThrow) -> Post {
    let purpose = throw.purpose.as_ref().map_or(String::new(), |purpose| format!("{purpose}: "));
    let asked = list(throw.dice.iter().map(ToString::to_string));
    let mut post = Post::new(format!("{purpose}{asked} = {}.", throw.total));
    for (dice, faces) in throw.dice.iter().zip(&throw.faces) {
        let faces = faces.iter().map(u32::to_string).collect::<Vec<_>>().join(" ");
        post.line(1, format!("{dice}: thrown {faces}"));
    }
    post
}
