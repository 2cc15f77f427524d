//! Interactions of every kind, mangled: the bot answers or leaves them, and goes on.

use super::group::{FORD, Group, IDA};
use crate::fuzz::{change, changed};
use proptest::prelude::*;
use proptest::sample::Index;
use proptest::strategy::ValueTree as _;
use proptest::test_runner::TestRunner;
use serde_json::{Value, json};

/// Interactions that are sent.
const SENT: usize = 400;

/// One interaction of each kind that the platform sends: a command, a press, a form filled in, and
/// somebody who types.
fn kinds(group: &Group, press: &Value) -> Vec<Value> {
    let command = super::group::command(
        "melee",
        &json!({ "striker": "Ford Wardens", "struck": "Banner Spears", "charge": true }),
    );
    let field = json!({ "type": 4, "custom_id": "reason", "value": "the bank was forgotten" });
    let form = json!({
        "custom_id": press["custom_id"], "components": [{ "type": 1, "components": [field] }],
    });
    let mut typing = super::group::command("show", &json!({ "unit": "Ford" }));
    typing["options"][0]["options"][0]["focused"] = json!(true);
    [(2, &command), (3, press), (5, &form), (4, &typing)]
        .map(|(kind, data)| group.interaction(FORD, IDA, kind, data).1)
        .to_vec()
}

/// Something else in the place of some parts.
fn replaced(text: &str, nodes: &[(Index, Index)]) -> Value {
    let mut value: Value = serde_json::from_str(text).expect("it is JSON");
    for (node, other) in nodes {
        let others = [
            Value::Null,
            json!(true),
            json!(-1),
            json!(9_007_199_254_740_993_u64),
            json!(""),
            json!("x".repeat(7_000)),
            json!("\u{1b}[2J"),
            json!([]),
            json!({}),
        ];
        let mut places = Vec::new();
        pointers(&value, "", &mut places);
        if !places.is_empty() {
            let place = node.get(&places);
            *value.pointer_mut(place).expect("it is there") = other.get(&others).clone();
        }
    }
    value
}

/// Where each part of a value stands, but for the whole.
fn pointers(value: &Value, at: &str, places: &mut Vec<String>) {
    let parts: Vec<(String, &Value)> = match value {
        Value::Object(map) => map.iter().map(|(key, value)| (key.clone(), value)).collect(),
        Value::Array(list) => {
            list.iter().enumerate().map(|(n, value)| (n.to_string(), value)).collect()
        }
        _ => Vec::new(),
    };
    for (key, value) in parts {
        let place = format!("{at}/{key}");
        places.push(place.clone());
        pointers(value, &place, places);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn mangled_interactions_leave_the_bot_well_and_the_battle_whole() {
    let mut group = Group::at_the_ford().await;
    let id = group.sends(
        FORD,
        IDA,
        "melee",
        &json!({ "striker": "Ford Wardens", "struck": "Banner Spears" }),
    );
    let post = group.hears(id).await.post.expect("it is granted");
    let press = json!({ "component_type": 2, "custom_id": post.button("Undo") });
    let kinds: Vec<String> = kinds(&group, &press).iter().map(Value::to_string).collect();
    let mut runner = TestRunner::deterministic();
    let bytes = prop::collection::vec(change(), 1..4);
    let nodes = prop::collection::vec((any::<Index>(), any::<Index>()), 1..4);
    let mut sent = 0;
    for n in 0..SENT {
        let kind = &kinds[n % kinds.len()];
        // What is no JSON any more never gets past the gateway's library, so half are changed as
        // JSON and not as bytes.
        let mangled = if n % 8 < 4 {
            serde_json::from_str(&changed(kind, &bytes.new_tree(&mut runner).unwrap().current()))
                .ok()
        } else {
            Some(replaced(kind, &nodes.new_tree(&mut runner).unwrap().current()))
        };
        let Some(mangled) = mangled else { continue };
        group.dispatch(FORD, &mangled);
        sent += 1;
    }
    assert!(sent > SENT / 2, "only {sent} were JSON");
    // Whoever asks next is answered, and the battle holds.
    let told = group.posts(FORD, IDA, "turn", json!({})).await;
    assert!(told.contains(" begins."), "{told}");
    group.until_nothing_is_owed(FORD).await;
    // It ends what is in hand before it stops.
    let (_, well) = group.stop("-TERM");
    assert!(well, "{}", group.trace());
    let trace = group.trace();
    assert!(!trace.contains("panicked"), "{trace}");
    let record = group.record().await;
    record.is_sound().await.expect("the file is sound");
    let events = group.events(FORD).await;
    for pair in events.windows(2) {
        assert_eq!(pair[1].event.prev, pair[0].hash);
    }
}
