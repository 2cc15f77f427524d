//! The interactive prompt: history, and completion of requests, options and names.

use super::StartError;
use super::line::{option_names, request_names};
use super::table::{Reply, Table};
use super::width;
use crate::protocol::quote;
use rustyline::completion::Completer;
use rustyline::error::ReadlineError;
use rustyline::history::DefaultHistory;
use rustyline::{Context, Editor, Helper, Highlighter, Hinter, Validator};
use std::io::Write as _;
use std::path::Path;

/// Converses until the end of input or `quit`.
pub(super) async fn converse(
    table: &Table,
    record: &Path,
    folder: Option<&Path>,
) -> Result<(), StartError> {
    let mut editor: Editor<Names, DefaultHistory> = Editor::new()?;
    editor.set_helper(Some(Names::default()));
    let history = folder.map(|folder| folder.join("history.txt"));
    if let Some(history) = &history {
        // Without an earlier history there is simply none.
        let _ = editor.load_history(history);
    }
    greet(record)?;
    loop {
        let (battle, names) = table.names().await;
        if let Some(helper) = editor.helper_mut() {
            helper.0 = names;
        }
        let line = match editor.readline(&prompt(battle.as_deref())) {
            Ok(line) => line,
            Err(ReadlineError::Interrupted) => continue,
            Err(ReadlineError::Eof) => break,
            Err(error) => return Err(error.into()),
        };
        if !line.trim().is_empty() {
            editor.add_history_entry(line.trim())?;
        }
        match table.answer(&line).await {
            Ok(Reply::Quit) => break,
            Ok(Reply::Nothing) => {}
            Ok(Reply::Said(words, posts)) => {
                writeln!(std::io::stdout(), "{}", words.trim_end())?;
                table.printed(&posts).await;
            }
            Err(sentence) => {
                writeln!(std::io::stdout(), "{}", textwrap::fill(&sentence, width()))?;
            }
        }
    }
    if let Some(history) = &history {
        // A history that cannot be kept is no reason to end with an error.
        let _ = editor.save_history(history);
    }
    Ok(())
}

fn greet(record: &Path) -> std::io::Result<()> {
    let mut out = std::io::stdout();
    // The path stands alone and unbroken, so that it can be copied.
    writeln!(out, "drumhead {}. Record:\n{}", env!("CARGO_PKG_VERSION"), record.display())?;
    writeln!(out, "{}", textwrap::fill("What can be asked: help. Leave: quit", width()))
}

/// The prompt: the battle's name, shortened so that a line fits beside it.
fn prompt(battle: Option<&str>) -> String {
    const LONGEST: usize = 16;
    let name = battle.unwrap_or("table");
    let short: String = name.chars().take(LONGEST).collect();
    let more = if short.len() < name.len() { "…" } else { "" };
    format!("{short}{more}> ")
}

/// The names that can be completed.
#[derive(Default, Helper, Highlighter, Hinter, Validator)]
struct Names(Vec<String>);

impl Completer for Names {
    type Candidate = String;

    fn complete(
        &self,
        line: &str,
        position: usize,
        _context: &Context<'_>,
    ) -> rustyline::Result<(usize, Vec<String>)> {
        Ok(complete(&self.0, &line[..position]))
    }
}

/// Where the word under the cursor begins, and what it may become.
fn complete(names: &[String], before: &str) -> (usize, Vec<String>) {
    let start = word_start(before);
    let word = before[start..].trim_start_matches('"').to_lowercase();
    let begins = |candidate: &String| candidate.to_lowercase().starts_with(&word);
    let first = before[..start].split_whitespace().next();
    let candidates = match first {
        None | Some("help") => request_names(),
        Some(request) if word.starts_with('-') => option_names(request),
        Some(_) => {
            return (start, names.iter().filter(|name| begins(name)).map(|n| quote(n)).collect());
        }
    };
    (start, candidates.into_iter().filter(begins).collect())
}

/// Where the last word begins: at an open quotation mark, or after the last space.
fn word_start(before: &str) -> usize {
    let open = before.matches('"').count() % 2 == 1;
    let found = if open { before.rfind('"') } else { before.rfind(' ').map(|space| space + 1) };
    found.unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn requests_options_and_names_are_completed() {
        let names = ["Ford Wardens".to_owned(), "Banner Spears".to_owned(), "Vale".to_owned()];
        for (before, start, expected) in [
            ("mus", 0, vec!["muster"]),
            ("melee fo", 6, vec!["\"Ford Wardens\""]),
            ("melee \"Ford Wardens\" \"ban", 21, vec!["\"Banner Spears\""]),
            ("muster X --side va", 16, vec!["Vale"]),
            ("melee a b --ch", 10, vec!["--charge"]),
            ("help ra", 5, vec!["rally"]),
            ("melee zz", 6, vec![]),
        ] {
            assert_eq!(
                complete(&names, before),
                (start, expected.into_iter().map(String::from).collect()),
                "{before}"
            );
        }
    }
}
