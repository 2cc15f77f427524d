//! Who may do what in a battle.
//!
//! The opener is the battle's referee and can name others, or a role. A captain acts for the units
//! of one side. Everyone may look, give a word and check. Admins may close.

use super::caller::Caller;
use super::{layout, messages};
use crate::battle::{Field, same_name};
use crate::protocol::{Request, Who};
use crate::record::Officer;

/// Who somebody is in the battle here.
#[derive(Debug, Clone, Default)]
pub(super) struct Authority {
    /// Whether they are its referee.
    pub referee: bool,
    /// Whether they may manage the server.
    pub admin: bool,
    /// The sides they are captain of.
    pub sides: Vec<String>,
    /// Every side that has a captain.
    pub led: Vec<String>,
    /// Whom to ask instead, as mentions that call nobody.
    pub ask: String,
}

impl Authority {
    /// Weighs an opener and officers against whoever calls, known in the record as `me`.
    pub fn of(caller: &Caller, me: Who, opener: Who, officers: &[Officer]) -> Self {
        let is_me = |officer: &&Officer| {
            officer.who == me.to_string()
                // The role of everyone has the server's own id and is in nobody's list.
                || caller
                    .roles
                    .iter()
                    .chain([&caller.server])
                    .any(|role| officer.who == format!("role-{role}"))
        };
        let mine: Vec<&Officer> = officers.iter().filter(is_me).collect();
        Self {
            referee: opener == me || mine.iter().any(|officer| officer.side.is_none()),
            admin: caller.admin,
            sides: mine.iter().filter_map(|officer| officer.side.clone()).collect(),
            led: officers.iter().filter_map(|officer| officer.side.clone()).collect(),
            ask: String::new(),
        }
    }

    /// Whether they may ask this; otherwise a sentence that says whom to ask.
    pub fn may(&self, field: &Field, request: &Request) -> Result<(), String> {
        // A word and plain dice change nothing of the battle.
        if self.referee || matches!(request, Request::Word { .. }) || request.is_quick() {
            return Ok(());
        }
        let closing = matches!(request, Request::Close | Request::Reopen { .. });
        if closing && self.admin {
            return Ok(());
        }
        match acting(field, request) {
            Acting::Mistaken => Ok(()),
            Acting::Side(side) if has(&self.sides, &side) => Ok(()),
            // A side without captains is whoever sits there.
            Acting::Side(side)
                if matches!(request, Request::Cast { .. }) && !has(&self.led, &side) =>
            {
                Ok(())
            }
            Acting::Side(side) => Err(messages::captains_only(&layout::escape(&side), &self.ask)),
            Acting::Referee => Err(messages::referee_only(&self.ask)),
        }
    }
}

fn has(sides: &[String], side: &str) -> bool {
    sides.iter().any(|known| same_name(known, side))
}

/// Who may ask something besides the referee.
enum Acting {
    /// The captains of that side.
    Side(String),
    /// Nobody.
    Referee,
    /// It is a mistake whoever asks, so the mistake is what they should hear.
    Mistaken,
}

fn acting(field: &Field, request: &Request) -> Acting {
    let of_unit = |unit: &str| {
        field.unit(unit).map_or(Acting::Mistaken, |unit| Acting::Side(unit.side.clone()))
    };
    match request {
        Request::Muster(ask) => Acting::Side(ask.side.clone()),
        // A captain changes a unit of their own, but does not give it to another side.
        Request::Change(ask) if ask.side.is_none() => of_unit(&ask.unit),
        Request::Attach { unit, .. } | Request::Rally { unit } => of_unit(unit),
        // Strikers of two sides are a mistake: the first one's side stands for all.
        Request::Melee(ask) => {
            ask.contacts.first().map_or(Acting::Mistaken, |contact| of_unit(&contact.striker))
        }
        Request::Again { unit: Some(unit) } => field
            .unit(unit)
            .ok()
            .and_then(|unit| field.engagement_of(&unit.name))
            .map_or(Acting::Mistaken, |engagement| of_unit(&engagement.contacts[0].ask.striker)),
        Request::Again { unit: None } => field
            .engagements
            .last()
            .map_or(Acting::Mistaken, |engagement| of_unit(&engagement.contacts[0].ask.striker)),
        Request::Cast { .. } => field
            .pending
            .as_ref()
            .map_or(Acting::Mistaken, |pending| Acting::Side(pending.casting.clone())),
        Request::Shoot(ask) => of_unit(&ask.shooter),
        _ => Acting::Referee,
    }
}
