//! What the platform would refuse, checked independently of the library that speaks to it.
//!
//! Payloads are parsed with twilight-model and checked with twilight-validate; what these let pass
//! although the platform refuses it is checked by hand, after
//! <https://discord.com/developers/docs/resources/message>,
//! <https://discord.com/developers/docs/components/reference> and
//! <https://discord.com/developers/docs/interactions/application-commands>.

use serde_json::{Value, json};
use std::collections::{HashMap, HashSet};
use twilight_model::application::command::Command;
use twilight_model::channel::message::Component;

/// The keys of a message that this bot has reason to send; a message of components has neither
/// content nor embeds.
const KEYS: [&str; 6] =
    ["components", "allowed_mentions", "attachments", "flags", "nonce", "enforce_nonce"];
/// The flag of a message that one person alone sees, and that of a message of components.
const EPHEMERAL: u64 = 1 << 6;
const COMPONENTS: u64 = 1 << 15;
/// The kinds of components, as <https://discord.com/developers/docs/components/reference> numbers
/// them.
const ACTION_ROW: u64 = 1;
const TEXT_INPUT: u64 = 4;
const TEXT_DISPLAY: u64 = 10;
const MEDIA_GALLERY: u64 = 12;
const FILE: u64 = 13;
const CONTAINER: u64 = 17;

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
    let flags = body["flags"].as_u64().unwrap_or(0);
    if flags & COMPONENTS == 0 || flags & !(COMPONENTS | EPHEMERAL) != 0 {
        wrong.push(format!("flags {flags}"));
    }
    components(body, true, &mut wrong);
    let parts = all(body);
    texts(&parts, &mut wrong);
    if parts.is_empty() {
        wrong.push("an empty message".to_owned());
    }
    // The published limit; counted here as well, so that it does not hang on one library.
    if parts.len() > 40 {
        wrong.push(format!("{} components", parts.len()));
    }
    for part in &parts {
        let inner = part["components"].as_array().map_or(1, Vec::len);
        if [ACTION_ROW, CONTAINER].iter().any(|kind| part["type"] == *kind) && inner == 0 {
            wrong.push(format!("nothing in {part}"));
        }
        if part["type"] == TEXT_INPUT {
            wrong.push("a text input outside a form".to_owned());
        }
    }
    attachments(body, &parts, files, &mut wrong);
    if body["nonce"].as_str().is_some_and(|nonce| nonce.len() > 25) {
        wrong.push("a nonce of more than 25 characters".to_owned());
    }
    wrong
}

/// Every component of a message or a form, those inside others too.
pub fn all(body: &Value) -> Vec<&Value> {
    fn of(component: &Value) -> Vec<&Value> {
        let inner = component["components"].as_array().into_iter().flatten();
        let accessory = component.get("accessory");
        [component].into_iter().chain(inner.chain(accessory).flat_map(of)).collect()
    }
    body["components"].as_array().into_iter().flatten().flat_map(of).collect()
}

/// At most 4,000 characters of text in a message, and none of it empty.
fn texts(parts: &[&Value], wrong: &mut Vec<String>) {
    let texts = parts.iter().filter(|part| part["type"] == TEXT_DISPLAY);
    let lengths: Vec<usize> = texts
        .map(|part| part["content"].as_str().map_or(0, |text| text.encode_utf16().count()))
        .collect();
    if lengths.iter().sum::<usize>() > 4000 || lengths.contains(&0) {
        wrong.push(format!("texts of {lengths:?}"));
    }
}

/// What is wrong with an answer to an interaction.
pub fn callback(body: &Value) -> Vec<String> {
    match body["type"].as_u64() {
        Some(5) if [Some(0), Some(EPHEMERAL), None].contains(&body["data"]["flags"].as_u64()) => {
            Vec::new()
        }
        Some(8) => choices(&body["data"]["choices"]),
        Some(9) => form(&body["data"]),
        Some(4) => message(&body["data"], &[]),
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
        // The published description has a whole number or null.
        let permissions = raw.get("default_member_permissions");
        if !permissions.is_some_and(|given| given.is_null() || given.is_u64()) {
            wrong.push(format!("{}: permissions {permissions:?}", raw["name"]));
        }
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
    components(data, false, &mut wrong);
    let rows = data["components"].as_array().map_or(0, Vec::len);
    let inputs = all(data).iter().filter(|part| part["type"] == TEXT_INPUT).count();
    if !(1..=5).contains(&rows) || inputs != rows || all(data).len() != rows * 2 {
        wrong.push("a form has rows with a text input each".to_owned());
    }
    wrong
}

fn components(body: &Value, of_message: bool, wrong: &mut Vec<String>) {
    let Some(raw) = body["components"].as_array() else { return };
    let parsed: Vec<Component> = match serde_json::from_value(Value::Array(raw.clone())) {
        Ok(parsed) => parsed,
        Err(error) => return wrong.push(format!("components: {error}")),
    };
    note(wrong, twilight_validate::message::components(&parsed, of_message));
    twice(all(body).into_iter().map(|part| &part["custom_id"]), "custom id", wrong);
}

/// The files listed, shown and sent are the same; pictures stand in galleries and say what they
/// show, other files stand alone.
fn attachments(
    body: &Value,
    parts: &[&Value],
    files: &[(String, Vec<u8>)],
    wrong: &mut Vec<String>,
) {
    let none = Vec::new();
    let listed = body["attachments"].as_array().unwrap_or(&none);
    let names: Vec<&str> = listed.iter().filter_map(|file| file["filename"].as_str()).collect();
    let sent: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).collect();
    if names != sent || names.iter().collect::<HashSet<_>>().len() != names.len() {
        wrong.push(format!("files {names:?} are listed, {sent:?} are sent"));
    }
    // The published description has the id as a string.
    let numbered = |(n, file): (usize, &Value)| file["id"] == json!(n.to_string());
    if !listed.iter().enumerate().all(numbered) {
        wrong.push(format!("ids of files: {listed:?}"));
    }
    let mut shown: HashMap<&str, Option<&str>> = HashMap::new();
    let items = parts.iter().filter(|part| part["type"] == MEDIA_GALLERY);
    let items = items.flat_map(|gallery| gallery["items"].as_array().into_iter().flatten());
    let pictures = items.map(|item| (&item["media"]["url"], item["description"].as_str()));
    let alone = parts.iter().filter(|part| part["type"] == FILE);
    for (url, alt) in pictures.chain(alone.map(|part| (&part["file"]["url"], None))) {
        let name = url.as_str().and_then(|url| url.strip_prefix("attachment://"));
        if name.is_none_or(|name| shown.insert(name, alt).is_some()) {
            wrong.push(format!("{url} is no file of this message, or is shown twice"));
        }
    }
    if shown.len() != files.len() {
        wrong.push(format!("files {sent:?} are sent, {:?} are shown", shown.keys()));
    }
    for ((name, bytes), listed) in files.iter().zip(listed) {
        note(wrong, twilight_validate::message::attachment_filename(name));
        let alt = shown.get(name.as_str()).copied().flatten();
        // PNG specification, section 5.2: the signature of a PNG file.
        let is_picture = bytes.starts_with(b"\x89PNG\r\n\x1a\n");
        let as_picture = std::path::Path::new(name).extension().is_some_and(|end| end == "png");
        if is_picture != as_picture || is_picture != alt.is_some() {
            wrong.push(format!("{name}: a picture has a text alternative, and nothing else has"));
        }
        if alt != listed["description"].as_str() {
            wrong.push(format!("{name}: two text alternatives"));
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
    let text = |text: &str| json!({ "type": 10, "content": text });
    let of = |components: Value| json!({ "flags": 32768, "components": components, "allowed_mentions": { "parse": [] } });
    let with = |key: &str, value: Value| {
        let mut body = of(json!([text("x")]));
        body[key] = value;
        body
    };
    let button = json!({ "type": 2, "style": 1, "label": "x", "custom_id": "x" });
    let row = |buttons: Value| json!({ "type": 1, "components": buttons });
    let file = json!({ "type": 13, "file": { "url": "attachment://a.txt" } });
    let listed = json!([{ "id": "0", "filename": "a.txt" }]);
    for body in [
        json!({}),
        of(json!([])),
        of(json!([text("")])),
        of(json!([text(&"x".repeat(2001))])),
        of(Value::Array(vec![text(&"x".repeat(1500)); 3])),
        of(Value::Array(vec![text("x"); 41])),
        of(json!([row(json!([]))])),
        of(json!([row(json!([button, button]))])),
        of(json!([{ "type": 17, "components": [{ "type": 17, "components": [text("x")] }] }])),
        of(json!([{ "type": 4, "custom_id": "x", "label": "x", "style": 1 }])),
        of(json!([file])),
        with("flags", json!(64)),
        with("flags", json!(32768 | 4)),
        with("content", json!("x")),
        with("embeds", json!([{ "description": "x" }])),
        with("allowed_mentions", json!({ "parse": ["users"] })),
        with("allowed_mentions", json!({ "parse": [], "users": ["1"] })),
        with("attachments", listed.clone()),
        with("nonce", json!("x".repeat(26))),
    ] {
        assert!(!message(&body, &[]).is_empty(), "{body}");
    }
    assert_eq!(message(&of(json!([text("x"), row(json!([button]))])), &[]), Vec::<String>::new());
    let sent = [("a.txt".to_owned(), b"x".to_vec())];
    let mut body = of(json!([file]));
    body["attachments"] = listed;
    assert_eq!(message(&body, &sent), Vec::<String>::new());
    body["attachments"][0]["id"] = json!(0);
    assert!(!message(&body, &sent).is_empty(), "the id of a file is a string");
    assert!(!message(&with("attachments", json!([])), &sent).is_empty(), "a file nobody is shown");
    for answer in [
        json!({ "type": 5, "data": { "flags": 32768 } }),
        json!({ "type": 4, "data": { "content": "x" } }),
        json!({ "type": 9, "data": { "custom_id": "x", "title": "x", "components": [text("x")] } }),
        json!({ "type": 8, "data": { "choices": [{ "name": "", "value": "" }] } }),
        json!({ "type": 1 }),
    ] {
        assert!(!callback(&answer).is_empty(), "{answer}");
    }
    let command = |option: Value| {
        json!([{ "name": "melee", "description": "x", "options": [option],
            "default_member_permissions": null }])
    };
    let many: Vec<Value> = (0..26).map(|n| json!({ "name": n.to_string(), "value": n })).collect();
    for option in [
        json!({ "type": 3, "name": "Unit", "description": "x" }),
        json!({ "type": 3, "name": "unit", "description": "" }),
        json!({ "type": 4, "name": "men", "description": "x", "min_value": 2, "max_value": 1 }),
        json!({ "type": 4, "name": "men", "description": "x", "choices": many }),
    ] {
        assert!(!commands(&command(option.clone())).is_empty(), "{option}");
    }
    let good = json!({ "type": 4, "name": "men", "description": "x", "min_value": 1 });
    assert_eq!(commands(&command(good.clone())), Vec::<String>::new());
    let mut as_text = command(good);
    as_text[0]["default_member_permissions"] = json!("32");
    assert!(!commands(&as_text).is_empty(), "permissions are a number or null");
}
