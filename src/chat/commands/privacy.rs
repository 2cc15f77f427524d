//! What is kept of a person, for that person to see and to have taken away.

use crate::chat::interaction::{Caller, Denied, Shared};
use crate::chat::message::{Message, messages, of_post, of_sentence};
use crate::chat::platform::PLATFORM;
use crate::referee::Left;
use crate::words::Post;

/// Shows somebody what is kept of them.
pub async fn kept(shared: &Shared, caller: &Caller) -> Result<Message, Denied> {
    let user = caller.user;
    let Some(who) = shared.referee.known_person(PLATFORM, user).await? else {
        return Ok(of_sentence(messages::UNKNOWN_PERSON));
    };
    let mut post = Post::new(messages::kept_as(user, who));
    post.line(0, messages::WHAT_YOU_ASKED);
    let traces = shared.referee.traces_of(who).await?;
    let (here, elsewhere): (Vec<_>, Vec<_>) =
        traces.into_iter().partition(|trace| trace.place.server() == Some(caller.server));
    for trace in here {
        post.line(1, format!("{}: {}", trace.battle, trace.requests));
    }
    // Nothing of one server is shown in another, not even a battle's name.
    if !elsewhere.is_empty() {
        post.line(1, format!("in battles on other servers: {}", elsewhere.len()));
    }
    post.line(0, messages::TAKEN_OUT_BY);
    Ok(of_post(&post, "privacy"))
}

/// Takes somebody's id out of the records. Battles go on; what they asked stays under a number.
pub async fn forgotten(shared: &Shared, caller: &Caller) -> Result<Message, Denied> {
    let left = shared.referee.forget_person(PLATFORM, caller.user).await?;
    Ok(of_sentence(match left {
        None => messages::UNKNOWN_PERSON,
        Some(Left::Nothing) => messages::FORGOTTEN,
        Some(Left::Traces) => messages::FORGOTTEN_BUT_TRACES,
    }))
}
