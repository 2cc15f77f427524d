//! The local table: the referee at a terminal.
//!
//! `table` is a prompt or a script on a record, `demo` plays the battle that ships, and `transfer`
//! brings battles in and out of the record and checks them. [`run`] begins whichever is asked.

mod args;
mod copies;
mod demo;
mod help;
mod known;
mod line;
mod prompt;
mod table;
mod transfer;
mod trouble;

pub use args::{Command, TableArgs};
pub use line::{Line, read as read_line};

use crate::files::FileError;
use crate::referee::export::TransferError;
use crate::referee::{CopyError, RecordError, Referee, Refusal, RulesLibrary};
use crate::rules::RulesError;
use std::io::IsTerminal as _;
use std::path::{Path, PathBuf};
use table::Table;

/// Why the program stopped.
#[derive(Debug, thiserror::Error)]
pub enum StartError {
    /// A file could not be read or written.
    #[error(transparent)]
    File(#[from] FileError),
    /// There is no place for the record.
    #[error("This system names no folder for data. Name a file: --record FILE")]
    NoDataFolder,
    /// The record failed.
    #[error("{0}")]
    Record(#[from] RecordError),
    /// The record could not be copied or restored.
    #[error(transparent)]
    Copy(#[from] CopyError),
    /// A rules file is wrong.
    #[error("{0}")]
    Rules(#[from] RulesError),
    /// A script asked something wrong.
    #[error("line {line}: {sentence}")]
    Script {
        /// The line, counted from 1.
        line: usize,
        /// What was wrong with it.
        sentence: String,
    },
    /// The referee refused what the program itself asked.
    #[error(transparent)]
    Refused(#[from] Refusal),
    /// A battle could not be written out or taken in.
    #[error(transparent)]
    Paper(#[from] TransferError),
    /// Receipts were to be compared with a record.
    #[error("Receipts hold no record. To compare the end of a battle, check its export.")]
    NoRecordInReceipts,
    /// A check found something, and has said so.
    #[error("This does not hold.")]
    DoesNotHold,
    /// The terminal failed.
    #[error("The terminal cannot be read: {0}")]
    Terminal(#[from] rustyline::error::ReadlineError),
    /// Standard input or a file could not be read as text.
    #[error("{0} cannot be read as text: {1}. Check what it is.")]
    Input(String, std::io::Error),
    /// What was printed could not be written.
    #[error("The output could not be written: {0}")]
    Output(#[from] std::io::Error),
}

/// Runs what the arguments ask for.
pub async fn run(command: Command) -> Result<(), StartError> {
    match command {
        Command::Table(args) => table(args).await,
        Command::Demo { record, take } => demo::demo(record.as_deref(), take).await,
        Command::Receipts(args) => transfer::receipts(args).await,
        Command::Export(args) => transfer::export(args).await,
        Command::Report(args) => transfer::report(args).await,
        Command::Import { record, file } => transfer::import(record, file.as_deref()).await,
        Command::Check(args) => transfer::check(&args),
        Command::Backup(args) => copies::back_up(&args.from, &args.to).await,
        Command::Restore(args) => copies::restore(&args.from, &args.to).await,
    }
}

/// A prompt, or a script that comes from a file or from standard input.
async fn table(args: TableArgs) -> Result<(), StartError> {
    let file = record_file(args.record)?;
    let mut library = RulesLibrary::shipped();
    for file in &args.rules_files {
        library.add(&file.display().to_string(), &read_file(file)?)?;
    }
    let table = Table::new(Referee::open(&file, library).await?);
    table.print_owed(&mut std::io::stdout()).await?;
    let done = match args.script {
        Some(script) => table.script(&read_file(&script)?, &mut std::io::stdout()).await,
        None if std::io::stdin().is_terminal() => {
            prompt::converse(&table, &file, data_folder().as_deref()).await
        }
        None => table.standard_input().await,
    };
    table.close().await;
    done
}

/// The record that is named, or the one in the platform's folder for data.
fn record_file(named: Option<PathBuf>) -> Result<PathBuf, StartError> {
    if let Some(file) = named {
        return Ok(file);
    }
    let folder = data_folder().ok_or(StartError::NoDataFolder)?;
    std::fs::create_dir_all(&folder).map_err(|error| FileError::new(&folder, error))?;
    Ok(folder.join("record.db"))
}

/// The folder for data that the platform names.
fn data_folder() -> Option<PathBuf> {
    directories::ProjectDirs::from("", "", "drumhead").map(|folders| folders.data_dir().into())
}

fn read_file(file: &Path) -> Result<String, StartError> {
    std::fs::read_to_string(file).map_err(|error| match error.kind() {
        std::io::ErrorKind::InvalidData => StartError::Input(file.display().to_string(), error),
        _ => FileError::new(file, error).into(),
    })
}

/// The widest that text is set, in columns.
const WIDEST: usize = 100;

/// The width of the terminal, within reason.
fn width() -> usize {
    textwrap::termwidth().clamp(20, WIDEST)
}
