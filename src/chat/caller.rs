//! Whoever does something in the chat, and how they are answered.

use crate::protocol::{Place, RequestId, Who};
use crate::referee::Asker;
use poise::serenity_prelude as serenity;
use serde::{Deserialize, Serialize};

/// The platform's name in the record.
pub(super) const PLATFORM: &str = "discord";
/// The platform counts its ids' milliseconds from here (Unix time), as its reference says:
/// <https://discord.com/developers/docs/reference#snowflakes>.
const EPOCH_MS: u64 = 1_420_070_400_000;
/// An interaction's token lasts 15 minutes; the last of them is left alone.
const TOKEN_MS: u64 = 14 * 60 * 1000;

/// One interaction: who, where, and the token by which it is answered.
#[derive(Debug, Clone)]
pub(super) struct Caller {
    pub via: ReplyRoute,
    pub server: u64,
    pub user: u64,
    pub roles: Vec<u64>,
    /// Whether they may manage the server.
    pub admin: bool,
}

/// How an interaction is answered; kept with an owed post until the platform has taken it.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct ReplyRoute {
    /// The interaction's id.
    pub id: u64,
    /// The bot's application.
    pub application: u64,
    /// The channel or thread.
    pub channel: u64,
    /// The interaction's token.
    pub token: String,
}

impl std::fmt::Debug for ReplyRoute {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "ReplyRoute({} in {})", self.id, self.channel)
    }
}

impl Caller {
    /// Who used a command; none outside a server.
    pub fn of_command(asked: &serenity::CommandInteraction) -> Option<Self> {
        let via = via(asked.id, asked.application_id, asked.channel_id, &asked.token);
        Self::new(via, asked.guild_id, &asked.user, asked.member.as_deref())
    }

    /// Who pressed a button.
    pub fn of_button(asked: &serenity::ComponentInteraction) -> Option<Self> {
        let via = via(asked.id, asked.application_id, asked.channel_id, &asked.token);
        Self::new(via, asked.guild_id, &asked.user, asked.member.as_ref())
    }

    /// Who sent a form.
    pub fn of_form(asked: &serenity::ModalInteraction) -> Option<Self> {
        let via = via(asked.id, asked.application_id, asked.channel_id, &asked.token);
        Self::new(via, asked.guild_id, &asked.user, asked.member.as_ref())
    }

    fn new(
        via: ReplyRoute,
        server: Option<serenity::GuildId>,
        user: &serenity::User,
        member: Option<&serenity::Member>,
    ) -> Option<Self> {
        let manages = serenity::Permissions::MANAGE_GUILD | serenity::Permissions::ADMINISTRATOR;
        let permissions = member.and_then(|member| member.permissions).unwrap_or_default();
        Some(Self {
            via,
            server: server?.get(),
            user: user.id.get(),
            roles: member.map(|m| m.roles.iter().map(|r| r.get()).collect()).unwrap_or_default(),
            admin: permissions.intersects(manages),
        })
    }

    /// The place in the record: the server, and the channel or thread.
    pub fn place(&self) -> Place {
        Place::channel(PLATFORM, self.server, self.via.channel)
    }

    /// Whoever calls, as the referee knows them.
    pub fn asker(&self, who: Who) -> Asker {
        // The role of everyone has the server's own id and is in nobody's list.
        let roles = self.roles.iter().copied().chain([self.server]).collect();
        Asker { who, roles, manages: self.admin }
    }

    /// The id of what they ask, unless it derives from a post.
    pub fn asked(&self) -> RequestId {
        let id = RequestId::new(PLATFORM, &self.via.id.to_string());
        id.expect("a platform and a number make an id")
    }
}

impl ReplyRoute {
    /// Whether the token still answers, by this machine's clock.
    pub fn answers(&self) -> bool {
        let now = u64::try_from(jiff::Timestamp::now().as_millisecond()).unwrap_or(0);
        now.saturating_sub(milliseconds(self.id)) < TOKEN_MS
    }
}

/// When the platform made an id, in Unix milliseconds.
pub(super) const fn milliseconds(id: u64) -> u64 {
    (id >> 22) + EPOCH_MS
}

/// An id as the platform would have made it at that time, for asking what came after it.
pub(super) const fn id_at(milliseconds: u64) -> u64 {
    milliseconds.saturating_sub(EPOCH_MS) << 22
}

fn via(
    id: serenity::InteractionId,
    application: serenity::ApplicationId,
    channel: serenity::ChannelId,
    token: &str,
) -> ReplyRoute {
    let (id, application, channel) = (id.get(), application.get(), channel.get());
    ReplyRoute { id, application, channel, token: token.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The worked example of the platform's reference, section “Snowflakes”.
    #[test]
    fn an_id_holds_its_time() {
        assert_eq!(milliseconds(175_928_847_299_117_063), 1_462_015_105_796);
        assert_eq!(milliseconds(id_at(1_462_015_105_796)), 1_462_015_105_796);
    }
}
