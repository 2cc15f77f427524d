//! Who may do what, what one server sees of another, and what is kept of a person.

use super::group::{FORD, Group, IDA, MILL, ORM, OTHER_CHANNEL, Person, UNA};
use crate::helper::audit;
use serde_json::json;

#[tokio::test(flavor = "multi_thread")]
async fn the_opener_referees_and_refusals_say_whom_to_ask() {
    let group = Group::at_the_ford().await;
    let before = group.events(FORD).await.len();
    let ours = json!({ "striker": "Ford Wardens", "struck": "Banner Spears" });
    let told = group.told(FORD, ORM, "turn", json!({})).await;
    assert_eq!(told, format!("Only the referee of this battle may do that. Ask <@{}>.", IDA.id));
    let told = group.told(FORD, ORM, "melee", ours.clone()).await;
    assert_eq!(
        told,
        format!("Only the captains of Vale and the referee may do that. Ask <@{}>.", IDA.id)
    );
    let told = group.told(FORD, ORM, "appoint", json!({ "person": { "user": ORM.id } })).await;
    assert!(told.starts_with("Only the referee"), "{told}");
    assert_eq!(group.events(FORD).await.len(), before);
    // Everyone may give a word and look.
    let word = group.posts(FORD, ORM, "word", json!({ "text": "high reeds" })).await;
    assert!(word.starts_with("The word of person-2 is “high reeds”."), "{word}");
    assert!(group.told(FORD, ORM, "show", json!({})).await.starts_with("Harrow Ford: turn 1"));
    // A captain acts for their own side.
    let captain = json!({ "person": { "user": ORM.id }, "side": "vale" });
    let said = group.posts(FORD, IDA, "appoint", captain.clone()).await;
    assert!(said.starts_with(&format!("<@{}> is a captain of Vale.\n", ORM.id)), "{said}");
    let told = group.told(FORD, ORM, "officers", json!({})).await;
    assert_eq!(told, format!("Referee: <@{}>\nCaptain of Vale: <@{}>", IDA.id, ORM.id));
    group.posts(FORD, ORM, "change", json!({ "unit": "Ford Wardens", "men": 380 })).await;
    let theirs = json!({ "unit": "Banner Spears", "men": 10 });
    assert!(group.told(FORD, ORM, "change", theirs).await.contains("captains of Grey Banner"));
    group.posts(FORD, ORM, "melee", ours).await;
    let said = group.posts(FORD, IDA, "relieve", captain).await;
    assert!(
        said.starts_with(&format!("<@{}> is no longer a captain of Vale.\n", ORM.id)),
        "{said}"
    );
    let told = group.told(FORD, ORM, "officers", json!({})).await;
    assert_eq!(told, format!("Referee: <@{}>", IDA.id));
    let told = group.told(FORD, IDA, "appoint", json!({})).await;
    assert_eq!(told, "Name a person or a role.");
    let told = group.told(FORD, ORM, "change", json!({ "unit": "Ford Wardens", "men": 300 })).await;
    assert!(told.contains("captains of Vale"), "{told}");
    // A role referees as well as a person.
    let warden = Person { id: 600_000_000_000_000_009, admin: false, role: Some(55) };
    let said = group.posts(FORD, IDA, "appoint", json!({ "role": { "role": 55 } })).await;
    assert!(said.starts_with("<@&55> is a referee of this battle.\n"), "{said}");
    group.posts(FORD, warden, "turn", json!({})).await;
    // Who manages the server may always close, and nothing else in a battle.
    assert!(group.told(FORD, UNA, "turn", json!({})).await.starts_with("Only the referee"));
    group.posts(FORD, UNA, "close", json!({})).await;
    let told = group.told(FORD, ORM, "reopen", json!({ "battle": "Harrow Ford" })).await;
    let whom = format!("or someone who can manage this server, may do that. Ask <@{}>.", IDA.id);
    assert_eq!(told, format!("Only the referee of this battle, {whom}"));
    group.posts(FORD, IDA, "reopen", json!({ "battle": "Harrow Ford" })).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn servers_and_channels_see_nothing_of_each_other() {
    let group = Group::at_the_ford().await;
    for channel in [MILL, OTHER_CHANNEL] {
        for (name, options) in [
            ("show", json!({})),
            ("log", json!({ "all": true })),
            ("proof", json!({})),
            ("export", json!({})),
            ("officers", json!({})),
        ] {
            let told = group.told(channel, IDA, name, options).await;
            assert!(told.starts_with("No battle is open here."), "{name}: {told}");
        }
        let told = group.told(channel, IDA, "battles", json!({})).await;
        assert!(told.starts_with("No battle has been opened here."), "{told}");
        let told = group.told(channel, IDA, "reopen", json!({ "battle": "Harrow Ford" })).await;
        assert!(told.starts_with("No battle here is called “Harrow Ford”."), "{told}");
        assert!(group.completes(channel, "reopen", "battle", "").await.is_empty());
        assert!(group.completes(channel, "melee", "striker", "").await.is_empty());
    }
    // A copy of one server's data holds nothing of another's.
    group.muster_at(OTHER_CHANNEL).await;
    let heard = group.uses(OTHER_CHANNEL, UNA, "copy", json!({})).await;
    let copy = heard.private.expect("a copy is for one");
    assert_eq!(copy.files.len(), 1);
    let ford = &group.events(FORD).await[0].event.battle;
    let theirs = group.events(OTHER_CHANNEL).await[0].event.battle.clone();
    assert!(!copy.file(0).contains(ford.as_str()));
    // Erasing one server's data leaves the other's.
    let told = group.told(OTHER_CHANNEL, IDA, "erase", json!({ "sure": true })).await;
    assert!(told.starts_with("Only people who can manage this server"), "{told}");
    let told = group.told(OTHER_CHANNEL, UNA, "erase", json!({ "sure": false })).await;
    assert!(told.starts_with("Nothing was erased."), "{told}");
    let told = group.told(OTHER_CHANNEL, UNA, "erase", json!({ "sure": true })).await;
    assert_eq!(told, "Erased for good: 1 battle of this server.");
    assert!(group.events(OTHER_CHANNEL).await.is_empty());
    // Nothing of it stays in the file or in its log: the battle's id was in every event.
    for end in ["", "-wal", "-waiting"] {
        let file = group.folder.path().join(format!("record.db{end}"));
        let bytes = std::fs::read(file).unwrap_or_default();
        let holds = |text: &str| bytes.windows(text.len()).any(|part| part == text.as_bytes());
        assert!(!holds(&theirs), "the erased battle is still in record.db{end}");
        assert!(holds(ford) || !end.is_empty(), "the other server's battle is there");
        // Nor does the token of any command that was answered.
        assert!(end != "-waiting" || !holds("interaction-token"), "a token is still there");
    }
    assert!(
        group.told(OTHER_CHANNEL, IDA, "show", json!({})).await.starts_with("No battle is open")
    );
    assert_eq!(group.events(FORD).await.len(), 3);
    group.muster_at(OTHER_CHANNEL).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_server_sets_what_its_battles_begin_with() {
    let group = Group::gathered().await;
    let told = group.told(FORD, UNA, "server", json!({})).await;
    assert_eq!(told, "Battles here begin at 1:20, under the rules open-field.");
    let defaults = json!({ "scale": 10, "rules": "CELL-BY-CELL" });
    let told = group.told(FORD, UNA, "defaults", defaults).await;
    assert_eq!(told, "Battles here begin at 1:10, under the rules cell-by-cell.");
    let told = group.told(FORD, UNA, "defaults", json!({ "rules": "none such" })).await;
    assert!(told.starts_with("There are no rules called “none such”."), "{told}");
    let text = group.posts(FORD, IDA, "open", json!({ "name": "Harrow Ford" })).await;
    assert!(
        text.starts_with("Harrow Ford is open at 1:10, under the rules cell-by-cell."),
        "{text}"
    );
    let text = group.posts(OTHER_CHANNEL, IDA, "open", json!({ "name": "Harrow Ford" })).await;
    assert!(text.starts_with("Harrow Ford is open at 1:20, under the rules open-field."), "{text}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_person_sees_what_is_kept_and_has_it_removed_and_the_record_still_holds() {
    let group = Group::at_the_ford().await;
    group.posts(FORD, ORM, "word", json!({ "text": "high reeds" })).await;
    group
        .posts(FORD, IDA, "melee", json!({ "striker": "Ford Wardens", "struck": "Banner Spears" }))
        .await;
    let told = group.told(FORD, ORM, "privacy", json!({})).await;
    assert!(told.starts_with(&format!("Your id {} is kept as person-2.", ORM.id)), "{told}");
    assert!(told.contains("- Harrow Ford: 1"), "{told}");
    // The platform's id of a person stands nowhere in the record's events.
    let events = group.events(FORD).await;
    let id = ORM.id.to_string();
    assert!(events.iter().all(|event| !event.text.contains(&id)));
    let told = group.told(FORD, ORM, "forget", json!({})).await;
    assert!(told.starts_with("Your id has been removed from this bot's records"), "{told}");
    assert_eq!(group.told(FORD, ORM, "privacy", json!({})).await, "Nothing is kept about you.");
    assert_eq!(group.events(FORD).await, events, "no event has changed");
    let heard = group.uses(FORD, IDA, "export", json!({})).await;
    let export = heard.private.expect("a copy is for one").file(0).to_owned();
    let sound = audit(&export).expect("the record still checks, roll by roll");
    assert_eq!(sound.rolls, 1);
    // Whoever comes back is somebody new.
    group.posts(FORD, ORM, "word", json!({ "text": "low reeds" })).await;
    let told = group.told(FORD, ORM, "privacy", json!({})).await;
    assert!(told.contains("is kept as person-3."), "{told}");
}
