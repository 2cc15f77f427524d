//! Whatever is delivered or pressed twice is thrown once.

use super::group::{FORD, Group, IDA, ORM, UNA};
use super::standin::{Kind, Message};
use serde_json::{Value, json};

fn melee() -> Value {
    json!({ "striker": "Ford Wardens", "struck": "Banner Spears" })
}

/// A melee whose contact still stands after its first round.
async fn standing_melee(group: &Group) -> Message {
    for _ in 0..60 {
        let post = group.uses(FORD, IDA, "melee", melee()).await.post.expect("it is posted");
        if post.body["components"].to_string().contains("Fight on") {
            return post;
        }
        group.posts(FORD, IDA, "undo", json!({ "reason": "once more" })).await;
    }
    panic!("some melee goes on after its first round")
}

#[tokio::test(flavor = "multi_thread")]
async fn an_interaction_delivered_twice_is_one_roll_and_one_post() {
    let group = Group::at_the_ford().await;
    let before = group.events(FORD).await.len();
    let data = super::group::command("melee", &melee());
    let (id, interaction) = group.interaction(FORD, IDA, 2, &data);
    for _ in 0..3 {
        group.dispatch(FORD, &interaction);
    }
    let heard = group.hears(id).await;
    assert!(heard.posted().contains("Roll 1 · link"));
    // A later command shows that the others have been dealt with.
    group.told(FORD, IDA, "show", json!({})).await;
    assert_eq!(group.events(FORD).await.len(), before + 1);
    let rolls = group.channel(FORD).iter().filter(|post| post.text().contains("Roll 1")).count();
    assert_eq!(rolls, 1);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_button_pressed_by_many_at_once_is_one_roll() {
    let group = Group::at_the_ford().await;
    group.posts(FORD, IDA, "appoint", json!({ "person": { "user": ORM.id } })).await;
    group.posts(FORD, IDA, "appoint", json!({ "person": { "user": UNA.id } })).await;
    let post = standing_melee(&group).await;
    let before = group.events(FORD).await.len();
    let pressed: Vec<u64> = [IDA, ORM, UNA, ORM, IDA]
        .into_iter()
        .map(|by| group.sends_press(FORD, by, &post, "Fight on"))
        .collect();
    let (mut posts, mut told) = (0, 0);
    for id in pressed {
        let heard = group.hears(id).await;
        if heard.post.is_some() {
            posts += 1;
        } else {
            assert!(heard.told().starts_with("That has been done already"));
            told += 1;
        }
    }
    assert_eq!((posts, told), (1, 4));
    assert_eq!(group.events(FORD).await.len(), before + 1);
}

/// The acknowledgement arrives, but the answer that says so is lost: it is not lost for anyone.
#[tokio::test(flavor = "multi_thread")]
async fn a_lost_acknowledgement_is_made_good() {
    let group = Group::at_the_ford().await;
    let before = group.events(FORD).await.len();
    group.fault("POST", "/callback", Kind::Lost, 1);
    let text = group.posts(FORD, IDA, "melee", melee()).await;
    assert!(text.contains("Roll 1 · link"), "{text}");
    assert_eq!(group.events(FORD).await.len(), before + 1);
}

/// The post arrives, but the answer that says so is lost: it is sent again, to the same place.
#[tokio::test(flavor = "multi_thread")]
async fn a_post_whose_answer_is_lost_appears_once() {
    let group = Group::at_the_ford().await;
    group.fault("PATCH", "@original", Kind::Lost, 2);
    let text = group.posts(FORD, IDA, "melee", melee()).await;
    assert!(text.contains("Roll 1 · link"), "{text}");
    group.until_nothing_is_owed(FORD).await;
    let rolls = group.channel(FORD).iter().filter(|post| post.text().contains("Roll 1")).count();
    assert_eq!(rolls, 1);
}
