//! People and roles as the platform shows them. No message calls anybody, so neither do these.

use super::shared::Shared;
use crate::chat::message::escape;
use crate::chat::platform::PLATFORM;
use crate::protocol::{Appointee, Who};
use crate::referee::Refusal;

/// Somebody of the record, as a mention; by the name in the record where they are no person of the
/// platform, or one who had their id taken away.
pub async fn mention(shared: &Shared, who: Who) -> Result<String, Refusal> {
    let user = shared.referee.user(PLATFORM, who).await?;
    Ok(user.map_or_else(|| escape(&who.to_string()), |user| format!("<@{user}>")))
}

/// Whoever holds an office, as a mention.
pub async fn mention_of(shared: &Shared, who: Appointee) -> Result<String, Refusal> {
    match who {
        Appointee::Person(n) => mention(shared, Who::Person(n)).await,
        Appointee::Role(role) => Ok(format!("<@&{role}>")),
    }
}
