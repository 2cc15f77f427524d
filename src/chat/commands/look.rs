//! Looking: show, battles, log, proof, rules, board, help, export, report.

use super::{Ctx, Done, caller, look_at};
use crate::battle::Mistake;
use crate::chat::desk::{self, Desk};
use crate::chat::rest::{File, Message};
use crate::chat::{complete, layout, messages};
use crate::protocol::Place;
use crate::record::BattleSummary;
use crate::referee::export::TransferError;
use crate::referee::{Fault, Look, Refusal};
use crate::words::Post;

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
        let message = layout::of_sentence(messages::HELP);
        ctx.framework.user_data.privately(&caller, async { Ok(message) }).await;
    }
    Ok(())
}

/// Get the whole battle as a file, to check it or to import it elsewhere.
#[poise::command(slash_command, guild_only, rename = "export")]
pub(crate) async fn export_battle(
    ctx: Ctx<'_>,
    #[description = "The battle; without it the open one, or the latest"]
    #[autocomplete = "complete::battle_name"]
    battle: Option<String>,
) -> Done {
    let Some(caller) = caller(ctx).await else { return Ok(()) };
    let desk = ctx.framework.user_data;
    desk.privately(&caller, async {
        let head = chosen(desk, &caller.place(), battle.as_deref()).await?;
        let headline = format!("{}: {} events", head.name, head.seq);
        let text = export_text(desk, &head).await?;
        let file = File::text(format!("battle-{}.jsonl", head.battle), text);
        Ok(layout::of_markdown(&layout::escape(&headline), vec![file]))
    })
    .await;
    Ok(())
}

/// Get the battle's report: what happened, losses, luck, pictures, receipts.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn report(
    ctx: Ctx<'_>,
    #[description = "The battle; without it the open one, or the latest"]
    #[autocomplete = "complete::battle_name"]
    battle: Option<String>,
    #[description = "Show it to everyone here"]
    #[flag]
    share: bool,
) -> Done {
    let Some(caller) = caller(ctx).await else { return Ok(()) };
    let desk = ctx.framework.user_data;
    let place = caller.place();
    desk.tell(&caller, share, reported(desk, &place, battle.as_deref())).await;
    Ok(())
}

async fn reported(desk: &Desk, place: &Place, battle: Option<&str>) -> Result<Message, Refusal> {
    let head = chosen(desk, place, battle).await?;
    let report = papers(desk.referee.report_of(&head).await)?;
    let mut files = desk::drawn(report.pictures()).await?;
    let written = tokio::task::spawn_blocking(move || (report.html(), report)).await;
    let (html, report) = written.map_err(|error| Fault::Stopped(error.to_string()))?;
    files.push(File::text(format!("report-{}.html", head.battle), html));
    if !report.receipts().is_empty() {
        files.push(File::text(format!("receipts-{}.jsonl", head.battle), report.receipts()));
    }
    let mut post = Post::new(report.title());
    post.line(0, report.summary());
    post.line(0, messages::REPORT_IN_FILE);
    Ok(layout::of_post_with(&post, "report", files))
}

/// The battle of that name; without a name the one that is open here, or else the latest.
async fn chosen(
    desk: &Desk,
    place: &Place,
    battle: Option<&str>,
) -> Result<BattleSummary, Refusal> {
    if let Some(name) = battle {
        return desk.referee.battle_called(place, name).await;
    }
    let mut known = desk.referee.record().battles(Some(place)).await?;
    let open = known.iter().position(|head| head.open);
    let chosen = open.map(|at| known.swap_remove(at)).or_else(|| known.pop());
    chosen.ok_or_else(|| Mistake::NoBattle.into())
}

/// A whole battle in the form that can be checked and imported.
pub(super) async fn export_text(desk: &Desk, head: &BattleSummary) -> Result<String, Refusal> {
    let mut text = Vec::new();
    papers(desk.referee.write_export(head, &mut text).await)?;
    Ok(String::from_utf8_lossy(&text).into_owned())
}

/// What was written, or why it was not.
fn papers<T>(written: Result<T, TransferError>) -> Result<T, Refusal> {
    written.map_err(|error| match error {
        TransferError::Refused(refusal) => refusal,
        error => Fault::Missing(error.to_string()).into(),
    })
}
