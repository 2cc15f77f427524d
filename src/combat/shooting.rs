//! Shooting: one unit at another, at short or long range.

use super::{Dice, ThrowPurpose, fighting, melee, morale, strike};
use crate::battle::{Field, Mistake};
use crate::protocol::{
    Cause, Cover, ShootAsk, ShootingRuling, ShotRange, Standing, Step, Strike, Unit, UnitResult,
};
use crate::rules::Rules;

/// Shoots as asked.
pub fn shoot(
    rules: &Rules,
    field: &Field,
    ask: &ShootAsk,
    dice: &mut impl Dice,
) -> Result<ShootingRuling, Mistake> {
    let shooter = melee::able(field, &ask.shooter)?;
    let target = field.unit(&ask.target)?;
    if matches!(target.standing, Standing::Left | Standing::Destroyed) {
        let (unit, standing) = (target.name.clone(), target.standing);
        return Err(Mistake::CannotFight { unit, standing });
    }
    if shooter.side == target.side {
        return Err(Mistake::SameSide(shooter.name.clone(), target.name.clone()));
    }
    let (weapon, power) = weapon(rules, shooter, ask.range)?;
    let shooter_class = melee::class_of(rules, shooter)?;
    let target_class = melee::class_of(rules, target)?;
    let steps = steps(rules, ask, shooter, target);
    let moved = steps.iter().map(|step| step.by).sum();
    let matchup = rules.ladder.matchup_from_rung(power - target_class.protection, moved);
    let fighting = fighting::shooting(rules, shooter, shooter.now.figures);
    let count = strike::dice(matchup.rate, fighting, rules.dice.minimum);
    let what = ThrowPurpose::Shot { by: &shooter.name, at: &target.name };
    let faces = dice.throw(what, count, rules.dice.sides);
    let hits = strike::kills(matchup.rate, &faces);
    let lost = hits.min(target.now.figures);
    let strike = Strike {
        by: shooter.name.clone(),
        by_class: shooter_class.name.clone(),
        at: target.name.clone(),
        at_class: target_class.name.clone(),
        fighting,
        steps,
        matchup,
        leader_dice: 0,
        dice: count,
        sides: rules.dice.sides,
        faces,
        kills: lost,
        excess: hits - lost,
    };
    let after = field.scale.after(target.now, lost);
    let test = (lost > 0 && after.figures > 0 && target.fights()).then(|| {
        let situation = morale::Situation {
            grade: morale::grade(rules, target),
            leader: target.leader.is_some(),
            muster: target.muster.figures,
            left: after.figures,
            melee: None,
        };
        morale::test(rules, target, &situation, dice)
    });
    let outcome = morale::settled(after.figures, test.as_ref().map(|test| test.outcome));
    Ok(ShootingRuling {
        turn: field.turn,
        shot: ShootAsk {
            shooter: shooter.name.clone(),
            target: target.name.clone(),
            ..ask.clone()
        },
        weapon,
        power,
        protection: target_class.protection,
        target: UnitResult {
            unit: target.name.clone(),
            side: target.side.clone(),
            before: target.now,
            after,
            lost,
            killed: 0,
            excess: strike.excess,
            outcome,
            standing: outcome.standing(target.standing),
        },
        strike,
        morale: test,
    })
}

fn weapon(rules: &Rules, shooter: &Unit, range: ShotRange) -> Result<(String, i32), Mistake> {
    let weapon = shooter
        .weapon
        .as_deref()
        .and_then(|name| rules.weapon(name))
        .ok_or_else(|| Mistake::NoWeapon(shooter.name.clone()))?;
    let power = match range {
        ShotRange::Short => weapon.short,
        ShotRange::Long => {
            weapon.long.ok_or_else(|| Mistake::OutOfRange { weapon: weapon.name.clone() })?
        }
    };
    Ok((weapon.name.clone(), power))
}

fn steps(rules: &Rules, ask: &ShootAsk, shooter: &Unit, target: &Unit) -> Vec<Step> {
    let table = &rules.shooting;
    [
        (ask.cover == Some(Cover::Light), Cause::LightCover, table.light_cover),
        (ask.cover == Some(Cover::Works), Cause::Works, table.works),
        (shooter.shaken(), Cause::Shaken, table.shaken),
        (fighting::massed(rules, target), Cause::Massed, table.massed),
    ]
    .into_iter()
    .filter_map(|(applies, cause, by)| applies.then_some(Step { cause, by }))
    .collect()
}
