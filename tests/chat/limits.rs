//! Nobody can fill the bot's hands: what is past a bound is refused at once, and others go on.

use super::group::{FORD, Group, IDA, ORM};
use super::standin::{Kind, Message};
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

/// Those of the interactions that have been turned away by now.
fn turned_away(group: &Group, asked: &[u64], most: usize) -> Vec<u64> {
    let said = too_many(most);
    let state = group.stand_in.world.state();
    let away = |id: &&u64| {
        let mine = |message: &&Message| message.interaction == Some(**id);
        let message = state.messages.iter().find(mine);
        message.is_some_and(|message| message.private && message.text().trim() == said)
    };
    asked.iter().filter(away).copied().collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn one_person_has_so_many_requests_in_hand_and_others_are_answered() {
    let group = Group::at_the_ford().await;
    group.fault("PATCH", "@original", Kind::Held, u32::try_from(2 * REQUESTS).unwrap());
    let asked: Vec<u64> =
        (0..2 * REQUESTS).map(|_| group.sends(FORD, IDA, "turn", &json!({}))).collect();
    let away = || turned_away(&group, &asked, REQUESTS);
    let granted = async || group.events(FORD).await.len() - 3;
    // What was granted is in the record and its posts are held; what was turned away changed nothing.
    group
        .until_so("each is granted or turned away", async || {
            granted().await + away().len() == asked.len()
        })
        .await;
    // Something that was asked before may have been in hand still.
    let granted = granted().await;
    assert!((REQUESTS - 2..=REQUESTS).contains(&granted), "{granted} were granted");
    let away = away();
    // Somebody else is answered meanwhile.
    let show = group.sends(FORD, ORM, "show", &json!({}));
    let answered = group.first_answer(show).await;
    assert_eq!(answered["type"], 5, "it is taken in hand: {answered}");
    // What has not been sent by now is not held any more.
    group.stand_in.world.state().faults.clear();
    group.stand_in.world.let_go();
    for id in asked.iter().filter(|id| !away.contains(id)) {
        assert!(group.hears(*id).await.posted().contains("begins."));
    }
    // They may ask again as soon as the last of these has been put down.
    loop {
        let id = group.sends(FORD, IDA, "turn", &json!({}));
        let posted = || {
            let state = group.stand_in.world.state();
            state.messages.iter().any(|post| post.interaction == Some(id) && post.edits > 0)
        };
        let turned_away = || !turned_away(&group, &[id], REQUESTS).is_empty();
        group.until("it is answered", || (posted() || turned_away()).then_some(())).await;
        if posted() {
            break;
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn one_person_has_so_much_worked_out_at_a_time() {
    let group = Group::gathered().await;
    group.posts(FORD, IDA, "open", json!({ "name": "Harrow Ford", "scale": 1 })).await;
    for (unit, side) in [("Ford Wardens", "Vale"), ("Banner Spears", "Grey Banner")] {
        let many = json!({ "unit": unit, "side": side, "class": "line foot", "men": 1000 });
        group.posts(FORD, IDA, "muster", many).await;
    }
    let units = json!({ "striker": "Ford Wardens", "struck": "Banner Spears" });
    for _ in 0..2 * LONG {
        group.sends(FORD, IDA, "odds", &units);
    }
    // Each of them takes seconds, so that those before are all still in hand.
    let said = too_many(LONG);
    group
        .until("the others are refused", || {
            let state = group.stand_in.world.state();
            let refused = |message: &&Message| message.private && message.text().trim() == said;
            (state.messages.iter().filter(refused).count() == LONG).then_some(())
        })
        .await;
    // What takes no time does not wait for them.
    assert!(group.told(FORD, IDA, "show", json!({})).await.starts_with("Harrow Ford: turn 1"));
    group.posts(FORD, IDA, "turn", json!({})).await;
}
