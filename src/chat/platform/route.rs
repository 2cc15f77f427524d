//! How an interaction is answered.

use super::id::milliseconds;
use serde::{Deserialize, Serialize};

/// An interaction's token lasts 15 minutes; the last of them is left alone.
const TOKEN_MS: u64 = 14 * 60 * 1000;

/// How an interaction is answered; kept with an owed post until the platform has taken it.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ReplyRoute {
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

impl ReplyRoute {
    /// Whether the token still answers, by this machine's clock.
    pub fn answers(&self) -> bool {
        let now = u64::try_from(jiff::Timestamp::now().as_millisecond()).unwrap_or(0);
        now.saturating_sub(milliseconds(self.id)) < TOKEN_MS
    }
}
