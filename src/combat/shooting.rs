//! Shooting: one or several units at another, at short or long range.

use super::circumstances::{Whose, held, of_conditions, step, steps};
use super::clash::able;
use super::losses::Loss;
use super::{Dice, ThrowPurpose, fighting, melee, morale, strike};
use crate::battle::{Field, Mistake, TwoSides};
use crate::protocol::{
    Cause, Circumstance, Condition, Cover, Key, ShootAsk, ShootingRuling, Shot, ShotRange, Source,
    Standing, Strike, Unit, UnitResult,
};
use crate::rules::{Class, Matchup, Rules};

/// The most units that shoot in one request.
const SHOOTERS: usize = 20;

/// Shoots as asked: every shooter throws, and the target is tested once.
pub fn shoot(
    rules: &Rules,
    field: &Field,
    ask: &ShootAsk,
    dice: &mut impl Dice,
) -> Result<ShootingRuling, Mistake> {
    let target = field.unit(&ask.target)?;
    if matches!(target.standing, Standing::Left | Standing::Destroyed) {
        let (unit, standing) = (target.name.clone(), target.standing);
        return Err(Mistake::CannotFight { unit, standing });
    }
    let shooters = shooters(field, ask, target)?;
    let target_class = melee::class_of(rules, target)?;
    let aimed = shooters
        .into_iter()
        .map(|shooter| Aimed::new(rules, field, ask, shooter, (target, target_class)))
        .collect::<Result<Vec<_>, _>>()?;
    let mut left = target.now.figures;
    let shots: Vec<Shot> = aimed
        .into_iter()
        .map(|aimed| {
            let shot = aimed.loose(rules, target, target_class, left, dice);
            left -= shot.strike.kills;
            shot
        })
        .collect();
    let lost = target.now.figures - left;
    let after = field.scale.after(target.now, lost);
    let telling = Loss::of(rules, lost, target.now.figures) == Loss::Telling;
    let tried = telling && after.figures > 0 && target.fights() && !target.shot_at;
    let nerve = morale::of_conditions(&field.conditions_of(target));
    let test = tried.then(|| {
        let situation = morale::Situation::alone(rules, field.scale, target, after.figures, &nerve);
        morale::test(rules, target, &situation, dice)
    });
    let outcome = morale::settled(after.figures, test.as_ref().map(|test| test.outcome));
    Ok(ShootingRuling {
        turn: field.turn,
        shot: ask.clone(),
        protection: target_class.protection,
        target: UnitResult {
            unit: target.name.clone(),
            side: target.side.clone(),
            before: target.now,
            after,
            lost,
            killed: 0,
            excess: shots.iter().map(|shot| shot.strike.excess).sum(),
            outcome,
            standing: outcome.standing(target.standing),
        },
        shots,
        morale: test,
    })
}

/// The units that shoot: each once, all of one side, none of the target's.
fn shooters<'a>(field: &'a Field, ask: &ShootAsk, target: &Unit) -> Result<Vec<&'a Unit>, Mistake> {
    if !(1..=SHOOTERS).contains(&ask.shooters.len()) {
        return Err(Mistake::ShooterCount);
    }
    let mut shooters: Vec<&Unit> = Vec::with_capacity(ask.shooters.len());
    for name in &ask.shooters {
        let shooter = able(field, name)?;
        let forbids = |condition: &&Condition| condition.effects.no_shooting;
        if let Some(condition) = field.conditions_of(shooter).into_iter().find(forbids) {
            let (unit, condition) = (shooter.name.clone(), condition.name.clone());
            return Err(Mistake::MayNot { unit, what: "shoot", condition });
        }
        if shooter.side == target.side {
            return Err(Mistake::SameSide(shooter.name.clone(), target.name.clone()));
        }
        if shooters.iter().any(|other| other.name == shooter.name) {
            return Err(Mistake::ShooterTwice(shooter.name.clone()));
        }
        shooters.push(shooter);
    }
    match shooters.iter().find(|shooter| shooter.side != shooters[0].side) {
        Some(other) => Err(Mistake::MixedShooters(TwoSides::new(
            [&shooters[0].name, &shooters[0].side],
            [&other.name, &other.side],
        ))),
        None => Ok(shooters),
    }
}

/// One unit's shot before its dice.
struct Aimed<'a> {
    shooter: &'a Unit,
    class: &'a Class,
    weapon: String,
    power: i32,
    circumstances: Vec<Circumstance>,
    matchup: Matchup,
    fighting: u32,
}

impl<'a> Aimed<'a> {
    fn new(
        rules: &'a Rules,
        field: &Field,
        ask: &ShootAsk,
        shooter: &'a Unit,
        (target, target_class): (&Unit, &Class),
    ) -> Result<Self, Mistake> {
        let (weapon, power) = weapon(rules, shooter, ask.range)?;
        let circumstances = circumstances(rules, field, ask, shooter, target);
        let moved = steps(&circumstances);
        Ok(Self {
            shooter,
            class: melee::class_of(rules, shooter)?,
            weapon,
            power,
            matchup: rules.ladder.matchup_from_rung(power - target_class.protection, moved),
            circumstances,
            fighting: fighting::shooting(rules, field.scale, shooter, shooter.now.figures),
        })
    }

    /// Throws it at a target with so many figures left.
    fn loose(
        self,
        rules: &Rules,
        target: &Unit,
        target_class: &Class,
        left: u32,
        dice: &mut impl Dice,
    ) -> Shot {
        let count = strike::dice(self.matchup.rate, self.fighting);
        let what = ThrowPurpose::Shot { by: &self.shooter.name, at: &target.name };
        let faces = dice.throw(what, count, rules.dice.sides);
        let hits = strike::kills(self.matchup.rate, &faces);
        let kills = hits.min(left);
        let strike = Strike {
            by: self.shooter.name.clone(),
            by_class: self.class.name.clone(),
            at: target.name.clone(),
            at_class: target_class.name.clone(),
            fighting: self.fighting,
            circumstances: self.circumstances,
            matchup: self.matchup,
            leader_dice: 0,
            added_dice: 0,
            dice: count,
            sides: rules.dice.sides,
            faces,
            kills,
            excess: hits - kills,
        };
        Shot { weapon: self.weapon, power: self.power, strike }
    }
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
    field: &Field,
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
        (ask.moved, Cause::Moved, Source::Options, table.moved),
        (fighting::massed(rules, field.scale, target), Cause::Massed, Source::Target, table.massed),
    ]
    .into_iter()
    .filter_map(|(applies, cause, source, by)| applies.then_some(step(cause, source, by, None)))
    .chain(held(of_conditions(&field.conditions_of(shooter), Key::Shoot, Whose::Own)))
    .chain(held(of_conditions(&field.conditions_of(target), Key::Shot, Whose::Targets)))
    .collect()
}
