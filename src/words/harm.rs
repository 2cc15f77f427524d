//! Harm from elsewhere and a test of nerve in words.

use super::Post;
use super::became::{apart_headline, losses, losses_alone, morale_test, nerve_after};
use super::phrases::{count, figures, kills_on, men, outcome};
use crate::protocol::{HarmHow, HarmRuling, HarmThrow, NerveRuling, Standing, ThrowPurpose};

/// Harm with its whole working.
pub(super) fn harm(ruling: &HarmRuling) -> Post {
    let mut post = harm_begun(ruling);
    working(&mut post, ruling);
    losses(&mut post, std::slice::from_ref(&ruling.target));
    nerve_after(&mut post, &ruling.target, ruling.morale.as_ref());
    post
}

/// Harm without its working.
pub(super) fn harm_story(ruling: &HarmRuling) -> Post {
    let mut post = harm_begun(ruling);
    losses_alone(&mut post, std::slice::from_ref(&ruling.target));
    post
}

/// What came of it, what it was and why.
fn harm_begun(ruling: &HarmRuling) -> Post {
    let target = &ruling.target;
    let mut post = Post::new(apart_headline(target, ruling.morale.as_ref()));
    let what = capitalised(&ThrowPurpose::Harm(&target.unit).label());
    post.line(0, format!("{what}: turn {}", ruling.turn));
    post.line(1, format!("Reason: {}", ruling.harm.reason));
    post
}

/// What was thrown, and what it comes to in figures.
fn working(post: &mut Post, ruling: &HarmRuling) {
    let target = &ruling.target;
    match &ruling.harm.how {
        HarmHow::Dice { dice, kills_on: least } => {
            let dice = count(*dice, "die", "dice");
            let excess = match target.excess {
                0 => String::new(),
                n => format!(", {n} more in excess count for nothing"),
            };
            let kills = count(target.lost, "kill", "kills");
            for HarmThrow { sides, faces } in &ruling.thrown {
                post.line(1, format!("{dice}, {}", kills_on(*least, *sides)));
                post.line(1, format!("thrown {}: {kills}{excess}", all(faces)));
            }
        }
        HarmHow::MenThrown(kinds) => {
            for (kind, throw) in kinds.iter().zip(&ruling.thrown) {
                let (faces, total) = (all(&throw.faces), throw.total());
                post.line(1, format!("{kind}: thrown {faces} = {total}"));
            }
            fallen(post, ruling);
        }
        HarmHow::Men(_) => fallen(post, ruling),
        HarmHow::Figures(_) => {}
    }
}

/// The men who fall, and what that is in figures.
fn fallen(post: &mut Post, ruling: &HarmRuling) {
    let target = &ruling.target;
    let lost = men(target.before.men - target.after.men);
    let all = if target.after.men == 0 { "all " } else { "" };
    let (was, is) = (figures(target.before.figures), figures(target.after.figures));
    post.line(1, format!("{all}{lost} fall: {was} before, {is} after"));
}

/// A test of nerve with its whole working.
pub(super) fn nerve(ruling: &NerveRuling) -> Post {
    let mut post = nerve_story(ruling);
    morale_test(&mut post, &ruling.morale);
    post
}

/// A test of nerve without its working.
pub(super) fn nerve_story(ruling: &NerveRuling) -> Post {
    let test = &ruling.morale;
    let before = if test.was_shaken { Standing::Shaken } else { Standing::Steady };
    let came = outcome(test.outcome, test.outcome.standing(before));
    let mut post = Post::new(format!("{}: {came}.", test.unit));
    let what = capitalised(&ThrowPurpose::Morale(&test.unit).label());
    post.line(0, format!("{what}: turn {}", ruling.turn));
    post.line(1, format!("Reason: {}", ruling.reason));
    post
}

fn all(faces: &[u32]) -> String {
    faces.iter().map(u32::to_string).collect::<Vec<_>>().join(" ")
}

/// A label as a line begins with it.
fn capitalised(label: &str) -> String {
    let mut letters = label.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
