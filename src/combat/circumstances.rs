//! The circumstances of a contact: what was asked, and how its units stand, resolved once.
//!
//! Steps along the ladder and what a contact does to nerve are read from these and from nothing
//! else. To add one to a melee: give it a key in `rules::Steps`, a [`Cause`] and a line in
//! [`of_attack`]; what is expected and does not count gets a [`WhyNot`].

use super::contact::ContactRound;
use crate::protocol::{
    Cause, Circumstance, Condition, ContactAsk, Effect, Facing, Ground, Holder, Key, Reach, Source,
    Unit, WhyNot,
};
use crate::rules::{Class, Rules};

/// One unit of a contact.
#[derive(Clone, Copy)]
pub(super) struct Party<'a> {
    pub unit: &'a Unit,
    pub class: &'a Class,
    pub role: Holder,
    /// The conditions that count for it.
    pub conditions: &'a [&'a Condition],
}

/// How two units meet: what was asked, and in which round of the contact.
#[derive(Clone, Copy)]
pub(super) struct Meeting<'a> {
    pub rules: &'a Rules,
    pub ask: &'a ContactAsk,
    pub round: ContactRound,
}

/// By how many rungs the circumstances that count move a throw.
pub(super) fn steps(circumstances: &[Circumstance]) -> i32 {
    circumstances.iter().map(Circumstance::step).sum()
}

impl Meeting<'_> {
    /// The circumstances of `us` throwing at `them`.
    pub fn of_attack(self, us: Party<'_>, them: Party<'_>) -> Vec<Circumstance> {
        let table = &self.rules.steps;
        let counts = |cause, source, by| step(cause, source, by, None);
        let struck = |cause, by| Some(counts(cause, Source::Options, by));
        [
            self.charge(us, them),
            self.spears_count(them, us).then(|| {
                counts(Cause::AgainstLongSpears, Source::Target, table.against_long_spears)
            }),
            self.long_spears(us, them),
            match (self.ask.facing, us.role) {
                (Facing::Front, _) => None,
                (Facing::Flank, Holder::Striker) => struck(Cause::Flank, table.flank),
                (Facing::Flank, Holder::Struck) => struck(Cause::StruckFlank, table.struck_flank),
                (Facing::Rear, Holder::Striker) => struck(Cause::Rear, table.rear),
                (Facing::Rear, Holder::Struck) => struck(Cause::StruckRear, table.struck_rear),
            },
            self.higher_ground(us.role),
            (self.ask.obstacle == Some(them.role))
                .then(|| counts(Cause::Obstacle, Source::Options, table.obstacle)),
            us.unit.shaken().then(|| counts(Cause::Shaken, Source::Unit, table.shaken)),
        ]
        .into_iter()
        .flatten()
        .chain(self.by_hand_and_conditions(us, them))
        .collect()
    }

    /// What was asked by hand, and the conditions of the two.
    fn by_hand_and_conditions(self, us: Party<'_>, them: Party<'_>) -> Vec<Circumstance> {
        let by = match us.role {
            Holder::Striker => self.ask.ours,
            Holder::Struck => self.ask.theirs,
        };
        let mut ours = of_conditions(us.conditions, Key::Strike, Whose::Own);
        if by != 0 {
            let why = self.ask.why.clone().unwrap_or_default();
            ours.insert(0, step(Cause::Asked(why), Source::Options, by, None));
        }
        let theirs = of_conditions(them.conditions, Key::Struck, Whose::Targets);
        [held(ours), held(theirs)].concat()
    }

    /// What the contact brings to the nerve of the unit in `role`.
    pub fn of_nerve(self, role: Holder) -> Vec<Circumstance> {
        let by = self.rules.morale.struck_side_or_rear;
        let struck = role == Holder::Struck && self.ask.facing != Facing::Front;
        let circumstance = struck.then_some(Circumstance {
            cause: Cause::StruckSideOrRear,
            source: Source::Options,
            effect: Effect::Nerve(by),
            why_not: None,
        });
        circumstance.into_iter().collect()
    }

    /// The charge of `us`, if one was asked; it counts in the contact's first round, but not into
    /// long spears.
    fn charge(self, us: Party<'_>, them: Party<'_>) -> Option<Circumstance> {
        let asked = match us.role {
            Holder::Striker => self.ask.charge,
            Holder::Struck => self.ask.countercharge,
        };
        let forbids = |condition: &&&Condition| condition.effects.no_charge;
        let why_not = if self.round == ContactRound::Later {
            Some(WhyNot::NotFirstRound)
        } else if let Some(condition) = us.conditions.iter().find(forbids) {
            Some(WhyNot::Condition(condition.name.clone()))
        } else {
            self.spears_count(them, us).then_some(WhyNot::IntoLongSpears)
        };
        asked.then_some(step(Cause::Charge, Source::Options, self.rules.steps.charge, why_not))
    }

    /// The long spears of `us`, if they meet a mounted unit.
    fn long_spears(self, us: Party<'_>, them: Party<'_>) -> Option<Circumstance> {
        let by = self.rules.steps.long_spears;
        let why_not = self.spears_fail(us);
        meets_mounted(us, them).then(|| step(Cause::LongSpears, Source::Unit, by, why_not))
    }

    /// Whether the long spears of `us` count against `them`.
    fn spears_count(self, us: Party<'_>, them: Party<'_>) -> bool {
        meets_mounted(us, them) && self.spears_fail(us).is_none()
    }

    /// Why a unit's long spears do not count: they need it to be unshaken and on its own front,
    /// which of the unit that strikes always faces the other.
    fn spears_fail(self, party: Party<'_>) -> Option<WhyNot> {
        match (party.role, self.ask.facing) {
            _ if party.unit.shaken() => Some(WhyNot::Shaken),
            (Holder::Struck, Facing::Flank) => Some(WhyNot::TakenOnFlank),
            (Holder::Struck, Facing::Rear) => Some(WhyNot::TakenFromRear),
            (Holder::Striker, _) | (Holder::Struck, Facing::Front) => None,
        }
    }

    fn higher_ground(self, role: Holder) -> Option<Circumstance> {
        let why_not = match (self.ask.ground?, role) {
            (Ground::Striker, Holder::Striker) | (Ground::Struck, Holder::Struck) => None,
            (Ground::Both, _) => Some(WhyNot::AskedForBoth),
            (Ground::Striker, Holder::Struck) | (Ground::Struck, Holder::Striker) => return None,
        };
        let by = self.rules.steps.higher_ground;
        Some(step(Cause::HigherGround, Source::Options, by, why_not))
    }
}

/// Whose conditions are looked at: of the unit that throws, or of that which it throws at.
#[derive(Clone, Copy)]
pub(super) enum Whose {
    Own,
    Targets,
}

/// What conditions add to the sum of a key.
pub(super) fn of_conditions(
    conditions: &[&Condition],
    key: Key,
    whose: Whose,
) -> Vec<Circumstance> {
    let counting = conditions.iter().filter(|condition| condition.effects.of(key) != 0);
    counting
        .map(|condition| {
            let source = match (&condition.on, whose) {
                (Reach::Unit(_), Whose::Own) => Source::Unit,
                (Reach::Unit(_), Whose::Targets) => Source::Target,
                (Reach::Side(_), Whose::Own) => Source::Side,
                (Reach::Side(_), Whose::Targets) => Source::TargetSide,
                (Reach::Battle, _) => Source::Battle,
            };
            let by = condition.effects.of(key);
            step(Cause::Condition(condition.name.clone()), source, by, None)
        })
        .collect()
}

/// Dice that conditions add.
pub(super) fn dice_of_conditions(conditions: &[&Condition]) -> Vec<Circumstance> {
    let adding = conditions.iter().filter(|condition| condition.effects.dice > 0);
    let dice = |condition: &&Condition| Circumstance {
        cause: Cause::Condition(condition.name.clone()),
        source: Source::Unit,
        effect: Effect::Dice(condition.effects.dice),
        why_not: None,
    };
    adding.map(dice).collect()
}

/// Steps of one key, held to 3 together either way.
pub(super) fn held(mut steps: Vec<Circumstance>) -> Vec<Circumstance> {
    let sum: i32 = steps.iter().map(Circumstance::step).sum();
    let over = sum - sum.clamp(-TOGETHER, TOGETHER);
    if over != 0 {
        steps.push(step(Cause::Held, Source::Options, -over, None));
    }
    steps
}

/// The most that conditions and what is asked by hand move a key together.
const TOGETHER: i32 = 3;

/// A circumstance that moves a throw by rungs.
pub(super) const fn step(
    cause: Cause,
    source: Source,
    by: i32,
    why_not: Option<WhyNot>,
) -> Circumstance {
    Circumstance { cause, source, effect: Effect::Step(by), why_not }
}

fn meets_mounted(us: Party<'_>, them: Party<'_>) -> bool {
    us.unit.long_spears && them.class.mounted
}
