//! Where in a rules file something stands, and how it is refused with its place.

use crate::text::{harmless, invisible};
use toml::de::{DeTable, DeValue};

/// What a rules file gets wrong, where, and how to mend it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{file}, line {line}, {key}: {what}; {mend}.")]
pub struct RulesError {
    /// The file, as it was named to the loader.
    pub file: String,
    /// The line, counted from 1.
    pub line: usize,
    /// The key, with dots between its parts and entries of a list counted from 1.
    pub key: String,
    /// What is wrong.
    pub what: String,
    /// What to do about it.
    pub mend: String,
}

/// Finds the line and the written name of a key.
pub(super) struct Place<'a> {
    pub file: &'a str,
    pub text: &'a str,
}

impl Place<'_> {
    /// Refuses the key at `path`, whose parts are separated by dots, entries counted from 0.
    pub fn refuse<T>(&self, path: &str, what: &str, mend: &str) -> Result<T, RulesError> {
        let key = path
            .split('.')
            .map(|part| part.parse::<usize>().map_or(part.to_owned(), |n| (n + 1).to_string()))
            .collect::<Vec<_>>()
            .join(".");
        let line = self.line(self.offset(path).unwrap_or(0));
        Err(RulesError {
            file: self.file.to_owned(),
            line,
            key,
            what: harmless(what),
            mend: mend.to_owned(),
        })
    }

    /// Refuses what cannot be seen, but for line breaks, tabs and the mark that some editors begin a
    /// file with: an export holds the whole file, and a checker lets nothing hide in it.
    pub fn can_be_seen(&self) -> Result<(), RulesError> {
        let text = self.text.strip_prefix('\u{feff}').unwrap_or(self.text);
        let unseen = |c: &char| invisible(*c) && !matches!(c, '\n' | '\r' | '\t');
        for (line, text) in (1..).zip(text.split('\n')) {
            if let Some(c) = text.chars().find(unseen) {
                return Err(RulesError {
                    file: self.file.to_owned(),
                    line,
                    key: "text".to_owned(),
                    what: format!(
                        "it holds a character that cannot be seen, U+{:04X}",
                        u32::from(c)
                    ),
                    mend: "take it out".to_owned(),
                });
            }
        }
        Ok(())
    }

    /// Puts what the TOML reader found into the same form.
    pub fn unreadable(&self, error: &toml::de::Error) -> RulesError {
        let offset = error.span().map_or(0, |span| span.start);
        let message = error.message().lines().next().unwrap_or("cannot be read").to_owned();
        let mend = if message.starts_with("unknown field") {
            "remove it, or correct its spelling"
        } else if message.starts_with("missing field") {
            "add it"
        } else {
            "correct it"
        };
        RulesError {
            file: self.file.to_owned(),
            line: self.line(offset),
            key: self.key_at(offset),
            what: message,
            mend: mend.to_owned(),
        }
    }

    fn line(&self, offset: usize) -> usize {
        self.text[..offset.min(self.text.len())].matches('\n').count() + 1
    }

    /// The key written on the line at `offset`, under the heading above it.
    fn key_at(&self, offset: usize) -> String {
        let number = self.line(offset);
        let mut heading = String::new();
        let mut last = "";
        for line in self.text.lines().take(number) {
            last = line.trim();
            if last.starts_with('[') {
                let inner = last.split('#').next().unwrap_or(last).trim();
                inner.trim_matches(['[', ']']).trim().clone_into(&mut heading);
            }
        }
        let key = match last.split_once('=') {
            Some((key, _)) if !last.starts_with('[') => key.trim(),
            _ => "",
        };
        match (heading.as_str(), key) {
            ("", "") => "the file".to_owned(),
            ("", key) => key.to_owned(),
            (heading, "") => heading.to_owned(),
            (heading, key) => format!("{heading}.{key}"),
        }
    }

    /// Where the deepest part of `path` that the file has is written.
    fn offset(&self, path: &str) -> Option<usize> {
        let table = DeTable::parse(self.text).ok()?;
        let mut parts = path.split('.');
        let mut at = table.get_ref().get(parts.next()?)?;
        let mut offset = at.span().start;
        for part in parts {
            let next = match at.get_ref() {
                DeValue::Table(table) => table.get(part),
                DeValue::Array(array) => part.parse().ok().and_then(|n: usize| array.get(n)),
                _ => None,
            };
            let Some(next) = next else { break };
            at = next;
            offset = at.span().start;
        }
        Some(offset)
    }
}
