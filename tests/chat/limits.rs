//! Nobody can fill the bot's hands: what is past a bound is refused at once, and others go on.

use super::group::{FORD, Group, IDA, ORM};
use super::standin::Kind;
use serde_json::json;

/// What may be in hand of one person.
const REQUESTS: usize = 12;
/// What may be worked out for one person that takes long.
const LONG: usize = 3;

fn too_many(most: usize) -> String {
    format!(
        "You have {most} requests in hand, the most at a time. Wait for an answer, then ask again."
    )
}

#[tokio::test(flavor = "multi_thread")]
async fn one_person_has_so_many_requests_in_hand_and_others_are_answered() {
    let group = Group::at_the_ford().await;
    group.fault("PATCH", "@original", Kind::Held, u32::try_from(REQUESTS).unwrap());
    let held: Vec<u64> =
        (0..REQUESTS).map(|_| group.sends(FORD, IDA, "turn", &json!({}))).collect();
    group.until_more_events(FORD, 2 + REQUESTS).await;
    // Their posts are on their way; one more is refused at once and changes nothing.
    assert_eq!(group.told(FORD, IDA, "turn", json!({})).await, too_many(REQUESTS));
    assert_eq!(group.events(FORD).await.len(), 3 + REQUESTS);
    assert!(group.told(FORD, ORM, "show", json!({})).await.starts_with("Harrow Ford: turn 13"));
    group.stand_in.world.let_go();
    for id in held {
        assert!(group.hears(id).await.posted().contains("begins."));
    }
    group.posts(FORD, IDA, "turn", json!({})).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn one_person_has_so_much_worked_out_at_a_time() {
    let group = Group::gathered().await;
    group.posts(FORD, IDA, "open", json!({ "name": "Harrow Ford", "scale": 1 })).await;
    for (unit, side) in [("Ford Wardens", "Vale"), ("Banner Spears", "Grey Banner")] {
        let many = json!({ "unit": unit, "side": side, "class": "heavy foot", "men": 1000 });
        group.posts(FORD, IDA, "muster", many).await;
    }
    let units = json!({ "striker": "Ford Wardens", "struck": "Banner Spears" });
    for _ in 0..LONG {
        group.sends(FORD, IDA, "odds", &units);
    }
    // Each of them takes seconds, so that all are still in hand.
    assert_eq!(group.told(FORD, IDA, "odds", units.clone()).await, too_many(LONG));
    // What takes no time does not wait for them, nor does anybody else's ruling.
    assert!(group.told(FORD, IDA, "show", json!({})).await.starts_with("Harrow Ford: turn 1"));
    group.posts(FORD, IDA, "turn", json!({})).await;
}
