//! Conditions on the field: setting and lifting them, and which of them count for a unit.

use super::known;
use super::{Field, Mistake, is_name, is_text};
use crate::protocol::{Condition, ConditionAsk, Reach, Unit, Who};
use crate::rules::{KnownCondition, Rules, StandsOn};

/// The most conditions that stand at once.
const CONDITIONS: usize = 200;

/// The condition that is asked for, by `by`.
pub fn condition(
    rules: &Rules,
    field: &Field,
    ask: &ConditionAsk,
    by: Who,
) -> Result<Condition, Mistake> {
    if field.conditions.len() >= CONDITIONS {
        return Err(Mistake::TooManyConditions);
    }
    if let Some(reason) = &ask.reason
        && !is_text(reason, 200)
    {
        return Err(Mistake::BadReason);
    }
    on_field(field, &ask.on)?;
    let effects = match (rules.condition(&ask.name), ask.effects) {
        (Some(known), None) => {
            may_stand(known, &ask.on)?;
            known.effects
        }
        (Some(known), Some(_)) => return Err(Mistake::ConditionKnown(known.name.clone())),
        (None, None) => return Err(known::no_condition(rules, &ask.name)),
        (None, Some(_)) if !is_name(&ask.name) => return Err(Mistake::BadName(ask.name.clone())),
        (None, Some(_)) if ask.reason.is_none() => return Err(Mistake::BadReason),
        (None, Some(effects)) if !effects.any() || !effects.in_range() => {
            return Err(Mistake::BadEffects);
        }
        (None, Some(effects)) => effects,
    };
    // Given again, the later end counts.
    let asked = ask.turns.map(|turns| field.turn.saturating_add(turns.saturating_sub(1)));
    let until = match field.conditions.iter().find(|known| is(known, &ask.name, &ask.on)) {
        Some(known) => known.until.zip(asked).map(|(known, asked)| known.max(asked)),
        None => asked,
    };
    let (name, on, reason) = (ask.name.clone(), ask.on.clone(), ask.reason.clone());
    Ok(Condition { name, on, effects, until, reason, by })
}

/// The condition of that name that stands there.
pub fn standing<'a>(field: &'a Field, name: &str, on: &Reach) -> Result<&'a Condition, Mistake> {
    on_field(field, on)?;
    let known = field.conditions.iter();
    known.clone().find(|known| is(known, name, on)).ok_or_else(|| Mistake::NoSuchCondition {
        name: name.to_owned(),
        known: known.filter(|known| known.on == *on).map(|known| known.name.clone()).collect(),
    })
}

/// Whether it is the condition of that name on that.
pub(super) fn is(condition: &Condition, name: &str, on: &Reach) -> bool {
    condition.name == name && condition.on == *on
}

fn on_field(field: &Field, on: &Reach) -> Result<(), Mistake> {
    match on {
        Reach::Unit(unit) => field.unit(unit).map(drop),
        Reach::Side(side) if !field.sides.contains(side) => {
            Err(Mistake::NoSuchSide { name: side.clone(), known: field.sides.to_vec() })
        }
        Reach::Side(_) | Reach::Battle => Ok(()),
    }
}

fn may_stand(known: &KnownCondition, on: &Reach) -> Result<(), Mistake> {
    let kind = match on {
        Reach::Unit(_) => StandsOn::Unit,
        Reach::Side(_) => StandsOn::Side,
        Reach::Battle => StandsOn::Battle,
    };
    if known.on.contains(&kind) {
        return Ok(());
    }
    let word = |kind: &StandsOn| match kind {
        StandsOn::Unit => "a unit",
        StandsOn::Side => "a side",
        StandsOn::Battle => "the whole battle",
    };
    Err(Mistake::StandsElsewhere {
        name: known.name.clone(),
        on: known.on.iter().map(word).collect::<Vec<_>>().join(" or "),
    })
}

impl Field {
    /// The conditions that count for a unit, each name once: its own, its side's, the battle's.
    pub fn conditions_of(&self, unit: &Unit) -> Vec<&Condition> {
        let mut found: Vec<&Condition> = Vec::new();
        if self.conditions.is_empty() {
            return found;
        }
        for reach in [Reach::Unit(unit.name.clone()), Reach::Side(unit.side.clone()), Reach::Battle]
        {
            for condition in self.conditions.iter().filter(|condition| condition.on == reach) {
                if !found.iter().any(|other| other.name == condition.name) {
                    found.push(condition);
                }
            }
        }
        found
    }
}
