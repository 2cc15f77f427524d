//! What is being thrown, fixed in words before the dice are drawn.

use crate::digest::Digest;
use crate::text::invisible;
use serde::{Deserialize, Serialize};
use std::fmt::Write as _;
use std::ops::RangeInclusive;

/// A short text that a player gave; it goes into every later roll until they change it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Word {
    /// Who gave it, 1 to 40 characters on one line.
    pub name: String,
    /// The text, 1 to 80 characters on one line.
    pub text: String,
}

/// A roll's statement, line by line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Statement {
    /// The battle's id.
    pub battle: String,
    /// Link 0 of the chain in use.
    pub anchor: Digest,
    /// The roll's number, counted through the battle from 1.
    pub roll: u32,
    /// Where it was asked and the request's id there, as `where:id`.
    pub asked: String,
    /// The words given so far.
    pub words: Vec<Word>,
    /// The anchor of the next chain; only with the last link of a chain.
    pub next: Option<Digest>,
    /// The name of the rules file.
    pub rules_name: String,
    /// The SHA-256 of the rules file.
    pub rules: Digest,
    /// The SHA-256 of the battle's record before this roll.
    pub record: Digest,
    /// The caster's own text; only for a roll that was announced and then cast.
    pub cast: Option<String>,
    /// The request in its one-line form.
    pub request: String,
    /// Whether the roll was announced and taken back: then it has no cast and no throws.
    pub taken_back: bool,
}

/// The text is not a statement.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum StatementError {
    /// A line does not begin as it should.
    #[error("line {line} of the statement should begin with “{expected}”")]
    Start {
        /// The line, counted from 1.
        line: usize,
        /// What it should begin with.
        expected: &'static str,
    },
    /// A line begins as it should, and then holds something else.
    #[error("line {line} of the statement should hold {expected}")]
    Value {
        /// The line, counted from 1.
        line: usize,
        /// What it should hold.
        expected: &'static str,
    },
}

const TITLE: &str = "drumhead roll 1";
/// The last line of a roll that was announced and taken back.
const TAKEN_BACK: &str = "taken back";

impl Statement {
    /// The text whose bytes go into the dice.
    pub fn text(&self) -> String {
        let mut text = format!(
            "{TITLE}\nbattle {}\nanchor {}\nroll {}\nasked {}\n",
            self.battle, self.anchor, self.roll, self.asked
        );
        for word in &self.words {
            writeln!(text, "word {}: {}", word.name, word.text).expect("a String takes all");
        }
        if let Some(next) = self.next {
            writeln!(text, "next {next}").expect("a String takes all");
        }
        let Self { rules_name, rules, record, request, .. } = self;
        write!(text, "rules {rules_name} {rules}\nrecord {record}\n").expect("a String takes all");
        if let Some(cast) = &self.cast {
            writeln!(text, "cast {cast}").expect("a String takes all");
        }
        writeln!(text, "request {request}").expect("a String takes all");
        if self.taken_back {
            writeln!(text, "{TAKEN_BACK}").expect("a String takes all");
        }
        text
    }

    /// Reads a statement's text back.
    ///
    /// A name never holds `": "`, so a word's line splits in one way only.
    pub fn parse(text: &str) -> Result<Self, StatementError> {
        let mut lines = Lines::new(text);
        lines.all_can_be_seen()?;
        lines.exactly(TITLE)?;
        let battle = lines.after("battle ")?.to_owned();
        lines.holds(is_battle_id(&battle), "the battle's id: 16 digits of 0-9 and a-f")?;
        let anchor = lines.digest("anchor ")?;
        let roll = lines.number("roll ")?;
        let asked = lines.after("asked ")?.to_owned();
        lines.holds(is_request_id(&asked), REQUEST_ID)?;
        let mut words = Vec::new();
        while let Some(word) = lines.optional("word ") {
            let (name, text) = word.split_once(": ").unwrap_or_default();
            let fits = is_length(name, 1..=40) && is_length(text, 1..=80);
            lines.holds(fits, WORD)?;
            words.push(Word { name: name.to_owned(), text: text.to_owned() });
        }
        let next = match lines.optional("next ") {
            Some(hex) => Some(hex.parse().map_err(|_| lines.wrong("a SHA-256 value"))?),
            None => None,
        };
        let (rules_name, rules) =
            lines.after("rules ")?.rsplit_once(' ').ok_or(lines.wrong(RULES))?;
        let rules = rules.parse().map_err(|_| lines.wrong(RULES))?;
        lines.holds(!rules_name.is_empty(), RULES)?;
        let record = lines.digest("record ")?;
        let cast = lines.optional("cast ").map(str::to_owned);
        let fits = cast.as_ref().is_none_or(|cast| is_length(cast, 8..=80));
        lines.holds(fits, "the caster's text of 8 to 80 characters")?;
        let request = lines.after("request ")?.to_owned();
        lines.holds(!request.is_empty(), "a request")?;
        let taken_back = match lines.optional(TAKEN_BACK) {
            None => false,
            Some("") if cast.is_none() => true,
            Some(_) => return Err(lines.wrong("nothing more: the statement is over")),
        };
        lines.end()?;
        Ok(Self {
            battle,
            anchor,
            roll,
            asked,
            words,
            next,
            rules_name: rules_name.to_owned(),
            rules,
            record,
            cast,
            request,
            taken_back,
        })
    }
}

/// What the line of the request's id holds.
const REQUEST_ID: &str = "a request's id: where it comes from, a colon, an id";
/// What the line of a word holds.
const WORD: &str = "a name of 1 to 40 characters, a colon and a space, and 1 to 80";
/// What the line of the rules holds.
const RULES: &str = "the rules' name and their SHA-256 value";

/// Whether a text is so many characters long.
fn is_length(text: &str, characters: RangeInclusive<usize>) -> bool {
    characters.contains(&text.chars().count())
}

/// Whether a text can be a battle's id.
fn is_battle_id(text: &str) -> bool {
    text.len() == 16 && text.bytes().all(|c| matches!(c, b'0'..=b'9' | b'a'..=b'f'))
}

/// The longest id of a request behind its origin, in characters.
pub(crate) const LONGEST_ID: usize = 100;

/// Whether a text can be the id of a request: an origin of 1 to 20 small letters, a colon, and 1 to
/// [`LONGEST_ID`] letters, digits, dots, hyphens, underscores or slashes, all of ASCII.
pub(crate) fn is_request_id(text: &str) -> bool {
    let fits = |c: char| c.is_ascii_alphanumeric() || "-_./".contains(c);
    text.split_once(':').is_some_and(|(origin, id)| {
        is_origin(origin) && (1..=LONGEST_ID).contains(&id.len()) && id.chars().all(fits)
    })
}

/// Whether a text names a platform or another origin: 1 to 20 small letters.
pub(crate) fn is_origin(text: &str) -> bool {
    (1..=20).contains(&text.len()) && text.chars().all(|c| c.is_ascii_lowercase())
}

/// Reads lines, each ended by one LF, and counts them.
struct Lines<'a> {
    rest: &'a str,
    line: usize,
}

impl<'a> Lines<'a> {
    const fn new(text: &'a str) -> Self {
        Self { rest: text, line: 0 }
    }

    const fn wrong(&self, expected: &'static str) -> StatementError {
        StatementError::Value { line: self.line, expected }
    }

    fn holds(&self, holds: bool, expected: &'static str) -> Result<(), StatementError> {
        if holds { Ok(()) } else { Err(self.wrong(expected)) }
    }

    fn all_can_be_seen(&self) -> Result<(), StatementError> {
        let unseen = |line: &str| line.chars().any(invisible);
        match (1..).zip(self.rest.split('\n')).find(|(_, line)| unseen(line)) {
            Some((line, _)) => {
                Err(StatementError::Value { line, expected: "nothing that cannot be seen" })
            }
            None => Ok(()),
        }
    }

    fn optional(&mut self, start: &str) -> Option<&'a str> {
        let (line, rest) = self.rest.split_once('\n')?;
        let value = line.strip_prefix(start)?;
        self.rest = rest;
        self.line += 1;
        Some(value)
    }

    fn after(&mut self, start: &'static str) -> Result<&'a str, StatementError> {
        let expected = StatementError::Start { line: self.line + 1, expected: start.trim_end() };
        self.optional(start).ok_or(expected)
    }

    fn exactly(&mut self, line: &'static str) -> Result<(), StatementError> {
        if self.after(line)?.is_empty() { Ok(()) } else { Err(self.wrong(line)) }
    }

    fn digest(&mut self, start: &'static str) -> Result<Digest, StatementError> {
        self.after(start)?.parse().map_err(|_| self.wrong("a SHA-256 value"))
    }

    fn number(&mut self, start: &'static str) -> Result<u32, StatementError> {
        let text = self.after(start)?;
        let number = text.parse().ok().filter(|number: &u32| number.to_string() == text);
        // One number has one text: no sign, no leading zero.
        number.ok_or(self.wrong("a number without a sign or a leading zero"))
    }

    fn end(&self) -> Result<(), StatementError> {
        if self.rest.is_empty() {
            return Ok(());
        }
        Err(StatementError::Value {
            line: self.line + 1,
            expected: "nothing more: the statement is over",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    mod limits;

    fn statement() -> Statement {
        Statement {
            battle: "9f86d081884c7d65".into(),
            anchor: Digest::of(b"anchor"),
            roll: 7,
            asked: "table:1".into(),
            words: vec![Word { name: "Ida".into(), text: "the river: cold".into() }],
            next: Some(Digest::of(b"next")),
            rules_name: "open field two".into(),
            rules: Digest::of(b"rules"),
            record: Digest::of(b"record"),
            cast: Some("red reeds, cold hands".into()),
            request: "melee A B".into(),
            taken_back: false,
        }
    }

    #[test]
    fn the_text_has_the_lines_of_the_protocol() {
        let s = statement();
        let expected = format!(
            "drumhead roll 1\nbattle 9f86d081884c7d65\nanchor {}\nroll 7\nasked table:1\n\
             word Ida: the river: cold\nnext {}\nrules open field two {}\nrecord {}\n\
             cast red reeds, cold hands\nrequest melee A B\n",
            Digest::of(b"anchor"),
            Digest::of(b"next"),
            Digest::of(b"rules"),
            Digest::of(b"record"),
        );
        assert_eq!(s.text(), expected);
    }

    #[test]
    fn a_statement_reads_back_and_nothing_else_does() {
        let s = statement();
        assert_eq!(Statement::parse(&s.text()).as_ref(), Ok(&s));
        let bare = Statement { words: vec![], next: None, cast: None, ..s.clone() };
        assert_eq!(Statement::parse(&bare.text()).as_ref(), Ok(&bare));
        let back = Statement { taken_back: true, ..bare.clone() };
        assert_eq!(Statement::parse(&back.text()).as_ref(), Ok(&back));
        assert!(
            Statement::parse(&back.text().replace("request", "cast red reeds\nrequest")).is_err()
        );
        for (from, to, line, expected) in [
            ("roll 7", "roll 07", 4, "a number without a sign or a leading zero"),
            ("melee A B\n", "melee A B\nmore\n", 12, "nothing more: the statement is over"),
            ("request melee A B", "request ", 11, "a request"),
            ("table:1", "table:two words", 5, REQUEST_ID),
            ("9f86d081884c7d65", "harrow", 2, "the battle's id: 16 digits of 0-9 and a-f"),
            ("melee A", "melee \u{202e}A", 11, "nothing that cannot be seen"),
            ("reeds, cold hands", "", 10, "the caster's text of 8 to 80 characters"),
            ("Ida: the river: cold", "Ida", 6, WORD),
        ] {
            assert!(s.text().contains(from), "{from}");
            let refused = Statement::parse(&s.text().replace(from, to)).unwrap_err();
            assert_eq!(refused, StatementError::Value { line, expected }, "{from} as {to}");
        }
        assert_eq!(
            Statement::parse("").unwrap_err().to_string(),
            "line 1 of the statement should begin with “drumhead roll 1”"
        );
        assert_eq!(
            Statement::parse(&s.text().replace("roll 7", "roll 07")).unwrap_err().to_string(),
            "line 4 of the statement should hold a number without a sign or a leading zero"
        );
    }
}
