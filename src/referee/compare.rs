//! What an event says held against what it should say, down to the first part that differs.

use super::decision::Decision;
use crate::battle::FoldError;
use crate::fair::check::Difference;
use crate::protocol::{Body, Recorded, Roll};
use serde_json::Value;
use std::collections::BTreeSet;

/// Compares what an event says with what it should say, part by part.
pub(super) fn same_decision(expected: &Decision, recorded: &Recorded) -> Result<(), Difference> {
    let event = &recorded.event;
    if expected.body == event.body && expected.roll == event.roll {
        return Ok(());
    }
    let value = |body: &Body, roll: &Option<Roll>| {
        let mut value = serde_json::to_value(body).unwrap_or(Value::Null);
        if let (Some(roll), Value::Object(parts)) = (roll, &mut value) {
            parts.insert("roll".to_owned(), serde_json::to_value(roll).unwrap_or(Value::Null));
        }
        value
    };
    let (expected, found) =
        (value(&expected.body, &expected.roll), value(&event.body, &event.roll));
    let (field, expected, found) = first_difference("", &expected, &found)
        .unwrap_or_else(|| ("body".to_owned(), "the same".to_owned(), "another".to_owned()));
    Err(Difference::new(&field, &expected, &found))
}

/// The path to the first part in which two values differ, and both parts.
fn first_difference(
    path: &str,
    expected: &Value,
    found: &Value,
) -> Option<(String, String, String)> {
    let join =
        |part: &str| if path.is_empty() { part.to_owned() } else { format!("{path}.{part}") };
    match (expected, found) {
        _ if expected == found => None,
        (Value::Object(a), Value::Object(b)) => {
            let keys: BTreeSet<&String> = a.keys().chain(b.keys()).collect();
            keys.into_iter().find_map(|key| match (a.get(key), b.get(key)) {
                (Some(a), Some(b)) => first_difference(&join(key), a, b),
                (a, b) => Some((join(key), brief(a), brief(b))),
            })
        }
        (Value::Array(a), Value::Array(b)) if a.len() == b.len() => (1..)
            .zip(a.iter().zip(b))
            .find_map(|(n, (a, b))| first_difference(&join(&n.to_string()), a, b)),
        _ => {
            let field = if path.is_empty() { "body" } else { path };
            Some((field.to_owned(), brief(Some(expected)), brief(Some(found))))
        }
    }
}

/// A value in at most 80 characters.
fn brief(value: Option<&Value>) -> String {
    const MOST: usize = 80;
    let Some(value) = value else { return "nothing".to_owned() };
    let text = value.to_string();
    let short: String = text.chars().take(MOST).collect();
    if short.len() < text.len() { short + "…" } else { short }
}

/// What stands in the way of an event that does not follow.
pub(super) fn of_fold(error: &FoldError) -> Difference {
    match error {
        FoldError::Number { expected, found } => {
            Difference::new("number of the event", expected, found)
        }
        FoldError::Hash { expected, found, .. } => {
            Difference::new("SHA-256 of the event before", expected, found)
        }
        FoldError::Roll { expected, found, .. } => {
            Difference::new("number of the roll", expected, found)
        }
        FoldError::NextAnchor(_) => Difference::new(
            "next_anchor",
            &"an anchor with the last link of a chain, and with no other",
            &"otherwise",
        ),
        FoldError::NotOpened => Difference::new("body", &"an opening", &"another event"),
        FoldError::OtherBattle(_) => Difference::new("battle", &"this battle", &"another one"),
        FoldError::Undo(_) => Difference::new("undone", &"the latest change", &"another event"),
    }
}
