//! Harm from elsewhere (a spell, fire, a trap), and a test of nerve on demand.

use super::losses::Loss;
use super::{Dice, ThrowPurpose, morale};
use crate::battle::{Field, Mistake, dice_in_order, muster};
use crate::protocol::{
    HarmAsk, HarmHow, HarmRuling, HarmThrow, MoraleTest, NerveRuling, Standing, Strength, Unit,
    UnitResult,
};
use crate::rules::Rules;

/// The most dice of one harm.
const DICE: u32 = 200;
/// The most men of one harm that throws none.
const MEN: u32 = 100_000;
/// The most figures of one harm that throws none.
const FIGURES: u32 = 1000;

/// Harms a unit as asked, and tests its nerve as after shooting.
pub fn harm(
    rules: &Rules,
    field: &Field,
    ask: &HarmAsk,
    dice: &mut impl Dice,
) -> Result<HarmRuling, Mistake> {
    let unit = field.unit(&ask.unit)?;
    if let standing @ (Standing::Left | Standing::Destroyed) = unit.standing {
        return Err(Mistake::CannotHarm { unit: unit.name.clone(), standing });
    }
    in_range(rules, unit, &ask.how)?;
    let thrown = throw(rules, ask, dice);
    let (after, excess) = after(field, unit, &ask.how, &thrown);
    let lost = unit.now.figures - after.figures;
    let telling = Loss::of(rules, lost, unit.now.figures) == Loss::Telling;
    let tried = telling && after.figures > 0 && unit.fights();
    let test = tried.then(|| test(rules, field, unit, after.figures, dice));
    let outcome = morale::settled(after.figures, test.as_ref().map(|test| test.outcome));
    Ok(HarmRuling {
        turn: field.turn,
        harm: ask.clone(),
        thrown,
        target: UnitResult {
            unit: unit.name.clone(),
            side: unit.side.clone(),
            before: unit.now,
            after,
            lost,
            killed: 0,
            excess,
            outcome,
            standing: outcome.standing(unit.standing),
        },
        morale: test,
    })
}

/// Tests a unit's nerve, for that reason.
pub fn nerve(
    rules: &Rules,
    field: &Field,
    name: &str,
    reason: &str,
    dice: &mut impl Dice,
) -> Result<NerveRuling, Mistake> {
    let unit = field.unit(name)?;
    if !unit.fights() {
        return Err(Mistake::NoNerve { unit: unit.name.clone(), standing: unit.standing });
    }
    let morale = test(rules, field, unit, unit.now.figures, dice);
    Ok(NerveRuling { turn: field.turn, reason: reason.to_owned(), morale })
}

/// Tests a unit that has `left` figures, by its own circumstances alone.
fn test(rules: &Rules, field: &Field, unit: &Unit, left: u32, dice: &mut impl Dice) -> MoraleTest {
    let nerve = morale::of_conditions(&field.conditions_of(unit));
    let situation = morale::Situation::alone(rules, field.scale, unit, left, &nerve);
    morale::test(rules, unit, &situation, dice)
}

/// Whether so much harm can be done to the unit.
fn in_range(rules: &Rules, unit: &Unit, how: &HarmHow) -> Result<(), Mistake> {
    let within = |asked, most| {
        if (1..=most).contains(&asked) { Ok(()) } else { Err(Mistake::HarmRange) }
    };
    if unit.single && matches!(how, HarmHow::MenThrown(_) | HarmHow::Men(_)) {
        return Err(Mistake::NoMenToHarm(unit.name.clone()));
    }
    match how {
        HarmHow::Dice { dice, kills_on } => {
            within(*dice, DICE)?;
            let (kills_on, sides) = (*kills_on, rules.dice.sides);
            let shown = (1..=sides).contains(&kills_on);
            if shown { Ok(()) } else { Err(Mistake::HarmKillsOn { kills_on, sides }) }
        }
        HarmHow::MenThrown(dice) => dice_in_order(dice),
        HarmHow::Men(men) => within(*men, MEN),
        HarmHow::Figures(figures) => within(*figures, FIGURES),
    }
}

/// Throws what is to be thrown for it.
fn throw(rules: &Rules, ask: &HarmAsk, dice: &mut impl Dice) -> Vec<HarmThrow> {
    let mut throw = |count, sides| {
        let faces = dice.throw(ThrowPurpose::Harm(&ask.unit), count, sides);
        HarmThrow { sides, faces }
    };
    match &ask.how {
        HarmHow::Dice { dice, .. } => vec![throw(*dice, rules.dice.sides)],
        HarmHow::MenThrown(kinds) => {
            kinds.iter().map(|kind| throw(kind.count, kind.sides)).collect()
        }
        HarmHow::Men(_) | HarmHow::Figures(_) => Vec::new(),
    }
}

/// What it leaves of the unit, and the figures that it would have killed past its strength.
///
/// Men who fall leave figures by the men that are left; figures take their men with them.
fn after(field: &Field, unit: &Unit, how: &HarmHow, thrown: &[HarmThrow]) -> (Strength, u32) {
    let of_figures = |figures: u32| {
        let excess = figures.saturating_sub(unit.now.figures);
        (field.scale.after(unit.now, figures), excess)
    };
    let of_men = |men: u32| (muster::left(field, unit, unit.now.men.saturating_sub(men)), 0);
    match how {
        HarmHow::Dice { kills_on, .. } => {
            let kill = |throw: &HarmThrow| {
                throw.faces.iter().map(|face| u32::from(face >= kills_on)).sum::<u32>()
            };
            of_figures(thrown.iter().map(kill).sum())
        }
        HarmHow::MenThrown(_) => of_men(thrown.iter().map(HarmThrow::total).sum()),
        HarmHow::Men(men) => of_men(*men),
        HarmHow::Figures(figures) => of_figures(*figures),
    }
}
