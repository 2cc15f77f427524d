//! What an undo can take back: units, contacts, the turn, the scale.

use super::together::{Together, counted_together};
use super::{Mistake, conditions};
use crate::protocol::{
    Abreast, Condition, ContactAsk, Fate, Leader, Protocol, Reach, Request, RequestId, Scale,
    Strength, Unit,
};
use std::sync::Arc;

/// The state of the field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Field {
    /// The protocol of its battle, by which every procedure is held.
    pub protocol: Protocol,
    /// The figure scale.
    pub scale: Scale,
    /// The turn, from 1.
    pub turn: u32,
    /// The sides, in the order in which they came.
    pub sides: Arc<Vec<String>>,
    /// The units, in muster order.
    pub units: Arc<Vec<Arc<Unit>>>,
    /// Leaders without a unit.
    pub free_leaders: Arc<Vec<FreeLeader>>,
    /// Melees whose contacts still stand; a unit is in at most one.
    pub engagements: Arc<Vec<Engagement>>,
    /// The conditions that stand, in the order in which they were set.
    pub conditions: Arc<Vec<Condition>>,
    /// A roll announced and waiting for the other side to cast.
    pub pending: Option<Arc<Pending>>,
}

/// A leader without a unit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FreeLeader {
    /// The leader.
    pub leader: Leader,
    /// His side.
    pub side: String,
    /// Whether he is out of the fight until the battle's end.
    pub out: bool,
}

/// A melee that can be fought on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Engagement {
    /// The side that asked for its last round.
    pub asking: String,
    /// Rounds fought.
    pub rounds: u32,
    /// Rounds fought in this turn.
    pub this_turn: u32,
    /// The contacts that still stand, in the order in which they were made.
    pub contacts: Vec<Held>,
    /// The sides of which a unit fled in the last round.
    pub fled: Vec<String>,
}

/// A contact that still stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Held {
    /// What was asked, with full names; a charge stays in it, and no longer counts. Its width is
    /// kept beside it, because it stays as wide at every scale.
    pub ask: ContactAsk,
    /// The width across which it is fought.
    pub width: Option<Abreast>,
    /// Its rounds fought.
    pub rounds: u32,
    /// When it was made: of two contacts that stand, the older has the lower number.
    pub made: u32,
}

/// A roll announced, to be thrown when the other side casts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pending {
    /// What was announced, with full names.
    pub request: Request,
    /// The announcement's id, which stands in the roll's statement.
    pub asked: RequestId,
    /// The side that asked.
    pub asking: String,
    /// The side that casts.
    pub casting: String,
}

impl Field {
    /// An empty field in its first turn.
    pub fn new(protocol: Protocol, scale: Scale) -> Self {
        Self {
            protocol,
            scale,
            turn: 1,
            sides: Arc::default(),
            units: Arc::default(),
            free_leaders: Arc::default(),
            engagements: Arc::default(),
            conditions: Arc::default(),
            pending: None,
        }
    }

    /// A unit takes the field, and so does its side if it is new.
    pub fn enter(&mut self, unit: Unit) {
        self.add_side(&unit.side);
        Arc::make_mut(&mut self.units).push(Arc::new(unit));
    }

    /// The unit called exactly `name`.
    pub fn unit(&self, name: &str) -> Result<&Arc<Unit>, Mistake> {
        let unknown = || Mistake::NoSuchUnit { name: name.to_owned(), meant: None };
        self.units.iter().find(|unit| unit.name == name).ok_or_else(unknown)
    }

    /// The engagement that holds the unit called exactly `name`.
    pub fn engagement_of(&self, name: &str) -> Option<&Engagement> {
        self.engagements.iter().find(|engagement| engagement.holds(name))
    }

    /// Replaces the unit called `before`.
    pub(super) fn put(&mut self, before: &str, after: Unit) {
        let units = Arc::make_mut(&mut self.units);
        if let Some(place) = units.iter_mut().find(|unit| unit.name == before) {
            *place = Arc::new(after);
        }
    }

    /// Changes the unit called exactly `name`.
    pub(super) fn alter(&mut self, name: &str, change: impl FnOnce(&mut Unit)) {
        let units = Arc::make_mut(&mut self.units);
        if let Some(unit) = units.iter_mut().find(|unit| unit.name == name) {
            change(Arc::make_mut(unit));
        }
    }

    /// Takes the unit out of every contact, or out of that with `other`. What is left of a melee
    /// may be several.
    pub(super) fn part(&mut self, name: &str, other: Option<&str>) {
        let parts = |held: &Held| match other {
            Some(other) => held.joins(name, other),
            None => held.holds(name),
        };
        let held = |engagement: &Engagement| engagement.contacts.iter().any(parts);
        if !self.engagements.iter().any(held) {
            return;
        }
        let before = std::mem::take(Arc::make_mut(&mut self.engagements));
        for mut engagement in before {
            engagement.contacts.retain(|held| !parts(held));
            self.engage(engagement);
        }
    }

    /// Takes up an engagement: as one or several, if its contacts share no unit, or as none.
    pub(super) fn engage(&mut self, engagement: Engagement) {
        let Engagement { asking, rounds, this_turn, contacts, fled } = engagement;
        for contacts in joined(contacts, |held| [&held.ask.striker, &held.ask.struck]) {
            let (asking, fled) = (asking.clone(), fled.clone());
            let engagement = Engagement { asking, rounds, this_turn, contacts, fled };
            Arc::make_mut(&mut self.engagements).push(engagement);
        }
    }

    /// A condition stands, in the place of the same one before.
    pub(super) fn set_condition(&mut self, condition: &Condition) {
        self.lift(&condition.name, &condition.on);
        Arc::make_mut(&mut self.conditions).push(condition.clone());
    }

    /// The condition of that name stands there no more.
    pub(super) fn lift(&mut self, name: &str, on: &Reach) {
        Arc::make_mut(&mut self.conditions).retain(|known| !conditions::is(known, name, on));
    }

    /// Follows a renamed unit through contacts and conditions.
    pub(super) fn rename(&mut self, before: &str, after: &str) {
        let on = Reach::Unit(before.to_owned());
        if self.conditions.iter().any(|condition| condition.on == on) {
            for condition in Arc::make_mut(&mut self.conditions) {
                if condition.on == on {
                    condition.on = Reach::Unit(after.to_owned());
                }
            }
        }
        for engagement in Arc::make_mut(&mut self.engagements) {
            for held in &mut engagement.contacts {
                for name in [&mut held.ask.striker, &mut held.ask.struck] {
                    if name == before {
                        after.clone_into(name);
                    }
                }
            }
        }
    }

    /// Re-derives every unit's figures from its men, rounding a side's class together.
    pub(crate) fn rescale(&mut self, scale: Scale) {
        self.scale = scale;
        let units = Arc::make_mut(&mut self.units);
        for place in 0..units.len() {
            if units[place].single {
                continue;
            }
            let (before, here) = units.split_at_mut(place);
            let unit = Arc::make_mut(&mut here[0]);
            let beside = |of: fn(&Unit) -> Strength| {
                let others = before.iter().filter(|other| counted_together(other, unit));
                others.map(|other| of(other)).fold(Together::default(), Together::and)
            };
            let (muster, now) = (beside(|unit| unit.muster), beside(|unit| unit.now));
            unit.muster.figures = muster.figures_of(unit.muster.men, scale);
            // Others of its class that are gone leave it no more than it mustered.
            let left = now.figures_of(unit.now.men, scale);
            unit.now.figures = left.min(unit.muster.figures);
        }
    }

    /// Begins the next turn: melees may be fought as often again, and every unit may try to rally again, and be tested for shooting.
    pub(super) fn next_turn(&mut self, turn: u32) {
        self.turn = turn;
        for engagement in Arc::make_mut(&mut self.engagements) {
            engagement.this_turn = 0;
        }
        if self.conditions.iter().any(|condition| ended(condition, turn)) {
            Arc::make_mut(&mut self.conditions).retain(|condition| !ended(condition, turn));
        }
        let acted = |leader: &Leader| leader.placed || leader.fought;
        let led = |unit: &Unit| unit.leader.as_ref().is_some_and(acted);
        let has_done = |unit: &Unit| unit.rallied || unit.shot_at || led(unit);
        if self.units.iter().any(|unit| has_done(unit)) {
            for unit in Arc::make_mut(&mut self.units).iter_mut().filter(|unit| has_done(unit)) {
                let unit = Arc::make_mut(unit);
                (unit.rallied, unit.shot_at) = (false, false);
                if let Some(leader) = &mut unit.leader {
                    (leader.placed, leader.fought) = (false, false);
                }
            }
        }
        for free in Arc::make_mut(&mut self.free_leaders) {
            (free.leader.placed, free.leader.fought) = (false, false);
        }
    }

    /// Adds a side if it is new.
    pub(super) fn add_side(&mut self, side: &str) {
        if !self.sides.iter().any(|known| known == side) {
            Arc::make_mut(&mut self.sides).push(side.to_owned());
        }
    }

    /// Attaches a free leader to a unit.
    pub(super) fn attach(&mut self, leader: &str, unit: &str) {
        let free = self.free_leaders.iter().position(|free| free.leader.name == leader);
        let leader = match free {
            Some(at) => Some(Arc::make_mut(&mut self.free_leaders).remove(at).leader),
            None => self.leave(leader).map(|(leader, _)| leader),
        };
        if leader.is_some() {
            self.alter(unit, |unit| unit.leader = leader);
        }
    }

    /// Takes a leader away from his unit; he with the name of his side.
    fn leave(&mut self, leader: &str) -> Option<(Leader, String)> {
        let is = |unit: &Unit| unit.leader.as_ref().is_some_and(|own| own.name == leader);
        let units = Arc::make_mut(&mut self.units);
        let unit = Arc::make_mut(units.iter_mut().find(|unit| is(unit))?);
        unit.leader.take().map(|leader| (leader, unit.side.clone()))
    }

    /// A leader leaves his unit and stands alone.
    pub(super) fn detach(&mut self, leader: &str) {
        if let Some((leader, side)) = self.leave(leader) {
            self.set_free(leader, &side);
        }
    }

    /// The leader of a unit takes his place.
    pub(super) fn place(&mut self, unit: &str, back: bool) {
        self.alter(unit, |unit| {
            if let Some(leader) = &mut unit.leader {
                (leader.back, leader.placed) = (back, true);
            }
        });
    }

    /// Every leader: those with a unit, then those without.
    pub fn leaders(&self) -> impl Iterator<Item = &Leader> + Clone {
        let led = self.units.iter().filter_map(|unit| unit.leader.as_ref());
        led.chain(self.free_leaders.iter().map(|free| &free.leader))
    }

    /// A condition comes to stand; where it stands already, the later end counts.
    pub(crate) fn give(&mut self, condition: &Condition) {
        let (name, on) = (&condition.name, &condition.on);
        let known = self.conditions.iter().find(|known| conditions::is(known, name, on)).cloned();
        match known {
            Some(known) => {
                let until = known.until.zip(condition.until).map(|(one, other)| one.max(other));
                self.set_condition(&Condition { until, ..known });
            }
            None => self.set_condition(condition),
        }
    }

    /// Sets a leader free whose unit is gone.
    pub(super) fn set_free(&mut self, leader: Leader, side: &str) {
        let free = FreeLeader { leader, side: side.to_owned(), out: false };
        Arc::make_mut(&mut self.free_leaders).push(free);
    }

    /// Takes what became of the leader of a unit, who can still take `left` wounds.
    pub(super) fn wound(&mut self, unit: &str, fate: Fate, left: u32) {
        let mut gone = None;
        self.alter(unit, |unit| {
            let Some(leader) = &mut unit.leader else { return };
            leader.taken = leader.wounds.saturating_sub(left);
            if fate.is_gone() {
                gone = unit.leader.take().map(|leader| (leader, unit.side.clone()));
            }
        });
        // Whoever is out keeps his name, so that nobody else takes it and he is found.
        if let (Some((leader, side)), Fate::Out) = (gone, fate) {
            let free = FreeLeader { leader, side, out: true };
            Arc::make_mut(&mut self.free_leaders).push(free);
        }
    }

    /// Takes what a single combat did to a leader, with a unit or without: he can still take `left`
    /// wounds.
    pub(super) fn fought(&mut self, leader: &str, fate: Fate, left: u32) {
        let is = |own: &Leader| own.name == leader;
        let unit = self.units.iter().find(|unit| unit.leader.as_ref().is_some_and(is));
        if let Some(unit) = unit.map(|unit| unit.name.clone()) {
            self.alter(&unit, |unit| {
                if let Some(leader) = &mut unit.leader {
                    leader.fought = true;
                }
            });
            return self.wound(&unit, fate, left);
        }
        let free_leaders = Arc::make_mut(&mut self.free_leaders);
        if fate == Fate::Falls {
            free_leaders.retain(|free| free.leader.name != leader);
        }
        if let Some(free) = free_leaders.iter_mut().find(|free| free.leader.name == leader) {
            let FreeLeader { leader, out, .. } = free;
            (leader.fought, leader.taken) = (true, leader.wounds.saturating_sub(left));
            *out = fate == Fate::Out;
        }
    }

    /// The general of a side, with a unit or without.
    pub fn general(&self, side: &str) -> Option<&Leader> {
        let units = self.units.iter().filter(|unit| unit.side == side);
        let free = self.free_leaders.iter().filter(|free| free.side == side && !free.out);
        let leaders = units.filter_map(|unit| unit.leader.as_ref());
        leaders.chain(free.map(|free| &free.leader)).find(|leader| leader.general)
    }

    /// Every name that a unit or a leader has.
    pub(super) fn names(&self) -> impl Iterator<Item = &str> + Clone {
        let units = self.units.iter().map(|unit| unit.name.as_str());
        units.chain(self.leaders().map(|leader| leader.name.as_str()))
    }
}

/// Whether a condition has ended when turn `turn` begins.
fn ended(condition: &Condition, turn: u32) -> bool {
    condition.until.is_some_and(|until| until < turn)
}

/// The contacts of each melee among `contacts`: those that share a unit, directly or through others,
/// in their order; the melee with the oldest contact first.
pub fn joined<C>(contacts: Vec<C>, units: impl Fn(&C) -> [&String; 2]) -> Vec<Vec<C>> {
    let mut melees: Vec<Vec<(usize, C)>> = Vec::new();
    for (age, contact) in contacts.into_iter().enumerate() {
        let shares = |melee: &[(usize, C)]| {
            let mut others = melee.iter().flat_map(|(_, other)| units(other));
            others.any(|unit| units(&contact).contains(&unit))
        };
        let (with, apart): (Vec<_>, Vec<_>) = melees.into_iter().partition(|melee| shares(melee));
        let mut melee: Vec<(usize, C)> = with.into_iter().flatten().collect();
        melee.push((age, contact));
        melees = apart;
        melees.push(melee);
    }
    for melee in &mut melees {
        melee.sort_by_key(|(age, _)| *age);
    }
    melees.sort_by_key(|melee| melee[0].0);
    melees
        .into_iter()
        .map(|melee| melee.into_iter().map(|(_, contact)| contact).collect())
        .collect()
}

impl Engagement {
    /// Whether the unit called exactly `name` is in it.
    pub fn holds(&self, name: &str) -> bool {
        self.contacts.iter().any(|held| held.holds(name))
    }

    /// Whether these two units, called exactly so, are in contact in it.
    pub fn joins(&self, one: &str, other: &str) -> bool {
        self.contacts.iter().any(|held| held.joins(one, other))
    }
}

impl Held {
    /// The contact as it would be asked at a scale.
    pub fn ask_at(&self, scale: Scale) -> ContactAsk {
        let width = self.width.map(|width| width.figures(scale));
        ContactAsk { width, ..self.ask.clone() }
    }

    /// Whether the unit called exactly `name` is in it.
    pub fn holds(&self, name: &str) -> bool {
        self.ask.striker == name || self.ask.struck == name
    }

    /// Whether it is between these two units, called exactly so, whichever of them struck.
    pub fn joins(&self, one: &str, other: &str) -> bool {
        self.holds(one) && self.holds(other)
    }
}
