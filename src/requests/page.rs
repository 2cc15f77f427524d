//! The page on every request, `docs/requests.md`: written from the table of requests alone.

use super::{Group, Kind, Need, Position, Slot, Spec, Tier, command, in_group, typed};
use std::fmt::Write as _;

const BEGINNING: &str = "\
# Every request

This page is written by the program from its table of requests; a test compares the two.
To write it anew: `UPDATE_DOCS=1 cargo test --test integration requests`.

At the table a request is one line: its name, then what it needs, then its options with two hyphens.
In a chat it is a command with the same names.
Names of several words stand in quotation marks at the table; capitals do not matter.
A line of the table may begin with an id of its own, such as `@m-1`: asked again with the same id, it throws nothing new.
`first` marks what a first evening needs, `second` what comes after, `later` what only some will want.
";

/// The whole page, as Markdown with one sentence a line.
pub fn page() -> String {
    let mut page = BEGINNING.to_owned();
    for group in Group::ALL {
        write!(page, "\n## {}\n\n{}\n", group.heading(), group.about()).expect(INFALLIBLE);
        for spec in in_group(group) {
            request(&mut page, spec);
        }
    }
    page
}

const INFALLIBLE: &str = "a String takes all";

fn request(page: &mut String, spec: &'static Spec) {
    let tier = match spec.tier {
        Tier::First => "first",
        Tier::Second => "second",
        Tier::Later => "later",
    };
    write!(page, "\n### {}\n\n{}\n", spec.name, sentences(spec.about)).expect(INFALLIBLE);
    if !spec.note.is_empty() {
        writeln!(page, "{}", sentences(spec.note)).expect(INFALLIBLE);
    }
    let mut told = vec![tier.to_owned()];
    if spec.fronts.table() {
        told.push(format!("at the table `{}`", spec.name));
    }
    if spec.fronts.chat() {
        told.push(format!("in a chat `{}`", command(spec)));
    }
    if !spec.aliases.is_empty() {
        told.push(format!("also understood: {}", codes(spec.aliases)));
    }
    writeln!(page, "\n{}.", told.join("; ")).expect(INFALLIBLE);
    slots(page, spec);
    for example in spec.examples {
        write!(page, "\n    {example}").expect(INFALLIBLE);
    }
    if !spec.examples.is_empty() {
        page.push('\n');
    }
}

fn slots(page: &mut String, spec: &Spec) {
    if spec.slots.is_empty() {
        return;
    }
    page.push_str("\n| what | meaning | at the table | in a chat |\n|---|---|---|---|\n");
    for slot in spec.slots {
        let need = match (slot.need, slot.usual) {
            (Need::Required, _) => "; needed".to_owned(),
            (Need::AtTable, _) => "; needed at the table".to_owned(),
            (Need::Optional, Some(usual)) => format!("; usually {usual}"),
            (Need::Optional, None) => String::new(),
        };
        let table = if spec.fronts.table() { at_table(slot) } else { "–".to_owned() };
        let chat = in_chat(slot);
        writeln!(page, "| {} | {}{need} | {table} | {chat} |", slot.name, slot.about)
            .expect(INFALLIBLE);
    }
}

/// How a line of the table gives a slot.
fn at_table(slot: &Slot) -> String {
    if matches!(slot.kind, Kind::Contacts) {
        return format!("after `{}`", typed::JOINT);
    }
    if !slot.fronts.table() {
        return "–".to_owned();
    }
    let value = slot.value_name().replace('|', "\\|");
    match (&slot.kind, slot.place) {
        (Kind::Flags(choices), _) => {
            let flags = choices.iter().skip(1).map(|choice| format!("`--{}`", choice.name));
            flags.collect::<Vec<_>>().join(", ")
        }
        (Kind::Flag, _) => format!("`--{}`", slot.name),
        (_, Position::Word) => format!("`{value}`"),
        (_, Position::Rest) => format!("`{value}…`"),
        (_, Position::Option | Position::Options) => format!("`--{} {value}`", slot.name),
    }
}

/// How a command of a chat gives a slot.
fn in_chat(slot: &Slot) -> String {
    if !slot.fronts.chat() {
        return "–".to_owned();
    }
    if slot.chat_names.is_empty() { format!("`{}`", slot.name) } else { codes(slot.chat_names) }
}

fn codes(words: &[&str]) -> String {
    words.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", ")
}

/// Text with one sentence a line.
fn sentences(text: &str) -> String {
    text.replace(". ", ".\n")
}
