//! Why the front cannot run.

use crate::files::FileError;
use crate::referee::{RecordError, Refusal};
use crate::rules::RulesError;
use std::path::PathBuf;

/// Why the program stopped.
#[derive(Debug, thiserror::Error)]
pub enum StartError {
    /// A file could not be read.
    #[error(transparent)]
    File(#[from] FileError),
    /// The configuration is wrong.
    #[error("{}: {error}", file.display())]
    Config {
        /// The file.
        file: PathBuf,
        /// What is wrong with it.
        error: Box<toml::de::Error>,
    },
    /// There is no token.
    #[error(
        "There is no token. Set DRUMHEAD_TOKEN, or name a file that holds it: token_file = \"FILE\""
    )]
    NoToken,
    /// The token's file is open to others.
    #[error("Others can read the token in {file}. Let its owner alone read it: chmod 600 {file}", file = .0.display())]
    OthersRead(PathBuf),
    /// The platform does not know the token.
    #[error("The platform refuses the token. Make a new one on its page for developers.")]
    WrongToken,
    /// The platform cannot be reached, or refuses.
    #[error("The platform could not be asked for {what}: {why}")]
    Platform {
        /// What was asked.
        what: &'static str,
        /// What came back.
        why: String,
    },
    /// The gateway ended.
    #[error("The connection to the platform ended: {0}")]
    Gateway(String),
    /// The record failed.
    #[error("{0}")]
    Record(#[from] RecordError),
    /// The referee refused what was asked of it.
    #[error(transparent)]
    Refused(#[from] Refusal),
    /// A rules file is wrong.
    #[error("{0}")]
    Rules(#[from] RulesError),
    /// The address for health and counts cannot be used.
    #[error("The status address {address} cannot be used: {error}")]
    Status {
        /// The address.
        address: std::net::SocketAddr,
        /// What the system says.
        error: std::io::Error,
    },
    /// Nobody could be asked.
    #[error(
        "The configuration has no status key, so nobody can be asked. Add one: status = \"127.0.0.1:9740\""
    )]
    NoStatus,
    /// The front that serves is not well, or not there.
    #[error("Not well: {0}")]
    NotWell(String),
}
