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
        // Whom nothing can kill is for the referee to say.
        Request::Muster(ask) if !ask.spare => Needs::Captain(ask.side.clone()),
        // A captain changes a unit of their own, but does not give it to another side.
        Request::Change(ask) if ask.side.is_none() && ask.spare.is_none() => {
            of_unit(field, &ask.unit)
        }
        Request::Attach { unit, .. }
        | Request::Detach { unit }
        | Request::Lead { unit, .. }
        | Request::Rally { unit }
        | Request::Again { unit: Some(unit) } => of_unit(field, unit),
        // Steps by hand are the referee's.
        Request::Melee(ask)
            if ask.contacts.iter().any(|contact| contact.ours != 0 || contact.theirs != 0) =>
        {
            Needs::Referee
        }
        // Strikers of two sides are a mistake: the first one's side stands for all.
        Request::Melee(ask) => {
            ask.contacts.first().map_or(Needs::Anyone, |contact| of_unit(field, &contact.striker))
        }
        Request::Again { unit: None } => field
            .engagements
            .last()
            .map_or(Needs::Anyone, |engagement| Needs::Captain(engagement.asking.clone())),
        Request::Cast { .. } => field
            .pending
            .as_ref()
            .map_or(Needs::Anyone, |pending| Needs::Caster(pending.casting.clone())),
        Request::Shoot(ask) => {
            ask.shooters.first().map_or(Needs::Anyone, |shooter| of_unit(field, shooter))
        }
        Request::Open(_)
        | Request::Side { .. }
        | Request::Muster(_)
        | Request::Change(_)
        | Request::Part { .. }
        | Request::Harm(_)
        | Request::Nerve { .. }
        | Request::Reinforce { .. }
        // Both sides have agreed to it: that they have is the referee's to know.
        | Request::Duel(_)
        | Request::Condition(_)
        | Request::Lift { .. }
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
