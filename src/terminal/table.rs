//! The table itself: a line in, words out.

use super::help;
use super::known::Known;
use super::line::{self, Line};
use super::{StartError, width};
use crate::files;
use crate::pictures::{self, Picture};
use crate::protocol::{Place, Recorded, RequestId};
use crate::referee::{Ask, Asker, Referee, Refusal};
use crate::text::{seen, seen_lines};
use crate::words::{Shown, event};
use std::io::{BufRead, Write};
use std::sync::atomic::{AtomicU64, Ordering};

/// Where the ids of requests come from that number themselves.
const ORIGIN: &str = "table";

/// A referee with somebody sitting in front of it.
pub(super) struct Table {
    referee: Referee,
    asked: AtomicU64,
    where_asked: &'static str,
}

/// What a line came to.
pub(super) enum Reply {
    /// Words to print, and the events whose posts they are.
    Said(String, Vec<Recorded>),
    /// Nothing to say.
    Nothing,
    /// Leave.
    Quit,
}

impl Table {
    pub fn new(referee: Referee) -> Self {
        Self { referee, asked: AtomicU64::new(0), where_asked: ORIGIN }
    }

    /// A table whose requests are numbered from 1, so that the same script asks the same ids.
    pub fn numbered(referee: Referee, where_asked: &'static str) -> Self {
        Self { referee, asked: AtomicU64::new(1), where_asked }
    }

    /// Answers one line; a mistake is one sentence.
    pub async fn answer(&self, line: &str) -> Result<Reply, String> {
        let refused = |refusal: Refusal| refusal.told().to_string();
        Ok(match line::read(line)? {
            Line::Nothing => Reply::Nothing,
            Line::Quit => Reply::Quit,
            Line::Help(request) => Reply::Said(help::help(request.as_deref())?, vec![]),
            Line::Look(look) => {
                let shown = self.referee.look(&Place::table(), &look).await.map_err(refused)?;
                Reply::Said(with_bars(&shown, &pictures::of(&shown)), vec![])
            }
            Line::Drawn(look, file, over) => {
                let shown = self.referee.look(&Place::table(), &look).await.map_err(refused)?;
                let pictures = pictures::of(&shown);
                let drawn = pictures.first().map(|picture| {
                    picture.svg_with(pictures::Look::PAGE, crate::fonts::of_this_machine())
                });
                files::write(&file, drawn.unwrap_or_default().as_bytes(), over)
                    .map_err(|error| error.to_string())?;
                let written = format!("The picture is in {}.", file.display());
                let words = with_bars(&shown, &pictures) + &textwrap::fill(&written, width());
                Reply::Said(words + "\n", vec![])
            }
            Line::Data(look) => {
                let shown = self.referee.look(&Place::table(), &look).await.map_err(refused)?;
                Reply::Said(shown.json() + "\n", vec![])
            }
            Line::Request(request, id) => {
                let asked = match id {
                    Some(id) => self.id(&id),
                    None => self.next_id(),
                };
                let ask =
                    Ask { place: Place::table(), asked, asker: Asker::at_the_table(), request };
                let answer = self.referee.ask(&ask).await.map_err(refused)?;
                let mut words = String::new();
                match (answer.again, answer.taken_back) {
                    (true, false) => words.push_str("Asked before; this was the answer.\n"),
                    (true, true) => words.push_str(
                        "Asked before; this was the answer, and it has been taken back since.\n",
                    ),
                    _ => {}
                }
                let posts: Vec<Recorded> = answer.first.into_iter().chain([answer.event]).collect();
                words.extend(posts.iter().map(|post| event(post).text(width())));
                Reply::Said(words, posts)
            }
        })
    }

    /// Marks events' posts as taken, once they have been printed.
    pub async fn printed(&self, posts: &[Recorded]) {
        for post in posts {
            // If this fails the post is printed once more at the next start, which does no harm.
            let _ = self.referee.posted(post).await;
        }
    }

    /// Prints what was answered and never printed, because the program was stopped in between.
    pub async fn print_owed(&self, out: &mut impl Write) -> Result<(), StartError> {
        let owed = self.referee.owed(&Place::table()).await?;
        if !owed.is_empty() {
            writeln!(out, "Answered before, but perhaps not seen:")?;
        }
        for post in owed {
            writeln!(out, "{}", seen_lines(&event(&post).text(width())))?;
            out.flush()?;
            self.printed(&[post]).await;
        }
        Ok(())
    }

    /// The battle's name, and every name known here, for the prompt.
    pub async fn known(&self) -> (Option<String>, Known) {
        let mut known = Known { rules_names: self.referee.rules_names(), ..Known::default() };
        let place = Place::table();
        // Without what cannot be read there is less to complete, and nothing else.
        known.rules = self.referee.rules(&place).await.ok();
        let battles = self.referee.battles(&place).await.unwrap_or_default();
        known.battles = battles.into_iter().rev().map(|battle| battle.name).collect();
        let Ok(Some(battle)) = self.referee.battle(&place).await else { return (None, known) };
        known.field = Some(battle.field);
        (Some(battle.name), known)
    }

    /// Plays a script, printing every line and its answer; stops at the first mistake.
    pub async fn script(&self, script: &str, out: &mut impl Write) -> Result<(), StartError> {
        for (number, line) in script.lines().enumerate() {
            if !self.script_line(number + 1, line, out).await? {
                break;
            }
        }
        Ok(())
    }

    /// Plays a script from standard input, answering each line as it comes.
    pub async fn standard_input(&self) -> Result<(), StartError> {
        let mut out = std::io::stdout();
        for number in 1.. {
            let line = next_line(&mut std::io::stdin().lock()).map_err(|error| {
                StartError::Input(format!("Line {number} of the standard input"), error)
            })?;
            let Some(line) = line else { break };
            if !self.script_line(number, &line, &mut out).await? {
                break;
            }
        }
        Ok(())
    }

    /// Plays one line of a script; false once it asks to leave.
    async fn script_line(
        &self,
        number: usize,
        line: &str,
        out: &mut impl Write,
    ) -> Result<bool, StartError> {
        let line = line.trim();
        if let Some(told) = line.strip_prefix('#') {
            writeln!(out, "{}", textwrap::fill(&seen(told.trim()), width()))?;
            return Ok(true);
        }
        if line.is_empty() {
            return Ok(true);
        }
        writeln!(out, "> {}", seen(line))?;
        match self.answer(line).await {
            Err(sentence) => Err(StartError::Script { line: number, sentence }),
            Ok(Reply::Quit) => Ok(false),
            Ok(Reply::Nothing) => Ok(true),
            Ok(Reply::Said(words, posts)) => {
                writeln!(out, "{}", seen_lines(&words))?;
                out.flush()?;
                self.printed(&posts).await;
                Ok(true)
            }
        }
    }

    /// Closes the record.
    pub async fn close(&self) {
        self.referee.close().await;
    }

    /// An id that no other request has: numbered, or from the clock, the process and a count.
    fn next_id(&self) -> RequestId {
        let count = self.asked.fetch_add(1, Ordering::Relaxed);
        if self.where_asked != ORIGIN {
            return self.id(&count.to_string());
        }
        let now = jiff::Timestamp::now().as_nanosecond();
        self.id(&format!("{now:x}-{:x}-{count:x}", std::process::id()))
    }

    fn id(&self, id: &str) -> RequestId {
        RequestId::new(self.where_asked, id).expect("a line's own id was read strictly")
    }
}

/// The next line, without its end; of a line that is too long no more than shows that it is.
fn next_line(from: &mut impl BufRead) -> std::io::Result<Option<String>> {
    let mut line = Vec::new();
    let most = line::LONGEST as u64 + 1;
    std::io::Read::take(from, most).read_until(b'\n', &mut line)?;
    if line.len() > line::LONGEST {
        // It may have been cut within a letter, and is refused for its length.
        return Ok(Some(String::from_utf8_lossy(&line).into_owned()));
    }
    let text = String::from_utf8(line);
    let text = text.map_err(|error| std::io::Error::new(std::io::ErrorKind::InvalidData, error))?;
    Ok(Some(text).filter(|text| !text.is_empty()))
}

/// What is shown in words, and the first of its pictures in bars of text: only one, so that the
/// words above it stay on the screen.
fn with_bars(shown: &Shown, pictures: &[Picture]) -> String {
    let words = crate::words::shown(shown).text(width());
    match pictures.first() {
        Some(picture) => words + "\n" + &picture.text(width()),
        None => words,
    }
}
