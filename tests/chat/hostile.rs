//! Hostile text in every option of every command: each is answered in words, nothing panics, and a
//! refusal leaves the record as it was.

use super::group::{FORD, Group, IDA, SERVER};
use drumhead::record::Record;
use drumhead::requests::{self, ChatOption, Kind, Spec};
use serde_json::{Value, json};
use std::collections::HashMap;

/// What no careful reader would type.
fn texts() -> Vec<String> {
    let long = |c: &str| c.repeat(6_000);
    [
        "",
        " ",
        "\"",
        "“",
        "'\"'",
        "\\",
        "a\tb",
        "1,5\t\"10",
        "\"unclosed --at 1 'x",
        "\n",
        "a\nb",
        "\u{0}",
        "\u{7}\u{1b}[2J\u{1b}[31m1 roll holds",
        "\u{9b}2J",
        "Ida\u{202e}adI",
        "\u{200b}",
        "Ford\u{a0}Wardens",
        "\u{feff}",
        "F\u{43e}rd Wardens",
        "@everyone <@&1> `x` **y** ||z||",
        "--json",
        "-1",
        "0",
        "99999999999999999999",
        "1e9",
        "NaN",
        "1:0",
        "1:1001",
        "100d1000001",
        "none",
        "and",
        "../../etc/passwd",
        "'; DROP TABLE events; --",
        "%s%n",
        "𝕏\u{10ffff}",
    ]
    .map(str::to_owned)
    .into_iter()
    .chain([long("x"), long("\""), long("\t"), long("1d6 "), long("\u{301}")])
    .collect()
}

/// Numbers out of every range; the platform sends none past 2⁵³.
const NUMBERS: [i64; 7] =
    [-9_007_199_254_740_991, -1, 0, 1_001, 100_001, 4_294_967_296, 9_007_199_254_740_991];

/// An option as the platform would send it, filled in as people do.
fn usual(option: &ChatOption, kind: u8) -> Value {
    let text = match option.slot.kind {
        Kind::Unit(_) if ["other", "struck", "target"].contains(&option.slot.name) => {
            "Banner Spears"
        }
        Kind::Unit(_) => "Ford Wardens",
        Kind::Side => "Vale",
        Kind::Class => "line foot",
        Kind::Grade => "trained",
        Kind::Weapon | Kind::OrNone(_) => "none",
        Kind::RulesName => "open-field",
        Kind::BattleName => "Harrow Ford",
        Kind::RequestName => "muster",
        Kind::Scales => "10,20",
        Kind::Dice => "2d6",
        Kind::Described => "8 line foot",
        Kind::FreeLeader => "Ida",
        Kind::Choice(choices) | Kind::Flags(choices) => choices[0].name,
        Kind::Contacts => "",
        _ => "the river runs cold",
    };
    match kind {
        4 => json!(20),
        5 => json!(true),
        6 => json!({ "user": IDA.id }),
        8 => json!({ "role": SERVER }),
        _ => json!(text),
    }
}

/// The platform's numbers for the options' kinds, as they were registered: by request and option.
fn registered(group: &Group) -> HashMap<(&'static str, &'static str), u8> {
    let commands = group.stand_in.world.state().commands.clone();
    let named = |list: &Value, name: &str| {
        let list = list.as_array().into_iter().flatten();
        list.clone().find(|known| known["name"] == *name).cloned().expect("it is registered")
    };
    let mut kinds = HashMap::new();
    for spec in requests::all().iter().filter(|spec| spec.fronts.chat()) {
        let command = match spec.group.command() {
            Some(name) => named(&named(&commands, name)["options"], spec.in_chat),
            None => named(&commands, spec.in_chat),
        };
        for option in spec.chat_options() {
            let kind = named(&command["options"], option.name)["type"].as_u64();
            kinds.insert((spec.name, option.name), u8::try_from(kind.unwrap()).unwrap());
        }
    }
    kinds
}

/// The command with one option as given, and the others that it needs filled in as people do.
fn command(
    kinds: &HashMap<(&'static str, &'static str), u8>,
    spec: &Spec,
    hostile: &ChatOption,
    (kind, value): (u8, &Value),
) -> Value {
    let kind_of = |option: &ChatOption| kinds[&(spec.name, option.name)];
    let filled = spec.chat_options().into_iter().filter(|option| {
        option.name != hostile.name
            && (option.required()
                || hostile.slot.needs == Some(option.slot.name)
                || option.slot.need == requests::Need::AtTable)
    });
    let mut options: Vec<Value> = filled
        .filter(|option| !matches!(kind_of(option), 6 | 8))
        .map(|option| json!({ "name": option.name, "type": kind_of(&option), "value": usual(&option, kind_of(&option)) }))
        .collect();
    options.push(json!({ "name": hostile.name, "type": kind, "value": value }));
    let id = "500000000000000001";
    match spec.group.command() {
        Some(group) => json!({ "id": id, "name": group, "type": 1, "options": [
            { "type": 1, "name": spec.in_chat, "options": options },
        ] }),
        None => json!({ "id": id, "name": spec.in_chat, "type": 1, "options": options }),
    }
}

/// How many events the whole record has.
async fn events(record: &Record) -> u64 {
    let heads = record.battles(None).await.expect("battles are listed");
    heads.iter().map(|head| head.seq).sum()
}

/// Sends one command as it is; whether it was granted in front of everyone.
async fn is_granted(group: &Group, channel: u64, data: &Value) -> bool {
    let (id, interaction) = group.interaction(channel, IDA, 2, data);
    group.dispatch(channel, &interaction);
    let heard = group.hears(id).await;
    let message = heard.post.as_ref().or(heard.private.as_ref()).expect("it is answered");
    let text = message.text();
    assert!(!text.trim().is_empty() || !message.files.is_empty(), "no words for {data}");
    assert!(!text.contains("Something went wrong"), "{data}: {text}");
    let hides = |c: &char| *c != '\n' && drumhead::text::hides(*c);
    assert!(!text.chars().any(|c| hides(&c)), "{data}: {text:?}");
    heard.post.is_some()
}

#[tokio::test(flavor = "multi_thread")]
async fn hostile_text_in_any_option_is_answered_in_words_and_refusals_change_nothing() {
    let group = Group::at_the_ford().await;
    let record = group.record().await;
    let kinds = registered(&group);
    let texts = texts();
    let (mut sent, mut refused) = (0, 0);
    let commands = requests::all().iter().filter(|spec| spec.fronts.chat());
    for (n, spec) in (0..).zip(commands) {
        for hostile in spec.chat_options() {
            // Opening and closing leave other places as they are for the next command.
            let apart = ["open", "reopen"].contains(&spec.name);
            let channel = if apart { FORD + 1_000 + n } else { FORD };
            let kind = kinds[&(spec.name, hostile.name)];
            let values: Vec<(u8, Value)> = match kind {
                4 => NUMBERS.iter().map(|number| (4, json!(number))).collect(),
                3 => texts.iter().map(|text| (3, json!(text))).collect(),
                _ => Vec::new(),
            };
            // Kinds that were not registered for it, as a platform gone wrong would send them.
            let wrong = [
                (3, json!("twenty")),
                (4, json!(7)),
                (5, json!(true)),
                (10, json!(0.5)),
                (7, json!(FORD.to_string())),
            ];
            let wrong = wrong.into_iter().filter(|(other, _)| *other != kind);
            for (kind, value) in values.into_iter().chain(wrong) {
                let before = events(&record).await;
                let data = command(&kinds, spec, &hostile, (kind, &value));
                let granted = is_granted(&group, channel, &data).await;
                sent += 1;
                if !granted {
                    refused += 1;
                    assert_eq!(events(&record).await, before, "a refusal changed: {data}");
                } else if !apart {
                    // What can be taken back is, so that the next one meets the same battle.
                    group.uses(FORD, IDA, "undo", json!({ "reason": "only tried" })).await;
                }
            }
        }
    }
    record.close().await;
    println!("{sent} commands sent, {refused} refused or shown to one person");
    assert!(sent > 1_500 && refused > 1_200, "{sent} sent, {refused} refused");
    assert!(!group.trace().contains("panicked"), "{}", group.trace());
    // A value that is not of its option's own kind cannot even be read; the bot lives on.
    let broken = json!({ "id": "500000000000000001", "name": "turn", "type": 1, "options": [
        { "type": 1, "name": "undo", "options": [{ "name": "reason", "type": 3, "value": 7 }] },
    ] });
    let (_, interaction) = group.interaction(FORD, IDA, 2, &broken);
    group.dispatch(FORD, &interaction);
    assert!(group.told(FORD, IDA, "show", json!({})).await.starts_with("Harrow Ford"));
}
