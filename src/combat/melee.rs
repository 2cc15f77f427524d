//! A melee before its dice: any number of units against any number, who meets whom and how.
//!
//! [`Melee::join`] finds it out; `round` throws, and the odds reckon with the same parts.

use super::circumstances::{Meeting, Party, dice_of_conditions, steps};
use super::clash::{CONTACTS, Clash, Met, able, parted};
use super::contact::{Attack, Contact, ContactRound};
use super::losses::RoundLosses;
use super::morale::{InMelee, Situation};
use super::{leaders, morale};
use crate::battle::{Field, Mistake, is_text};
use crate::protocol::{Condition, ContactAsk, Holder, Scale, Term, Unit};
use crate::rules::{Class, Rules};
use std::sync::Arc;

/// The most figures abreast that a width lets through.
const WIDEST: u32 = 1000;

/// A melee ready to be fought: who is in it, and what each throw needs.
#[derive(Debug, Clone)]
pub struct Melee<'a> {
    pub(super) rules: &'a Rules,
    pub(super) scale: Scale,
    pub(super) turn: u32,
    /// Only for people to read: what counts goes by [`ContactRound`].
    pub(super) round: u32,
    /// The asking side, then the other.
    pub sides: [&'a str; 2],
    /// The units: the asking side's first, each in muster order.
    pub combatants: Vec<Combatant<'a>>,
    /// The contacts, in the order asked.
    pub contacts: Vec<Contact>,
    this_turn: u32,
    /// Whether a unit of the side fled from the melee in the round before.
    fled: [bool; 2],
}

/// How the two sides of a melee are left by a round's losses, as far as nerve is concerned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Aftermath {
    /// Each side's presence.
    pub presence: [u32; 2],
    /// Whether a unit of the side was destroyed.
    pub destroyed: [bool; 2],
}

/// A unit in a melee.
#[derive(Debug, Clone)]
pub struct Combatant<'a> {
    /// The unit.
    pub unit: &'a Unit,
    /// Its class.
    pub class: &'a Class,
    /// 0 for the asking side, 1 for the other.
    pub side: usize,
    /// The conditions that count for it.
    pub conditions: Vec<&'a Condition>,
    /// What the circumstances of its contacts add to its nerve, each cause once.
    pub nerve: Vec<Term>,
    /// The same once its side is dismayed, because its general fell in this round.
    pub dismayed: Vec<Term>,
}

/// How a unit is led when its nerve is tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Led {
    /// Whether a leader is attached and standing.
    pub leader: bool,
    /// Whether the general of its side fell in this round.
    pub dismayed: bool,
}

/// The class of a unit.
pub(super) fn class_of<'a>(rules: &'a Rules, unit: &Unit) -> Result<&'a Class, Mistake> {
    rules.class(&unit.class).ok_or_else(|| Mistake::NotInRules {
        kind: "class",
        name: unit.class.clone(),
        known: rules.classes.iter().map(|class| class.name.clone()).collect(),
    })
}

impl<'a> Melee<'a> {
    /// Joins these contacts and no others into a melee, all in their round `round`, from 1.
    pub fn join(
        rules: &'a Rules,
        field: &'a Field,
        asks: &[ContactAsk],
        round: u32,
    ) -> Result<Self, Mistake> {
        Self::of(rules, field, &Clash::new(asks, round))
    }

    /// The melee of a clash.
    pub fn of(rules: &'a Rules, field: &'a Field, clash: &Clash) -> Result<Self, Mistake> {
        let contacts = &clash.contacts;
        if contacts.is_empty() || contacts.len() > CONTACTS {
            return Err(Mistake::ContactCount);
        }
        let pairs = contacts
            .iter()
            .map(|Met { ask, .. }| Ok((able(field, &ask.striker)?, able(field, &ask.struck)?)))
            .collect::<Result<Vec<_>, Mistake>>()?;
        let sides = sides(&pairs, clash.asking.as_deref())?;
        let combatants = combatants(rules, field, &pairs, sides)?;
        let mut melee = Self {
            rules,
            scale: field.scale,
            turn: field.turn,
            round: clash.round,
            this_turn: clash.fought + 1,
            sides,
            combatants,
            contacts: Vec::with_capacity(contacts.len()),
            fled: sides.map(|side| clash.fled.iter().any(|fled| fled == side)),
        };
        one_width(contacts)?;
        for (met, (striker, struck)) in contacts.iter().zip(pairs) {
            melee.check_asked(&met.ask, striker, struck)?;
            melee.add(met, striker, struck)?;
        }
        Ok(melee)
    }

    /// How the sides are left while the combatants have these figures left.
    ///
    /// Figures that reach the enemy only across a width count at most twice that width a side.
    pub fn aftermath(&self, left: impl Fn(usize) -> u32) -> Aftermath {
        let mut after = Aftermath { presence: [0; 2], destroyed: [false; 2] };
        for (place, combatant) in self.combatants.iter().enumerate() {
            after.destroyed[combatant.side] |= left(place) == 0;
            if self.width().is_none() {
                after.presence[combatant.side] += left(place) * combatant.class.presence;
            }
        }
        let Some(width) = self.width() else { return after };
        let mut rooms = [2 * width; 2];
        for place in self.in_contact_order() {
            let combatant = &self.combatants[place];
            let across = self.throws_of(place).all(|(at, _)| self.contacts[at].ask.width.is_some());
            let room = if across { rooms[combatant.side] } else { u32::MAX };
            let counted = left(place).min(room);
            if across {
                rooms[combatant.side] -= counted;
            }
            after.presence[combatant.side] += counted * combatant.class.presence;
        }
        after
    }

    /// The combatants in the order in which the contacts name them.
    fn in_contact_order(&self) -> Vec<usize> {
        let mut order = Vec::with_capacity(self.combatants.len());
        for attack in self.contacts.iter().flat_map(|contact| &contact.attacks) {
            if !order.contains(&attack.by) {
                order.push(attack.by);
            }
        }
        order
    }

    /// The rules it is fought under.
    pub const fn rules(&self) -> &'a Rules {
        self.rules
    }

    /// The figure scale it is fought at.
    pub const fn scale(&self) -> Scale {
        self.scale
    }

    /// Its rounds in this turn, with this one.
    pub const fn this_turn(&self) -> u32 {
        self.this_turn
    }

    /// The round of this melee, from 1.
    pub const fn round(&self) -> u32 {
        self.round
    }

    /// The lowest score on which the leader of the combatant in `place` is hit when it lost `lost`
    /// of `before` figures; none if it has no leader or he is not at risk.
    pub fn falls_on(&self, place: usize, before: u32, lost: u32) -> Option<u32> {
        let leader = self.combatants[place].unit.leader.as_ref()?;
        leaders::falls_on(self.rules, leader, before, lost)
    }

    /// Whether the leader of the combatant in `place`, which has `left` figures, is gone if he is
    /// hit.
    pub fn fells(&self, place: usize, left: u32) -> bool {
        let leader = self.combatants[place].unit.leader.as_ref();
        leader.is_some_and(|leader| leaders::fate(leader, left).is_gone())
    }

    /// Whether the side of the combatant in `place` is dismayed if its leader falls.
    pub fn dismays(&self, place: usize) -> bool {
        let Combatant { unit, side, .. } = &self.combatants[place];
        unit.leader.as_ref().is_some_and(leaders::dismays) && self.dismayed(*side).is_some()
    }

    /// What stands on a side whose general fell, if the rules know what that is.
    pub fn dismayed(&self, side: usize) -> Option<Condition> {
        leaders::dismayed(self.rules, self.sides[side], self.turn)
    }

    /// What a round with these `losses` does to the nerve of the combatant in `place`, which has
    /// `left` figures, and is led so.
    pub fn situation(
        &self,
        place: usize,
        left: u32,
        led: Led,
        losses: RoundLosses,
        after: Aftermath,
    ) -> Situation<'_> {
        let combatant = &self.combatants[place];
        let side = combatant.side;
        let (ours, theirs) = (after.presence[side], after.presence[1 - side]);
        Situation {
            grade: morale::grade(self.rules, combatant.unit),
            leader: led.leader,
            muster: combatant.unit.muster.figures,
            left,
            front: combatant.unit.front(self.scale),
            melee: Some(InMelee {
                losses,
                outnumbered: morale::outnumbered(self.rules, ours, theirs),
                comrade: self.fled[side] || after.destroyed[side],
            }),
            circumstances: if led.dismayed { &combatant.dismayed } else { &combatant.nerve },
        }
    }

    fn check_asked(&self, ask: &ContactAsk, striker: &Unit, struck: &Unit) -> Result<(), Mistake> {
        for (charges, unit) in [(ask.charge, striker), (ask.countercharge, struck)] {
            if charges && !class_of(self.rules, unit)?.mounted {
                let (unit, class) = (unit.name.clone(), unit.class.clone());
                return Err(Mistake::FootCharge { unit, class });
            }
        }
        let by_hand = ask.ours != 0 || ask.theirs != 0;
        let in_range = [ask.ours, ask.theirs].iter().all(|by| (-3..=3).contains(by));
        let said = ask.why.as_deref().is_some_and(|why| is_text(why, 200));
        if (by_hand && !said) || !in_range || (!by_hand && ask.why.is_some()) {
            return Err(Mistake::BadSteps);
        }
        Ok(())
    }

    fn add(&mut self, met: &Met, striker: &Unit, struck: &Unit) -> Result<(), Mistake> {
        let twice = |contact: &Contact| {
            let pair = [&contact.ask.striker, &contact.ask.struck];
            pair.contains(&&striker.name) && pair.contains(&&struck.name)
        };
        if self.contacts.iter().any(twice) {
            return Err(Mistake::ContactTwice(striker.name.clone(), struck.name.clone()));
        }
        let place = |unit: &Unit| {
            let found =
                self.combatants.iter().position(|combatant| combatant.unit.name == unit.name);
            found.expect("every unit of a contact is a combatant")
        };
        let contact = self.resolve(met, place(striker), place(struck));
        for (attack, nerve) in contact.attacks.iter().zip(&contact.nerve) {
            let combatant = &mut self.combatants[attack.by];
            morale::gather(&mut combatant.nerve, nerve);
            morale::gather(&mut combatant.dismayed, nerve);
        }
        self.contacts.push(contact);
        Ok(())
    }

    /// Resolves what was asked of the combatants in the places `by` and `at`. The asking side
    /// throws first, whichever of the two struck when the contact was made.
    fn resolve(&self, met: &Met, by: usize, at: usize) -> Contact {
        let round = ContactRound::of(met.round);
        let meeting = Meeting { rules: self.rules, ask: &met.ask, round };
        let (striker, struck) = ((by, Holder::Striker), (at, Holder::Struck));
        let parties = match self.combatants[by].side {
            0 => [striker, struck],
            _ => [struck, striker],
        };
        let [ours, theirs] = parties;
        let attacks = [self.attack(meeting, ours, theirs), self.attack(meeting, theirs, ours)];
        let roles = parties.map(|(_, role)| role);
        let nerve = roles.map(|role| meeting.of_nerve(role));
        Contact { ask: met.ask.clone(), round: met.round, roles, attacks, nerve }
    }

    fn attack(&self, meeting: Meeting<'_>, by: (usize, Holder), at: (usize, Holder)) -> Attack {
        let party = |(place, role): (usize, Holder)| {
            let combatant = &self.combatants[place];
            let Combatant { unit, class, conditions, .. } = combatant;
            Party { unit, class, role, conditions }
        };
        let (us, them) = (party(by), party(at));
        let mut circumstances = meeting.of_attack(us, them);
        // Dice of conditions go to a unit's oldest contact.
        if self.throws_of(by.0).next().is_none() {
            circumstances.extend(dice_of_conditions(us.conditions));
        }
        Attack {
            by: by.0,
            at: at.0,
            matchup: self.rules.matchup(us.class, them.class, steps(&circumstances)),
            circumstances,
        }
    }
}

/// All contacts across a width are across the same one.
fn one_width(contacts: &[Met]) -> Result<(), Mistake> {
    let mut widths = contacts.iter().filter_map(|met| met.ask.width);
    let Some(width) = widths.next() else { return Ok(()) };
    match widths.find(|other| *other != width) {
        Some(other) => Err(Mistake::TwoWidths(width, other)),
        None if (1..=WIDEST).contains(&width) => Ok(()),
        None => Err(Mistake::Width(width)),
    }
}

/// The asking side and the other, which every contact must agree on.
fn sides<'a>(
    pairs: &[(&'a Unit, &'a Unit)],
    asking: Option<&str>,
) -> Result<[&'a str; 2], Mistake> {
    let (first, first_struck) = pairs[0];
    for (striker, struck) in pairs {
        if struck.side == striker.side {
            return Err(Mistake::SameSide(striker.name.clone(), struck.name.clone()));
        }
        if asking.is_none() && striker.side != first.side {
            return Err(Mistake::MixedStrikers(parted(first, striker)));
        }
        for unit in [striker, struck] {
            if unit.side != first.side && unit.side != first_struck.side {
                return Err(Mistake::MixedStruck(parted(first_struck, unit)));
            }
        }
    }
    match asking {
        Some(asking) if asking == first_struck.side => Ok([&first_struck.side, &first.side]),
        _ => Ok([&first.side, &first_struck.side]),
    }
}

/// The units of a melee: the asking side's first, each in muster order.
fn combatants<'a>(
    rules: &'a Rules,
    field: &'a Field,
    pairs: &[(&'a Unit, &'a Unit)],
    sides: [&'a str; 2],
) -> Result<Vec<Combatant<'a>>, Mistake> {
    let mut combatants = Vec::new();
    for (side, name) in sides.into_iter().enumerate() {
        // It matters only where a general may fall.
        let general = |unit: &Arc<Unit>| unit.leader.as_ref().is_some_and(leaders::dismays);
        let led = field.units.iter().any(|unit| unit.side == name && general(unit));
        let dismayed = if led { leaders::dismayed(rules, name, field.turn) } else { None };
        for unit in field.units.iter().filter(|unit| unit.side == name) {
            let is = |other: &Unit| other.name == unit.name;
            if !pairs.iter().any(|(striker, struck)| is(striker) || is(struck)) {
                continue;
            }
            let class = class_of(rules, unit)?;
            let conditions = field.conditions_of(unit);
            let nerve = morale::of_conditions(&conditions);
            let new = dismayed
                .iter()
                .filter(|dismayed| !conditions.iter().any(|known| known.name == dismayed.name));
            let later: Vec<&Condition> = conditions.iter().copied().chain(new).collect();
            let dismayed = morale::of_conditions(&later);
            combatants.push(Combatant { unit, class, side, conditions, nerve, dismayed });
        }
    }
    Ok(combatants)
}
