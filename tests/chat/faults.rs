//! What can go wrong on the platform's side: limits, faults, slowness, lost channels, the gateway.

use super::gateway::Signal;
use super::group::{FORD, Group, IDA, MILL};
use super::standin::{Kind, Message};
use serde_json::{Value, json};
use std::time::{Duration, Instant};

fn melee() -> Value {
    json!({ "striker": "Ford Wardens", "struck": "Banner Spears" })
}

#[tokio::test(flavor = "multi_thread")]
async fn every_interaction_is_acknowledged_before_anything_else() {
    let group = Group::at_the_ford().await;
    // Posts are slow, so that a slow post would delay the acknowledgements behind it.
    group.fault("PATCH", "@original", Kind::Slow(1500), 8);
    let ids: Vec<u64> = (0..8).map(|_| group.sends(FORD, IDA, "turn", &json!({}))).collect();
    let (mut acknowledged, mut posts) = (Vec::new(), Vec::new());
    for id in ids {
        group.hears(id).await;
        let state = group.stand_in.world.state();
        let interaction = &state.interactions[&id];
        let (body, at) = interaction.answered.as_ref().unwrap();
        assert_eq!(body["type"], 5);
        acknowledged.push(*at);
        let posted = state.messages.iter().find(|message| message.interaction == Some(id));
        posts.push(posted.expect("it was heard").at);
    }
    // The stand-in refuses what comes later than the platform allows; here the order counts.
    assert!(acknowledged.iter().max() < posts.iter().min(), "{acknowledged:?} {posts:?}");
}

#[tokio::test(flavor = "multi_thread")]
async fn limits_are_respected_for_a_path_and_for_all() {
    let group = Group::at_the_ford().await;
    for global in [false, true] {
        group.fault("PATCH", "@original", Kind::Limited(0.8, global), 1);
        let begun = Instant::now();
        let text = group.posts(FORD, IDA, "turn", json!({})).await;
        assert!(text.contains("begins."), "{text}");
        assert!(begun.elapsed() >= Duration::from_millis(800), "{:?}", begun.elapsed());
    }
    let patches = |group: &Group| {
        let state = group.stand_in.world.state();
        state.calls.iter().filter(|(method, _)| method == "PATCH").count()
    };
    let before = patches(&group);
    group.posts(FORD, IDA, "turn", json!({})).await;
    assert_eq!(patches(&group), before + 1, "nothing is tried more often than needed");
}

#[tokio::test(flavor = "multi_thread")]
async fn faults_of_the_platform_are_tried_again() {
    let group = Group::at_the_ford().await;
    group.fault("POST", "/callback", Kind::Status(500), 1);
    group.fault("PATCH", "@original", Kind::Status(503), 3);
    let text = group.posts(FORD, IDA, "melee", melee()).await;
    assert!(text.contains("Roll 1 · link"), "{text}");
    group.until_nothing_is_owed(FORD).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn an_interaction_that_cannot_be_acknowledged_does_nothing() {
    let group = Group::at_the_ford().await;
    let before = group.events(FORD).await.len();
    group.fault("POST", "/callback", Kind::Status(404), 1);
    group.sends(FORD, IDA, "turn", &json!({}));
    group
        .until("the acknowledgement is refused", || {
            (group.stand_in.world.state().faults[0].times == 0).then_some(())
        })
        .await;
    group.told(FORD, IDA, "show", json!({})).await;
    assert_eq!(group.events(FORD).await.len(), before, "nobody saw it asked, so it was not");
}

/// The acknowledgement is deleted by somebody before the post comes: it goes to the channel.
#[tokio::test(flavor = "multi_thread")]
async fn a_post_whose_place_is_gone_goes_to_the_channel() {
    let group = Group::at_the_ford().await;
    group.fault("PATCH", "@original", Kind::Status(404), 1);
    group.sends(FORD, IDA, "melee", &melee());
    let found = group
        .until("the roll is in the channel", || {
            group.channel(FORD).into_iter().find(|post| post.text().contains("Roll 1 · link"))
        })
        .await;
    assert_eq!(found.interaction, None);
    assert!(found.body["nonce"].is_string() && found.body["enforce_nonce"] == true);
    group.until_nothing_is_owed(FORD).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_lost_channel_is_told_to_the_referee_and_the_ruling_stays() {
    let group = Group::at_the_ford().await;
    group.muster_at(MILL).await;
    group.stand_in.world.state().deleted.insert(FORD);
    group.stand_in.world.state().forbidden.insert(MILL);
    for (n, channel) in [FORD, MILL].into_iter().enumerate() {
        let before = group.events(channel).await.len();
        group.fault("PATCH", "@original", Kind::Status(404), 1);
        group.sends(channel, IDA, "melee", &melee());
        // The stand-in names a private channel after whom it is with.
        let told = group
            .until("the referee is told", || {
                let messages = group.channel(IDA.id);
                (messages.len() > n).then(|| messages.last().unwrap().text())
            })
            .await;
        let why = if channel == FORD { "Unknown Channel" } else { "Missing Permissions" };
        let begins = "A ruling of Harrow Ford (event 4) is in the record but could not be posted: ";
        assert!(told.starts_with(begins), "{told}");
        assert!(told.contains(why), "{told}");
        group.until_nothing_is_owed(channel).await;
        assert_eq!(group.events(channel).await.len(), before + 1, "the ruling stays");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn lost_connections_reconnects_and_void_sessions_are_survived() {
    let group = Group::at_the_ford().await;
    for (signal, resumes) in
        [(Signal::Drop, true), (Signal::Reconnect, true), (Signal::Invalid, false)]
    {
        let before = group.stand_in.world.gate.counted();
        group.signal(signal);
        if resumes {
            // What happens while nobody is connected is replayed by the resumption.
            let id = group.sends(FORD, IDA, "turn", &json!({}));
            assert!(group.hears(id).await.posted().contains("begins."), "{signal:?}");
        }
        let now = group
            .until("the bot is back", || {
                let now = group.stand_in.world.gate.counted();
                (now != before).then_some(now)
            })
            .await;
        let expected = if resumes { (before.0, before.1 + 1) } else { (before.0 + 1, before.1) };
        assert_eq!(now, expected, "{signal:?}");
        let text = group.posts(FORD, IDA, "turn", json!({})).await;
        assert!(text.contains("begins."), "{signal:?}: {text}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn several_shards_run_in_one_process() {
    let mut group = Group::without_bot().await;
    group.stand_in.world.state().shards = 2;
    group.start().await;
    assert_eq!(group.stand_in.world.gate.counted().0, 2);
    // The two servers belong to different shards.
    group.muster_at(FORD).await;
    group.muster_at(super::group::OTHER_CHANNEL).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn one_slow_channel_does_not_slow_another() {
    let group = Group::at_the_ford().await;
    group.muster_at(MILL).await;
    let before = group.events(FORD).await.len();
    group.fault("PATCH", "@original", Kind::Held, 1);
    let slow = group.sends(FORD, IDA, "turn", &json!({}));
    group.until_more_events(FORD, before).await;
    // Another channel, and the same one, go on while that post is on its way.
    group.posts(MILL, IDA, "turn", json!({})).await;
    group.posts(FORD, IDA, "turn", json!({})).await;
    let waits = group
        .stand_in
        .world
        .state()
        .messages
        .iter()
        .any(|message| message.interaction == Some(slow) && message.edits == 0);
    assert!(waits, "the slow post is still on its way");
    group.stand_in.world.let_go();
    assert!(group.hears(slow).await.posted().contains("begins."));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_slow_acknowledgement_arrives_and_is_answered() {
    let group = Group::at_the_ford().await;
    group.fault("POST", "/callback", Kind::Slow(1500), 1);
    let turn = group.posts(FORD, IDA, "turn", json!({})).await;
    assert!(turn.starts_with("Turn 2 begins."), "{turn}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_refusal_is_said_though_the_answer_to_taking_the_acknowledgement_away_is_lost() {
    let group = Group::at_the_ford().await;
    group.fault("DELETE", "@original", Kind::Lost, 1);
    let told = group.told(FORD, IDA, "rally", json!({ "unit": "Ford Wardns" })).await;
    assert_eq!(
        told,
        "No unit is called “Ford Wardns” in this battle. Did you mean “Ford Wardens”?"
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn a_mistake_of_any_length_is_told() {
    let group = Group::at_the_ford().await;
    let told = group.told(FORD, IDA, "rally", json!({ "unit": "x".repeat(5000) })).await;
    assert!(told.starts_with("No unit is called “xxx") && told.ends_with('…'), "{told}");
}

/// The platform takes no body of a post: whoever waits is told so at its place, and the referee of
/// the battle why.
#[tokio::test(flavor = "multi_thread")]
async fn a_post_that_is_never_taken_ends_in_words() {
    let group = Group::at_the_ford().await;
    group.fault("PATCH", "@original", Kind::Invalid, 1);
    let why = "Invalid Form Body (it was not liked)";
    let said = group.posts(FORD, IDA, "melee", melee()).await;
    assert_eq!(
        said.trim(),
        format!(
            "This is in the record, but the platform would not take the post: {why}. To see it: /look log"
        )
    );
    let told = group
        .until("the referee is told", || group.channel(IDA.id).first().map(Message::text))
        .await;
    assert_eq!(
        told.trim(),
        format!(
            "A ruling of Harrow Ford (event 4) is in the record but could not be posted: {why}. To \
             see it in its channel: /look log"
        )
    );
    group.until_nothing_is_owed(FORD).await;
    assert_eq!(group.events(FORD).await.len(), 4, "the ruling stays");
}

/// A refusal that cannot be said in private, after its public acknowledgement stayed, ends in words.
#[tokio::test(flavor = "multi_thread")]
async fn nobody_is_left_waiting_without_words() {
    let group = Group::at_the_ford().await;
    group.fault("DELETE", "@original", Kind::Status(404), 1);
    group.fault("POST", "/webhooks/", Kind::Invalid, 1);
    let said = group.posts(FORD, IDA, "rally", json!({ "unit": "Ford Wardns" })).await;
    assert!(said.starts_with("Something went wrong here."), "{said}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_mistake_in_the_first_quick_ruling_opens_nothing() {
    let group = Group::gathered().await;
    let wrong = json!({ "striker": "8 heavy fot", "struck": "3 levy" });
    let told = group.told(FORD, IDA, "ruling", wrong).await;
    assert!(told.starts_with("“heavy fot” is not a"), "{told}");
    let dice = json!({ "dice": "1d6 ".repeat(11).trim() });
    let told = group.told(FORD, IDA, "throw", dice).await;
    assert_eq!(told, "A throw takes 1 to 10 kinds of dice. Make several throws.");
    let record = group.record().await;
    assert_eq!(record.battles(None).await.unwrap(), []);
    record.close().await;
}
