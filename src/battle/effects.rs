//! What an event does to the field.

use super::{Engagement, Field, Held, Pending};
use crate::protocol::{
    Abreast, Body, Change, ContactAsk, DuelRuling, Duelist, Event, Fate, MeleeRuling, MoraleTest,
    Outcome, RallyRuling, Reach, Request, Ruling, ShootingRuling, Standing, UnitResult,
};
use std::sync::Arc;

impl Field {
    /// Takes what an event did to the field.
    pub(super) fn take(&mut self, event: &Event) {
        match &event.body {
            Body::SideAdded { name } => self.add_side(name),
            Body::Mustered { unit, .. } => self.enter(unit.clone()),
            Body::Changed { before, after, .. } => {
                self.add_side(&after.side);
                self.put(&before.name, after.clone());
                if before.name != after.name {
                    self.rename(&before.name, &after.name);
                }
                if !after.fights() {
                    self.part(&after.name, None);
                }
                let renamed =
                    matches!(&event.request, Request::Change(Change { leader: Some(_), .. }));
                match (&before.leader, &after.leader) {
                    // His unit was destroyed by hand, and nothing was said of him.
                    (Some(leader), None) if !renamed => {
                        self.set_free(leader.clone(), &before.side);
                    }
                    (_, Some(leader)) => {
                        let free = Arc::make_mut(&mut self.free_leaders);
                        free.retain(|free| free.leader.name != leader.name);
                    }
                    _ => {}
                }
            }
            Body::Reinforced { before, after, .. } => self.put(&before.name, after.clone()),
            Body::Dismissed { unit, freed } => {
                self.part(unit, None);
                let on = Reach::Unit(unit.clone());
                Arc::make_mut(&mut self.conditions).retain(|condition| condition.on != on);
                if let (Some(_), Ok(unit)) = (freed, self.unit(unit).cloned())
                    && let Some(leader) = &unit.leader
                {
                    self.set_free(leader.clone(), &unit.side);
                }
                Arc::make_mut(&mut self.units).retain(|known| known.name != *unit);
            }
            Body::Parted { pairs, .. } => {
                for [one, other] in pairs {
                    self.part(one, Some(other));
                }
            }
            Body::Attached { leader, unit, .. } => self.attach(leader, unit),
            Body::Detached { leader, .. } => self.detach(leader),
            Body::Placed { unit, back, .. } => self.place(unit, *back),
            Body::Rescaled { to, .. } => self.rescale(*to),
            Body::Turned { turn } => self.next_turn(*turn),
            Body::ConditionSet { condition } => self.set_condition(condition),
            Body::ConditionLifted { name, on } => self.lift(name, on),
            Body::Announced { asking, casting } => {
                self.pending = Some(Arc::new(Pending {
                    request: event.request.clone(),
                    asked: event.asked.clone(),
                    asking: asking.clone(),
                    casting: casting.clone(),
                }));
            }
            Body::Ruled { ruling } => {
                self.pending = None;
                self.take_ruling(ruling);
            }
            Body::Opened { .. }
            | Body::WordGiven { .. }
            | Body::Undone { .. }
            | Body::Appointed { .. }
            | Body::Relieved { .. }
            | Body::Closed
            | Body::Reopened => {}
        }
    }

    fn take_ruling(&mut self, ruling: &Ruling) {
        match ruling {
            Ruling::Melee(melees) => {
                for melee in melees {
                    self.take_melee(melee);
                }
            }
            Ruling::Shooting(shooting) => self.take_shooting(shooting),
            Ruling::Rally(rally) => self.take_rally(rally),
            Ruling::Duel(duel) => self.take_duel(duel),
            Ruling::Harm(harm) => self.take_apart(&harm.target),
            Ruling::Nerve(nerve) => self.take_nerve(&nerve.morale),
            Ruling::Quick(_) | Ruling::Throw(_) => {}
        }
    }

    /// Takes what one round of a melee did: losses, the fallen, and which contacts still stand.
    pub(crate) fn take_melee(&mut self, melee: &MeleeRuling) {
        for test in melee.leaders.iter().filter(|test| test.fate != Fate::Unhurt) {
            self.wound(&test.unit, test.fate, test.left);
        }
        for condition in &melee.conditions {
            self.give(condition);
        }
        let contacts = self.left_of(melee);
        for result in &melee.units {
            self.part(&result.unit, None);
            self.take_result(result);
        }
        let fled = |side: &&String| {
            let mut units = melee.units.iter().filter(|unit| unit.side == **side);
            units.any(|unit| matches!(unit.outcome, Outcome::FallsBack | Outcome::Routs))
        };
        let fled = melee.sides.iter().filter(fled).cloned().collect();
        let (asking, rounds) = (melee.sides[0].clone(), melee.round);
        self.engage(Engagement { asking, rounds, this_turn: melee.this_turn, contacts, fled });
    }

    /// The contacts of a melee that still stand after its round. One that stood before stays as old,
    /// and as wide on the ground, as it was.
    fn left_of(&self, melee: &MeleeRuling) -> Vec<Held> {
        let stood = || self.engagements.iter().flat_map(|engagement| &engagement.contacts);
        let latest = stood().map(|held| held.made).max().unwrap_or(0);
        let contacts = melee.contacts.iter().zip(latest + 1..);
        contacts
            .filter(|(ruling, _)| ruling.stands)
            .map(|(ruling, next)| {
                // What was asked by hand counted this once.
                let ask = ContactAsk { ours: 0, theirs: 0, why: None, ..ruling.contact.clone() };
                let (width, made) = match stood().find(|held| held.joins(&ask.striker, &ask.struck))
                {
                    Some(held) => (held.width, held.made),
                    None => (ask.width.map(|width| Abreast::of(width, self.scale)), next),
                };
                Held { ask, width, rounds: ruling.round, made }
            })
            .collect()
    }

    fn take_shooting(&mut self, shooting: &ShootingRuling) {
        self.take_apart(&shooting.target);
        if shooting.morale.is_some() {
            self.alter(&shooting.target.unit, |unit| unit.shot_at = true);
        }
    }

    /// Takes what became of a unit outside a melee's round.
    fn take_apart(&mut self, result: &UnitResult) {
        self.take_result(result);
        if result.outcome != Outcome::Stands {
            self.part(&result.unit, None);
        }
    }

    fn take_nerve(&mut self, test: &MoraleTest) {
        self.alter(&test.unit, |unit| unit.standing = test.outcome.standing(unit.standing));
        if test.outcome != Outcome::Stands {
            self.part(&test.unit, None);
        }
    }

    /// Takes what a single combat did: wounds, the fallen, and whether his unit stood.
    fn take_duel(&mut self, duel: &DuelRuling) {
        for Duelist { leader, fate, left, .. } in &duel.duelists {
            self.fought(leader, *fate, *left);
        }
        for condition in &duel.conditions {
            self.give(condition);
        }
        if let Some(test) = &duel.morale {
            self.take_nerve(test);
        }
    }

    fn take_rally(&mut self, rally: &RallyRuling) {
        self.alter(&rally.unit, |unit| {
            unit.standing = rally.outcome.standing();
            unit.rallied = true;
        });
    }

    fn take_result(&mut self, result: &UnitResult) {
        let mut freed = None;
        self.alter(&result.unit, |unit| {
            unit.now = result.after;
            unit.standing = result.standing;
            if unit.standing == Standing::Destroyed {
                freed = unit.leader.take();
            }
        });
        if let Some(leader) = freed {
            self.set_free(leader, &result.side);
        }
    }
}
