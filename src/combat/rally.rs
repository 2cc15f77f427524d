//! Rally: once a turn, out of contact.

use super::{Dice, ThrowPurpose, morale};
use crate::battle::{Field, Mistake};
use crate::protocol::{MoraleCause, RallyOutcome, RallyRuling, Standing, Term};
use crate::rules::Rules;

/// Rallies the unit called `name`.
pub fn rally(
    rules: &Rules,
    field: &Field,
    name: &str,
    dice: &mut impl Dice,
) -> Result<RallyRuling, Mistake> {
    let unit = field.unit(name)?;
    let (needed, success, failure) = match unit.standing {
        Standing::Steady => return Err(Mistake::Steady(unit.name.clone())),
        Standing::Shaken => {
            (rules.rally.steady_on, RallyOutcome::Steady, RallyOutcome::StaysShaken)
        }
        Standing::Routing => (rules.rally.shaken_on, RallyOutcome::Shaken, RallyOutcome::Leaves),
        standing @ (Standing::Left | Standing::Destroyed) => {
            return Err(Mistake::CannotRally { unit: unit.name.clone(), standing });
        }
    };
    if field.engagement_of(&unit.name).is_some() {
        return Err(Mistake::InContact(unit.name.clone()));
    }
    if unit.rallied {
        return Err(Mistake::RalliedAlready(unit.name.clone()));
    }
    let grade = Term { cause: MoraleCause::Grade, by: morale::grade(rules, unit) };
    let leader = Term { cause: MoraleCause::Leader, by: rules.morale.leader };
    let quarters = morale::quarters(rules, unit.muster.figures, unit.figures_lost());
    let lost = Term {
        cause: MoraleCause::Quarters(quarters),
        by: rules.rally.quarter_lost * i32::try_from(quarters).unwrap_or(0),
    };
    let terms =
        [Some(grade), unit.leader.is_some().then_some(leader), (lost.by != 0).then_some(lost)];
    let conditions = morale::of_conditions(&field.conditions_of(unit));
    let terms = terms.into_iter().flatten().chain(conditions).collect();
    let nerve = morale::throw(rules, ThrowPurpose::Rally(&unit.name), terms, dice);
    Ok(RallyRuling {
        turn: field.turn,
        unit: unit.name.clone(),
        before: unit.standing,
        needed,
        outcome: if nerve.score >= needed { success } else { failure },
        nerve,
    })
}
