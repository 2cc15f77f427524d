//! One line of the table: a request or a look, written in words.
//!
//! `words::request_line` writes the same form, and a test holds the two together.

use super::grammar::{MeleeWords, Spoken};
use super::trouble;
use super::width;
use crate::protocol::Request;
use crate::referee::Look;
use clap::{CommandFactory as _, Parser as _};
use std::path::PathBuf;

/// What a line asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Line {
    /// Something that changes the record; the id is the one the line gives itself, if any.
    Request(Request, Option<String>),
    /// Something to look at.
    Look(Look),
    /// Something to look at, as data for a machine.
    Data(Look),
    /// Something to look at, drawn to a file too.
    Drawn(Look, PathBuf),
    /// Help, on one request or on all.
    Help(Option<String>),
    /// Leave the table.
    Quit,
    /// Nothing: an empty line or a comment.
    Nothing,
}

/// Reads a line. A mistake is one sentence that says what to do.
pub fn read(line: &str) -> Result<Line, String> {
    if line.chars().count() > LONGEST {
        return Err(format!("This line has over {LONGEST} characters. Shorten it."));
    }
    let line = plain(line.trim());
    if line.is_empty() || line.starts_with('#') {
        return Ok(Line::Nothing);
    }
    let (id, line) = own_id(&line)?;
    let mut words = shell_words::split(line)
        .map_err(|_| "A quotation mark is left open. Close it: \"Ford Wardens\"".to_owned())?;
    uncapitalise(&mut words);
    let joins = words.first().is_some_and(|word| word == "melee" || word == "odds");
    if words.first().is_some_and(|word| word == "odds") {
        form_first(&mut words);
    }
    let mut parts = words.split(|word| joins && word == "and");
    let head = parts.next().unwrap_or_default();
    let spoken = Spoken::try_parse_from(head).map_err(|error| trouble::sentence(&error, &words))?;
    let mut line = spoken.ask.into_line();
    for part in parts {
        let further =
            MeleeWords::try_parse_from(part).map_err(|error| trouble::sentence(&error, &words))?;
        match &mut line {
            Line::Request(Request::Melee(melee), _) => {
                melee.cast |= further.cast;
                melee.contacts.push(further.contact.into());
            }
            Line::Look(Look::Odds { contacts })
            | Line::Data(Look::Odds { contacts })
            | Line::Drawn(Look::Odds { contacts }, _) => {
                contacts.push(further.contact.into());
            }
            _ => {}
        }
    }
    match (line, id) {
        (Line::Request(request, _), id) => Ok(Line::Request(request, id)),
        (line, None) => Ok(line),
        (_, Some(_)) => Err("Only a request that changes the battle takes an @ID.".to_owned()),
    }
}

/// Brings what says how odds are shown to the front: people write it at the end, where it would
/// belong to the last contact.
fn form_first(words: &mut [String]) {
    let Some(joint) = words.iter().position(|word| word == "and") else { return };
    let mut to = joint;
    let mut from = joint;
    while from < words.len() {
        let length = match words[from].as_str() {
            "--json" => 1,
            "--svg" => 2.min(words.len() - from),
            _ => 0,
        };
        words[to..from + length].rotate_right(length);
        to += length;
        from += length.max(1);
    }
}

/// The longest line, in characters.
const LONGEST: usize = 2000;

/// A line without what phones make of quotation marks and of two hyphens; an apostrophe stands
/// for itself.
fn plain(line: &str) -> String {
    let mut text = String::with_capacity(line.len());
    let mut quoted = false;
    let mut before = ' ';
    for c in line.chars() {
        match c {
            '"' | '“' | '”' | '„' | '«' | '»' => {
                quoted = !quoted || before == '\\';
                text.push('"');
            }
            '–' | '—' if !quoted && before.is_whitespace() => text.push_str("--"),
            '\'' if !quoted => text.push_str("\\'"),
            c => text.push(c),
        }
        before = c;
    }
    text
}

/// Takes the capitals off what belongs to the grammar: the request, "and", and options.
fn uncapitalise(words: &mut [String]) {
    for (n, word) in words.iter_mut().enumerate() {
        if n == 0 || word.eq_ignore_ascii_case("and") || word.starts_with("--") {
            *word = word.to_lowercase();
        }
    }
}

/// The names of all requests, for completion.
pub fn request_names() -> Vec<String> {
    Spoken::command().get_subcommands().map(|command| command.get_name().to_owned()).collect()
}

/// The options of a request, for completion.
pub fn option_names(request: &str) -> Vec<String> {
    let command = Spoken::command();
    let Some(found) = command.find_subcommand(request) else { return Vec::new() };
    found
        .get_arguments()
        .filter_map(|argument| argument.get_long())
        .map(|long| format!("--{long}"))
        .collect()
}

/// The help on one request: what it does, its options, examples.
pub fn help_on(request: &str) -> Option<String> {
    let mut command = Spoken::command().term_width(width());
    command.build();
    let found = command.find_subcommand_mut(request)?;
    Some(found.render_help().to_string().replace("Usage: drumhead ", "Usage: "))
}

/// The id that a line gives itself: `@ID` before the request.
fn own_id(line: &str) -> Result<(Option<String>, &str), String> {
    let Some(rest) = line.strip_prefix('@') else { return Ok((None, line)) };
    let (id, rest) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
    let fits = (1..=64).contains(&id.len())
        && id.chars().all(|c| c.is_ascii_alphanumeric() || "-_.".contains(c));
    if !fits {
        return Err("An @ID has 1 to 64 letters, digits, dots, hyphens or underscores. \
                    Shorten it, or leave it out."
            .to_owned());
    }
    Ok((Some(id.to_owned()), rest.trim_start()))
}
