//! What a check found, in words.

use super::Post;
use super::phrases::count;
use crate::fair::check::{Difference, Holds};

/// Receipts that hold: the first, the last, and how many.
pub fn dice_hold(first: Holds, rolls: u32, link: &str) -> Post {
    let many = rolls > 1;
    let rolls = count(rolls, "roll holds", "rolls hold");
    let mut post = Post::new(format!("{rolls}: links, statements and faces agree."));
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
    post.line(0, format!("Compare the anchor with the one posted first: {link}"));
    post.line(0, "This checks the dice. To check the rulings too, check the battle's export.");
    post
}

/// A battle that holds: its name, its events and which of them was given by its record, its rolls,
/// its anchor and its last record.
pub fn battle_holds(
    name: &str,
    (events, posted): (u64, Option<u64>),
    rolls: u32,
    anchor: &str,
    head: &str,
) -> Post {
    let rolls = count(rolls, "roll", "rolls");
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
    post.line(0, "Compare with what was posted:");
    post.line(1, format!("anchor {anchor}"));
    post.line(1, format!("last record {head}"));
    post
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
