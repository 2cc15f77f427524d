//! Who may do what in a battle.
//!
//! The opener is the battle's referee and can name others. A captain acts for the units of one
//! side. Everyone may look, give a word and check. Whoever manages the server may close.
//! A roll that was announced is cast by the side that it threatens: where that side has captains
//! not even a referee casts for it, because a referee may be the one who holds the secret. Only at a
//! table, where everybody sits, the table casts.
//!
//! [`Asker::office`] finds in which office somebody asks; the event records it, and [`allows`] holds
//! it to what is asked, when it is decided and when it is audited.

use crate::battle::{Appointment, Battle, Field};
use crate::protocol::{Appointee, Office, Request, Who};

/// Whoever asks, as the front knows them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asker {
    /// Who they are in the record.
    pub who: Who,
    /// The platform's roles they have; the server's own id stands for the role of everyone.
    pub roles: Vec<u64>,
    /// Whether they may manage the server.
    pub manages: bool,
}

/// Whose office something needs, besides a referee's.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Needs {
    /// Nobody's.
    Anyone,
    /// A captain's of that side.
    Captain(String),
    /// A referee's and no other.
    Referee,
    /// Whoever manages the server may do it too.
    Manager,
    /// Any captain's.
    Officer,
    /// That side's alone: a captain's where it has one, else that of whoever is not against it.
    Caster(String),
}

impl Asker {
    /// Whoever sits at the table.
    pub const fn at_the_table() -> Self {
        Self { who: Who::Table, roles: Vec::new(), manages: false }
    }

    /// A person without a role.
    pub const fn person(n: u64) -> Self {
        Self { who: Who::Person(n), roles: Vec::new(), manages: false }
    }

    /// The office in which they may ask `request` in `battle`.
    ///
    /// # Errors
    /// What it needs, if they hold no such office.
    pub fn office(&self, battle: &Battle, request: &Request) -> Result<Office, Needs> {
        let needs = needs(battle, request);
        if let Needs::Caster(side) = &needs {
            let captain = self.leads(battle, side).then(|| Office::Captain(side.clone()));
            // Whoever leads another side does not cast against their own dice as a referee either.
            let held = captain.or_else(|| self.led_side(battle).map(Office::Captain));
            let held = held.or_else(|| self.is_referee(battle).then_some(Office::Referee));
            let office = held.unwrap_or(Office::Anyone);
            return if allows(&office, battle, request) { Ok(office) } else { Err(needs) };
        }
        if self.is_referee(battle) {
            return Ok(Office::Referee);
        }
        let office = match &needs {
            Needs::Captain(side) if self.leads(battle, side) => Some(Office::Captain(side.clone())),
            Needs::Captain(_) if self.manages && takes_back_a_roll(battle, request) => {
                Some(Office::Manager)
            }
            Needs::Manager if self.manages => Some(Office::Manager),
            Needs::Officer => self.led_side(battle).map(Office::Captain),
            Needs::Anyone => Some(self.led_side(battle).map_or(Office::Anyone, Office::Captain)),
            _ => None,
        };
        office.ok_or(needs)
    }

    /// Whether they are a referee of the battle.
    pub fn is_referee(&self, battle: &Battle) -> bool {
        battle.opener == self.who || self.held(battle).any(|office| office.side.is_none())
    }

    fn leads(&self, battle: &Battle, side: &str) -> bool {
        self.held(battle).any(|office| office.side.as_deref() == Some(side))
    }

    fn led_side(&self, battle: &Battle) -> Option<String> {
        self.held(battle).find_map(|office| office.side.clone())
    }

    fn held<'b>(&self, battle: &'b Battle) -> impl Iterator<Item = &'b Appointment> + use<'b, '_> {
        battle.offices.iter().filter(|office| self.holds(office.who))
    }

    fn holds(&self, who: Appointee) -> bool {
        match who {
            Appointee::Person(n) => self.who == Who::Person(n),
            Appointee::Role(id) => self.roles.contains(&id),
        }
    }
}

/// Whether somebody in that office may ask this.
pub fn allows(office: &Office, battle: &Battle, request: &Request) -> bool {
    match (needs(battle, request), office) {
        (Needs::Caster(side), office) => casts(office, battle, &side),
        // Whoever manages the server may close, and closing takes such a roll back first.
        (_, Office::Manager) if takes_back_a_roll(battle, request) => true,
        (_, Office::Referee)
        | (Needs::Anyone, _)
        | (Needs::Manager, Office::Manager)
        | (Needs::Officer, Office::Captain(_)) => true,
        (Needs::Captain(side), Office::Captain(own)) => side == *own,
        _ => false,
    }
}

/// Whether somebody in that office may cast a roll against `side`: its captains alone where it has
/// any, and otherwise everyone but the captains of other sides.
fn casts(office: &Office, battle: &Battle, side: &str) -> bool {
    let led = battle.offices.iter().any(|held| held.side.as_deref() == Some(side));
    match office {
        Office::Captain(own) => own == side,
        Office::Referee if battle.opener == Who::Table => true,
        Office::Manager => false,
        Office::Referee | Office::Anyone => !led,
    }
}

/// Whether it is an announced roll that would be taken back.
const fn takes_back_a_roll(battle: &Battle, request: &Request) -> bool {
    matches!(request, Request::Undo { .. }) && battle.field.pending.is_some()
}

/// Whether the record bears out that `by` held that office: the opener is a referee, a person needs
/// an appointment, and a role some appointment of a role.
///
/// A captain casts as a captain, and so never for another side.
pub fn bears_out(battle: &Battle, by: Who, office: &Office, request: &Request) -> bool {
    let leads = |held: &Appointment| {
        held.side.is_some() && matches!(held.who, Appointee::Person(n) if by == Who::Person(n))
    };
    if matches!(request, Request::Cast { .. })
        && !matches!(office, Office::Captain(_))
        && battle.offices.iter().any(leads)
    {
        return false;
    }
    let side = match office {
        Office::Anyone | Office::Manager => return true,
        Office::Referee if battle.opener == by => return true,
        Office::Referee => None,
        Office::Captain(side) => Some(side),
    };
    battle.offices.iter().filter(|held| held.side.as_ref() == side).any(|held| match held.who {
        Appointee::Person(n) => by == Who::Person(n),
        Appointee::Role(_) => true,
    })
}

/// What a request needs, besides a referee; a cast needs no referee.
pub fn needs(battle: &Battle, request: &Request) -> Needs {
    let field = &battle.field;
    match request {
        // Plain dice change nothing of the battle.
        Request::Quick(_) | Request::Throw { .. } => Needs::Anyone,
        // A word goes into every later roll: where there are officers, it is theirs to give.
        Request::Word { .. } if battle.offices.is_empty() => Needs::Anyone,
        Request::Word { .. } => Needs::Officer,
        Request::Undo { .. } if field.pending.is_some() => {
            let asking = field.pending.as_ref().map(|pending| pending.asking.clone());
            Needs::Captain(asking.unwrap_or_default())
        }
        Request::Close | Request::Reopen { .. } => Needs::Manager,
        Request::Muster(ask) => Needs::Captain(ask.side.clone()),
        // A captain changes a unit of their own, but does not give it to another side.
        Request::Change(ask) if ask.side.is_none() => of_unit(field, &ask.unit),
        Request::Attach { unit, .. } | Request::Rally { unit } => of_unit(field, unit),
        // Strikers of two sides are a mistake: the first one's side stands for all.
        Request::Melee(ask) => {
            ask.contacts.first().map_or(Needs::Anyone, |contact| of_unit(field, &contact.striker))
        }
        Request::Again { unit } => match unit {
            Some(unit) => field.engagement_of(unit),
            None => field.engagements.last(),
        }
        .map_or(Needs::Anyone, |fought| of_unit(field, &fought.contacts[0].ask.striker)),
        Request::Cast { .. } => field
            .pending
            .as_ref()
            .map_or(Needs::Anyone, |pending| Needs::Caster(pending.casting.clone())),
        Request::Shoot(ask) => of_unit(field, &ask.shooter),
        Request::Open(_)
        | Request::Side { .. }
        | Request::Change(_)
        | Request::Dismiss { .. }
        | Request::Rescale { .. }
        | Request::Turn
        | Request::Undo { .. }
        | Request::Appoint { .. }
        | Request::Relieve { .. } => Needs::Referee,
    }
}

/// The captain of a unit's side; for a name that is nobody's, the mistake is what they should hear.
fn of_unit(field: &Field, unit: &str) -> Needs {
    field.unit(unit).map_or(Needs::Anyone, |unit| Needs::Captain(unit.side.clone()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::digest::Digest;
    use crate::protocol::{
        Body, ContactAsk, Event, MeleeAsk, Muster, Open, Protocol, Recorded, Scale,
    };
    use crate::rules::{OPEN_FIELD, Rules};

    const OPENER: Who = Who::Person(1);

    /// A battle that person 1 opened, with a unit of each side, and the appointments given.
    fn battle(offices: &[(Appointee, Option<&str>)]) -> Battle {
        let rules = Rules::load("open-field.toml", OPEN_FIELD).unwrap();
        let open = Open {
            name: "Harrow Ford".into(),
            scale: Scale::new(20).unwrap(),
            rules: None,
            sides: vec!["Vale".into(), "Grey Banner".into()],
            casts: false,
        };
        let anchor = Digest::of(b"anchor");
        let body = Body::Opened {
            protocol: Protocol::LATEST,
            name: open.name.clone(),
            scale: open.scale,
            sides: open.sides.clone(),
            rules_name: rules.name.clone(),
            rules: rules.sha256,
            anchor,
            next_anchor: Digest::of(b"next"),
            chain_length: 8,
            casts: false,
        };
        let mut bodies = vec![(Request::Open(open), body)];
        for (unit, side) in [("Ford Wardens", "Vale"), ("Banner Spears", "Grey Banner")] {
            let ask = Muster::new(unit, side, &rules.classes[0].name, 160);
            let scale = Scale::new(20).unwrap();
            let field = Field::new(Protocol::LATEST, scale);
            let unit = crate::battle::muster::muster(&rules, &field, &ask).unwrap();
            bodies.push((Request::Muster(ask), Body::Mustered { unit, scale }));
        }
        for (who, side) in offices {
            let side = side.map(str::to_owned);
            let request = Request::Appoint { who: *who, side: side.clone() };
            bodies.push((request, Body::Appointed { who: *who, side }));
        }
        let mut battle: Option<Battle> = None;
        for (seq, (request, body)) in (1..).zip(bodies) {
            let recorded = Recorded::write(Event {
                battle: anchor.short(),
                seq,
                at: "2026-01-01T00:00:00Z".into(),
                by: OPENER,
                office: Office::Referee,
                asked: format!("table:{seq}").parse().unwrap(),
                prev: battle.as_ref().map_or(Digest::ZERO, |battle| battle.head),
                request,
                body,
                roll: None,
            });
            match &mut battle {
                None => battle = Some(Battle::begin(&recorded).unwrap()),
                Some(battle) => battle.apply(&recorded).unwrap(),
            }
        }
        battle.unwrap()
    }

    fn melee(striker: &str, struck: &str) -> Request {
        let contacts = vec![ContactAsk::new(striker, struck)];
        Request::Melee(MeleeAsk { contacts, cast: false })
    }

    #[test]
    fn referees_do_all_captains_their_own_and_others_what_anyone_may() {
        let battle = battle(&[
            (Appointee::Person(2), Some("Vale")),
            (Appointee::Role(9), Some("Grey Banner")),
            (Appointee::Person(5), None),
        ]);
        let ours = melee("Ford Wardens", "Banner Spears");
        let theirs = melee("Banner Spears", "Ford Wardens");
        let word = Request::Word { name: "Orm".into(), text: "reeds".into() };
        let vale = || Office::Captain("Vale".into());
        let grey = || Office::Captain("Grey Banner".into());
        let asker = |n, roles: &[u64], manages| Asker {
            who: Who::Person(n),
            roles: roles.to_vec(),
            manages,
        };
        for (asker, request, office) in [
            (asker(1, &[], false), &theirs, Ok(Office::Referee)),
            (asker(5, &[], false), &Request::Turn, Ok(Office::Referee)),
            (asker(2, &[], false), &ours, Ok(vale())),
            (asker(2, &[], false), &theirs, Err(Needs::Captain("Grey Banner".into()))),
            (asker(2, &[], false), &Request::Turn, Err(Needs::Referee)),
            (asker(2, &[], false), &word, Ok(vale())),
            (asker(3, &[9], false), &theirs, Ok(grey())),
            (asker(3, &[8], false), &theirs, Err(Needs::Captain("Grey Banner".into()))),
            (asker(3, &[], false), &word, Err(Needs::Officer)),
            (asker(3, &[], true), &Request::Close, Ok(Office::Manager)),
            (asker(3, &[], false), &Request::Close, Err(Needs::Manager)),
            (asker(3, &[], true), &Request::Turn, Err(Needs::Referee)),
            // A name that is nobody's is a mistake to hear about, not a matter of office.
            (asker(3, &[], false), &melee("Ford Wardns", "Banner Spears"), Ok(Office::Anyone)),
        ] {
            assert_eq!(asker.office(&battle, request), office, "{asker:?} {request:?}");
            if let Ok(office) = office {
                assert!(allows(&office, &battle, request), "{office:?} {request:?}");
            }
        }
        assert!(!allows(&vale(), &battle, &theirs));
        assert!(!allows(&Office::Anyone, &battle, &Request::Turn));
    }

    /// The same battle, where the Vale has announced a melee against the Grey Banner.
    fn announced(offices: &[(Appointee, Option<&str>)]) -> Battle {
        let mut battle = battle(offices);
        let (asking, casting) = ("Vale".to_owned(), "Grey Banner".to_owned());
        battle
            .apply(&Recorded::write(Event {
                battle: battle.id.clone(),
                seq: battle.seq + 1,
                at: "2026-01-01T00:00:00Z".into(),
                by: OPENER,
                office: Office::Referee,
                asked: "table:announced".parse().unwrap(),
                prev: battle.head,
                request: melee("Ford Wardens", "Banner Spears"),
                body: Body::Announced { asking, casting },
                roll: None,
            }))
            .unwrap();
        battle
    }

    #[test]
    fn a_roll_is_cast_by_the_side_that_it_threatens() {
        let cast = Request::Cast { text: "red reeds, cold hands".into() };
        let undo = Request::Undo { reason: "no cast came".into() };
        let person = Asker::person;
        let casts = |battle: &Battle, n| person(n).office(battle, &cast);
        let led = announced(&[
            (Appointee::Person(2), Some("Vale")),
            (Appointee::Person(3), Some("Grey Banner")),
        ]);
        let grey = || Office::Captain("Grey Banner".into());
        let needs = Needs::Caster("Grey Banner".into());
        assert_eq!(casts(&led, 3), Ok(grey()));
        for n in [1, 2, 4] {
            assert_eq!(casts(&led, n), Err(needs.clone()), "{n}");
        }
        for office in [Office::Referee, Office::Manager, Office::Anyone] {
            assert!(!allows(&office, &led, &cast), "{office:?}");
        }
        let unled = announced(&[(Appointee::Person(2), Some("Vale"))]);
        assert_eq!(casts(&unled, 1), Ok(Office::Referee));
        assert_eq!(casts(&unled, 4), Ok(Office::Anyone));
        assert_eq!(casts(&unled, 2), Err(needs));
        // Closing takes it back first, and whoever manages the server may close.
        let manager = Asker { manages: true, ..person(9) };
        assert_eq!(manager.office(&led, &undo), Ok(Office::Manager));
        assert!(allows(&Office::Manager, &led, &undo));
        assert!(person(9).office(&led, &undo).is_err());
        assert!(manager.office(&battle(&[]), &undo).is_err(), "no other change");
        assert!(!allows(&Office::Manager, &battle(&[]), &undo));
    }

    #[test]
    fn anyone_gives_a_word_where_nobody_was_appointed() {
        let word = Request::Word { name: "Orm".into(), text: "reeds".into() };
        let office = Asker::person(7).office(&battle(&[]), &word);
        assert_eq!(office, Ok(Office::Anyone));
    }

    #[test]
    fn an_office_that_nobody_was_appointed_to_is_not_borne_out() {
        let vale = Office::Captain("Vale".into());
        let battle = battle(&[(Appointee::Person(2), Some("Vale"))]);
        assert!(bears_out(&battle, OPENER, &Office::Referee, &Request::Turn));
        assert!(bears_out(&battle, Who::Person(2), &vale, &Request::Turn));
        assert!(!bears_out(&battle, Who::Person(3), &vale, &Request::Turn));
        assert!(!bears_out(&battle, Who::Person(2), &Office::Referee, &Request::Turn));
        assert!(bears_out(&battle, Who::Person(3), &Office::Anyone, &Request::Turn));
    }

    #[test]
    fn a_captain_casts_as_a_captain_whatever_else_they_are() {
        let cast = Request::Cast { text: "cold water, high reeds".into() };
        let battle = battle(&[(Appointee::Person(2), Some("Vale")), (Appointee::Person(2), None)]);
        for office in [Office::Anyone, Office::Manager, Office::Referee] {
            assert!(!bears_out(&battle, Who::Person(2), &office, &cast), "{office:?}");
        }
        assert!(bears_out(&battle, Who::Person(2), &Office::Captain("Vale".into()), &cast));
        assert!(bears_out(&battle, Who::Person(3), &Office::Anyone, &cast));
        assert!(bears_out(&battle, OPENER, &Office::Referee, &cast));
    }
}
