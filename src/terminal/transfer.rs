//! Battles in and out of the record: receipts, exports, imports, and the check of either.

use super::args::{BattleArgs, CheckArgs, Format, ReportArgs};
use super::width;
use super::{StartError, record_file};
use crate::digest::Digest;
use crate::fair::Receipt;
use crate::fair::check::{Checker, Difference, Holds};
use crate::files::FileError;
use crate::protocol::Place;
use crate::referee::audit::{Audit, Audited, ExportLine};
use crate::referee::{BattleSummary, Referee, RulesLibrary, form};
use crate::text::{harmless_json, seen_lines};
use crate::words::verdict;
use indicatif::{ProgressBar, ProgressStyle};
use serde_json::json;
use std::fs::File;
use std::io::{BufRead, BufReader, BufWriter, Write as _};
use std::path::{Path, PathBuf};

/// Writes a battle's receipts to standard output.
pub(super) async fn receipts(args: BattleArgs) -> Result<(), StartError> {
    let (referee, battle) = chosen(args).await?;
    let mut out = BufWriter::new(std::io::stdout().lock());
    referee.write_receipts(&battle, &mut out).await?;
    Ok(out.flush()?)
}

/// Writes a whole battle to standard output.
pub(super) async fn export(args: BattleArgs) -> Result<(), StartError> {
    let (referee, battle) = chosen(args).await?;
    let mut out = BufWriter::new(std::io::stdout().lock());
    referee.write_export(&battle, &mut out).await?;
    Ok(out.flush()?)
}

/// Writes a battle's report to standard output.
pub(super) async fn report(args: ReportArgs) -> Result<(), StartError> {
    let (referee, battle) = chosen(args.battle).await?;
    let report = referee.report_of(&battle).await?;
    let text = match args.format {
        Format::Markdown => report.markdown(),
        Format::Html => report.html_with(crate::fonts::of_this_machine()),
    };
    let mut out = std::io::stdout().lock();
    out.write_all(seen_lines(&text).as_bytes())?;
    Ok(out.flush()?)
}

/// Takes a battle into a record.
pub(super) async fn import(record: Option<PathBuf>, file: Option<&Path>) -> Result<(), StartError> {
    let referee = Referee::open(&record_file(record)?, RulesLibrary::shipped()).await?;
    let (lines, bar) = source(file)?;
    let sound = referee.import(&Place::table(), lines, |bytes| bar.inc(bytes as u64)).await?;
    bar.finish_and_clear();
    referee.close().await;
    let text = format!(
        "{} is in the record: {} events, {} rolls. It was imported without its dice, so it can be \
         reported on and checked but not changed. To read it: drumhead report --battle {}",
        sound.name,
        sound.events,
        sound.rolls,
        crate::protocol::quote(&sound.name)
    );
    writeln!(std::io::stdout(), "{}", textwrap::fill(&seen_lines(&text), width()))?;
    Ok(())
}

/// Checks receipts or an export, and says what it found.
pub(super) fn check(args: &CheckArgs) -> Result<(), StartError> {
    let (lines, bar) = source(args.file.as_deref())?;
    let found = examine(lines, args.head.as_deref(), &bar);
    bar.finish_and_clear();
    let verdict = found?;
    let said = if args.json { verdict.json() } else { verdict.words() };
    let printed = writeln!(std::io::stdout(), "{}", seen_lines(&said));
    if matches!(verdict, Verdict::Fails(_)) { Err(StartError::DoesNotHold) } else { Ok(printed?) }
}

/// What a check found.
enum Verdict {
    Dice {
        first: Holds,
        rolls: u32,
        taken_back: u32,
        anchor: Digest,
    },
    /// A battle, and the number of the event whose record was given.
    Battle(Audited, Option<u64>),
    Fails(Difference),
}

impl Verdict {
    fn words(&self) -> String {
        let post = match self {
            Self::Dice { first, rolls, taken_back, anchor } => {
                verdict::dice_hold(*first, *rolls, *taken_back, &anchor.to_string())
            }
            Self::Battle(sound, posted) => {
                let taken_back: Vec<_> =
                    sound.taken_back.iter().map(|(who, rolls)| (*who, *rolls)).collect();
                verdict::battle_holds(verdict::BattleHolds {
                    name: &sound.name,
                    events: sound.events,
                    posted: *posted,
                    rolls: sound.rolls,
                    taken_back: &taken_back,
                    undone: &sound.undone,
                    rules: (&sound.rules.name, sound.rules.sha256),
                    shipped: sound.rules.shipped,
                    anchor: sound.anchor,
                    head: sound.head,
                })
            }
            Self::Fails(difference) => verdict::does_not_hold(difference),
        };
        post.text(width()).trim_end().to_owned()
    }

    fn json(&self) -> String {
        let value = match self {
            Self::Dice { first, rolls, taken_back, anchor } => json!({
                "ok": true, "depth": "dice", "rolls": rolls, "first_roll": first.roll,
                "rolls_before_first_chain": first.before, "taken_back": taken_back,
                "anchor": anchor,
            }),
            Self::Battle(sound, posted) => {
                json!({"ok": true, "depth": "ruling", "battle": sound, "head_at": posted})
            }
            Self::Fails(difference) => json!({"ok": false, "difference": difference}),
        };
        // What a file holds is printed as data here too, and must do nothing to a terminal.
        harmless_json(&value.to_string())
    }
}

/// How an export begins.
const EXPORT: &[u8] = b"{\"drumhead_export\"";

/// Goes through the lines; the first one tells receipts from an export.
fn examine(
    mut file: impl BufRead,
    head: Option<&str>,
    bar: &ProgressBar,
) -> Result<Verdict, StartError> {
    let mut audit = Audit::new();
    let mut dice = Dice::default();
    let head = head.map(str::to_lowercase);
    let mut posted = None;
    let mut is_export = false;
    let mut n = 0;
    while let Some(line) = read(&mut file)? {
        n += 1;
        is_export |= n == 1 && line.starts_with(EXPORT);
        bar.inc(line.len() as u64);
        let line_holds = if is_export { audit.line(&line).map(Some) } else { dice.line(&line) };
        match line_holds {
            Err(difference) => return Ok(Verdict::Fails(difference.on_line(n))),
            Ok(Some(ExportLine::Event(event))) => {
                let hash = event.hash.to_string();
                if head.as_ref().is_some_and(|head| hash.starts_with(head)) {
                    posted = Some(event.event.seq);
                }
            }
            Ok(_) => {}
        }
    }
    let verdict = if is_export {
        audit.finish().map(|sound| Verdict::Battle(sound, posted))
    } else {
        dice.finish()
    };
    Ok(match (verdict, head) {
        (Ok(Verdict::Battle(sound, None)), Some(head)) => {
            let found = format!("none of {} begins so", sound.events);
            Verdict::Fails(Difference::new("record", &head, &found))
        }
        (Ok(Verdict::Dice { .. }), Some(_)) => return Err(StartError::NoRecordInReceipts),
        (verdict, _) => verdict.unwrap_or_else(Verdict::Fails),
    })
}

fn read(file: &mut impl BufRead) -> Result<Option<Vec<u8>>, StartError> {
    form::next_line(file)
        .map_err(|error| StartError::Input("What is to be checked".to_owned(), error))
}

/// Receipts being checked.
#[derive(Default)]
struct Dice {
    checker: Checker,
    first: Option<(Holds, Digest)>,
    rolls: u32,
    taken_back: u32,
}

impl Dice {
    fn line(&mut self, line: &[u8]) -> Result<Option<ExportLine>, Difference> {
        let line = form::line_of_receipts(line)?;
        let receipt: Receipt = serde_json::from_str(line)
            .map_err(|_| Difference::new("receipt", &"one receipt, or an export", &short(line)))?;
        let holds = self.checker.check(&receipt)?;
        self.first.get_or_insert((holds, receipt.anchor));
        self.rolls += 1;
        self.taken_back += u32::from(holds.taken_back);
        Ok(None)
    }

    fn finish(self) -> Result<Verdict, Difference> {
        let (first, anchor) =
            self.first.ok_or_else(|| Difference::new("receipts", &"at least one", &"none"))?;
        let Self { rolls, taken_back, .. } = self;
        Ok(Verdict::Dice { first, rolls, taken_back, anchor })
    }
}

/// The beginning of a line that is no receipt.
fn short(line: &str) -> String {
    const MOST: usize = 40;
    let start: String = line.chars().take(MOST).collect();
    if start.len() < line.len() { start + "…" } else { start }
}

/// A record that is there already, and the battle in it that is meant.
async fn chosen(args: BattleArgs) -> Result<(Referee, BattleSummary), StartError> {
    let referee = existing(args.record).await?;
    let battle = referee.choose(args.battle.as_deref()).await?;
    Ok((referee, battle))
}

/// A record that is there already: reading one must neither begin another nor change it.
pub(super) async fn existing(named: Option<PathBuf>) -> Result<Referee, StartError> {
    let file = record_file(named)?;
    if !file.exists() {
        return Err(FileError::new(file, std::io::ErrorKind::NotFound).into());
    }
    Ok(Referee::open_to_read(&file).await?)
}

/// A file or standard input, with a bar that shows how far it has been read on a terminal.
fn source(file: Option<&Path>) -> Result<(Box<dyn BufRead>, ProgressBar), StartError> {
    let Some(path) = file else {
        return Ok((Box::new(std::io::stdin().lock()), ProgressBar::hidden()));
    };
    let trouble = |error| FileError::new(path, error);
    let file = File::open(path).map_err(trouble)?;
    let length = file.metadata().map_err(trouble)?.len();
    let style = ProgressStyle::with_template("checked {bytes} of {total_bytes} [{bar:20}] {eta}")
        .expect("the template is right")
        .progress_chars("=> ");
    Ok((Box::new(BufReader::new(file)), ProgressBar::new(length).with_style(style)))
}
