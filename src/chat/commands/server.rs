//! What belongs to a whole server: its defaults, a copy of its data, and their erasing.

use super::look::export_text;
use super::{Ctx, Done, caller};
use crate::chat::caller::{Caller, PLATFORM};
use crate::chat::desk::Desk;
use crate::chat::rest::{File, Message};
use crate::chat::{Config, StartError};
use crate::chat::{complete, layout, messages};
use crate::files::FileError;
use crate::protocol::Scale;
use crate::record::{Left, Record, RecordError, ServerDefaults};
use crate::referee::Refusal;

/// What belongs to this whole server; for those who may manage it.
#[poise::command(
    slash_command,
    guild_only,
    subcommands("show", "defaults", "export", "erase"),
    default_member_permissions = "MANAGE_GUILD"
)]
#[allow(clippy::unused_async, reason = "the platform never runs a command that has subcommands")]
pub(crate) async fn server(_ctx: Ctx<'_>) -> Done {
    Ok(())
}

/// Show what battles of this server begin with.
#[poise::command(slash_command, guild_only)]
async fn show(ctx: Ctx<'_>) -> Done {
    as_admin(ctx, async |desk, caller| told(desk, caller).await).await
}

/// Set what battles of this server begin with; without an option its usual value is restored.
#[poise::command(slash_command, guild_only)]
async fn defaults(
    ctx: Ctx<'_>,
    #[description = "Men that one figure stands for; usually 20"]
    #[min = 1]
    #[max = 1000]
    scale: Option<u32>,
    #[description = "The rules by name"]
    #[autocomplete = "complete::rules_name"]
    rules: Option<String>,
) -> Done {
    as_admin(ctx, async |desk, caller| {
        let rules = match rules {
            Some(rules) => Some(known_rules(desk, &rules)?),
            None => None,
        };
        let defaults = ServerDefaults { scale: scale.and_then(Scale::new), rules };
        desk.referee.record().set_server(PLATFORM, caller.server, &defaults).await?;
        told(desk, caller).await
    })
    .await
}

/// Get a copy of every battle of this server as files.
#[poise::command(slash_command, guild_only)]
async fn export(ctx: Ctx<'_>) -> Done {
    as_admin(ctx, async |desk, caller| copied(desk, caller).await).await
}

/// Erase every battle of this server for good.
#[poise::command(slash_command, guild_only)]
async fn erase(
    ctx: Ctx<'_>,
    #[description = "True, to erase every battle of this server for good"] sure: bool,
) -> Done {
    as_admin(ctx, async |desk, caller| {
        if !sure {
            return Ok(layout::of_sentence(messages::SURE));
        }
        let said = erase_all(desk.referee.record(), caller.server).await?;
        Ok(layout::of_sentence(&said))
    })
    .await
}

/// Erases every battle of a server from the record that a configuration names; what was erased.
pub async fn erase_server(config: &Config, server: u64) -> Result<String, StartError> {
    if !config.record.exists() {
        return Err(FileError::new(&config.record, std::io::ErrorKind::NotFound).into());
    }
    let record = Record::open(&config.record).await?;
    let said = erase_all(&record, server).await;
    record.close().await;
    Ok(said?)
}

async fn erase_all(record: &Record, server: u64) -> Result<String, RecordError> {
    let (gone, left) = record.erase_server(PLATFORM, server).await?;
    let gone = battles(gone);
    Ok(match left {
        Left::Nothing => format!("Erased for good: {gone} of this server."),
        Left::Traces => format!(
            "Erased: {gone} of this server. The file is being copied or its disk is full, so \
             traces may stay in it until this is asked again."
        ),
    })
}

fn battles(n: u64) -> String {
    if n == 1 { "1 battle".to_owned() } else { format!("{n} battles") }
}

async fn as_admin(
    ctx: Ctx<'_>,
    work: impl AsyncFnOnce(&Desk, &Caller) -> Result<Message, Refusal>,
) -> Done {
    let Some(caller) = caller(ctx).await else { return Ok(()) };
    let desk: &Desk = ctx.framework.user_data;
    if caller.admin {
        desk.privately(&caller, work(desk, &caller)).await;
    } else {
        desk.answer_privately(&caller, messages::ADMINS_ONLY).await;
    }
    Ok(())
}

fn known_rules(desk: &Desk, name: &str) -> Result<String, Refusal> {
    let known = &desk.rules;
    let found = crate::battle::find(name, known.iter(), |rules| rules).cloned();
    found.map_err(|_| {
        let (name, known) = (name.to_owned(), known.clone());
        crate::battle::Mistake::NoSuchRules { name, known }.into()
    })
}

async fn told(desk: &Desk, caller: &Caller) -> Result<Message, Refusal> {
    let defaults = desk.referee.record().server(PLATFORM, caller.server).await?;
    let scale = defaults.scale.map_or_else(|| "1:20".to_owned(), |scale| scale.to_string());
    let rules = defaults.rules.unwrap_or_else(|| desk.rules[0].clone());
    Ok(layout::of_sentence(&format!("Battles here begin at {scale}, under the rules {rules}.")))
}

/// A file for each battle; beyond ten battles several share one, whole after whole.
async fn copied(desk: &Desk, caller: &Caller) -> Result<Message, Refusal> {
    /// The platform takes 10 files with a message.
    const FILES: usize = 10;
    let ours = desk.referee.record().battles_of_server(PLATFORM, caller.server).await?;
    let share = ours.len().div_ceil(FILES).max(1);
    let mut files = Vec::new();
    for (n, heads) in ours.chunks(share).enumerate() {
        let mut text = String::new();
        for head in heads {
            text += &export_text(desk, head).await?;
        }
        files.push(File::text(format!("battles-{}.jsonl", n + 1), text));
    }
    let sentence = format!("{} of this server.", battles(ours.len() as u64));
    Ok(layout::of_markdown(&layout::escape(&sentence), files))
}
