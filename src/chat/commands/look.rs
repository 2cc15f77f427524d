//! Looking: show, battles, log, proof, rules, help, export.

use super::{Ctx, Done, caller, look_at};
use crate::battle::Mistake;
use crate::chat::courier::{File, Message};
use crate::chat::desk::Desk;
use crate::chat::{complete, layout, say};
use crate::record::Head;
use crate::referee::export::{self, PaperError};
use crate::referee::{Fault, Look, Refusal};

/// Show the battle, or one unit.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn show(
    ctx: Ctx<'_>,
    #[description = "One unit; without it the whole battle"]
    #[autocomplete = "complete::unit"]
    unit: Option<String>,
    #[description = "Show it to everyone here"]
    #[flag]
    share: bool,
) -> Done {
    look_at(ctx, Look::Show { unit }, share).await
}

/// List the battles of this channel.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn battles(
    ctx: Ctx<'_>,
    #[description = "Show it to everyone here"]
    #[flag]
    share: bool,
) -> Done {
    look_at(ctx, Look::Battles, share).await
}

/// List what the record of the battle holds, oldest first.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn log(
    ctx: Ctx<'_>,
    #[description = "The whole record, not only the latest 20 events"]
    #[flag]
    all: bool,
    #[description = "Show it to everyone here"]
    #[flag]
    share: bool,
) -> Done {
    look_at(ctx, Look::Log { all }, share).await
}

/// Show a roll again with its whole receipt, by which anyone can check it.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn proof(
    ctx: Ctx<'_>,
    #[description = "The roll's number; without it the latest"]
    #[min = 1]
    roll: Option<u32>,
    #[description = "Show it to everyone here"]
    #[flag]
    share: bool,
) -> Done {
    look_at(ctx, Look::Proof { roll }, share).await
}

/// Show the rules: troop classes, rungs, grades, weapons.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn rules(
    ctx: Ctx<'_>,
    #[description = "Show it to everyone here"]
    #[flag]
    share: bool,
) -> Done {
    look_at(ctx, Look::Rules, share).await
}

/// Put up a post that shows the battle as it stands and is kept up to date, to be pinned.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn board(ctx: Ctx<'_>) -> Done {
    if let Some(caller) = caller(ctx).await {
        let desk = ctx.framework.user_data;
        desk.privately(&caller, desk.put_up_board(&caller)).await;
    }
    Ok(())
}

/// First steps, and every command.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn help(ctx: Ctx<'_>) -> Done {
    if let Some(caller) = caller(ctx).await {
        let message = layout::of_sentence(say::HELP);
        ctx.framework.user_data.privately(&caller, async { Ok(message) }).await;
    }
    Ok(())
}

/// Get the whole battle as a file, to check it or to import it elsewhere.
#[poise::command(slash_command, guild_only, rename = "export")]
pub(crate) async fn export_battle(ctx: Ctx<'_>) -> Done {
    let Some(caller) = caller(ctx).await else { return Ok(()) };
    let desk = ctx.framework.user_data;
    desk.privately(&caller, async { exported(desk, &caller.place()).await }).await;
    Ok(())
}

async fn exported(desk: &Desk, place: &str) -> Result<Message, Refusal> {
    let head = desk.referee.record().open_battle(place).await?.ok_or(Mistake::NoBattle)?;
    let headline = format!("{}: {} events", head.name, head.seq);
    let name = format!("battle-{}.jsonl", head.battle);
    let text = export_text(desk, &head).await?;
    Ok(layout::of_markdown(&layout::escape(&headline), vec![File { name, text }]))
}

/// A whole battle in the form that can be checked and imported.
pub(super) async fn export_text(desk: &Desk, head: &Head) -> Result<String, Refusal> {
    let mut text = Vec::new();
    match export::export(desk.referee.record(), head, &mut text).await {
        Ok(()) => Ok(String::from_utf8_lossy(&text).into_owned()),
        Err(PaperError::Refused(refusal)) => Err(refusal),
        Err(error) => Err(Fault::Missing(error.to_string()).into()),
    }
}
