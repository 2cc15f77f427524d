//! The local table's arguments.

use crate::referee::TAKE;
use clap::{Subcommand, ValueEnum};
use std::path::PathBuf;

/// What the program can do without a chat.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Referee at a prompt, or play a script from a file or from standard input.
    Table(TableArgs),
    /// Play a whole battle that ships with the program, and print what a group would see.
    Demo {
        /// Keep the battle in this record, instead of throwing it away.
        #[arg(long, value_name = "FILE")]
        record: Option<PathBuf>,
        /// Throw other dice than those that ship; for finding some that show more.
        #[arg(long, hide = true, default_value_t = TAKE)]
        take: u32,
    },
    /// Write all of a battle's receipts to standard output, one line of JSON a roll.
    Receipts(BattleArgs),
    /// Write a whole battle to standard output: its rules, every event, every roll.
    Export(BattleArgs),
    /// Write a battle's report to standard output: what happened, losses, luck, pictures, receipts.
    Report(ReportArgs),
    /// Take an exported battle into a record, once all of it has been checked.
    Import {
        /// The record that takes it in; without it, the one of the table.
        #[arg(long, value_name = "FILE")]
        record: Option<PathBuf>,
        /// The export; without it, standard input.
        file: Option<PathBuf>,
    },
    /// Check receipts, or an exported battle, roll by roll. Exit status 0 only if all holds.
    Check(CheckArgs),
    /// Write a whole copy of a record, also while a front is using it.
    Backup(CopyArgs),
    /// Put a copy back, where no record is.
    Restore(CopyArgs),
}

/// From where to where a record is copied.
#[derive(Debug, clap::Args)]
pub struct CopyArgs {
    /// The record, or the copy of one.
    #[arg(value_name = "FROM")]
    pub from: PathBuf,
    /// A file that does not exist yet.
    #[arg(value_name = "TO")]
    pub to: PathBuf,
}

/// Which battle of which record.
#[derive(Debug, clap::Args)]
pub struct BattleArgs {
    /// The record; without it, the one of the table.
    #[arg(long, value_name = "FILE")]
    pub record: Option<PathBuf>,
    /// The battle, by name or id; needed if the record holds several.
    #[arg(long, value_name = "NAME")]
    pub battle: Option<String>,
}

/// Which battle to report on, and how.
#[derive(Debug, clap::Args)]
pub struct ReportArgs {
    /// Which battle.
    #[command(flatten)]
    pub battle: BattleArgs,
    /// How to write it.
    #[arg(long, value_enum, default_value_t = Format::Markdown)]
    pub format: Format,
}

/// How a report is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// As Markdown.
    Markdown,
    /// As one HTML file, for any browser.
    Html,
}

/// What to check, and how to say what was found.
#[derive(Debug, clap::Args)]
pub struct CheckArgs {
    /// Receipts or an export; without it, standard input.
    pub file: Option<PathBuf>,
    /// The first digits of the last record's SHA-256, as the latest post showed them.
    #[arg(long, value_name = "DIGITS", value_parser = digits)]
    pub head: Option<String>,
    /// Say it as one line of JSON.
    #[arg(long)]
    pub json: bool,
}

/// Where the table keeps its record and where its lines come from.
#[derive(Debug, Default, clap::Args)]
pub struct TableArgs {
    /// The record; without it, one in the platform's folder for data.
    #[arg(long, value_name = "FILE")]
    pub record: Option<PathBuf>,
    /// A rules file to have at hand besides those that ship; may be given again.
    #[arg(long = "rules-file", value_name = "FILE")]
    pub rules_files: Vec<PathBuf>,
    /// Play this script, stopping at the first mistake.
    #[arg(long, value_name = "FILE")]
    pub script: Option<PathBuf>,
}

/// The beginning of a SHA-256, as posts show it.
fn digits(text: &str) -> Result<String, String> {
    let fits = (16..=64).contains(&text.len()) && text.chars().all(|c| c.is_ascii_hexdigit());
    if fits { Ok(text.to_owned()) } else { Err("give 16 to 64 digits of 0-9 and a-f".to_owned()) }
}
