//! The slash commands: as they are registered, as they are read, and what each comes to.
//!
//! All of them come from the table of requests, which knows names, options and how options are
//! read; what a request comes to is the referee's business. `registration` says what the platform
//! is told, `reading` turns a command back into what is asked, `filling` knows what a chat fills in
//! by itself, `asked` hands each on, and the others do what only a chat does.

mod asked;
mod filling;
mod help;
mod office;
mod privacy;
mod reading;
mod registration;
mod server;
mod transfer;

pub(super) use asked::asked;
pub(super) use reading::{option, spec, values};
pub(super) use registration::registered;
pub use server::erase;
