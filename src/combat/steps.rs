//! Steps along the ladder: each situation of a contact, for each of its two throws on its own.
//!
//! To add a situation: give it a key in `rules::Steps`, a [`Cause`] and a line here.

use crate::protocol::{Cause, ContactAsk, Facing, Holder, Step, Unit};
use crate::rules::{Class, Rules};

/// One unit of a contact, as the steps see it.
#[derive(Clone, Copy)]
pub(super) struct Party<'a> {
    pub unit: &'a Unit,
    pub class: &'a Class,
    pub role: Holder,
}

/// The steps of `us` throwing at `them`; charges count while `first_round`.
pub(super) fn steps(
    rules: &Rules,
    contact: &ContactAsk,
    us: Party<'_>,
    them: Party<'_>,
    first_round: bool,
) -> Vec<Step> {
    let table = &rules.steps;
    let mut steps = Vec::new();
    let mut step = |applies: bool, cause: Cause, by: i32| {
        if applies {
            steps.push(Step { cause, by });
        }
    };
    let striking = us.role == Holder::Striker;
    let charges = first_round && if striking { contact.charge } else { contact.countercharge };
    let into_spears = spears_set(contact, them) && us.class.mounted;
    step(charges && !into_spears, Cause::Charge, table.charge);
    step(charges && into_spears, Cause::ChargeLost, 0);
    step(into_spears, Cause::AgainstLongSpears, table.against_long_spears);
    step(spears_set(contact, us) && them.class.mounted, Cause::LongSpears, table.long_spears);
    match (contact.facing, striking) {
        (Facing::Front, _) => {}
        (Facing::Flank, true) => step(true, Cause::Flank, table.flank),
        (Facing::Flank, false) => step(true, Cause::StruckFlank, table.struck_flank),
        (Facing::Rear, true) => step(true, Cause::Rear, table.rear),
        (Facing::Rear, false) => step(true, Cause::StruckRear, table.struck_rear),
    }
    step(contact.ground == Some(us.role), Cause::HigherGround, table.higher_ground);
    step(contact.obstacle == Some(them.role), Cause::Obstacle, table.obstacle);
    step(us.unit.shaken(), Cause::Shaken, table.shaken);
    steps
}

/// Whether a unit's long spears count: it is not shaken, and it meets the other on its own front.
fn spears_set(contact: &ContactAsk, party: Party<'_>) -> bool {
    let own_front = party.role == Holder::Striker || contact.facing == Facing::Front;
    party.unit.long_spears && !party.unit.shaken() && own_front
}
