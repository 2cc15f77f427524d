//! What is said: bodies as the platform's reference describes them, and words put into them.
//!
//! `body`, `component`, `form`, `answer` and `command` are the platform's own shapes, typed once;
//! `layout` puts words and files into them, `escape` takes the meaning out of marks in names,
//! `button` says which buttons stand under a post, and `found` looks for a post in a channel.
//! Nothing here knows who asks or what comes of a press.

mod answer;
mod body;
mod button;
mod command;
mod component;
mod escape;
mod form;
mod found;
mod layout;
pub(super) mod messages;

pub(super) use answer::Answer;
pub(super) use body::{File, Message};
pub(super) use button::{Button, Does, TYPED};
pub(super) use command::{Choice, Command, CommandOption, Context, OptionKind};
pub(super) use escape::escape;
pub(super) use form::Form;
pub(super) use found::{holds, latest};
pub(super) use layout::{
    drawn, of_events, of_markdown, of_post, of_post_with, of_sentence, of_told, reference,
};
