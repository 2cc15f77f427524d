//! Who may do what in a battle.
//!
//! The opener is the battle's referee and can name others, or a role. A captain acts for the units
//! of one side. Everyone may look, give a word and check. Admins may close.

use super::interaction::{Caller, Denied, Shared};
use super::message::{escape, messages};
use super::reads::Reads as _;
use crate::battle::{Battle, Field, same_name};
use crate::protocol::{Request, Who};
use crate::record::Officer;
use crate::referee::Refusal;

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
            admin: caller.manages,
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
            Acting::Side(side) if matches!(request, Request::Cast) && !has(&self.led, &side) => {
                Ok(())
            }
            Acting::Side(side) => Err(messages::captains_only(&escape(&side), &self.ask)),
            Acting::Referee => Err(messages::referee_only(&self.ask)),
        }
    }
}

/// Who `me` is in a battle that `opener` opened.
pub(super) async fn standing(
    shared: &Shared,
    caller: &Caller,
    me: Who,
    battle: &str,
    opener: Who,
) -> Result<Authority, Refusal> {
    if opener == me {
        return Ok(Authority::of(caller, me, opener, &[]));
    }
    let officers = shared.referee.officers(battle).await?;
    let mut standing = Authority::of(caller, me, opener, &officers);
    if !standing.referee {
        standing.ask = mention(shared, &opener.to_string()).await?;
    }
    Ok(standing)
}

/// A person or a role as the platform shows them; it calls nobody.
pub(super) async fn mention(shared: &Shared, who: &str) -> Result<String, Refusal> {
    if let Some(role) = who.strip_prefix("role-") {
        return Ok(format!("<@&{role}>"));
    }
    let person = who.strip_prefix("person-").and_then(|n| n.parse().ok()).map(Who::Person);
    let user = match person {
        Some(person) => shared.referee.platform_of(person).await?,
        None => None,
    };
    Ok(user.map_or_else(|| escape(who), |user| format!("<@{user}>")))
}

/// Whether somebody may ask this; otherwise a sentence that says whom to ask.
pub(super) async fn authorize(
    shared: &Shared,
    caller: &Caller,
    me: Who,
    battle: Option<&Battle>,
    request: &Request,
) -> Result<(), Denied> {
    match (request, battle) {
        (_, Some(battle)) if !matches!(request, Request::Open(_)) => {
            let standing = standing(shared, caller, me, &battle.id, battle.opener).await?;
            standing.may(&battle.field, request).map_err(Denied::Said)
        }
        (Request::Reopen { battle }, None) => authorize_reopening(shared, caller, me, battle).await,
        // Whoever opens a battle is its referee; without one, the mistake is anyone's.
        _ => Ok(()),
    }
}

async fn authorize_reopening(
    shared: &Shared,
    caller: &Caller,
    me: Who,
    name: &str,
) -> Result<(), Denied> {
    let heads = shared.referee.battles(&caller.place()).await?;
    let found = crate::battle::find(name, heads.iter(), |head| &head.name);
    // Without such a battle the referee says so to anyone.
    let Ok(head) = found else { return Ok(()) };
    let Some(opening) = shared.referee.event(&head.battle, 1).await? else { return Ok(()) };
    let standing = standing(shared, caller, me, &head.battle, opening.event.by).await?;
    if standing.referee || standing.admin {
        return Ok(());
    }
    Err(Denied::Said(messages::referee_only(&standing.ask)))
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
            .map_or(Acting::Mistaken, |engagement| of_unit(&engagement.contacts[0].striker)),
        Request::Again { unit: None } => field
            .engagements
            .last()
            .map_or(Acting::Mistaken, |engagement| of_unit(&engagement.contacts[0].striker)),
        Request::Cast => field
            .pending
            .as_ref()
            .map_or(Acting::Mistaken, |pending| Acting::Side(pending.casting.clone())),
        Request::Shoot(ask) => of_unit(&ask.shooter),
        _ => Acting::Referee,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::protocol::{ContactAsk, MeleeAsk, Scale, Strength, Unit};
    use std::sync::Arc;

    fn field() -> Field {
        let strength = Strength { men: 160, figures: 8 };
        let unit = |name: &str, side: &str| {
            Arc::new(Unit {
                name: name.to_owned(),
                side: side.to_owned(),
                class: "heavy foot".to_owned(),
                grade: "regular".to_owned(),
                long_spears: false,
                weapon: None,
                frontage: None,
                leader: None,
                muster: strength,
                now: strength,
                standing: crate::protocol::Standing::Steady,
                rallied: false,
            })
        };
        Field {
            protocol: crate::protocol::Protocol::LATEST,
            scale: Scale::new(20).unwrap(),
            turn: 1,
            sides: Arc::new(vec!["Vale".to_owned(), "Grey Banner".to_owned()]),
            units: Arc::new(vec![
                unit("Ford Wardens", "Vale"),
                unit("Banner Spears", "Grey Banner"),
            ]),
            free_leaders: Arc::default(),
            engagements: Arc::default(),
            pending: None,
        }
    }

    fn melee(striker: &str, struck: &str) -> Request {
        let contacts = vec![ContactAsk::new(striker, struck)];
        Request::Melee(MeleeAsk { contacts, cast: false })
    }

    #[test]
    fn referees_do_all_captains_their_own_and_others_only_give_a_word() {
        let ask = "<@1>".to_owned();
        let referee = Authority { referee: true, ..Authority::default() };
        let captain = Authority { sides: vec!["vale".to_owned()], ask, ..Authority::default() };
        let admin = Authority { admin: true, ..Authority::default() };
        let ours = melee("Ford Wardens", "Banner Spears");
        let theirs = melee("Banner Spears", "Ford Wardens");
        let word = Request::Word { name: "Orm".to_owned(), text: "reeds".to_owned() };
        let field = field();
        for (standing, request, allowed) in [
            (&referee, &theirs, true),
            (&referee, &Request::Turn, true),
            (&captain, &ours, true),
            (&captain, &theirs, false),
            (&captain, &Request::Turn, false),
            (&captain, &word, true),
            (&admin, &Request::Close, true),
            (&admin, &Request::Turn, false),
            (&admin, &ours, false),
            (&Authority::default(), &word, true),
            (&Authority::default(), &Request::Close, false),
            // A name that does not exist is a mistake to hear about, not a matter of office.
            (&captain, &melee("Ford Wardns", "Banner Spears"), true),
        ] {
            let may = standing.may(&field, request);
            assert_eq!(may.is_ok(), allowed, "{standing:?} {request:?}: {may:?}");
        }
        assert_eq!(
            captain.may(&field, &theirs).unwrap_err(),
            "That is for the captains of Grey Banner and for the referee. Ask <@1>."
        );
        assert_eq!(
            captain.may(&field, &Request::Turn).unwrap_err(),
            "Only the referee of this battle may do that. Ask <@1>."
        );
    }

    #[test]
    fn the_role_of_everyone_is_everyone_s() {
        let via = crate::chat::platform::ReplyRoute {
            id: 1,
            application: 2,
            channel: 3,
            token: String::new(),
        };
        let caller = Caller { via, server: 7, user: 8, roles: vec![9], manages: false };
        let side = Some("Vale".to_owned());
        for (role, mine) in [("role-7", true), ("role-9", true), ("role-8", false)] {
            let officer = Officer { who: role.to_owned(), side: side.clone() };
            let standing = Authority::of(&caller, Who::Person(2), Who::Person(1), &[officer]);
            assert_eq!(!standing.sides.is_empty(), mine, "{role}");
        }
    }

    #[test]
    fn a_side_without_captains_is_cast_for_by_whoever_sits_there() {
        let pending = crate::battle::Pending {
            melee: MeleeAsk { contacts: Vec::new(), cast: true },
            asking: "Vale".to_owned(),
            casting: "Grey Banner".to_owned(),
        };
        let field = Field { pending: Some(Arc::new(pending)), ..field() };
        let anyone = Authority::default();
        assert!(anyone.may(&field, &Request::Cast).is_ok());
        let led = Authority { led: vec!["Grey Banner".to_owned()], ..anyone };
        assert!(led.may(&field, &Request::Cast).is_err());
    }
}
