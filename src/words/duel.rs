//! Single combat in words: its ruling, and its odds.

use super::Post;
use super::became::morale_test;
use super::condition::condition_on;
use super::odds::percent;
use super::phrases::wounds;
use crate::odds::DuelOdds;
use crate::protocol::{DuelEnd, DuelRound, DuelRuling, Duelist, Fate};

/// What came of it, and its whole working.
pub(super) fn ruling(ruling: &DuelRuling) -> Post {
    let mut post = story(ruling);
    for (number, round) in (1..).zip(&ruling.rounds) {
        post.line(1, self::round(number, round, &ruling.duelists));
    }
    for one in &ruling.conditions {
        post.line(1, condition_on(one));
    }
    if let Some(test) = &ruling.morale {
        post.line(0, "Morale");
        morale_test(&mut post, test);
    }
    post
}

/// What came of it, without its working.
pub(super) fn story(ruling: &DuelRuling) -> Post {
    let said = ruling.duelists.each_ref().map(came);
    let mut post = Post::new(said.join(" "));
    let [first, second] = &ruling.duelists;
    let to = match ruling.to {
        DuelEnd::Wound => "to the first wound".to_owned(),
        DuelEnd::Rounds => "for some rounds".to_owned(),
        DuelEnd::End => "to the end".to_owned(),
    };
    let (one, other, turn) = (&first.leader, &second.leader, ruling.turn);
    post.line(0, format!("Single combat of {one} against {other}: turn {turn}, {to}"));
    post
}

fn came(duelist: &Duelist) -> String {
    let name = &duelist.leader;
    match duelist.fate {
        Fate::Unhurt => format!("{name}: unhurt."),
        Fate::Wounded => format!("{name}: wounded, {} left.", wounds(duelist.left)),
        Fate::Falls => format!("{name}: falls."),
        Fate::Out => format!("{name}: out of the fight."),
    }
}

fn round(number: u32, round: &DuelRound, duelists: &[Duelist; 2]) -> String {
    let thrown = [0, 1].map(|at: usize| {
        let faces = round.faces[at].iter().map(u32::to_string).collect::<Vec<_>>().join(" + ");
        let Duelist { leader, might, .. } = &duelists[at];
        format!("{leader} {faces}, might {might} = {}", round.scores[at])
    });
    let hurt = (0..2).find(|at| round.wounds[*at] > 0);
    let came = hurt.map_or_else(
        || "nothing".to_owned(),
        |at| format!("{} takes {}", duelists[at].leader, wounds(round.wounds[at])),
    );
    format!("round {number}: {}; {}: {came}", thrown[0], thrown[1])
}

/// The odds of fighting on until one falls.
pub(super) fn odds(odds: &DuelOdds) -> Post {
    let [first, second] = &odds.leaders;
    let [ours, theirs] = odds.wins.map(percent);
    let mut post = Post::new(format!("Until one falls: {first} wins {ours}, {second} {theirs}."));
    let rounds = odds.rounds;
    post.line(
        0,
        format!("Single combat of {first} against {second}, exact: {rounds:.1} rounds expected"),
    );
    post.line(0, "Nothing was thrown.");
    post
}
