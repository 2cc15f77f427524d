//! Hints in the chat's own spelling: what the words tell to ask as a line of the local table is
//! told here as a slash command with its options.

use super::commands;
use std::collections::HashMap;
use std::sync::OnceLock;

/// The options of each command, in order.
fn commands() -> &'static HashMap<String, Vec<String>> {
    static COMMANDS: OnceLock<HashMap<String, Vec<String>>> = OnceLock::new();
    COMMANDS.get_or_init(|| {
        let options = |command: &commands::Command| {
            command.parameters.iter().map(|option| option.name.to_string()).collect()
        };
        commands::all().iter().map(|command| (command.name.to_string(), options(command))).collect()
    })
}

/// A sentence whose hint, behind its last colon or the whole of it, is spelled as a command. A
/// sentence without a hint stays as it is.
pub(super) fn in_chat(sentence: &str) -> String {
    if let Some(command) = command(sentence) {
        return command;
    }
    if let Some((told, hint)) = sentence.rsplit_once(": ")
        && let Some(command) = command(hint)
    {
        return format!("{told}: {command}");
    }
    sentence.to_owned()
}

/// A line of the table as a command; none if it is not one.
fn command(line: &str) -> Option<String> {
    // A hint ends without a full stop; the name of the rules “open field” may stand before one.
    if line.ends_with(['.', '?', '”']) {
        return None;
    }
    let words = shell_words::split(line).ok()?;
    let (name, words) = words.split_first()?;
    let options = commands().get(name)?;
    let mut places = options.iter();
    let mut given = Vec::new();
    let mut words = words.iter().peekable();
    while let Some(word) = words.next() {
        let Some(option) = word.strip_prefix("--") else {
            given.push(format!("{}: {word}", places.next()?));
            continue;
        };
        let option = options.iter().find(|known| *known == option)?;
        let value = words.next_if(|next| !next.starts_with("--"));
        given.push(format!("{option}: {}", value.map_or("True", String::as_str)));
    }
    let space = if given.is_empty() { "" } else { " " };
    Some(format!("/{name}{space}{}", given.join(", ")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hint_becomes_a_command_and_nothing_else_does() {
        for (told, shown) in [
            (
                "No battle is open here. Open one: open NAME --scale 20",
                "No battle is open here. Open one: /open name: NAME, scale: 20",
            ),
            (
                "Vale Riders is in a melee. Take it out of contact first: change UNIT --apart",
                "Vale Riders is in a melee. Take it out of contact first: /change unit: UNIT, apart: True",
            ),
            ("Begin the next turn first: turn", "Begin the next turn first: /turn"),
            (
                "muster \"Ford Wardens\" --side Vale --class \"heavy foot\" --men 160",
                "/muster unit: Ford Wardens, side: Vale, class: heavy foot, men: 160",
            ),
            ("“x: close” cannot be a name.", "“x: close” cannot be a name."),
            ("The rules here are: open field.", "The rules here are: open field."),
            ("Did you mean “turn”?", "Did you mean “turn”?"),
        ] {
            assert_eq!(in_chat(told), shown);
        }
    }
}
