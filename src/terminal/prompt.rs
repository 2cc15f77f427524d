//! The interactive prompt: history, and completion of requests, options and names.

use super::StartError;
use super::known::Known;
use super::table::{Reply, Table};
use super::width;
use crate::files::{self, FileError};
use crate::protocol::quote;
use crate::requests::{
    self, Candidate, Kind, Names, Position, Slot, Spec, Values, candidates, named,
};
use crate::text::{hides, seen, seen_lines};
use rustyline::completion::Completer;
use rustyline::error::ReadlineError;
use rustyline::history::DefaultHistory;
use rustyline::{Context, Editor, Helper};
use std::io::Write as _;
use std::path::Path;

/// Converses until the end of input or `quit`.
pub(super) async fn converse(
    table: &Table,
    record: &Path,
    folder: Option<&Path>,
) -> Result<(), StartError> {
    let mut editor: Editor<Known, DefaultHistory> = Editor::new()?;
    editor.set_helper(Some(Known::default()));
    let history = folder.map(|folder| folder.join("history.txt"));
    greet(record)?;
    if let Some(Err(refused)) = history.as_deref().map(|file| load(&mut editor, file)) {
        let sentence = format!("The lines typed here are not kept: {refused}");
        writeln!(std::io::stdout(), "{}", textwrap::fill(&sentence, width()))?;
    }
    loop {
        let (battle, known) = table.known().await;
        editor.set_helper(Some(known));
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
                writeln!(std::io::stdout(), "{}", seen_lines(words.trim_end()))?;
                table.printed(&posts).await;
            }
            Err(sentence) => {
                writeln!(std::io::stdout(), "{}", textwrap::fill(&sentence, width()))?;
            }
        }
    }
    if let Some(history) = &history {
        keep(&mut editor, history);
    }
    Ok(())
}

/// Reads the lines typed earlier, if there are any.
fn load<H: Helper>(editor: &mut Editor<H, DefaultHistory>, file: &Path) -> Result<(), FileError> {
    files::may_write(file, true)?;
    // Without an earlier history there is simply none.
    let _ = editor.load_history(file);
    Ok(())
}

/// Keeps the lines typed, never through a link. A history that cannot be kept is no reason to end
/// with an error.
fn keep<H: Helper>(editor: &mut Editor<H, DefaultHistory>, file: &Path) {
    if files::may_write(file, true).is_ok() {
        let _ = editor.save_history(file);
    }
}

fn greet(record: &Path) -> std::io::Result<()> {
    let mut out = std::io::stdout();
    // The path stands alone and unbroken, so that it can be copied.
    writeln!(out, "drumhead {}. Record:\n{}", env!("CARGO_PKG_VERSION"), record.display())?;
    writeln!(out, "{}", textwrap::fill("To see what you can ask: help. To leave: quit", width()))
}

/// The prompt: the battle's name, shortened so that a line fits beside it.
fn prompt(battle: Option<&str>) -> String {
    const LONGEST: usize = 16;
    let name = battle.unwrap_or("table");
    let short: String = name.chars().take(LONGEST).collect();
    let more = if short.len() < name.len() { "…" } else { "" };
    format!("{}{more}> ", seen(&short))
}

impl Completer for Known {
    type Candidate = String;

    fn complete(
        &self,
        line: &str,
        position: usize,
        _context: &Context<'_>,
    ) -> rustyline::Result<(usize, Vec<String>)> {
        Ok(complete(self, &line[..position]))
    }
}

/// Where the word under the cursor begins, and what it may become.
fn complete(names: &dyn Names, before: &str) -> (usize, Vec<String>) {
    let start = word_start(before);
    let typed = before[start..].trim_start_matches('"');
    let words = requests::words(&before[..start]).unwrap_or_default();
    if words.is_empty() {
        let all = requests::all().iter().filter(|spec| spec.fronts.table());
        return (start, beginning(typed, all.map(|spec| spec.name.to_owned())));
    }
    let Some(begun) = named(&words) else { return (start, Vec::new()) };
    if typed.starts_with('-') {
        return (start, beginning(typed, requests::option_names(begun.spec).into_iter()));
    }
    let Some((slot, given)) = awaited(begun.spec, begun.rest) else { return (start, Vec::new()) };
    let offered = candidates(begun.spec, slot.name, &given, names, typed);
    let text = |candidate: Candidate| match slot.kind {
        Kind::Choice(_) | Kind::YesNo | Kind::RequestName => candidate.value,
        _ => quote(&candidate.value),
    };
    // A record that somebody else wrote may hold anything; what hides is not put on a line.
    let open = |candidate: &Candidate| !candidate.value.chars().any(hides);
    (start, offered.into_iter().filter(open).map(text).collect())
}

fn beginning(typed: &str, words: impl Iterator<Item = String>) -> Vec<String> {
    let typed = typed.to_lowercase();
    words.filter(|word| word.starts_with(&typed)).collect()
}

/// The slot that the next word fills, and what fills the others of the same contact.
fn awaited(spec: &'static Spec, words: &[String]) -> Option<(&'static Slot, Values)> {
    let by_place: Vec<&'static Slot> = spec
        .at_table()
        .filter(|slot| matches!(slot.place, Position::Word | Position::Rest))
        .collect();
    let mut given = Values::new();
    let mut place = 0;
    let mut option: Option<&'static Slot> = None;
    for word in words {
        if spec.takes_contacts() && word.eq_ignore_ascii_case("and") {
            (given, place, option) = (Values::new(), 0, None);
        } else if let Some(slot) = option.take() {
            given.put(slot.name, word);
        } else if let Some(name) = word.strip_prefix("--") {
            let name = name.to_lowercase();
            let mut known = spec.at_table().filter(|slot| slot.name == name);
            option = known.find(|slot| !matches!(slot.kind, Kind::Flag | Kind::Flags(_)));
        } else if let Some(slot) = by_place.get(place) {
            given.put(slot.name, word);
            if slot.place == Position::Word {
                place += 1;
            }
        }
    }
    option.or_else(|| by_place.get(place).copied()).map(|slot| (slot, given))
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
    use crate::battle::Field;

    /// A battle of two units, one of which is in disorder.
    fn known() -> Known {
        use crate::protocol::{Protocol, Scale, Standing, Strength, Unit};
        let mut field = Field::new(Protocol::LATEST, Scale::new(20).unwrap());
        for (name, side, standing) in [
            ("Ford Wardens", "Vale", Standing::Steady),
            ("Vale Riders", "Vale", Standing::Steady),
            ("Banner Spears", "Grey Banner", Standing::Shaken),
        ] {
            field.enter(Unit {
                name: name.to_owned(),
                side: side.to_owned(),
                class: "levy".to_owned(),
                grade: "raw".to_owned(),
                long_spears: false,
                weapon: None,
                frontage: None,
                leader: None,
                muster: Strength { men: 160, figures: 8 },
                now: Strength { men: 140, figures: 7 },
                standing,
                rallied: false,
                shot_at: false,
                single: false,
            });
        }
        Known { field: Some(field), battles: vec!["Harrow Ford".to_owned()], ..Known::default() }
    }

    #[test]
    fn a_history_is_neither_read_nor_written_through_a_link() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let editor = || Editor::<(), DefaultHistory>::new().unwrap();
        let mut typed = editor();
        typed.add_history_entry("turn").unwrap();
        std::fs::write(at("letter.txt"), "dear referee\n").unwrap();
        std::os::unix::fs::symlink("letter.txt", at("link.txt")).unwrap();
        let refused = load(&mut typed, &at("link.txt")).unwrap_err().to_string();
        assert!(refused.ends_with("link.txt is a link or a folder. Name the file itself."));
        keep(&mut typed, &at("link.txt"));
        assert_eq!(std::fs::read(at("letter.txt")).unwrap(), b"dear referee\n");
        assert_eq!(typed.history().iter().collect::<Vec<_>>(), ["turn"]);
        // A file of its own is written, and read by the next.
        keep(&mut typed, &at("history.txt"));
        let mut next = editor();
        load(&mut next, &at("history.txt")).unwrap();
        assert_eq!(next.history().iter().collect::<Vec<_>>(), ["turn"]);
    }

    #[test]
    fn requests_options_and_names_are_completed_by_what_fits() {
        for (before, start, expected) in [
            ("mus", 0, vec!["muster"]),
            ("melee fo", 6, vec!["\"Ford Wardens\""]),
            ("melee \"Ford Wardens\" \"ban", 21, vec!["\"Banner Spears\""]),
            ("melee \"Ford Wardens\" ", 21, vec!["\"Banner Spears\""]),
            ("attack \"Ford Wardens\" X and \"banner spears\" v", 44, vec!["\"Vale Riders\""]),
            ("muster X --side va", 16, vec!["Vale"]),
            ("melee \"FORD wardens\" ", 21, vec!["\"Banner Spears\""]),
            ("melee a b --ch", 10, vec!["--charge"]),
            ("melee a b --higher ", 19, vec!["ours", "theirs", "both"]),
            ("rally ", 6, vec!["\"Banner Spears\""]),
            ("help ra", 5, vec!["rally"]),
            ("reopen h", 7, vec!["\"Harrow Ford\""]),
            ("melee zz", 6, vec![]),
            ("melee a b c", 10, vec![]),
        ] {
            assert_eq!(
                complete(&known(), before),
                (start, expected.into_iter().map(String::from).collect()),
                "{before}"
            );
        }
    }
}
