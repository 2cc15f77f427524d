//! Interactions of every kind, mangled: the bot answers or leaves them, and goes on.

use super::group::{FORD, Group, IDA};
use crate::fuzz::{change, changed};
use proptest::prelude::*;
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

#[tokio::test(flavor = "multi_thread")]
async fn mangled_interactions_leave_the_bot_well_and_the_battle_whole() {
    let group = Group::at_the_ford().await;
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
    let mut sent = 0;
    let changes = prop::collection::vec(change(), 1..4);
    for n in 0..SENT {
        let changes = changes.new_tree(&mut runner).expect("changes").current();
        // What is no JSON any more never gets past the gateway's library: it is only what reads as
        // JSON that reaches the program.
        let Ok(mangled) =
            serde_json::from_str::<Value>(&changed(&kinds[n % kinds.len()], &changes))
        else {
            continue;
        };
        group.dispatch(FORD, &mangled);
        sent += 1;
    }
    assert!(sent > SENT / 4, "only {sent} were still JSON");
    // Whoever asks next is answered, and the battle holds.
    let told = group.posts(FORD, IDA, "turn", json!({})).await;
    assert!(told.contains(" begins."), "{told}");
    let trace = group.trace();
    assert!(!trace.contains("panicked"), "{trace}");
    group.until_nothing_is_owed(FORD).await;
    let record = group.record().await;
    record.is_sound().await.expect("the file is sound");
    let events = group.events(FORD).await;
    for pair in events.windows(2) {
        assert_eq!(pair[1].event.prev, pair[0].hash);
    }
}
