//! Odds, comparisons and reports in the chat: with pictures that say what they show, and with a
//! note where they take long.

use super::group::{FORD, Group, IDA, ORM, UNA};
use super::standin::Kind;
use serde_json::{Value, json};

/// What stands in the place of an answer that takes long.
const NOTE: &str = "This takes a while to work out. The answer will replace this note.";

/// The names of a message's files, and the text alternatives of its pictures.
fn files(message: &super::standin::Message) -> (Vec<&str>, Vec<&str>) {
    let listed = message.body["attachments"].as_array().expect("files are listed");
    let of = |key: &'static str| listed.iter().filter_map(move |file| file[key].as_str());
    (of("filename").collect(), of("description").collect())
}

#[tokio::test(flavor = "multi_thread")]
async fn odds_come_with_pictures_that_say_what_they_show() {
    let group = Group::at_the_ford().await;
    let units = json!({ "striker": "Ford Wardens", "struck": "Banner Spears" });
    let odds = group.uses(FORD, ORM, "odds", units).await.private.expect("odds are for one");
    assert!(odds.text().starts_with("To the finish: Vale alone stands"), "{}", odds.text());
    let (names, alts) = files(&odds);
    assert_eq!(names, ["picture-1.png", "picture-2.png"]);
    let [finish, round] = alts.as_slice() else { panic!("{alts:?}") };
    assert!(finish.starts_with("Losses in a fight to the finish. Ford Wardens may lose"));
    assert!(round.starts_with("Losses in round 1. Ford Wardens may lose"), "{round}");
    // The picture is 360 wide at two pixels a unit. PNG specification, section 11.2.2: the header
    // begins at byte 16 with the width.
    let width = u32::from_be_bytes(odds.files[0].1[16..20].try_into().unwrap());
    assert_eq!(width, 720);
    let unit = json!({ "unit": "Ford Wardens", "class": "levy", "share": true });
    let even = group.uses(FORD, ORM, "match", unit).await.post.expect("it was shared");
    assert_eq!(files(&even).0, ["picture-1.png"]);
    let scale = group.uses(FORD, ORM, "scale", json!({ "at": "5,20" })).await;
    let scale = scale.private.expect("a comparison is for one");
    let (names, alts) = files(&scale);
    assert_eq!(names, ["picture-1.png"]);
    assert!(alts[0].starts_with("The same armies at several figure scales. At 1:5,"), "{alts:?}");
    // What has no chances in it has no picture.
    let show = group.uses(FORD, ORM, "show", json!({})).await.private.expect("it is for one");
    assert_eq!(files(&show).0, Vec::<&str>::new());
}

#[tokio::test(flavor = "multi_thread")]
async fn a_report_comes_as_a_page_with_its_course_and_its_receipts() {
    let group = Group::at_the_ford().await;
    let units = json!({ "striker": "Ford Wardens", "struck": "Banner Spears" });
    group.posts(FORD, IDA, "melee", units).await;
    group.posts(FORD, IDA, "close", json!({})).await;
    // A closed battle is reported on too, by name or as the latest.
    for options in [json!({ "share": true }), json!({ "battle": "harrow ford", "share": true })] {
        let report = group.uses(FORD, ORM, "report", options).await.post.expect("it was shared");
        assert!(report.text().starts_with("Report of Harrow Ford\nVale lost"), "{}", report.text());
        let (names, alts) = files(&report);
        let battle = &group.events(FORD).await[0].event.battle;
        assert_eq!(
            names,
            [
                "picture-1.png",
                "picture-2.png",
                &format!("report-{battle}.html"),
                &format!("receipts-{battle}.jsonl"),
            ]
        );
        assert!(alts[0].starts_with("Men on the field: Harrow Ford, over 1 ruling."), "{alts:?}");
        assert!(report.file(2).starts_with("<!DOCTYPE html>"));
        let receipt: Value = serde_json::from_str(report.file(3)).expect("one receipt");
        assert_eq!(receipt["roll"], 1);
    }
    let told = group.told(FORD, ORM, "report", json!({ "battle": "Harrow Frd" })).await;
    assert_eq!(told, "No battle here is called “Harrow Frd”. Did you mean “Harrow Ford”?");
    // So is its copy.
    let copy = group.uses(FORD, ORM, "export", json!({})).await.private.expect("it is for one");
    assert!(copy.file(0).starts_with("{\"drumhead_export\""));
}

#[tokio::test(flavor = "multi_thread")]
async fn what_takes_long_leaves_a_note_and_holds_nobody_up() {
    let mut group = Group::gathered().await;
    group.posts(FORD, IDA, "open", json!({ "name": "Harrow Ford", "scale": 1 })).await;
    for (unit, side) in [("Ford Wardens", "Vale"), ("Banner Spears", "Grey Banner")] {
        let many = json!({ "unit": unit, "side": side, "class": "line foot", "men": 1000 });
        group.posts(FORD, IDA, "muster", many).await;
    }
    // So many are sampled, up to a bound; and they are worked out one after another, so that the
    // last of them takes a while however quick the machine is.
    let units = json!({ "striker": "Ford Wardens", "struck": "Banner Spears", "share": true });
    for _ in 0..3 {
        for person in [IDA, UNA, ORM] {
            group.sends(FORD, person, "odds", &units);
        }
    }
    // Which of them is the last is decided by whose acknowledgement came last.
    group
        .until("the note", || {
            let noted = |message: &&super::standin::Message| message.text().trim() == NOTE;
            group.channel(FORD).iter().find(noted).map(drop)
        })
        .await;
    let turn = group.posts(FORD, IDA, "turn", json!({})).await;
    assert!(turn.starts_with("Turn 2 begins."), "{turn}");
    let (_, well) = group.stop("-TERM");
    assert!(well, "it ends in good order");
}

#[tokio::test(flavor = "multi_thread")]
async fn an_answer_that_the_platform_will_not_take_says_so() {
    let group = Group::at_the_ford().await;
    group.fault("PATCH", "@original", Kind::Status(413), 1);
    let told = group.told(FORD, ORM, "export", json!({})).await;
    assert_eq!(
        told,
        "Something went wrong here. Look at the battle before you ask again: /look show"
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn what_to_ask_is_spelled_as_the_chat_spells_it() {
    let group = Group::gathered().await;
    let told = group.told(FORD, ORM, "turn", json!({})).await;
    assert_eq!(
        told,
        "No battle is open here. Go on with a closed one (reopen), or open one: /battle open name: NAME scale: 20"
    );
    let told = group.told(FORD, ORM, "battles", json!({})).await;
    assert_eq!(
        told,
        "No battle has been opened here.\nOpen one: /battle open name: NAME scale: 20"
    );
    group.posts(FORD, IDA, "open", json!({ "name": "Harrow Ford" })).await;
    let told = group.told(FORD, ORM, "show", json!({})).await;
    let example = "/unit muster unit: Ford Wardens side: Vale class: line foot men: 160";
    assert!(told.contains(example), "{told}");
    let closed = group.posts(FORD, IDA, "close", json!({})).await;
    assert!(
        closed.starts_with("The battle is closed.\nTo go on with it: /battle reopen battle: NAME")
    );
}

/// A message carries 10 MB: no more is read than it takes to know that a battle is longer.
#[tokio::test(flavor = "multi_thread")]
async fn a_battle_too_long_for_a_message_is_refused() {
    let mut group = Group::at_the_ford().await;
    group.kill();
    // Blanks after an event's text make it no other event for whoever reads it.
    let long = "UPDATE events SET text = text || printf('%6000000s', '')";
    crate::helper::store::tamper(&group.record_file(), long).await;
    group.start().await;
    for (by, name) in [(IDA, "export"), (UNA, "copy")] {
        assert_eq!(
            group.told(FORD, by, name, json!({})).await,
            "This answer would be more than 10 MB, and a message carries no more. Whoever runs the \
             bot can write it to a file: drumhead export"
        );
    }
}
