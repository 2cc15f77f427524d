//! Who of each unit fights in which contact, and with how many dice.
//!
//! All contacts are laid out together, because a unit shares its figures among those it is in, a
//! front or a width holds all that come through it, and one die a side is given where there would
//! be none.

use super::contact::Contact;
use super::melee::Melee;
use super::{fighting, leaders, strike};
use crate::protocol::{Circumstance, Facing, Holder};

/// What one unit of a contact throws.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Throwing {
    /// Figures that fight here.
    pub fighting: u32,
    /// Dice that a leader adds.
    pub leader_dice: u32,
    /// Dice that conditions add.
    pub added_dice: u32,
    /// Dice in all, a leader's and conditions' included.
    pub dice: u32,
}

/// Figures abreast that are not yet taken, and how many each takes of them.
struct Room(u32);

impl Room {
    /// Lets in as many of `figures` as find room, standing in `ranks`.
    fn let_in(&mut self, figures: u32, ranks: u32) -> u32 {
        let figures = figures.min(self.0.saturating_mul(ranks));
        self.0 -= figures.div_ceil(ranks);
        figures
    }
}

impl Contact {
    /// Whether the unit in `role` meets the other on its own front.
    pub(super) const fn on_own_front(&self, role: Holder) -> bool {
        match role {
            Holder::Striker => true,
            Holder::Struck => matches!(self.ask.facing, Facing::Front),
        }
    }
}

impl Melee<'_> {
    /// What each contact's two units throw at the start of the round.
    pub fn throwing_now(&self) -> Vec<[Throwing; 2]> {
        self.throwing(|place| self.combatants[place].unit.now.figures)
    }

    /// What each contact's two units throw while the combatants have these figures.
    pub fn throwing(&self, figures: impl Fn(usize) -> u32) -> Vec<[Throwing; 2]> {
        let mut fighting = self.shared(&figures);
        self.hold_fronts(&mut fighting);
        self.hold_widths(&mut fighting);
        let mut throws: Vec<[Throwing; 2]> = fighting
            .into_iter()
            .zip(&self.contacts)
            .map(|(fighting, contact)| {
                [0, 1].map(|throw: usize| {
                    let rate = contact.attacks[throw].matchup.rate;
                    let fighting = fighting[throw];
                    let dice = strike::dice(rate, fighting);
                    Throwing { fighting, dice, ..Throwing::default() }
                })
            })
            .collect();
        self.give_one_die(&mut throws);
        self.lead(&mut throws);
        self.add_dice(&mut throws);
        throws
    }

    /// Every throw of the combatant in `place`: its contact and which of the two it is.
    pub(super) fn throws_of(&self, place: usize) -> impl Iterator<Item = (usize, usize)> + '_ {
        self.contacts.iter().enumerate().flat_map(move |(at, contact)| {
            let throws = contact.attacks.iter().enumerate();
            throws.filter(move |(_, attack)| attack.by == place).map(move |(throw, _)| (at, throw))
        })
    }

    /// The ranks in which a throw's figures stand.
    fn ranks(&self, (at, throw): (usize, usize)) -> u32 {
        let contact = &self.contacts[at];
        let unit = self.combatants[contact.attacks[throw].by].unit;
        fighting::ranks(self.rules, unit, contact.on_own_front(contact.roles[throw]))
    }

    /// Figures in each throw as units share them, whatever front or width they meet.
    fn shared(&self, figures: &impl Fn(usize) -> u32) -> Vec<[u32; 2]> {
        let front = |place: usize| self.combatants[place].unit.front(self.scale);
        // What a unit brings in all, before it is shared.
        let whole: Vec<u32> = (0..self.combatants.len())
            .map(|place| {
                let ranks = self.throws_of(place).map(|throw| self.ranks(throw)).max().unwrap_or(1);
                fighting::front(front(place), figures(place), ranks)
            })
            .collect();
        let mut here = vec![[0; 2]; self.contacts.len()];
        for place in 0..self.combatants.len() {
            let mut every = self.throws_of(place);
            if let (Some((at, throw)), None) = (every.next(), every.next()) {
                // In its one contact it brings all.
                here[at][throw] = whole[place];
                continue;
            }
            let throws: Vec<(usize, usize)> = self.throws_of(place).collect();
            let weights: Vec<u32> = throws
                .iter()
                .map(|(at, throw)| whole[self.contacts[*at].attacks[*throw].at])
                .collect();
            let shares = fighting::share(whole[place], &weights);
            for ((at, throw), share) in throws.into_iter().zip(shares) {
                let ranks = self.ranks((at, throw));
                here[at][throw] = fighting::front(front(place), share, ranks);
            }
        }
        here
    }

    /// No more figures reach a unit on its own front than stand abreast in it, in the order of the
    /// contacts.
    fn hold_fronts(&self, fighting: &mut [[u32; 2]]) {
        if self.combatants.iter().all(|combatant| combatant.unit.frontage.is_none()) {
            return;
        }
        let mut rooms: Vec<Option<Room>> = self
            .combatants
            .iter()
            .map(|combatant| combatant.unit.front(self.scale).map(Room))
            .collect();
        for (at, contact) in self.contacts.iter().enumerate() {
            for throw in [0, 1] {
                // Who is thrown at stands in the other role.
                if contact.on_own_front(contact.roles[1 - throw])
                    && let Some(room) = &mut rooms[contact.attacks[throw].at]
                {
                    let ranks = self.ranks((at, throw));
                    fighting[at][throw] = room.let_in(fighting[at][throw], ranks);
                }
            }
        }
    }

    /// No more figures of a side fight across a width than stand abreast in it, in the order of
    /// the contacts.
    fn hold_widths(&self, fighting: &mut [[u32; 2]]) {
        let Some(width) = self.width() else { return };
        let mut rooms = [Room(width), Room(width)];
        for (at, contact) in self.contacts.iter().enumerate() {
            if contact.ask.width.is_some() {
                for (throw, room) in rooms.iter_mut().enumerate() {
                    let ranks = self.ranks((at, throw));
                    fighting[at][throw] = room.let_in(fighting[at][throw], ranks);
                }
            }
        }
    }

    /// The width across which some of the contacts are, in figures.
    pub(super) fn width(&self) -> Option<u32> {
        self.contacts.iter().find_map(|contact| contact.ask.width)
    }

    /// Where nobody of a side gets a die against an enemy unit, the first with a figure there
    /// throws as few as the rules say.
    fn give_one_die(&self, throws: &mut [[Throwing; 2]]) {
        for place in 0..self.combatants.len() {
            let at_it = || self.throws_of(place).map(|(at, throw)| (at, 1 - throw));
            if at_it().any(|(at, throw)| throws[at][throw].dice > 0) {
                continue;
            }
            let first = at_it().find(|(at, throw)| throws[*at][*throw].fighting > 0);
            if let Some((at, throw)) = first {
                throws[at][throw].dice = self.rules.dice.minimum;
            }
        }
    }

    /// A leader's dice go where most of his unit's figures fight, of equals to the oldest contact;
    /// never more of them than figures that fight there.
    fn lead(&self, throws: &mut [[Throwing; 2]]) {
        for (place, combatant) in self.combatants.iter().enumerate() {
            let adds = leaders::adds(self.rules, combatant.unit);
            let fighting = |(at, throw): (usize, usize)| throws[at][throw].fighting;
            let fuller = |best, next| if fighting(next) > fighting(best) { next } else { best };
            let most = self.throws_of(place).reduce(fuller);
            if let Some((at, throw)) = most {
                let throw = &mut throws[at][throw];
                throw.leader_dice = adds.min(throw.fighting);
                throw.dice += throw.leader_dice;
            }
        }
    }

    /// Dice of conditions; with a leader's never more than figures that fight there.
    fn add_dice(&self, throws: &mut [[Throwing; 2]]) {
        for (contact, throws) in self.contacts.iter().zip(throws) {
            for (attack, throw) in contact.attacks.iter().zip(throws) {
                let asked: u32 = attack.circumstances.iter().map(Circumstance::dice).sum();
                throw.added_dice = asked.min(throw.fighting - throw.leader_dice);
                throw.dice += throw.added_dice;
            }
        }
    }
}
