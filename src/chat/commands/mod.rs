//! The slash commands: one for every request and look, and those of the chat itself.
//!
//! A command only gathers what was given into a request, the very value that the local table
//! builds from the same words; what it comes to is the referee's business.

mod fight;
mod look;
mod office;
mod privacy;
mod quick;
mod server;
mod setup;
mod words;

pub use server::erase_server as erase;

use super::caller::{Caller, ReplyRoute};
use super::desk::Desk;
use crate::protocol::{Request, Scale};
use crate::referee::Look;
use std::convert::Infallible;
use std::sync::Arc;

/// A command's circumstances.
pub(super) type Ctx<'a> = poise::ApplicationContext<'a, Arc<Desk>, Infallible>;
/// A command answers by itself, so that nothing is left to report.
pub(super) type Done = Result<(), Infallible>;

/// A command.
pub(super) type Command = poise::Command<Arc<Desk>, Infallible>;

/// Every command.
pub(super) fn all() -> Vec<Command> {
    vec![
        setup::open(),
        setup::side(),
        setup::muster(),
        setup::change(),
        setup::dismiss(),
        setup::attach(),
        setup::rescale(),
        setup::close(),
        setup::reopen(),
        fight::melee(),
        fight::again(),
        fight::cast(),
        fight::shoot(),
        fight::rally(),
        fight::turn(),
        fight::word(),
        fight::undo(),
        quick::ruling(),
        quick::throw(),
        quick::odds(),
        quick::even_match(),
        quick::scales(),
        look::show(),
        look::battles(),
        look::log(),
        look::proof(),
        look::rules(),
        look::help(),
        look::board(),
        look::export_battle(),
        look::report(),
        office::appoint(),
        office::relieve(),
        office::officers(),
        server::server(),
        privacy::privacy(),
    ]
}

/// Asks a request.
async fn ask(ctx: Ctx<'_>, request: Request) -> Done {
    ask_or_say(ctx, Ok(request)).await
}

/// Asks a request, or says why there is none.
async fn ask_or_say(ctx: Ctx<'_>, request: Result<Request, String>) -> Done {
    if let Some(caller) = caller(ctx).await {
        ctx.framework.user_data.request(caller, request).await;
    }
    Ok(())
}

/// Looks at something.
async fn look_at(ctx: Ctx<'_>, look: Look, share: bool) -> Done {
    if let Some(caller) = caller(ctx).await {
        ctx.framework.user_data.look(caller, look, share).await;
    }
    Ok(())
}

/// Who calls; none if they were told to ask in a server, or if this was delivered before.
async fn caller(ctx: Ctx<'_>) -> Option<Caller> {
    let (desk, asked) = (ctx.framework.user_data, ctx.interaction);
    if !desk.in_flight.is_new(asked.id.get()) {
        return None;
    }
    let caller = Caller::of_command(asked);
    if caller.is_none() {
        let data = serde_json::json!({ "content": super::messages::ONLY_IN_SERVERS, "flags": 64 });
        let body = serde_json::json!({ "type": 4, "data": data });
        let via = ReplyRoute {
            id: asked.id.get(),
            application: asked.application_id.get(),
            channel: asked.channel_id.get(),
            token: asked.token.clone(),
        };
        // Whoever asked outside a server loses nothing but this hint.
        let _ = desk.rest.acknowledge(&via, &body).await;
    }
    caller
}

/// A figure scale within its bounds, which the platform has checked already.
fn scale(men: u32) -> Result<Scale, String> {
    Scale::try_from(men)
}
