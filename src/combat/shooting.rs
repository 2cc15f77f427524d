//! Shooting: one unit at another, at short or long range.

use super::circumstances::{step, steps};
use super::{Dice, ThrowPurpose, fighting, melee, morale, strike};
use crate::battle::{Field, Mistake};
use crate::protocol::{
    Cause, Circumstance, Cover, ShootAsk, ShootingRuling, ShotRange, Source, Standing, Strike,
    Unit, UnitResult,
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
    let circumstances = circumstances(rules, ask, shooter, target);
    let moved = steps(&circumstances);
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
        circumstances,
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
            circumstances: &[],
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

fn circumstances(
    rules: &Rules,
    ask: &ShootAsk,
    shooter: &Unit,
    target: &Unit,
) -> Vec<Circumstance> {
    let table = &rules.shooting;
    let cover = |cover| ask.cover == Some(cover);
    [
        (cover(Cover::Light), Cause::LightCover, Source::Options, table.light_cover),
        (cover(Cover::Works), Cause::Works, Source::Options, table.works),
        (shooter.shaken(), Cause::Shaken, Source::Unit, table.shaken),
        (fighting::massed(rules, target), Cause::Massed, Source::Target, table.massed),
    ]
    .into_iter()
    .filter_map(|(applies, cause, source, by)| applies.then_some(step(cause, source, by, None)))
    .collect()
}
