//! The program's arguments.

use crate::{chat, terminal};
use clap::{Parser, Subcommand};
use std::path::PathBuf;

/// Referees mass battles: few figures for many men, public dice that anyone can check, a record
/// that loses nothing.
#[derive(Debug, Parser)]
#[command(version, args_conflicts_with_subcommands = true)]
pub struct Args {
    /// What to do; without it, the table.
    #[command(subcommand)]
    command: Option<Command>,
    /// The table's own arguments.
    #[command(flatten)]
    table: terminal::TableArgs,
}

/// What the program can do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Everything without a chat.
    #[command(flatten)]
    Local(terminal::Command),
    /// Referee in a group's chat, until told to stop.
    Serve(ConfigArgs),
    /// Erase every battle of one server for good, such as one that has removed the bot.
    Erase(EraseArgs),
    /// Ask the bot that serves under this configuration whether it is well.
    Health(ConfigArgs),
}

/// How the chat's front runs.
#[derive(Debug, clap::Args)]
pub struct ConfigArgs {
    /// The configuration; config/drumhead.example.toml documents it.
    #[arg(long, value_name = "FILE")]
    config: PathBuf,
}

/// Whose data is erased.
#[derive(Debug, clap::Args)]
pub struct EraseArgs {
    /// How the chat's front runs.
    #[command(flatten)]
    pub config: ConfigArgs,
    /// The server's id on the platform.
    #[arg(long, value_name = "ID")]
    pub server: u64,
}

impl Args {
    /// The command that was given, or the table.
    pub fn command(self) -> Command {
        self.command.unwrap_or(Command::Local(terminal::Command::Table(self.table)))
    }
}

impl ConfigArgs {
    /// Reads the configuration.
    pub fn read(&self) -> Result<chat::Config, chat::StartError> {
        chat::Config::read(&self.config)
    }
}
