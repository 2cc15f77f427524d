//! The slash commands: as they are registered, as they are read, and what each comes to.
//!
//! All of them come from the table of requests, which knows names, options and how options are
//! read; what a request comes to is the referee's business. `registration` says what the platform
//! is told, `reading` turns a command back into what is asked, `filling` knows what a chat fills in
//! by itself, and the others do what only a chat does.

mod filling;
mod help;
mod office;
mod privacy;
mod reading;
mod registration;
mod server;
mod transfer;

pub(super) use reading::{option, spec, values};
pub(super) use registration::registered;
pub use server::erase;

use super::asking;
use super::board;
use super::interaction::{Caller, Denied, Shared, answer_privately, privately};
use super::looking;
use super::message::messages;
use super::platform::Invoked;
use crate::requests::{Asked, ChatAsk};

/// Somebody used a command.
pub(super) async fn asked(shared: &Shared, caller: &Caller, invoked: &Invoked) {
    let Some(spec) = spec(&invoked.path) else {
        return answer_privately(shared, caller, messages::UNREADABLE).await;
    };
    let read = match values(spec, &invoked.options) {
        // What is missing is filled in once the interaction is acknowledged.
        Some(values) if filling::is_needed(spec, &values) => {
            return asking::ask(shared, caller, filling::Filling { spec, values }).await;
        }
        Some(values) => spec.read(&values),
        None => return answer_privately(shared, caller, messages::UNREADABLE).await,
    };
    let share = reading::shares(&invoked.options);
    match read {
        Ok(Asked::Request(request)) => asking::ask(shared, caller, request).await,
        Ok(Asked::Look(look)) => looking::look(shared, caller, &look, share).await,
        Ok(Asked::Help(request)) => help::help(shared, caller, request.as_deref()).await,
        Ok(Asked::Chat(ask)) => of_the_chat(shared, caller, ask, share).await,
        Ok(Asked::Quit) => answer_privately(shared, caller, messages::UNREADABLE).await,
        Err(wrong) => {
            privately(shared, caller, async { Err(Denied::Said(wrong.told().clone())) }).await;
        }
    }
}

/// What only a chat does.
async fn of_the_chat(shared: &Shared, caller: &Caller, ask: ChatAsk, share: bool) {
    match ask {
        ChatAsk::Appoint { side, who } => {
            asking::ask(shared, caller, office::Change { who, side, appoint: true }).await;
        }
        ChatAsk::Relieve { side, who } => {
            asking::ask(shared, caller, office::Change { who, side, appoint: false }).await;
        }
        ChatAsk::Officers => privately(shared, caller, office::listed(shared, caller)).await,
        ChatAsk::Board => privately(shared, caller, board::put_up(shared, caller)).await,
        ChatAsk::Export { battle } => {
            privately(shared, caller, transfer::exported(shared, caller, battle.as_deref())).await;
        }
        ChatAsk::Report { battle } => {
            transfer::report(shared, caller, battle.as_deref(), share).await;
        }
        ChatAsk::Privacy => privately(shared, caller, privacy::kept(shared, caller)).await,
        ChatAsk::Forget => privately(shared, caller, privacy::forgotten(shared, caller)).await,
        ChatAsk::Server | ChatAsk::Defaults { .. } | ChatAsk::Copy | ChatAsk::Erase { .. } => {
            privately(shared, caller, server::done(shared, caller, ask)).await;
        }
    }
}
