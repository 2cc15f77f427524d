//! drumhead, a referee for mass battles: few figures for many men, public dice that anyone can
//! check, a record that loses nothing.
//!
//! The modules from the bottom up; none knows of those after it:
//!
//! - [`text`]: what of a text can be seen, and other people's text made harmless to print.
//! - [`digest`]: SHA-256 values, by which rules files, links and events are named.
//! - [`rules`]: what a rules file says, once it has been checked.
//! - [`fair`]: the public roll: chain, statement, faces, receipt, check.
//! - [`protocol`]: the frozen room: the shapes and words that are hashed.
//! - [`battle`]: a battle as data, folded from its record of events.
//! - [`combat`]: the procedures: who fights, steps, dice, kills, leaders, morale, rally, shooting,
//!   harm.
//! - [`odds`]: exact distributions under the same procedures.
//! - [`words`]: everything people read, put into words once for every front.
//! - [`pictures`]: odds and battles drawn, as PNG, SVG and bars of text.
//! - [`report`]: a battle's report, from its record of events.
//! - [`fonts`]: this machine's fonts, for names in any script.
//! - [`record`]: the append-only record in `SQLite`, and the posts still owed.
//! - [`referee`]: one request in, one ruling out; whole battles in, out and checked.
//! - [`requests`]: everything that can be asked, one file a request.
//! - [`files`]: what goes wrong with files, for every front.
//! - [`terminal`]: the local table.
//! - [`chat`]: the Discord front.
//! - [`args`]: the program's arguments.

#[cfg(test)]
mod altered;
pub mod args;
pub mod battle;
pub mod chat;
pub mod combat;
pub mod digest;
pub mod fair;
pub mod files;
pub mod fonts;
pub mod odds;
pub mod pictures;
pub mod protocol;
pub mod record;
pub mod referee;
pub mod report;
pub mod requests;
pub mod rules;
pub mod terminal;
pub mod text;
pub mod words;
