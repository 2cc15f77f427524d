//! The public roll: dice thrown so that anyone can check them.
//!
//! Each battle has a [`Chain`] of links that was fixed before the first throw. A roll takes the
//! next link, a [`Statement`] fixes in words what is thrown, and the two give every face, each
//! throw's in a stream of its own ([`Faces`]). The [`Receipt`] holds all of it, and [`check`] needs nothing else.
//! docs/checking.md explains the protocol to outsiders.

mod chain;
pub mod check;
mod protocol;
mod receipt;
mod statement;
mod stream;

pub use chain::{Chain, Secret};
pub use protocol::{Protocol, UnknownProtocol};
pub use receipt::{Receipt, Throw};
pub(crate) use statement::{LONGEST_ID, is_origin, is_request_id};
pub use statement::{Statement, StatementError, Word};
pub use stream::{Faces, Stream};
