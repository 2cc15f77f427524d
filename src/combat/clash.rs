//! Which contacts are fought in one round: those that stand, and those newly asked for.
//!
//! A contact stands until one of its units no longer does, so a melee that names a unit in contact
//! adds to what that unit is in already. Contacts that share no unit, directly or through others,
//! are separate melees.

use super::contact::ContactRound;
use crate::battle::{Engagement, Field, Held, Mistake, TwoSides, joined};
use crate::protocol::{ContactAsk, MeleeRuling, Unit};

/// The most contacts that are fought in one roll, in one melee or in several: a roll has only so many
/// throws.
pub(super) const CONTACTS: usize = 40;

/// The contacts of one melee, about to be fought for one round.
#[derive(Debug, Clone)]
pub struct Clash {
    /// The side that asks for the round; none if it is the first striker's.
    pub asking: Option<String>,
    /// The round of this melee, from 1: only for people to read.
    pub round: u32,
    /// Rounds of it already fought in this turn.
    pub fought: u32,
    /// Its contacts: those that stand, in the order in which they were made, then the new ones.
    pub contacts: Vec<Met>,
    /// The sides of which a unit fled from it in the round before.
    pub fled: Vec<String>,
}

/// A contact, about to be fought.
#[derive(Debug, Clone)]
pub struct Met {
    /// As it was asked, with full names and its width at the present scale.
    pub ask: ContactAsk,
    /// Its own round, from 1.
    pub round: u32,
}

impl Met {
    fn held(held: &Held, field: &Field) -> Self {
        Self { ask: held.ask_at(field.scale), round: held.rounds + 1 }
    }
}

impl Clash {
    /// These contacts and no others, all in their round `round`.
    pub fn new(asks: &[ContactAsk], round: u32) -> Self {
        let contacts = asks.iter().map(|ask| Met { ask: ask.clone(), round }).collect();
        Self { asking: None, round, fought: 0, contacts, fled: Vec::new() }
    }

    /// What comes of asking for these contacts: every melee that one of their units is in is
    /// fought again, with those of them that are new.
    ///
    /// # Errors
    /// If there is no contact, or one that cannot be.
    pub fn asked(field: &Field, asks: &[ContactAsk]) -> Result<Vec<Self>, Mistake> {
        let asking = asking_side(field, asks)?;
        let mut new: Vec<ContactAsk> = Vec::new();
        for ask in asks {
            if !stands(field, ask)? {
                new.push(ask.clone());
            }
        }
        let named = |held: &Engagement| {
            asks.iter().any(|ask| held.holds(&ask.striker) || held.holds(&ask.struck))
        };
        let standing: Vec<&Engagement> =
            field.engagements.iter().filter(|engagement| named(engagement)).collect();
        let mut held: Vec<&Held> =
            standing.iter().flat_map(|engagement| &engagement.contacts).collect();
        held.sort_by_key(|held| held.made);
        let met: Vec<Met> = held
            .into_iter()
            .map(|held| Met::held(held, field))
            .chain(new.into_iter().map(|ask| Met { ask, round: 1 }))
            .collect();
        if met.len() > CONTACTS {
            return Err(Mistake::ContactCount);
        }
        let melees = joined(met, |met| [&met.ask.striker, &met.ask.struck]);
        Ok(melees.into_iter().map(|contacts| Self::of(contacts, &standing, &asking)).collect())
    }

    /// Another round of the melee of a unit, which asks for it; of the latest melee without one.
    ///
    /// # Errors
    /// If there is no such melee.
    pub fn again(field: &Field, unit: Option<&str>) -> Result<Self, Mistake> {
        let (engagement, asking) = if let Some(name) = unit {
            let unit = field.unit(name)?;
            let engagement = field.engagement_of(&unit.name);
            let engagement = engagement.ok_or_else(|| Mistake::NotInMelee(unit.name.clone()))?;
            (engagement, unit.side.clone())
        } else {
            let engagement = field.engagements.last().ok_or(Mistake::NothingToFightOn)?;
            (engagement, engagement.asking.clone())
        };
        let contacts = engagement.contacts.iter().map(|held| Met::held(held, field)).collect();
        Ok(Self::of(contacts, &[engagement], &asking))
    }

    /// The melee that was ruled so on the field as it stood before.
    pub fn ruled(field: &Field, ruling: &MeleeRuling) -> Self {
        let contacts: Vec<Met> = ruling
            .contacts
            .iter()
            .map(|contact| Met { ask: contact.contact.clone(), round: contact.round })
            .collect();
        let standing: Vec<&Engagement> = field.engagements.iter().collect();
        Self::of(contacts, &standing, &ruling.sides[0])
    }

    /// A melee of contacts, some of which stand in these engagements.
    fn of(contacts: Vec<Met>, standing: &[&Engagement], asking: &str) -> Self {
        let within = |engagement: &&&Engagement| {
            let mut contacts = contacts.iter();
            contacts.any(|Met { ask, .. }| engagement.joins(&ask.striker, &ask.struck))
        };
        let before: Vec<&&Engagement> = standing.iter().filter(within).collect();
        let most = |of: fn(&Engagement) -> u32| before.iter().map(|it| of(it)).max().unwrap_or(0);
        Self {
            asking: Some(asking.to_owned()),
            round: most(|engagement| engagement.rounds) + 1,
            fought: most(|engagement| engagement.this_turn),
            fled: before.iter().flat_map(|engagement| engagement.fled.iter().cloned()).collect(),
            contacts,
        }
    }

    /// The round after this one, if every contact still stands and nobody fled.
    #[must_use]
    pub fn next(&self) -> Self {
        let mut next = self.clone();
        next.round = next.round.saturating_add(1);
        next.fled.clear();
        for met in &mut next.contacts {
            met.round = met.round.saturating_add(1);
        }
        next
    }

    /// What each contact's round is, as far as anything may go by it.
    pub fn rounds(&self) -> impl Iterator<Item = ContactRound> + '_ {
        self.contacts.iter().map(|met| ContactRound::of(met.round))
    }
}

/// Whether the contact asked for stands already; how its units meet is settled then.
fn stands(field: &Field, ask: &ContactAsk) -> Result<bool, Mistake> {
    let Some(engagement) = field.engagement_of(&ask.striker) else { return Ok(false) };
    if !engagement.joins(&ask.striker, &ask.struck) {
        return Ok(false);
    }
    if *ask == ContactAsk::new(&ask.striker, &ask.struck) {
        return Ok(true);
    }
    Err(Mistake::AlreadyMet(ask.striker.clone(), ask.struck.clone()))
}

/// The side that asks: that of every striking unit.
fn asking_side(field: &Field, asks: &[ContactAsk]) -> Result<String, Mistake> {
    let mut strikers = asks.iter().map(|ask| able(field, &ask.striker));
    let first = strikers.next().ok_or(Mistake::ContactCount)??;
    for striker in strikers {
        let striker = striker?;
        if striker.side != first.side {
            return Err(Mistake::MixedStrikers(parted(first, striker)));
        }
    }
    Ok(first.side.clone())
}

/// The unit called `name`, if it can fight.
pub(super) fn able<'a>(field: &'a Field, name: &str) -> Result<&'a Unit, Mistake> {
    let unit = field.unit(name)?;
    if unit.fights() {
        return Ok(unit);
    }
    Err(Mistake::CannotFight { unit: unit.name.clone(), standing: unit.standing })
}

/// That two units are of different sides.
pub(super) fn parted(one: &Unit, other: &Unit) -> TwoSides {
    TwoSides::new([&one.name, &one.side], [&other.name, &other.side])
}
