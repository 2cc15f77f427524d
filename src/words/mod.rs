//! Everything people read, put into words once for every front. All of it is pure.
//!
//! A [`Post`] has a headline, lines and a last line that discloses the roll. The local table
//! prints it as text of any width; a chat lays it out in its own way.

mod became;
mod chances;
mod condition;
mod duel;
mod event;
mod harm;
mod odds;
mod phrases;
mod post;
mod rules;
mod ruling;
mod shown;
pub mod verdict;

pub(crate) use chances::rare;
pub use event::{event, story};
pub(crate) use odds::{kind, percent};
pub(crate) use phrases::{count, figures, men, number, standing};
pub(crate) use post::wrapping;
pub use post::{Line, LineKind, Post};
pub use shown::{BattleEntry, Shown, shown};
