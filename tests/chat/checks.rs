//! What the platform would refuse, checked independently of the library that speaks to it.
//!
//! Payloads are parsed with twilight-model and checked with twilight-validate; what these let pass
//! although the platform refuses it is checked by hand, after
//! <https://discord.com/developers/docs/resources/message> and
//! <https://discord.com/developers/docs/interactions/application-commands>.

use serde_json::{Value, json};
use std::collections::HashSet;
use twilight_model::application::command::Command;
use twilight_model::channel::message::{Component, Embed};

/// The keys of a message that this bot has reason to send.
const KEYS: [&str; 8] = [
    "embeds",
    "content",
    "components",
    "allowed_mentions",
    "attachments",
    "flags",
    "nonce",
    "enforce_nonce",
];

/// What is wrong with a message; `files` are the names of the files that came with it.
pub fn message(body: &Value, files: &[(String, Vec<u8>)]) -> Vec<String> {
    let mut wrong = Vec::new();
    let Some(object) = body.as_object() else { return vec!["not an object".to_owned()] };
    for key in object.keys().filter(|key| !KEYS.contains(&key.as_str())) {
        wrong.push(format!("unknown key {key}"));
    }
    let named =
        |key: &str| body["allowed_mentions"][key].as_array().is_some_and(|ids| !ids.is_empty());
    if body["allowed_mentions"]["parse"] != json!([]) || named("users") || named("roles") {
        wrong.push("somebody could be called".to_owned());
    }
    embeds(body, &mut wrong);
    components(body, &mut wrong);
    if let Some(content) = body["content"].as_str() {
        note(&mut wrong, twilight_validate::message::content(content));
    }
    attachments(body, files, &mut wrong);
    let is_empty = |key: &str| match &body[key] {
        Value::Array(list) => list.is_empty(),
        Value::String(text) => text.is_empty(),
        _ => true,
    };
    if ["embeds", "content", "components", "attachments"].iter().all(|key| is_empty(key)) {
        wrong.push("an empty message".to_owned());
    }
    if body["nonce"].as_str().is_some_and(|nonce| nonce.len() > 25) {
        wrong.push("a nonce of more than 25 characters".to_owned());
    }
    if !body["flags"].is_null() && body["flags"] != 64 {
        wrong.push(format!("flags {}", body["flags"]));
    }
    wrong
}

/// What is wrong with an answer to an interaction.
pub fn callback(body: &Value) -> Vec<String> {
    match body["type"].as_u64() {
        Some(5) => Vec::new(),
        Some(8) => choices(&body["data"]["choices"]),
        Some(9) => form(&body["data"]),
        Some(4) if body["data"]["content"].is_string() => Vec::new(),
        _ => vec![format!("an answer of type {}", body["type"])],
    }
}

/// What is wrong with the commands registered.
pub fn commands(body: &Value) -> Vec<String> {
    let mut wrong = Vec::new();
    let Some(commands) = body.as_array() else { return vec!["not a list".to_owned()] };
    if commands.len() > 100 {
        wrong.push(format!("{} commands", commands.len()));
    }
    twice(commands.iter().map(|command| &command["name"]), "command", &mut wrong);
    for raw in commands {
        let mut whole = raw.clone();
        // A command is registered without these and comes back with them.
        whole["version"] = json!("1");
        if whole["type"].is_null() {
            whole["type"] = json!(1);
        }
        let command: Command = match serde_json::from_value(whole) {
            Ok(command) => command,
            Err(error) => {
                wrong.push(format!("{}: {error}", raw["name"]));
                continue;
            }
        };
        note(&mut wrong, twilight_validate::command::command(&command));
        note(&mut wrong, twilight_validate::command::options(&command.options));
        for option in &command.options {
            note(&mut wrong, twilight_validate::command::option(option));
        }
        options(&raw["options"], &mut wrong);
    }
    wrong
}

/// Hand checks of options: what twilight lets pass.
fn options(options: &Value, wrong: &mut Vec<String>) {
    let none = Vec::new();
    let options = options.as_array().unwrap_or(&none);
    twice(options.iter().map(|option| &option["name"]), "option", wrong);
    let mut optional = false;
    for option in options {
        let name = &option["name"];
        if option["type"] == 1 {
            self::options(&option["options"], wrong);
            continue;
        }
        let required = option["required"] == true;
        if required && optional {
            wrong.push(format!("required option {name} after an optional one"));
        }
        optional |= !required;
        let choices = option["choices"].as_array().unwrap_or(&none);
        if choices.len() > 25 {
            wrong.push(format!("{name} has {} choices", choices.len()));
        }
        if !choices.is_empty() && option["autocomplete"] == true {
            wrong.push(format!("{name} has choices and completion"));
        }
        twice(choices.iter().map(|choice| &choice["name"]), "choice", wrong);
        let bound = |key: &str| option[key].as_f64();
        for (least, most) in [("min_value", "max_value"), ("min_length", "max_length")] {
            if let (Some(least), Some(most)) = (bound(least), bound(most))
                && least > most
            {
                wrong.push(format!("{name}: {least} over {most}"));
            }
        }
    }
}

fn choices(choices: &Value) -> Vec<String> {
    let mut wrong = Vec::new();
    let Some(choices) = choices.as_array() else { return vec!["no choices".to_owned()] };
    if choices.len() > 25 {
        wrong.push(format!("{} choices", choices.len()));
    }
    for choice in choices {
        let name = choice["name"].as_str().unwrap_or_default();
        note(&mut wrong, twilight_validate::command::choice_name(name));
        if choice["value"].as_str().is_none_or(|value| value.chars().count() > 100) {
            wrong.push(format!("the value of choice {name}"));
        }
    }
    wrong
}

fn form(data: &Value) -> Vec<String> {
    let mut wrong = Vec::new();
    let length = |key: &str| data[key].as_str().map_or(0, |text| text.chars().count());
    if !(1..=45).contains(&length("title")) || !(1..=100).contains(&length("custom_id")) {
        wrong.push("a form's title or id".to_owned());
    }
    components(data, &mut wrong);
    wrong
}

fn embeds(body: &Value, wrong: &mut Vec<String>) {
    let Some(raw) = body["embeds"].as_array() else { return };
    let mut embeds = Vec::new();
    for embed in raw {
        let mut embed = embed.clone();
        // What comes back has the type that what is sent may leave out.
        embed["type"] = json!("rich");
        match serde_json::from_value::<Embed>(embed) {
            Ok(embed) => {
                if embed.description.as_deref().is_some_and(str::is_empty) {
                    wrong.push("an empty description".to_owned());
                }
                embeds.push(embed);
            }
            Err(error) => wrong.push(format!("embed: {error}")),
        }
    }
    note(wrong, twilight_validate::message::embeds(&embeds));
}

fn components(body: &Value, wrong: &mut Vec<String>) {
    let Some(raw) = body["components"].as_array() else { return };
    let rows: Vec<Component> = match serde_json::from_value(Value::Array(raw.clone())) {
        Ok(rows) => rows,
        Err(error) => return wrong.push(format!("components: {error}")),
    };
    note(wrong, twilight_validate::message::components(&rows, false));
    let inner = raw.iter().filter_map(|row| row["components"].as_array()).flatten();
    twice(inner.map(|component| &component["custom_id"]), "custom id", wrong);
}

/// The files listed and the files sent are the same, and pictures say what they show.
fn attachments(body: &Value, files: &[(String, Vec<u8>)], wrong: &mut Vec<String>) {
    let none = Vec::new();
    let listed = body["attachments"].as_array().unwrap_or(&none);
    let of = |key: &'static str| move |file: &Value| file[key].as_str().map(str::to_owned);
    let names: Vec<String> = listed.iter().filter_map(of("filename")).collect();
    let sent: Vec<&String> = files.iter().map(|(name, _)| name).collect();
    if names.iter().ne(sent) {
        wrong.push(format!("files {names:?} are listed, others are sent"));
    }
    for ((name, bytes), listed) in files.iter().zip(listed) {
        note(wrong, twilight_validate::message::attachment_filename(name));
        let alt = of("description")(listed);
        // PNG specification, section 5.2: the signature of a PNG file.
        let is_picture = bytes.starts_with(b"\x89PNG\r\n\x1a\n");
        let as_picture = std::path::Path::new(name).extension().is_some_and(|end| end == "png");
        if is_picture != as_picture || is_picture != alt.is_some() {
            wrong.push(format!("{name}: a picture has a text alternative, and nothing else has"));
        }
        if alt.is_some_and(|alt| !(1..=1024).contains(&alt.chars().count())) {
            wrong.push(format!("{name}: its text alternative is empty or too long"));
        }
    }
    if files.len() > 10 {
        wrong.push("more than 10 files".to_owned());
    }
    if files.iter().any(|(_, bytes)| bytes.len() > 10 << 20) {
        wrong.push("a file of more than 10 MiB".to_owned());
    }
}

fn twice<'a>(names: impl Iterator<Item = &'a Value>, what: &str, wrong: &mut Vec<String>) {
    let mut seen = HashSet::new();
    for name in names.filter(|name| !name.is_null()) {
        if !seen.insert(name.to_string()) {
            wrong.push(format!("{what} {name} twice"));
        }
    }
}

fn note<E: std::fmt::Display>(wrong: &mut Vec<String>, checked: Result<(), E>) {
    if let Err(error) = checked {
        wrong.push(error.to_string());
    }
}

/// The checks can fail: each of these is refused.
#[test]
fn the_checks_refuse_what_the_platform_refuses() {
    let quiet = json!({ "parse": [] });
    let long = "x".repeat(4097);
    for body in [
        json!({}),
        json!({ "allowed_mentions": quiet }),
        json!({ "embeds": [{ "description": "x" }] }),
        json!({ "embeds": [{ "description": long }], "allowed_mentions": quiet }),
        json!({ "embeds": [{ "description": "" }], "allowed_mentions": quiet }),
        json!({ "embeds": [{ "description": "x" }], "allowed_mentions": quiet, "flags": 4 }),
        json!({ "embeds": [{ "description": "x" }], "allowed_mentions": quiet, "text": "x" }),
        json!({
            "embeds": [{ "description": "x" }],
            "allowed_mentions": quiet,
            "attachments": [{ "id": 0, "filename": "a.txt" }],
        }),
    ] {
        assert!(!message(&body, &[]).is_empty(), "{body}");
    }
    let good = json!({ "embeds": [{ "description": "x" }], "allowed_mentions": quiet });
    assert_eq!(message(&good, &[]), Vec::<String>::new());
    let command =
        |option: Value| json!([{ "name": "melee", "description": "x", "options": [option] }]);
    let many: Vec<Value> = (0..26).map(|n| json!({ "name": n.to_string(), "value": n })).collect();
    for option in [
        json!({ "type": 3, "name": "Unit", "description": "x" }),
        json!({ "type": 3, "name": "unit", "description": "" }),
        json!({ "type": 4, "name": "men", "description": "x", "min_value": 2, "max_value": 1 }),
        json!({ "type": 4, "name": "men", "description": "x", "choices": many }),
    ] {
        assert!(!commands(&command(option.clone())).is_empty(), "{option}");
    }
}
