//! Commands: what is registered, what is offered, and that both fronts build the same requests.

use super::group::{FORD, Group, IDA, SERVER};
use drumhead::terminal::{Line, read_line};
use serde_json::{Value, json};

#[tokio::test(flavor = "multi_thread")]
async fn the_commands_are_registered_everywhere_or_for_one_server() {
    let mut group = Group::gathered().await;
    let names = |group: &Group| -> Vec<String> {
        let state = group.stand_in.world.state();
        let commands = state.commands.as_array().expect("commands were registered").clone();
        commands.iter().map(|command| command["name"].as_str().unwrap().to_owned()).collect()
    };
    let groups = ["battle", "unit", "fight", "turn", "look", "quick", "setup", "help"];
    assert_eq!(names(&group), groups);
    // Every request that a chat can ask stands in its group, with its options.
    let commands = group.stand_in.world.state().commands.clone();
    let asked = drumhead::requests::all().iter().filter(|spec| spec.fronts.chat());
    let mut count = 0;
    for spec in asked {
        let find = |list: &Value, name: &str| {
            list.as_array().unwrap().iter().find(|known| known["name"] == name).cloned()
        };
        let command = match spec.group.command() {
            Some(command) => find(&find(&commands, command).unwrap()["options"], spec.in_chat),
            None => find(&commands, spec.in_chat),
        };
        let command = command.unwrap_or_else(|| panic!("{} is not registered", spec.name));
        let options = command["options"].as_array().map_or(0, Vec::len);
        assert_eq!(options, spec.chat_options().len(), "{}", spec.name);
        count += 1;
    }
    assert!(count > 35, "only {count} requests");
    let contexts = |name: &str| {
        let commands = commands.as_array().unwrap();
        commands.iter().find(|known| known["name"] == name).unwrap()["contexts"].clone()
    };
    assert_eq!((contexts("fight"), contexts("help")), (json!([0]), json!([0, 1])));
    let everywhere = group.stand_in.world.state().commands_at.clone();
    assert!(!everywhere.contains("guilds"), "{everywhere}");
    group.kill();
    group.keys = format!("test_server = {SERVER}");
    group.start().await;
    let at = group.stand_in.world.state().commands_at.clone();
    assert!(at.ends_with(&format!("guilds/{SERVER}/commands")), "{at}");
}

/// Each command asks the very request that the local table reads from the line beside it.
#[tokio::test(flavor = "multi_thread")]
async fn chat_and_table_build_the_same_requests() {
    let group = Group::gathered().await;
    let table = [
        (
            "open",
            json!({ "name": "Harrow Ford", "scale": 10, "first_side": "Vale" }),
            "open \"Harrow Ford\" --scale 10 --side Vale",
        ),
        ("side", json!({ "name": "Grey Banner" }), "side \"Grey Banner\""),
        (
            "muster",
            json!({ "unit": "Ford Wardens", "side": "Vale", "class": "line foot", "men": 160,
                "grade": "guard", "spears": true, "weapon": "bows", "frontage": 6, "leader": "Ida" }),
            "muster \"Ford Wardens\" --side Vale --class \"line foot\" --men 160 --grade guard --spears --weapon bows --frontage 6 --leader Ida",
        ),
        (
            "muster",
            json!({ "unit": "Vale Riders", "side": "Vale", "class": "riders", "men": 80 }),
            "muster \"Vale Riders\" --side Vale --class \"riders\" --men 80",
        ),
        (
            "muster",
            json!({ "unit": "Banner Spears", "side": "Grey Banner", "class": "line foot", "men": 400 }),
            "muster \"Banner Spears\" --side \"Grey Banner\" --class \"line foot\" --men 400",
        ),
        (
            "muster",
            json!({ "unit": "Grey Levies", "side": "Grey Banner", "class": "levy", "men": 400 }),
            "muster \"Grey Levies\" --side \"Grey Banner\" --class levy --men 400",
        ),
        (
            "change",
            json!({ "unit": "Ford Wardens", "men": 150, "weapon": "none", "frontage": 0, "spears": false }),
            "change \"Ford Wardens\" --men 150 --weapon none --frontage none --spears no",
        ),
        (
            "change",
            json!({ "unit": "Ford Wardens", "weapon": "bows", "frontage": 8, "leader": "none",
                "grade": "seasoned", "rename": "Wardens of the Ford" }),
            "change \"Ford Wardens\" --weapon bows --frontage 8 --leader none --grade seasoned --rename \"Wardens of the Ford\"",
        ),
        ("rescale", json!({ "scale": 20 }), "rescale 1:20"),
        ("word", json!({ "name": "Orm", "text": "cold water" }), "word Orm \"cold water\""),
        (
            "shoot",
            json!({ "shooter": "Wardens of the Ford", "target": "Grey Levies", "long": true, "cover": "light" }),
            "shoot \"Wardens of the Ford\" \"Grey Levies\" --long --cover light",
        ),
        // Dice are dice: what they did is taken back, so that what follows can always be asked.
        ("undo", json!({ "reason": "out of reach" }), "undo \"out of reach\""),
        (
            "melee",
            json!({ "striker": "Wardens of the Ford", "struck": "Banner Spears", "higher": "ours", "obstacle": "theirs",
                "facing": "flank", "cast": true, "more": "“Vale Riders” “Grey Levies” --charge" }),
            "melee \"Wardens of the Ford\" \"Banner Spears\" --flank --higher ours --obstacle theirs --cast and \"Vale Riders\" \"Grey Levies\" --charge",
        ),
        ("cast", json!({ "text": "high reeds at Harrow" }), "cast \"high reeds at Harrow\""),
        ("undo", json!({ "reason": "wrong flank" }), "undo \"wrong flank\""),
        ("undo", json!({ "reason": "wrong units" }), "undo \"wrong units\""),
        (
            "melee",
            json!({ "striker": "Wardens of the Ford", "struck": "Banner Spears" }),
            "melee \"Wardens of the Ford\" \"Banner Spears\"",
        ),
        ("undo", json!({ "reason": "not yet" }), "undo \"not yet\""),
        (
            "change",
            json!({ "unit": "Grey Levies", "standing": "shaken" }),
            "change \"Grey Levies\" --standing shaken",
        ),
        ("rally", json!({ "unit": "Grey Levies" }), "rally \"Grey Levies\""),
        ("turn", json!({}), "turn"),
        (
            "ruling",
            json!({ "striker": "8 line foot, seasoned", "struck": "3 riders", "facing": "flank" }),
            "ruling \"8 line foot, seasoned\" \"3 riders\" --flank",
        ),
        (
            "throw",
            json!({ "dice": "3d6 1d20", "for": "the weather" }),
            "throw 3d6 1d20 --for \"the weather\"",
        ),
        ("dismiss", json!({ "unit": "Vale Riders" }), "dismiss \"Vale Riders\""),
        ("close", json!({}), "close"),
        ("reopen", json!({ "battle": "Harrow Ford" }), "reopen \"Harrow Ford\""),
    ];
    for (name, options, _) in &table {
        group.posts(FORD, IDA, name, options.clone()).await;
    }
    let events = group.events(FORD).await;
    assert_eq!(events.len(), table.len());
    for (event, (_, _, line)) in events.iter().zip(&table) {
        let Ok(Line::Request(expected, _)) = read_line(line) else { panic!("no request: {line}") };
        assert_eq!(event.event.request, expected, "{line}");
        // The words are those of the table as well; a phone shows them on narrower lines.
        let words = drumhead::words::event(event);
        let posts = group.channel(FORD);
        let shown = posts.iter().any(|post| post.text().contains(&words.headline));
        assert!(shown, "no post says “{}”", words.headline);
    }
}

/// `attach` needs fortunes of war, so it is compared here.
#[tokio::test(flavor = "multi_thread")]
async fn a_leader_whose_unit_was_destroyed_is_attached_to_another() {
    let group = Group::at_the_ford().await;
    let riders = json!({ "unit": "Vale Riders", "side": "Vale", "class": "riders",
        "men": 80, "leader": "Una" });
    group.posts(FORD, IDA, "muster", riders).await;
    group.posts(FORD, IDA, "change", json!({ "unit": "Vale Riders", "men": 0 })).await;
    assert_eq!(group.completes(FORD, "attach", "leader", "u").await, ["Una"]);
    let posted =
        group.posts(FORD, IDA, "attach", json!({ "leader": "una", "unit": "Ford Wardens" })).await;
    assert!(posted.starts_with("Una leads Ford Wardens."), "{posted}");
    let Ok(Line::Request(expected, _)) = read_line("attach Una \"Ford Wardens\"") else {
        panic!("it is a request")
    };
    assert_eq!(group.events(FORD).await.pop().unwrap().event.request, expected);
}

#[tokio::test(flavor = "multi_thread")]
async fn names_are_offered_from_the_battle_here() {
    let group = Group::at_the_ford().await;
    for (name, option, typed, offered) in [
        ("melee", "striker", "", vec!["Ford Wardens", "Banner Spears"]),
        ("melee", "struck", "ban", vec!["Banner Spears"]),
        ("muster", "side", "va", vec!["Vale"]),
        ("reopen", "battle", "harrow", vec!["Harrow Ford"]),
        ("open", "rules", "cell", vec!["cell-by-cell"]),
        ("change", "weapon", "none", vec!["none"]),
        ("defaults", "rules", "open", vec!["open-field"]),
    ] {
        assert_eq!(group.completes(FORD, name, option, typed).await, offered, "{name} {option}");
    }
    let classes = group.completes(FORD, "muster", "class", "foot").await;
    assert!(classes.contains(&"line foot".to_owned()), "{classes:?}");
    assert!(!group.completes(FORD, "muster", "grade", "").await.is_empty());
    // Without a battle there are no units, and the rules that ship offer their classes.
    assert!(group.completes(super::group::MILL, "melee", "striker", "").await.is_empty());
    assert!(!group.completes(super::group::MILL, "muster", "class", "").await.is_empty());
}

#[tokio::test(flavor = "multi_thread")]
async fn looks_are_for_one_unless_shared_and_mistakes_are_private() {
    let group = Group::at_the_ford().await;
    let shown = group.told(FORD, IDA, "show", json!({})).await;
    assert!(shown.contains("Ford Wardens: 20 of 20 figures, 400 of 400 men"), "{shown}");
    let shared =
        group.posts(FORD, IDA, "show", json!({ "unit": "ford wardens", "share": true })).await;
    assert!(shared.starts_with("Ford Wardens of Vale"), "{shared}");
    assert!(group.told(FORD, IDA, "battles", json!({})).await.contains("Harrow Ford: open"));
    assert!(
        group.told(FORD, IDA, "log", json!({ "all": true })).await.contains("opened Harrow Ford")
    );
    assert!(group.told(FORD, IDA, "rules", json!({})).await.contains("Troop classes"));
    assert!(group.told(FORD, IDA, "help", json!({})).await.contains("A battle in five commands"));
    let melee = group.told(FORD, IDA, "help", json!({ "request": "fight melee" })).await;
    assert!(melee.starts_with("/fight melee\nFight one round"), "{melee}");
    let before = group.events(FORD).await.len();
    let mistake = group
        .told(FORD, IDA, "melee", json!({ "striker": "Ford Wardns", "struck": "Banner Spears" }))
        .await;
    assert_eq!(
        mistake,
        "No unit is called “Ford Wardns” in this battle. Did you mean “Ford Wardens”?"
    );
    let unread = json!({ "striker": "Ford Wardens", "struck": "Banner Spears", "more": "\"Vale" });
    let mistake = group.told(FORD, IDA, "melee", unread).await;
    assert_eq!(mistake, "A quotation mark is left open. Close it: \"Ford Wardens\"");
    assert_eq!(group.events(FORD).await.len(), before, "mistakes change nothing");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_private_message_gets_one_kind_sentence() {
    let group = Group::gathered().await;
    let said = "Battles are fought in the channels and threads of a server. Use a command there, and I will referee.";
    let command = |kind| {
        let data = super::group::command("help", &json!({}));
        let (id, mut interaction) = group.interaction(FORD, IDA, kind, &data);
        // In private there is a user and no member, and no server.
        let object = interaction.as_object_mut().unwrap();
        let member = object.remove("member").unwrap();
        object.insert("user".to_owned(), member["user"].clone());
        object.remove("guild_id");
        (id, interaction)
    };
    let (id, interaction) = command(2);
    group.dispatch(FORD, &interaction);
    let answer = group.first_answer(id).await;
    assert_eq!((&answer["type"], &answer["data"]["flags"]), (&json!(4), &json!(32768)));
    assert_eq!(answer["data"]["components"][0]["content"], said);
    let (id, interaction) = command(4);
    group.dispatch(FORD, &interaction);
    assert_eq!(group.first_answer(id).await["data"]["choices"], json!([]));
}
