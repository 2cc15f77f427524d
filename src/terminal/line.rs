//! One line of the table: a request or a look, written in words.
//!
//! `protocol::request_line` writes the same form, and a test holds the two together.

use super::trouble;
use crate::protocol::Request;
use crate::referee::Look;
use crate::requests::{self, Asked, Hint, Values, Wrong, named};
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
    /// Something to look at, drawn to a file too, and over one of that name if so asked.
    Drawn(Look, PathBuf, bool),
    /// Help, on one request or on all.
    Help(Option<String>),
    /// Leave the table.
    Quit,
    /// Nothing: an empty line or a comment.
    Nothing,
}

/// The longest line, in bytes: a melee of 40 contacts, with the longest names, needs 16,000.
pub(super) const LONGEST: usize = 64 * 1024;

/// Reads a line. A mistake is one sentence that says what to do.
///
/// ```
/// use drumhead::protocol::Request;
/// use drumhead::terminal::{Line, read_line};
/// let rally = Request::Rally { unit: "Grey Levies".to_owned() };
/// assert_eq!(read_line("rally “Grey Levies”"), Ok(Line::Request(rally, None)));
/// ```
pub fn read(line: &str) -> Result<Line, String> {
    read_any(line).map_err(|wrong| wrong.to_string())
}

fn read_any(line: &str) -> Result<Line, Wrong> {
    if line.len() > LONGEST {
        return Err(Wrong::new("This line is longer than 64 KiB. Shorten it."));
    }
    let line = line.trim();
    if line.is_empty() || line.starts_with('#') {
        return Ok(Line::Nothing);
    }
    let (id, line) = own_id(line)?;
    let words = requests::words(line)?;
    let Some(first) = words.first() else {
        return Err(Wrong::with("Nothing was asked. See what you can ask", Hint::new("help")));
    };
    let named = named(&words).ok_or_else(|| trouble::unknown(first))?;
    if let [only] = named.rest
        && ["-h", "--help"].contains(&only.to_lowercase().as_str())
    {
        return Ok(Line::Help(Some(named.spec.name.to_owned())));
    }
    let values = requests::read_words(&named)?;
    match (named.spec.read(&values)?, id) {
        (Asked::Request(request), id) => Ok(Line::Request(request, id)),
        (_, Some(_)) => Err(Wrong::new("Only a request that changes the battle takes an @ID.")),
        (Asked::Look(look), None) => Ok(in_form(look, &values)),
        (Asked::Help(request), None) => Ok(Line::Help(request)),
        (Asked::Quit, None) => Ok(Line::Quit),
        (Asked::Chat(_), None) => Err(trouble::unknown(first)),
    }
}

/// A look in the form in which it is wanted.
fn in_form(look: Look, values: &Values) -> Line {
    match values.maybe("svg") {
        Some(file) => Line::Drawn(look, PathBuf::from(file), values.flag("force")),
        None if values.flag("json") => Line::Data(look),
        None => Line::Look(look),
    }
}

/// The id that a line gives itself: `@ID` before the request.
fn own_id(line: &str) -> Result<(Option<String>, &str), Wrong> {
    let Some(rest) = line.strip_prefix('@') else { return Ok((None, line)) };
    let (id, rest) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
    let fits = (1..=64).contains(&id.len())
        && id.chars().all(|c| c.is_ascii_alphanumeric() || "-_.".contains(c));
    if !fits {
        return Err(Wrong::new(
            "An @ID has 1 to 64 letters, digits, dots, hyphens or underscores. Shorten it, or \
             leave it out.",
        ));
    }
    Ok((Some(id.to_owned()), rest.trim_start()))
}
