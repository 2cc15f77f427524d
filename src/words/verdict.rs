//! What a check found, in words.

use super::Post;
use super::phrases::{count, list};
use crate::digest::Digest;
use crate::fair::check::{Difference, Holds};
use crate::protocol::Who;

/// Receipts that hold: the first, how many, how many of them were taken back, and the anchor.
pub fn dice_hold(first: Holds, rolls: u32, taken_back: u32, anchor: &str) -> Post {
    let many = rolls > 1;
    let rolls = count(rolls, "roll holds", "rolls hold");
    let mut post = Post::new(format!("{rolls}: links, statements and faces agree."));
    if taken_back > 0 {
        let rolls = count(taken_back, "roll was", "rolls were");
        post.line(0, format!("{rolls} announced and then taken back, so no dice were thrown."));
    }
    if first.before > 0 {
        post.line(
            0,
            format!(
                "The chain of roll {} began after roll {}. Check that roll too: its statement \
                 must announce this chain's anchor.",
                first.roll, first.before
            ),
        );
    } else if first.roll > 1 && many {
        post.line(0, format!("The receipts begin at roll {}, link {}.", first.roll, first.link));
    }
    post.line(0, format!("Compare the anchor with the one posted first: {anchor}"));
    post.line(0, "This checks the dice. To check the rulings too, check the battle's export.");
    post
}

/// A battle that holds, as a check found it.
#[derive(Debug, Clone, Copy)]
pub struct BattleHolds<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its events.
    pub events: u64,
    /// Which of them was given by its record.
    pub posted: Option<u64>,
    /// Its rolls.
    pub rolls: u32,
    /// How many of them were announced and taken back, by who took them back.
    pub taken_back: &'a [(Who, u32)],
    /// The rolls that were thrown and then taken back.
    pub undone: &'a [u32],
    /// The name of its rules and the SHA-256 of their file.
    pub rules: (&'a str, Digest),
    /// Whether those ship with this release under that name.
    pub shipped: bool,
    /// Its first anchor.
    pub anchor: Digest,
    /// Its last record.
    pub head: Digest,
}

/// A battle that holds.
pub fn battle_holds(battle: BattleHolds<'_>) -> Post {
    let BattleHolds { name, events, posted, .. } = battle;
    let rolls = count(battle.rolls, "roll", "rolls");
    let mut post = Post::new(format!(
        "{name} holds: {events} events, {rolls}, every roll ruled again with the same result."
    ));
    match posted {
        Some(seq) if seq == events => post.line(0, "It ends with the record you gave."),
        Some(seq) => post.line(
            0,
            format!(
                "The record you gave is event {seq} of {events}: up to there nothing was changed, \
                 and the battle went on."
            ),
        ),
        None => {}
    }
    if !battle.taken_back.is_empty() {
        post.line(0, taken_back(battle.taken_back));
    }
    if !battle.undone.is_empty() {
        post.line(0, undone(battle.undone));
    }
    let (rules, sha256) = battle.rules;
    post.line(0, format!("Rules {rules}, SHA-256 {sha256}"));
    post.line(
        1,
        if battle.shipped {
            "These are the rules that ship with this release under that name."
        } else {
            "No rules ship with this release under that name and SHA-256. Compare them with the \
             file your group agreed on."
        },
    );
    post.line(0, "Compare with what was posted:");
    post.line(1, format!("anchor {}", battle.anchor));
    post.line(1, format!("last record {}", battle.head));
    post
}

/// Who took back announced rolls, and how many.
fn taken_back(by: &[(Who, u32)]) -> String {
    let all = by.iter().map(|(_, rolls)| rolls).sum();
    let parts = by.iter().map(|(who, rolls)| match who {
        Who::Table => format!("{rolls} at the table"),
        Who::Referee => format!("{rolls} by the referee itself"),
        Who::Person(_) => format!("{rolls} by {who}"),
    });
    let rolls = count(all, "announced roll was", "announced rolls were");
    format!("{rolls} taken back before any dice were thrown: {}.", list(parts))
}

/// How many numbers of rolls are listed.
const LISTED: usize = 12;

/// Which rolls were taken back after their dice had been seen.
fn undone(rolls: &[u32]) -> String {
    let listed = rolls.iter().take(LISTED).map(u32::to_string);
    let more = rolls.len().saturating_sub(LISTED);
    let all = listed.chain((more > 0).then(|| format!("{more} more")));
    let were = count(u32::try_from(rolls.len()).unwrap_or(u32::MAX), "roll was", "rolls were");
    format!("{were} taken back after the dice had been seen: {}.", list(all))
}

/// What does not hold.
pub fn does_not_hold(difference: &Difference) -> Post {
    if difference.field == "end" && difference.found == "none" {
        return Post::new("The export is cut off: its last line is missing. Get the file again.");
    }
    let mut post = Post::new(match (difference.roll, difference.event) {
        (Some(roll), _) => format!("Roll {roll} does not hold."),
        (None, Some(event)) => format!("Event {event} does not hold."),
        (None, None) => "This does not hold.".to_owned(),
    });
    let places = [
        difference.roll.map(|roll| format!("roll {roll}")),
        difference.event.map(|event| format!("event {event}")),
        difference.line.map(|line| format!("line {line}")),
    ];
    let places: Vec<String> = places.into_iter().flatten().collect();
    if !places.is_empty() {
        post.line(1, places.join(", "));
    }
    post.line(1, format!("what: {}", difference.field));
    post.line(1, format!("expected: {}", difference.expected));
    post.line(1, format!("found: {}", difference.found));
    post
}
