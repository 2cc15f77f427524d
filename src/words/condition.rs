//! Conditions in words: what stands on what, what it does, until when.

use super::Post;
use super::phrases::{count, list, signed};
use crate::battle::{Battle, Hint};
use crate::protocol::{Condition, Reach};
use crate::rules::Effects;

/// What a condition does: `strike −1, nerve −1`.
pub(super) fn effects(effects: &Effects) -> String {
    let Effects { strike, struck, shoot, shot, nerve, dice, no_charge, no_shooting } = effects;
    let sums = [
        ("its throws", strike),
        ("throws at it", struck),
        ("its shooting", shoot),
        ("shooting at it", shot),
        ("nerve", nerve),
    ];
    let sums = sums.into_iter().filter(|(_, by)| **by != 0);
    list(
        sums.map(|(what, by)| format!("{what} {}", signed(*by)))
            .chain((*dice > 0).then(|| format!("{} more", count(*dice, "die", "dice"))))
            .chain(no_charge.then(|| "no charge".to_owned()))
            .chain(no_shooting.then(|| "no shooting".to_owned())),
    )
}

/// On what it stands.
fn on(on: &Reach) -> &str {
    match on {
        Reach::Unit(name) | Reach::Side(name) => name,
        Reach::Battle => "the whole battle",
    }
}

/// `weary (its throws −1, nerve −1) until turn 3 ends; set by person-1`.
pub(super) fn condition(condition: &Condition) -> String {
    let until = condition.until.map_or(String::new(), |turn| format!(" until turn {turn} ends"));
    let reason = condition.reason.as_ref().map_or(String::new(), |why| format!(": {why}"));
    let (name, does, by) = (&condition.name, effects(&condition.effects), condition.by);
    format!("{name} ({does}){until}{reason}; set by {by}")
}

/// The same, with on what it stands.
pub(super) fn condition_on(one: &Condition) -> String {
    format!("{}: {}", on(&one.on), condition(one))
}

/// The post of a condition that was set.
pub(super) fn set(set: &Condition) -> Post {
    let mut post = Post::new(format!("{} is on {}.", set.name, on(&set.on)));
    post.line(1, condition(set));
    post
}

/// The post of one that was lifted.
pub(super) fn lifted(name: &str, from: &Reach) -> Post {
    Post::new(format!("{name} is no longer on {}.", on(from)))
}

/// One line for a listing of the record.
pub(super) fn in_brief(name: &str, stands: &Reach, set: bool) -> String {
    let does = if set { "is on" } else { "is no longer on" };
    format!("{name} {does} {}", on(stands))
}

/// Every condition that stands.
pub(super) fn all(battle: &Battle) -> Post {
    let standing = &battle.field.conditions;
    if standing.is_empty() {
        let mut post = Post::new("No condition stands.");
        post.hint(0, "To set one", Hint::new("condition").word("name", "NAME"));
        return post;
    }
    let mut post = Post::new(
        count(u32::try_from(standing.len()).unwrap_or(0), "condition stands", "conditions stand")
            + ".",
    );
    for one in standing.iter() {
        post.line(1, condition_on(one));
    }
    post
}
