//! What belongs to a whole server: its defaults, a copy of its data, and their erasing.

use super::filling::USUAL_SCALE;
use super::transfer::export_text;
use crate::battle::Mistake;
use crate::chat::config::Config;
use crate::chat::interaction::{Caller, Denied, MOST_BYTES, Shared};
use crate::chat::message::{File, Message, escape, messages, of_markdown, of_sentence};
use crate::chat::platform::PLATFORM;
use crate::chat::trouble::StartError;
use crate::files::FileError;
use crate::protocol::Scale;
use crate::referee::{Referee, Refusal, RulesLibrary, ServerDefaults};
use crate::requests::ChatAsk;

/// The platform takes 10 files with a message.
const FILES: usize = 10;

/// Does what is for those who may manage the server.
pub async fn done(shared: &Shared, caller: &Caller, ask: ChatAsk) -> Result<Message, Denied> {
    if !caller.manages {
        return Ok(of_sentence(messages::MANAGERS_ONLY));
    }
    match ask {
        ChatAsk::Defaults { scale, rules } => {
            let rules = rules.map(|rules| known_rules(shared, &rules)).transpose()?;
            let defaults = ServerDefaults { scale, rules };
            shared.referee.set_server_defaults(PLATFORM, caller.server, &defaults).await?;
            Ok(told(shared, caller).await?)
        }
        ChatAsk::Copy => Ok(copied(shared, caller).await?),
        ChatAsk::Erase { sure: true } => {
            let erased = shared.referee.erase_server(PLATFORM, caller.server).await?;
            Ok(of_sentence(&messages::erased(erased)))
        }
        ChatAsk::Erase { sure: false } => Ok(of_sentence(messages::SURE)),
        _ => Ok(told(shared, caller).await?),
    }
}

/// Erases every battle of a server from the record that a configuration names; what was erased.
///
/// # Errors
/// If there is no such record, or it fails.
pub async fn erase(config: &Config, server: u64) -> Result<String, StartError> {
    if !config.record.exists() {
        return Err(FileError::new(&config.record, std::io::ErrorKind::NotFound).into());
    }
    let referee = Referee::open(&config.record, RulesLibrary::shipped()).await?;
    let erased = referee.erase_server(PLATFORM, server).await;
    referee.close().await;
    Ok(messages::erased(erased?))
}

/// The rules of that name, as they are called.
fn known_rules(shared: &Shared, name: &str) -> Result<String, Refusal> {
    let known = shared.referee.rules_names();
    let found = crate::battle::find(name, known.iter(), |rules| rules).cloned();
    found.map_err(|_| {
        let (name, known) = (name.to_owned(), known.clone());
        Mistake::NoSuchRules { name, known }.into()
    })
}

async fn told(shared: &Shared, caller: &Caller) -> Result<Message, Refusal> {
    let defaults = shared.referee.server_defaults(PLATFORM, caller.server).await?;
    let scale = defaults.scale.or(Scale::new(USUAL_SCALE));
    let scale = scale.map(|scale| scale.to_string()).unwrap_or_default();
    let rules = match defaults.rules {
        Some(rules) => rules,
        None => shared.referee.rules_names().swap_remove(0),
    };
    Ok(of_sentence(&messages::begins_at(&scale, &rules)))
}

/// A file for each battle; beyond ten battles several share one, whole after whole.
async fn copied(shared: &Shared, caller: &Caller) -> Result<Message, Refusal> {
    let _turn = shared.referee.long_work(caller.whose()).await?;
    let ours = shared.referee.battles_of_server(PLATFORM, caller.server).await?;
    let share = ours.len().div_ceil(FILES).max(1);
    let (mut files, mut room) = (Vec::new(), MOST_BYTES);
    for (n, heads) in ours.chunks(share).enumerate() {
        let mut text = String::new();
        for head in heads {
            let Some(one) = export_text(shared, head, room).await? else {
                return Ok(of_sentence(messages::EXPORT_TOO_LARGE));
            };
            room -= one.len();
            text += &one;
        }
        files.push(File::text(format!("battles-{}.jsonl", n + 1), text));
    }
    let sentence = messages::copied(ours.len() as u64);
    Ok(of_markdown(&escape(&sentence), files))
}
