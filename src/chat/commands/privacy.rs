//! What is kept of a person, for that person to see and to have taken away.

use super::{Ctx, Done, caller};
use crate::chat::caller::{Caller, PLATFORM};
use crate::chat::desk::Desk;
use crate::chat::rest::Message;
use crate::chat::{layout, messages};
use crate::record::Left;
use crate::referee::Refusal;
use crate::words::Post;

/// What is kept of you, and how to have it taken away.
#[poise::command(slash_command, guild_only, subcommands("show", "remove"))]
#[allow(clippy::unused_async, reason = "the platform never runs a command that has subcommands")]
pub(crate) async fn privacy(_ctx: Ctx<'_>) -> Done {
    Ok(())
}

/// Show what is kept of you.
#[poise::command(slash_command, guild_only)]
async fn show(ctx: Ctx<'_>) -> Done {
    let Some(caller) = caller(ctx).await else { return Ok(()) };
    let desk = ctx.framework.user_data;
    desk.privately(&caller, kept(desk, &caller)).await;
    Ok(())
}

/// Take your id out of this bot's records. Battles go on; what you asked stays under a number.
#[poise::command(slash_command, guild_only)]
async fn remove(ctx: Ctx<'_>) -> Done {
    let Some(caller) = caller(ctx).await else { return Ok(()) };
    let desk = ctx.framework.user_data;
    desk.privately(&caller, async {
        let left = desk.referee.record().forget_person(PLATFORM, caller.user).await?;
        Ok(layout::of_sentence(match left {
            None => messages::UNKNOWN_PERSON,
            Some(Left::Nothing) => messages::FORGOTTEN,
            Some(Left::Traces) => messages::FORGOTTEN_BUT_TRACES,
        }))
    })
    .await;
    Ok(())
}

async fn kept(desk: &Desk, caller: &Caller) -> Result<Message, Refusal> {
    let user = caller.user;
    let record = desk.referee.record();
    let Some(who) = record.known_person(PLATFORM, user).await? else {
        return Ok(layout::of_sentence(messages::UNKNOWN_PERSON));
    };
    let mut post = Post::new(format!("Your id {user} is kept as {who}."));
    post.line(0, "In the record you are that number only. Requests you asked:");
    let traces = record.traces_of(who).await?;
    let (here, elsewhere): (Vec<_>, Vec<_>) =
        traces.into_iter().partition(|trace| trace.place.server() == Some(caller.server));
    for trace in here {
        post.line(1, format!("{}: {}", trace.battle, trace.requests));
    }
    // Nothing of one server is shown in another, not even a battle's name.
    if !elsewhere.is_empty() {
        post.line(1, format!("in battles on other servers: {}", elsewhere.len()));
    }
    post.line(
        0,
        "The record also keeps the words you gave. To have your id taken out: /privacy remove",
    );
    Ok(layout::of_post(&post, "privacy"))
}
