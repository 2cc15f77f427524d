//! What somebody asked by a command, handed on to whatever deals with it.

use super::filling::Filling;
use super::reading::{people, shares, spec, values};
use super::{help, office, privacy, server, transfer};
use crate::chat::asking;
use crate::chat::board;
use crate::chat::interaction::{Caller, Denied, Shared, answer_privately, privately};
use crate::chat::looking;
use crate::chat::message::messages;
use crate::chat::platform::Invoked;
use crate::requests::{Asked, ChatAsk};

/// Somebody used a command.
pub async fn asked(shared: &Shared, caller: &Caller, invoked: &Invoked) {
    let Some(spec) = spec(&invoked.path) else {
        return answer_privately(shared, caller, messages::UNREADABLE).await;
    };
    let Some(values) = values(spec, &invoked.options) else {
        return answer_privately(shared, caller, messages::UNREADABLE).await;
    };
    let filling = Filling { spec, values, people: people(spec, &invoked.options) };
    if filling.is_needed() {
        return asking::ask(shared, caller, filling).await;
    }
    let share = shares(&invoked.options);
    match spec.read(&filling.values) {
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
