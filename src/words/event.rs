//! An event of the record in words: what the referee answers to the request that made it.

use super::Post;
use super::condition;
use super::phrases::{
    figures, kind, leader, list, men, men_or_hits, number, off_by, standing, strength,
};
use super::ruling::{ruling, story as ruling_story};
use crate::battle::Hint;
use crate::digest::Digest;
use crate::fair::{Receipt, Statement};
use crate::protocol::{
    Appointee, Body, Recorded, Request, Ruling, Scale, Standing, Strength, ThrowPurpose, Unit,
};
use crate::protocol::{quote, request_line};

/// What the referee answers with this event; the same event always gives the same words.
///
/// Every post ends with the first digits of the event's hash: whoever saw it can tell later that
/// nothing before it was rewritten.
pub fn event(recorded: &Recorded) -> Post {
    let mut post = answer(recorded);
    let record = recorded.hash.short();
    post.disclosure = Some(match recorded.event.receipt() {
        Some(Receipt { roll, link, .. }) => {
            format!("Roll {roll} · link {link} · record {record} · check: proof {roll}")
        }
        None => format!("record {record}"),
    });
    post
}

/// The event as a battle's story tells it: of a ruling, what came of it, losses and the fallen,
/// without the working; of all else, what the referee answers.
pub fn story(recorded: &Recorded) -> Post {
    match &recorded.event.body {
        Body::Ruled { ruling, .. } => ruling_story(ruling),
        // A report has no requests to tell, and so nothing to go on with.
        Body::Closed => closed(),
        _ => answer(recorded),
    }
}

fn answer(recorded: &Recorded) -> Post {
    let mut post = answer_alone(&recorded.event.body, &recorded.event.request);
    if let Some(receipt) = recorded.event.receipt() {
        next_anchor(&mut post, receipt);
    }
    post
}

fn answer_alone(body: &Body, request: &Request) -> Post {
    match body {
        Body::Opened { name, scale, rules_name, rules, anchor, .. } => {
            opened(name, *scale, rules_name, *rules, *anchor)
        }
        Body::SideAdded { name } => Post::new(format!("{name} is a side of this battle.")),
        Body::Mustered { unit, scale } => mustered(unit, *scale),
        Body::Changed { before, after, scale } => changed(before, after, *scale),
        Body::Parted { pairs, reason } => {
            let pairs = pairs.iter().map(|[one, other]| format!("{one} and {other}"));
            Post::new(format!("Out of contact: {}. {reason}", list(pairs)))
        }
        Body::Reinforced { before, after, scale, reason } => {
            reinforced([before, after], *scale, reason)
        }
        Body::Dismissed { unit, freed } => {
            let freed = freed.as_ref().map(|leader| format!(" Its leader {leader} is free."));
            Post::new(format!("{unit} is off the list.{}", freed.unwrap_or_default()))
        }
        Body::Attached { .. } | Body::Detached { .. } | Body::Placed { .. } => {
            Post::new(format!("{}.", led(body)))
        }
        Body::Rescaled { from, to, units } => rescaled(*from, *to, units),
        Body::Announced { asking, casting } => announced(request, asking, casting),
        Body::Ruled { ruling: ruled } => ruling(ruled),
        Body::Turned { turn } => Post::new(format!("Turn {turn} begins.")),
        Body::WordGiven { word } => Post::new(format!(
            "The word of {} is “{}”. It goes into every roll from now on.",
            word.name, word.text
        )),
        Body::ConditionSet { condition } => condition::set(condition),
        Body::ConditionLifted { name, on } => condition::lifted(name, on),
        Body::Undone { roll, request, reason, .. } => undone(*roll, request, reason),
        Body::Appointed { who, side } => Post::new(office(*who, side.as_deref(), "is")),
        Body::Relieved { who, side } => Post::new(office(*who, side.as_deref(), "is no longer")),
        Body::Closed => {
            let mut post = closed();
            post.hint(0, "To go on with it", Hint::new("reopen").word("battle", "NAME"));
            post
        }
        Body::Reopened => Post::new("The battle is open again."),
    }
}

fn closed() -> Post {
    Post::new("The battle is closed.")
}

/// Says the next chain's anchor when the roll was its chain's last.
fn next_anchor(post: &mut Post, receipt: &Receipt) {
    if let Ok(Statement { next: Some(next), .. }) = Statement::parse(&receipt.statement) {
        post.line(0, format!("This chain of rolls is used up. Anchor of the next: {next}"));
    }
}

fn opened(name: &str, scale: Scale, rules_name: &str, rules: Digest, anchor: Digest) -> Post {
    let mut post = Post::new(format!("{name} is open at {scale}, under the rules {rules_name}."));
    post.line(0, format!("Rules file {rules_name}, SHA-256 {rules}"));
    post.line(0, format!("Anchor of the dice: {anchor}"));
    post.line(0, "Keep it: every roll leads back to it.");
    post
}

fn mustered(unit: &Unit, scale: Scale) -> Post {
    let mut post = Post::new(format!("{} musters for {}.", unit.name, unit.side));
    post.line(1, format!("{} at {scale}", strength(unit.now)));
    if let Some(off) = off_by(unit.muster, scale) {
        post.line(1, format!("over a tenth off: {off}"));
    }
    post.line(1, kind(unit, scale));
    post
}

fn changed(before: &Unit, after: &Unit, scale: Scale) -> Post {
    let mut post = Post::new(format!("{} is changed.", before.name));
    let mut say = |what: &str, was: &dyn ToString, is: &dyn ToString| {
        let (was, is) = (was.to_string(), is.to_string());
        if was != is {
            post.line(1, format!("{what}: {was}, now {is}"));
        }
    };
    let or_none = |value: &Option<String>| value.clone().unwrap_or_else(|| "none".to_owned());
    let front = |front: Option<u32>| front.map_or("none".to_owned(), figures);
    let yes = |yes: bool| if yes { "yes" } else { "no" };
    say("name", &before.name, &after.name);
    say("side", &before.side, &after.side);
    say("class", &before.class, &after.class);
    say("grade", &before.grade, &after.grade);
    say("strength at muster", &strength(before.muster), &strength(after.muster));
    say("strength", &strength(before.now), &strength(after.now));
    say("long spears", &yes(before.long_spears), &yes(after.long_spears));
    say("weapon", &or_none(&before.weapon), &or_none(&after.weapon));
    say("frontage", &front(before.front(scale)), &front(after.front(scale)));
    let led = |unit: &Unit| unit.leader.as_ref().map_or("none".to_owned(), leader);
    say("leader", &led(before), &led(after));
    say("standing", &standing(before.standing), &standing(after.standing));
    post
}

/// What became of a leader, without a full stop.
fn led(body: &Body) -> String {
    match body {
        Body::Attached { leader, unit, from: Some(from) } => {
            format!("{leader} leaves {from} and leads {unit}")
        }
        Body::Attached { leader, unit, from: None } => format!("{leader} leads {unit}"),
        Body::Detached { leader, unit } => format!("{leader} leaves {unit} and stands alone"),
        Body::Placed { leader, unit, back: true } => format!("{leader} of {unit} holds back"),
        Body::Placed { leader, unit, .. } => format!("{leader} of {unit} leads from the front"),
        _ => String::new(),
    }
}

fn reinforced([before, after]: [&Unit; 2], scale: Scale, reason: &str) -> Post {
    let more = men(after.muster.men - before.muster.men);
    let mut post = Post::new(format!("{} is reinforced by {more}.", before.name));
    let now = |is: Strength, was: Strength| format!("{}, now {}", strength(was), strength(is));
    post.line(1, format!("strength at muster: {}", now(after.muster, before.muster)));
    post.line(1, format!("strength: {}", now(after.now, before.now)));
    if let Some(off) = off_by(after.now, scale) {
        post.line(1, format!("over a tenth off: {off}"));
    }
    post.line(1, format!("Reason: {reason}"));
    post
}

fn rescaled(from: Scale, to: Scale, units: &[(String, u32, u32)]) -> Post {
    let mut post = Post::new(format!("The figure scale is {to}; it was {from}."));
    for (name, was, is) in units {
        let (was, is) = (number(*was), figures(*is));
        post.line(1, format!("{name}: {was}, now {is}"));
    }
    post
}

/// Who holds an office, or holds it no longer.
fn office(who: Appointee, side: Option<&str>, is: &str) -> String {
    match side {
        Some(side) => format!("{who} {is} a captain of {side}."),
        None => format!("{who} {is} a referee of this battle."),
    }
}

fn announced(request: &Request, asking: &str, casting: &str) -> Post {
    let mut post = Post::new(format!("{asking} has announced a roll."));
    post.line(1, request_line(request));
    post.hint(0, format!("{casting} casts it"), Hint::new("cast").word("text", "TEXT"));
    post.line(
        1,
        "The text is 8 to 80 characters of the caster's own. Together with the link it decides the dice.",
    );
    post
}

fn undone(roll: Option<u32>, request: &Request, reason: &str) -> Post {
    let mut post = Post::new(format!("Taken back: {}", request_line(request)));
    if let Some(roll) = roll {
        post.line(1, format!("Roll {roll} stays in the record, and its link stays spent."));
    }
    post.line(1, format!("Reason: {reason}"));
    post
}

/// An event in one line, for a listing of the record.
pub(super) fn in_brief(recorded: &Recorded) -> String {
    let event = &recorded.event;
    let what = match &event.body {
        Body::Opened { name, scale, .. } => format!("opened {name} at {scale}"),
        Body::SideAdded { name } => format!("side {name}"),
        Body::Mustered { unit, .. } => {
            format!("mustered {} for {}, {}", unit.name, unit.side, men_or_hits(unit.now))
        }
        Body::Changed { before, .. } => format!("changed {}", before.name),
        Body::Parted { pairs, .. } => {
            let pairs = pairs.iter().map(|[one, other]| format!("{one} and {other}"));
            format!("out of contact: {}", list(pairs))
        }
        Body::Reinforced { before, after, reason, .. } => {
            let more = men(after.muster.men - before.muster.men);
            format!("reinforced {} by {more}: {reason}", before.name)
        }
        Body::Dismissed { unit, .. } => format!("dismissed {unit}"),
        body @ (Body::Attached { .. } | Body::Detached { .. } | Body::Placed { .. }) => led(body),
        Body::Rescaled { from, to, .. } => format!("rescaled from {from} to {to}"),
        Body::Announced { asking, casting, .. } => {
            format!("{asking} announced a roll, waiting for {casting}")
        }
        Body::Ruled { ruling: ruled } => {
            let roll = event.receipt().map(|receipt| format!("roll {}: ", receipt.roll));
            format!("{}{}{}", roll.unwrap_or_default(), what_for(ruled), ruling(ruled).headline)
        }
        Body::Turned { turn } => format!("turn {turn}"),
        Body::ConditionSet { condition: set } => condition::in_brief(&set.name, &set.on, true),
        Body::ConditionLifted { name, on } => condition::in_brief(name, on, false),
        Body::WordGiven { word } => format!("word of {}: {}", word.name, quote(&word.text)),
        Body::Undone { seq, roll: Some(roll), reason, .. } => {
            format!("took back {seq}, roll {roll}: {reason}")
        }
        Body::Undone { seq, reason, .. } => format!("took back {seq}: {reason}"),
        Body::Appointed { who, side } => office(*who, side.as_deref(), "is"),
        Body::Relieved { who, side } => office(*who, side.as_deref(), "is no longer"),
        Body::Closed => "closed".to_owned(),
        Body::Reopened => "reopened".to_owned(),
    };
    format!("{} · {what}", event.seq)
}

/// What a ruling was for, where its headline does not say it.
fn what_for(ruling: &Ruling) -> String {
    match ruling {
        Ruling::Shooting(shooting) => {
            let by = list(shooting.shots.iter().map(|shot| shot.strike.by.clone()));
            let shot = ThrowPurpose::Shot { by: &by, at: &shooting.target.unit };
            format!("{}. ", shot.label())
        }
        Ruling::Harm(harm) => {
            let label = ThrowPurpose::Harm(&harm.target.unit).label();
            format!("{label} ({}). ", harm.harm.reason)
        }
        Ruling::Nerve(nerve) => {
            let label = ThrowPurpose::Morale(&nerve.morale.unit).label();
            format!("{label} ({}). ", nerve.reason)
        }
        Ruling::Melee(_)
        | Ruling::Rally(_)
        | Ruling::Duel(_)
        | Ruling::Quick(_)
        | Ruling::Throw(_) => String::new(),
    }
}

/// How a unit stands, with its contacts.
pub(super) fn posture(unit: &Unit, opponents: &[&str]) -> String {
    let contact =
        (!opponents.is_empty()).then(|| format!("in contact with {}", opponents.join(", ")));
    let rallied = (unit.rallied && unit.standing == Standing::Shaken)
        .then(|| "tried to rally this turn".to_owned());
    list([Some(standing(unit.standing).to_owned()), contact, rallied].into_iter().flatten())
}
