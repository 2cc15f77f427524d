//! What a request comes to, once it has been read.

use crate::protocol::{Request, Scale};
use crate::referee::Look;

/// What somebody asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Asked {
    /// Something that, when granted, becomes an event of the record.
    Request(Request),
    /// Something to look at.
    Look(Look),
    /// Help on one request, or on all.
    Help(Option<String>),
    /// Leave the table.
    Quit,
    /// Something that only a chat does.
    Chat(ChatAsk),
}

/// What only a chat does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ChatAsk {
    /// Show who holds which office.
    Officers,
    /// Put up a post of the battle that is kept up to date.
    Board,
    /// A battle as a file.
    Export {
        /// Its name; none for the open one, or the latest.
        battle: Option<String>,
    },
    /// A battle's report.
    Report {
        /// Its name; none for the open one, or the latest.
        battle: Option<String>,
    },
    /// Show what battles of the server begin with.
    Server,
    /// Set what battles of the server begin with.
    Defaults {
        /// The figure scale; none for the usual one.
        scale: Option<Scale>,
        /// The rules by name; none for the usual ones.
        rules: Option<String>,
    },
    /// Every battle of the server as files.
    Copy,
    /// Erase every battle of the server.
    Erase {
        /// Whether it is really meant.
        sure: bool,
    },
    /// Show what is kept of whoever asks.
    Privacy,
    /// Take whoever asks out of the records.
    Forget,
}
