//! Posts: a ruling as one post, its buttons, and what is too long for one.

use super::group::{FORD, Group, IDA, MILL, ORM};
use super::standin::Message;
use drumhead::protocol::{Body, Request, Ruling};
use serde_json::json;

#[tokio::test(flavor = "multi_thread")]
async fn a_ruling_is_one_post_with_its_headline_first_and_its_disclosure_last() {
    let group = Group::at_the_ford().await;
    let melee = json!({ "striker": "Ford Wardens", "struck": "Banner Spears" });
    let heard = group.uses(FORD, IDA, "melee", melee).await;
    let events = group.events(FORD).await;
    let words = drumhead::words::event(events.last().unwrap());
    let text = heard.posted();
    assert!(text.starts_with(&words.headline), "{text}");
    assert!(text.trim_end().ends_with(words.disclosure.as_deref().unwrap()), "{text}");
    // Every line of the working is there, in order.
    let mut rest = text.as_str();
    for line in &words.lines {
        let at = rest.find(&line.text).unwrap_or_else(|| panic!("“{}” is missing", line.text));
        rest = &rest[at + line.text.len()..];
    }
    assert!(heard.post.unwrap().files.is_empty());
    group.until_nothing_is_owed(FORD).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_long_ruling_comes_whole_in_a_file() {
    let group = Group::gathered().await;
    group.posts(FORD, IDA, "open", json!({ "name": "Harrow Ford" })).await;
    let mut more = Vec::new();
    for n in 1..=30 {
        for (unit, side) in [("Wardens", "Vale"), ("Spears", "Grey Banner")] {
            let unit = format!("{unit} company {n}");
            let options = json!({ "unit": unit, "side": side, "class": "line foot", "men": 200 });
            group.posts(FORD, IDA, "muster", options).await;
        }
        if n > 1 {
            more.push(format!("\"Wardens company {n}\" \"Spears company {n}\""));
        }
    }
    let options = json!({
        "striker": "Wardens company 1",
        "struck": "Spears company 1",
        "more": more.join(" and "),
    });
    let post = group.uses(FORD, IDA, "melee", options).await.post.expect("it is posted");
    let events = group.events(FORD).await;
    let words = drumhead::words::event(events.last().unwrap());
    assert_eq!(post.files.len(), 1);
    assert_eq!(post.file(0), words.text(100), "the file holds every word");
    let text = post.text();
    assert!(text.contains("The whole working is in the attached file."), "{text}");
    assert!(text.trim_end().ends_with(words.disclosure.as_deref().unwrap()), "{text}");
}

#[tokio::test(flavor = "multi_thread")]
async fn names_call_nobody_and_stay_whole() {
    let group = Group::gathered().await;
    group.posts(FORD, IDA, "open", json!({ "name": "*Harrow* __Ford__ @everyone x" })).await;
    for unit in
        ["<@600000000000000002>", "فرسان الوادي", "川の守り", "Riders 🐎👩‍🌾", "`Spears`|[x](y)"]
    {
        let options = json!({ "unit": unit, "side": "Vale", "class": "levy", "men": 100 });
        let heard = group.uses(FORD, IDA, "muster", options).await;
        let post = heard.post.expect("it is posted");
        assert!(post.text().starts_with(&format!("{unit} musters for Vale.")), "{}", post.text());
        let raw = post.body["components"].to_string();
        for sign in ["<@", "`S", "|["] {
            let escaped = sign.chars().next().unwrap();
            // Written out as JSON, the mark that takes a sign's meaning is doubled.
            assert!(!raw.contains(sign) || raw.contains(&format!("\\\\{escaped}")), "{raw}");
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn fight_on_prove_and_undo_are_buttons() {
    let group = Group::at_the_ford().await;
    let melee = json!({ "striker": "Ford Wardens", "struck": "Banner Spears" });
    let mut post = group.uses(FORD, IDA, "melee", melee).await.post.expect("it is posted");
    let proof = group.presses(FORD, ORM, &post, "Prove").await;
    let proof = proof.private.expect("a proof is for one");
    let names: Vec<&str> = proof.files.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, ["receipt.json", "check.html"]);
    assert_eq!(proof.file(1), include_str!("../../docs/check.html"));
    let receipt: serde_json::Value =
        serde_json::from_str(proof.file(0)).expect("the file is a receipt");
    assert_eq!(receipt["roll"], 1);
    // Undo asks for a reason before it takes back.
    let pressed = group.sends_press(FORD, IDA, &post, "Undo");
    let form = group.first_answer(pressed).await;
    assert_eq!(form["type"], 9);
    let undone = group.fills_in(FORD, IDA, &form, "the wrong units").await.posted();
    assert!(undone.starts_with("Taken back: melee \"Ford Wardens\""), "{undone}");
    assert!(undone.contains("Reason: the wrong units"), "{undone}");
    // The same undo again would take back something else, so it does not.
    let again = group.fills_in(FORD, IDA, &form, "once more").await.told();
    assert!(again.starts_with("That has been done already"), "{again}");
    // Fight on until nothing stands any more; each post has the button while something does.
    let melee = json!({ "striker": "Ford Wardens", "struck": "Banner Spears" });
    post = group.uses(FORD, IDA, "melee", melee).await.post.expect("it is posted");
    let mut rounds = 1;
    while post.body["components"].to_string().contains("Fight on") {
        post = group.presses(FORD, IDA, &post, "Fight on").await.post.expect("it is posted");
        rounds += 1;
        assert!(rounds < 60, "a melee ends");
    }
    let events = group.events(FORD).await;
    let Body::Ruled { ruling: Ruling::Melee(melee), .. } = &events.last().unwrap().event.body
    else {
        panic!("the last event is no melee");
    };
    assert_eq!(melee[0].round, rounds);
}

/// The post of a melee that can be fought on.
async fn standing_melee(group: &Group) -> Message {
    let melee = json!({ "striker": "Ford Wardens", "struck": "Banner Spears" });
    for _ in 0..60 {
        let post = group.uses(FORD, IDA, "melee", melee.clone()).await.post.expect("a post");
        if post.body["components"].to_string().contains("Fight on") {
            return post;
        }
        group.posts(FORD, IDA, "undo", json!({ "reason": "once more" })).await;
    }
    panic!("some melee goes on after its first round")
}

#[tokio::test(flavor = "multi_thread")]
async fn a_button_is_good_once_and_again_once_that_was_taken_back() {
    let group = Group::at_the_ford().await;
    let post = standing_melee(&group).await;
    let second = group.presses(FORD, IDA, &post, "Fight on").await.posted();
    assert!(second.contains(", round 2"), "{second}");
    let told = group.presses(FORD, IDA, &post, "Fight on").await.told();
    assert!(told.starts_with("That has been done already"), "{told}");
    group.posts(FORD, IDA, "undo", json!({ "reason": "the flank was forgotten" })).await;
    let second = group.presses(FORD, IDA, &post, "Fight on").await.posted();
    assert!(second.contains(", round 2"), "{second}");
}

#[tokio::test(flavor = "multi_thread")]
async fn the_other_side_casts_by_a_button() {
    let group = Group::at_the_ford().await;
    let melee = json!({ "striker": "Ford Wardens", "struck": "Banner Spears", "cast": true });
    let post = group.uses(FORD, IDA, "melee", melee).await.post.expect("it is posted");
    let pressed = group.sends_press(FORD, ORM, &post, "Cast");
    let form = group.first_answer(pressed).await;
    let input = &form["data"]["components"][0]["components"][0];
    assert_eq!((&input["min_length"], &input["max_length"]), (&json!(8), &json!(80)));
    let cast = group.fills_in(FORD, ORM, &form, "high reeds at Harrow").await;
    assert!(cast.posted().contains("Roll 1 · link"), "{}", cast.posted());
    let event = group.events(FORD).await.pop().unwrap().event;
    assert_eq!(event.request, Request::Cast { text: "high reeds at Harrow".to_owned() });
    let stale = group.fills_in(FORD, ORM, &form, "low reeds at Harrow").await.told();
    assert!(stale.starts_with("That has been done already"), "{stale}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_button_whose_battle_moved_on_or_is_not_here_does_nothing() {
    let group = Group::at_the_ford().await;
    let post = standing_melee(&group).await;
    let part = json!({ "unit": "Ford Wardens", "why": "dusk" });
    group.posts(FORD, IDA, "part", part).await;
    let before = group.events(FORD).await.len();
    let told = group.presses(FORD, IDA, &post, "Fight on").await.told();
    assert!(told.starts_with("The battle has moved on since this post."), "{told}");
    let pressed = group.sends_press(FORD, IDA, &post, "Undo");
    let form = group.first_answer(pressed).await;
    let told = group.fills_in(FORD, IDA, &form, "too late").await.told();
    assert!(told.starts_with("Something else has been done since"), "{told}");
    assert_eq!(group.events(FORD).await.len(), before);
    // A round that was fought by a command is not fought again by the button.
    group.posts(FORD, IDA, "undo", json!({ "reason": "still in contact" })).await;
    group.posts(FORD, IDA, "again", json!({})).await;
    let told = group.presses(FORD, IDA, &post, "Fight on").await.told();
    assert!(told.starts_with("That has been done already"), "{told}");
    // The same button, pressed where another battle is fought.
    group.muster_at(MILL).await;
    for label in ["Fight on", "Prove"] {
        let told = group.presses(MILL, IDA, &post, label).await.told();
        assert!(told.starts_with("This post belongs to a battle that is not open here."), "{told}");
    }
    let asks: Vec<Request> =
        group.events(MILL).await.into_iter().map(|event| event.event.request).collect();
    assert_eq!(asks.len(), 3, "{asks:?}");
}

#[tokio::test(flavor = "multi_thread")]
async fn the_board_is_kept_up_to_date_and_forgotten_when_it_is_deleted() {
    let mut group = Group::at_the_ford().await;
    let told = group.told(FORD, IDA, "board", json!({})).await;
    assert!(told.starts_with("The post above shows the battle as it stands"), "{told}");
    let board = |group: &Group, text: &str| {
        let posts = group.channel(FORD);
        posts.into_iter().find(|post| post.interaction.is_none() && post.text().contains(text))
    };
    let id = board(&group, "Harrow Ford: turn 1").expect("the board is up").id;
    // A second board takes the place of the first.
    group.told(FORD, IDA, "board", json!({})).await;
    let boards = group.channel(FORD).into_iter().filter(|post| post.interaction.is_none());
    let boards: Vec<u64> = boards.map(|post| post.id).collect();
    assert_eq!(boards.len(), 1);
    assert_ne!(boards[0], id);
    let id = boards[0];
    // Many changes at once: the last one stands on the board.
    for _ in 0..8 {
        group.sends(FORD, IDA, "turn", &json!({}));
    }
    let now = group.until("the board shows turn 9", || board(&group, "Ford: turn 9")).await;
    assert_eq!(now.id, id);
    // A bot that died before it could draw the board draws it at the next start.
    group.fault("PATCH", "/channels/", super::standin::Kind::Status(500), 1000);
    group.posts(FORD, IDA, "turn", json!({})).await;
    group.kill();
    group.stand_in.world.state().faults.clear();
    group.start().await;
    group.until("the board shows turn 10", || board(&group, "Ford: turn 10")).await;
    group.stand_in.world.state().messages.retain(|message| message.id != id);
    group.posts(FORD, IDA, "turn", json!({})).await;
    group.posts(FORD, IDA, "turn", json!({})).await;
    let record = group.record().await;
    let place = super::group::place(FORD);
    group
        .until_so("the board is forgotten", async || record.board(&place).await.unwrap().is_none())
        .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn quick_rulings_need_no_battle_and_their_first_post_holds_their_anchor() {
    let mut group = Group::gathered().await;
    let dice = json!({ "dice": "3d6", "for": "the weather" });
    // The bot dies before the first throw's posts arrive: both come, once, as one message.
    group.fault("PATCH", "@original", super::standin::Kind::Status(500), 1000);
    let id = group.sends(FORD, ORM, "throw", &dice);
    let quick = super::group::place(FORD).quick();
    let record = group.record().await;
    group
        .until_so("two posts are owed", async || {
            let owed = record.owed(&quick).await.unwrap();
            owed.first().is_some_and(|owed| owed.events.len() == 2)
        })
        .await;
    group.kill();
    group.stand_in.world.state().faults.clear();
    group.start().await;
    let post = group.hears(id).await.post.expect("it is posted");
    let frames = post.body["components"].as_array().unwrap();
    let text = |n: usize| frames[n]["components"][0]["content"].as_str().unwrap();
    assert_eq!((&frames[0]["type"], &frames[1]["type"]), (&json!(17), &json!(17)));
    assert!(text(0).contains("Anchor of the dice"), "{}", text(0));
    let last = text(1).lines().last().unwrap();
    assert!(last.starts_with("-# Roll 1 · link"), "{last}");
    let proof = group.presses(FORD, IDA, &post, "Prove").await.private.expect("a proof is for one");
    assert!(proof.file(0).contains("\"roll\":1"), "{}", proof.file(0));
    let told = group.presses(MILL, IDA, &post, "Prove").await.told();
    assert!(told.starts_with("This post belongs to a battle that is not open here."), "{told}");
    // The next throw is one post; odds throw nothing.
    let heard = group.uses(FORD, ORM, "throw", dice).await;
    assert!(heard.posted().contains("Roll 2 · link"));
    let clash = json!({ "striker": "8 line foot", "struck": "8 levy", "odds": true });
    let odds = group.told(FORD, ORM, "ruling", clash).await;
    assert!(odds.contains('%'), "{odds}");
    let wrong = json!({ "striker": "some line foot", "struck": "8 levy" });
    let told = group.told(FORD, ORM, "ruling", wrong).await;
    assert!(told.contains("some line foot"), "{told}");
    group.muster_at(MILL).await;
    let odds = json!({ "striker": "Ford Wardens", "struck": "Banner Spears" });
    assert!(group.told(MILL, ORM, "odds", odds).await.contains('%'));
    let told = group.told(MILL, ORM, "scale", json!({ "at": "10,20" })).await;
    assert!(told.contains("1:10") && told.contains("1:20"), "{told}");
    let told = group.told(MILL, ORM, "scale", json!({ "unit": "Ford Wardens" })).await;
    assert_eq!(told, "Something is missing: other. See an example: /help request: scale");
    let even = json!({ "unit": "Ford Wardens", "class": "levy" });
    assert!(group.told(MILL, ORM, "match", even).await.contains("levy"));
}
