//! The Discord front: slash commands and buttons in, posts out.
//!
//! In reading order: `config` says how it runs; `serve` connects and stops; `commands` and
//! `buttons` turn what people do into requests; `desk` acknowledges, asks the referee and posts;
//! `policy` says who may do what; `layout` puts words into the platform's form, and `spelling` the
//! hints in them; `rest` talks to the platform and waits when told to. Only this module knows
//! the platform.

mod board;
mod buttons;
mod caller;
mod commands;
mod complete;
mod config;
mod desk;
mod in_flight;
mod layout;
mod messages;
mod policy;
mod post;
mod rest;
mod serve;
mod spelling;
mod status;
mod trouble;

pub use commands::erase;
pub use config::{Config, LogForm, Token};
pub use serve::serve;
pub use status::health;
pub use trouble::StartError;
