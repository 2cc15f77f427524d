//! The bot dies and comes back: what was committed is posted, once.

use super::group::{FORD, Group, IDA, MILL, place};
use super::standin::{Kind, Message};
use serde_json::{Value, json};
use std::collections::HashMap;
use std::time::Duration;

fn melee() -> Value {
    json!({ "striker": "Ford Wardens", "struck": "Banner Spears" })
}

/// Kills the bot after it has committed a melee and before its post has arrived.
async fn killed_between(group: &mut Group) -> u64 {
    let before = group.events(FORD).await.len();
    group.fault("PATCH", "@original", Kind::Status(500), 1000);
    let id = group.sends(FORD, IDA, "melee", &melee());
    group.until_more_events(FORD, before).await;
    group.kill();
    group.stand_in.world.state().faults.clear();
    assert_eq!(group.owed(FORD).await, 1, "committed and not posted");
    id
}

fn rolls(group: &Group) -> usize {
    group.channel(FORD).iter().filter(|post| post.text().contains("Roll 1 · link")).count()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_post_cut_short_appears_where_it_was_asked_while_the_token_answers() {
    let mut group = Group::at_the_ford().await;
    let id = killed_between(&mut group).await;
    group.start().await;
    let heard = group.hears(id).await;
    assert!(heard.posted().contains("Roll 1 · link"));
    group.until_nothing_is_owed(FORD).await;
    assert_eq!(rolls(&group), 1);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_post_cut_short_goes_to_the_channel_once_the_token_has_expired() {
    let mut group = Group::at_the_ford().await;
    let id = killed_between(&mut group).await;
    group.stand_in.world.state().interactions.get_mut(&id).unwrap().expired = true;
    group.start().await;
    group.until_nothing_is_owed(FORD).await;
    assert_eq!(rolls(&group), 1);
}

/// The post arrived and the bot died before it could mark it: it is found, and not posted again.
#[tokio::test(flavor = "multi_thread")]
async fn a_post_that_arrived_is_found_and_not_posted_again() {
    let mut group = Group::at_the_ford().await;
    let id = group.sends(FORD, IDA, "melee", &melee());
    group.hears(id).await;
    group.until_nothing_is_owed(FORD).await;
    group.kill();
    // What the record would hold if the mark had not been written.
    let event = group.events(FORD).await.pop().unwrap();
    owe(&group, &event.event.battle, event.event.seq, id).await;
    group.stand_in.world.state().interactions.get_mut(&id).unwrap().expired = true;
    // Others have talked since, and before the post came: more than the platform tells at once.
    group.stand_in.world.chatter(FORD, 250);
    group.start().await;
    group.until_nothing_is_owed(FORD).await;
    assert_eq!(rolls(&group), 1);
}

/// Puts a post back among those owed, as if it had never been marked.
async fn owe(group: &Group, battle: &str, seq: u64, id: u64) {
    use sqlx::Connection as _;
    let via = json!({
        "id": id, "application": super::standin::APPLICATION, "channel": FORD,
        "token": format!("interaction-token-{id}"),
    });
    let file = group.record_file();
    let mut connection =
        sqlx::SqliteConnection::connect(&format!("sqlite:{}", file.display())).await.unwrap();
    let owed = "INSERT INTO owed (battle, seq, place, platform, server, route) \
        VALUES ($1, $2, $3, $4, $5, $6)";
    let place = place(FORD);
    sqlx::query(owed)
        .bind(battle)
        .bind(seq.cast_signed())
        .bind(place.to_string())
        .bind(place.platform())
        .bind(place.server().map(u64::cast_signed))
        .bind(via.to_string())
        .execute(&mut connection)
        .await
        .unwrap();
    connection.close().await.unwrap();
}

/// The bot dies between the acknowledgement and the ruling: whoever asked is told so in its place.
#[tokio::test(flavor = "multi_thread")]
async fn whoever_was_left_waiting_is_told_that_nothing_was_ruled() {
    let mut group = Group::at_the_ford().await;
    let before = group.events(FORD).await.len();
    group.fault("POST", "/callback", Kind::Late(60_000), 3);
    let asked = [(FORD, "melee", melee()), (MILL, "turn", json!({}))];
    let ids: Vec<u64> =
        asked.iter().map(|(at, ask, how)| group.sends(*at, IDA, ask, how)).collect();
    // A third's token has run out meanwhile.
    let late = group.sends(FORD, IDA, "turn", &json!({}));
    group.until_waiting(3).await;
    group.kill();
    group.stand_in.world.state().interactions.get_mut(&late).unwrap().expired = true;
    group.start().await;
    for id in ids {
        let said = group
            .until("they are told", || {
                let state = group.stand_in.world.state();
                let told = state.messages.iter().find(|message| message.interaction == Some(id));
                told.filter(|message| message.edits > 0).map(Message::text)
            })
            .await;
        assert_eq!(
            said.trim(),
            "The bot stopped before it could answer this, so nothing was ruled and nothing was \
             thrown. Ask again."
        );
    }
    group.until_waiting(0).await;
    assert_eq!(group.events(FORD).await.len(), before, "nothing was ruled");
    // Whoever is answered waits no more, whatever the answer was.
    group.posts(FORD, IDA, "melee", melee()).await;
    group.told(FORD, IDA, "show", json!({})).await;
    group.told(MILL, IDA, "turn", json!({})).await;
    group.until_waiting(0).await;
}

/// The same where nothing was to change: odds that are worked out, an export whose answer does not
/// arrive, and a receipt asked for with a button.
#[tokio::test(flavor = "multi_thread")]
async fn whoever_was_left_waiting_for_a_look_is_told_to_ask_again() {
    let mut group = Group::at_the_ford().await;
    let id = group.sends(FORD, IDA, "melee", &melee());
    group.hears(id).await;
    group.until_nothing_is_owed(FORD).await;
    let post = group.channel(FORD).pop().expect("the melee is posted");
    group.fault("POST", "/callback", Kind::Late(60_000), 2);
    let share = json!({ "striker": "Ford Wardens", "struck": "Banner Spears", "share": true });
    let odds = group.sends(FORD, IDA, "odds", &share);
    let proof = group.sends_press(FORD, IDA, &post, "Prove");
    group.until_waiting(2).await;
    group.fault("PATCH", "@original", Kind::Status(500), 1000);
    let ids = [odds, proof, group.sends(FORD, IDA, "export", &json!({}))];
    group.until_waiting(3).await;
    group.kill();
    group.stand_in.world.state().faults.clear();
    group.start().await;
    for id in ids {
        let said = group
            .until("they are told", || {
                let state = group.stand_in.world.state();
                let told = state.messages.iter().find(|message| message.interaction == Some(id));
                told.filter(|message| message.edits > 0).map(Message::text)
            })
            .await;
        assert!(said.trim().ends_with("Ask again."), "{said}");
    }
    group.until_waiting(0).await;
    // Whoever is answered late waits no more.
    group.fault("PATCH", "@original", Kind::Late(400), 1);
    group.told(FORD, IDA, "show", json!({})).await;
    group.until_waiting(0).await;
}

/// Many kills at moments nobody chose, under load: every ruling that was committed is posted once
/// and recorded once, and every interaction is at most one event.
#[tokio::test(flavor = "multi_thread")]
async fn kills_under_load_lose_and_double_nothing() {
    let kills = crate::crash::kills(20);
    let mut group = Group::at_the_ford().await;
    group.muster_at(MILL).await;
    let mut asked: HashMap<u64, u64> = HashMap::new();
    for kill in 0..kills {
        for channel in [FORD, MILL] {
            for _ in 0..3 {
                asked.insert(group.sends(channel, IDA, "turn", &json!({})), channel);
            }
        }
        // From before the first commit to after the last post; the order is fixed and uneven.
        tokio::time::sleep(Duration::from_millis(kill * 7919 % 83)).await;
        group.kill();
        group.start().await;
    }
    let mut told = 0;
    group.until_waiting(0).await;
    for channel in [FORD, MILL] {
        group.until_nothing_is_owed(channel).await;
        let waits = |message: &Message| message.channel == channel && message.edits == 0;
        assert!(!group.stand_in.world.state().messages.iter().any(waits), "nobody is left waiting");
        let events = group.events(channel).await;
        for event in &events {
            let reference = event.hash.short();
            let posts = group.channel(channel);
            let count = posts.iter().filter(|post| post.text().contains(&reference)).count();
            assert_eq!(count, 1, "event {} is posted {count} times", event.event.seq);
        }
        let mut ids: Vec<String> =
            events.iter().map(|event| event.event.asked.to_string()).collect();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), events.len(), "each request is one event");
        // Whatever the platform showed as answered is in the record; nobody else waits.
        let answered = group.channel(channel);
        let cut = answered.iter().filter(|post| post.text().contains("Ask again.")).count();
        assert_eq!(answered.len() - cut, events.len(), "every post has its event");
        told += cut;
    }
    let turns: usize = group.events(FORD).await.len() + group.events(MILL).await.len() - 6;
    assert!(turns > 0, "some requests were granted between the kills");
    println!(
        "{turns} of {} requests were granted over {kills} kills, {told} told to ask again",
        asked.len()
    );
    let record = group.record().await;
    record.is_sound().await.expect("the file is sound");
}
