//! Offices: given and taken as any other request, and listed.

use crate::battle::{Battle, Mistake};
use crate::chat::asking::Wanted;
use crate::chat::interaction::{Caller, Denied, Shared, mention, mention_of};
use crate::chat::message::{Message, escape, of_markdown};
use crate::protocol::{Appointee, Request, Who};
use crate::referee::{Fault, Refusal};
use crate::requests::Whom;

/// An office that is given or taken away.
pub struct Change {
    /// Whose it is to be, or was.
    pub who: Whom,
    /// The side they are captain of; none for a referee.
    pub side: Option<String>,
    /// Whether it is given.
    pub appoint: bool,
}

impl Wanted for Change {
    async fn request(
        self,
        shared: &Shared,
        _: &Caller,
        _: Option<&Battle>,
        _: Who,
    ) -> Result<Request, Denied> {
        let (who, side) = (appointee(shared, self.who).await?, self.side);
        Ok(if self.appoint {
            Request::Appoint { who, side }
        } else {
            Request::Relieve { who, side }
        })
    }
}

/// Whoever the platform names, as the record knows them.
async fn appointee(shared: &Shared, who: Whom) -> Result<Appointee, Refusal> {
    match who {
        Whom::Role(id) => Ok(Appointee::Role(id)),
        Whom::Person(id) => match shared.referee.person(&id.to_string()).await? {
            Who::Person(n) => Ok(Appointee::Person(n)),
            other => Err(Fault::Missing(other.to_string()).into()),
        },
    }
}

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
