//! The Discord front: slash commands and buttons in, posts out. Only this module knows the
//! platform.
//!
//! Its layers, lowest first; a file names only files of its own layer or of those before it, and no
//! two files know each other (`tests/chat/arrows.rs` reads this list and holds the files to it):
//!
//! - `platform`: HTTP with waits and retries, the gateway's client, ids and times
//! - `message`: bodies as the platform's reference has them, and words put into them
//! - `trouble`: why the front cannot run
//! - `config`: how it runs
//! - `interaction`: acknowledge, answer, refuse, take a while; who calls
//! - `posting`: posts that are owed, brought to the platform once
//! - `board`: a post that is kept up to date
//! - `asking`: what changes a battle, from the acknowledgement to the post
//! - `looking`: what changes nothing
//! - `commands`: the slash commands, as registered and as read
//! - `completion`: what is offered while somebody types
//! - `buttons`: what pressing one comes to
//! - `status`: health and counts on loopback
//! - `serve`: connect, hand on, stop

mod asking;
mod board;
mod buttons;
mod commands;
mod completion;
mod config;
mod interaction;
mod looking;
mod message;
mod platform;
mod posting;
mod serve;
mod status;
mod trouble;

pub use commands::erase;
pub use config::{Config, LogForm};
pub use platform::Token;
pub use serve::serve;
pub use status::health;
pub use trouble::StartError;
