//! Who holds which office.

use crate::battle::Mistake;
use crate::chat::interaction::{Caller, Denied, Shared, mention, mention_of};
use crate::chat::message::{Message, escape, of_markdown};
use crate::referee::Refusal;

/// The opener, the other referees, and the captains of each side.
pub async fn listed(shared: &Shared, caller: &Caller) -> Result<Message, Denied> {
    let battle = shared.referee.battle(&caller.place()).await?;
    let battle = battle.ok_or(Refusal::Mistake(Mistake::NoBattle))?;
    let mut lines = vec![format!("Referee: {}", mention(shared, battle.opener).await?)];
    for office in battle.offices.iter() {
        let who = mention_of(shared, office.who).await?;
        lines.push(match &office.side {
            None => format!("Referee: {who}"),
            Some(side) => format!("Captain of {}: {who}", escape(side)),
        });
    }
    Ok(of_markdown(&lines.join("\n"), Vec::new()))
}
