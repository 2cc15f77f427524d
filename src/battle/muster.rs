//! Mustering and changing units: what the gate let in, held against the rules and the field.

use super::known::{self, exactly, free_name};
use super::together::{FIGURES, MEN, figures_beside, strength};
use super::{Field, Mistake, is_name, led};
use crate::protocol::{Abreast, Change, Muster, Scale, Setting, Standing, Strength, Unit};
use crate::rules::Rules;
use std::sync::Arc;

/// The most units a battle holds.
const UNITS: usize = 200;
/// The most hits of a single.
const HITS: u32 = 60;

/// The unit that a muster asks for.
pub fn muster(rules: &Rules, field: &Field, ask: &Muster) -> Result<Unit, Mistake> {
    let unit = described(rules, field, ask, rules.smallest)?;
    let (men, figures) = (unit.muster.men, unit.muster.figures);
    if !unit.single && figures < rules.smallest && field.scale.men() > 1 {
        return Err(Mistake::TooFew { men, figures, least: rules.smallest, scale: field.scale });
    }
    Ok(unit)
}

/// The same, of any size: a quick ruling may be of one figure. Whoever has none is told that a unit
/// needs `least`.
pub fn described(rules: &Rules, field: &Field, ask: &Muster, least: u32) -> Result<Unit, Mistake> {
    if field.units.len() >= UNITS {
        return Err(Mistake::TooManyUnits);
    }
    let name = free_name(field, &ask.unit)?;
    let side = side(field, &ask.side)?;
    let leader = led::mustered(field, ask, &side)?;
    if leader.as_ref().is_some_and(|leader| leader.name == name) {
        return Err(Mistake::NameTaken(name));
    }
    let mut unit = Unit {
        side,
        class: known::class(rules, &ask.class, exactly)?,
        grade: match &ask.grade {
            Some(name) => known::grade(rules, name, exactly)?,
            None => rules.default_grade().name.clone(),
        },
        long_spears: ask.spears,
        weapon: ask
            .weapon
            .as_deref()
            .map(|name| known::weapon(rules, name, exactly))
            .transpose()?,
        frontage: ask.frontage.map(|front| frontage(field.scale, front)).transpose()?,
        leader,
        single: ask.hits.is_some(),
        muster: Strength { men: 0, figures: 0 },
        now: Strength { men: 0, figures: 0 },
        standing: Standing::Steady,
        rallied: false,
        shot_at: false,
        name,
    };
    unit.muster = match ask.hits {
        Some(hits) => single(&unit, hits, ask.men)?,
        None => strength(field, &unit, &unit, (ask.men, least), |other| other.muster)?,
    };
    unit.now = unit.muster;
    Ok(unit)
}

/// The strength of a single with so many hits.
fn single(unit: &Unit, hits: u32, men: u32) -> Result<Strength, Mistake> {
    if !(1..=HITS).contains(&hits) {
        return Err(Mistake::Hits(hits));
    }
    if men != 0 || unit.frontage.is_some() {
        return Err(Mistake::SingleWith(unit.name.clone()));
    }
    Ok(Strength { men: 0, figures: hits })
}

/// The unit as a change leaves it; the caller has found it by name. Once a roll was `thrown`, fewer
/// men are losses.
pub fn change(
    rules: &Rules,
    field: &Field,
    before: &Unit,
    ask: &Change,
    thrown: bool,
) -> Result<Unit, Mistake> {
    let mut unit = before.clone();
    if let Some(name) = &ask.rename {
        let same = *name == before.name;
        unit.name = if same { name.clone() } else { free_name(field, name)? };
    }
    if let Some(name) = &ask.side {
        unit.side = side(field, name)?;
        if unit.side != before.side && field.engagement_of(&before.name).is_some() {
            return Err(Mistake::InContactForChange(before.name.clone()));
        }
    }
    if let Some(name) = &ask.class {
        unit.class = known::class(rules, name, exactly)?;
    }
    if let Some(name) = &ask.grade {
        unit.grade = known::grade(rules, name, exactly)?;
    }
    if let Some(spears) = ask.spears {
        unit.long_spears = spears;
    }
    if let Some(setting) = &ask.weapon {
        unit.weapon =
            setting.as_option().map(|name| known::weapon(rules, name, exactly)).transpose()?;
    }
    if let Some(setting) = &ask.frontage {
        let front = setting.as_option().copied();
        unit.frontage = front.map(|front| frontage(field.scale, front)).transpose()?;
    }
    unit.leader = led::changed(field, before, ask, &unit.side)?;
    if unit.single && (ask.men.is_some() || unit.frontage.is_some()) {
        return Err(Mistake::SingleWith(unit.name));
    }
    if let Some(men) = ask.men {
        set_men(&mut unit, field, before, (men, rules.smallest), thrown)?;
    } else if !unit.single && (unit.side != before.side || unit.class != before.class) {
        // Its figures are now counted with others'.
        let least = rules.smallest;
        let (muster, now) = (unit.muster.men, unit.now.men);
        unit.muster = strength(field, before, &unit, (muster, least), |other| other.muster)?;
        if now > 0 {
            let left = strength(field, before, &unit, (now, least), |other| other.now)?;
            unit.now = Strength { figures: left.figures.min(unit.muster.figures), ..left };
        }
    }
    if let Some(standing) = ask.standing {
        set_standing(&mut unit, standing)?;
    }
    if unit.now.figures == 0
        && ask.leader.as_ref().is_some_and(|leader| leader.as_option().is_some())
    {
        return Err(Mistake::NoMen(unit.name));
    }
    if unit == *before {
        return Err(Mistake::NothingToChange);
    }
    Ok(unit)
}

/// The side called `name`: a known one, or a new one while there are fewer than two.
fn side(field: &Field, name: &str) -> Result<String, Mistake> {
    let known = field.sides.iter().any(|side| side == name);
    if known || (field.sides.len() < 2 && is_name(name)) {
        return Ok(name.to_owned());
    }
    Err(Mistake::NoSuchSide { name: name.to_owned(), known: field.sides.to_vec() })
}

/// What is left of a unit when so many of its `men` are: figures beside the others of its side and
/// class, but at least one while there are men, and never more than it had.
pub fn left(field: &Field, unit: &Unit, men: u32) -> Strength {
    if men == 0 {
        return Strength { men, figures: 0 };
    }
    let figures = figures_beside(field, unit, unit, men, |other| other.now);
    Strength { men, figures: figures.max(1).min(unit.now.figures) }
}

/// The unit with so many men more, now and at muster: figures beside the others of its side and
/// class, but never fewer than it had.
pub fn reinforced(field: &Field, before: &Unit, men: u32) -> Result<Unit, Mistake> {
    let gone = matches!(before.standing, Standing::Left | Standing::Destroyed);
    if before.single || gone {
        let standing = gone.then_some(before.standing);
        return Err(Mistake::CannotReinforce { unit: before.name.clone(), standing });
    }
    let mustered = before.muster.men.saturating_add(men);
    if men == 0 || mustered > MEN {
        return Err(Mistake::Men(if men == 0 { men } else { mustered }));
    }
    let figures = field.scale.figures(mustered);
    if figures > FIGURES {
        return Err(Mistake::TooManyFigures { men: mustered, figures, scale: field.scale });
    }
    let mut unit = before.clone();
    let at_muster = figures_beside(field, before, before, mustered, |other| other.muster);
    unit.muster.men = mustered;
    unit.muster.figures = at_muster.max(before.muster.figures);
    unit.now.men += men;
    let now = figures_beside(field, before, before, unit.now.men, |other| other.now);
    unit.now.figures = now.min(unit.muster.figures).max(before.now.figures);
    Ok(unit)
}

/// The field at another scale, if every unit can be put in figures there.
pub fn rescaled(field: &Field, scale: Scale) -> Result<Field, Mistake> {
    let mut after = field.clone();
    after.rescale(scale);
    let too_large = |unit: &&Arc<Unit>| !unit.single && unit.muster.figures > FIGURES;
    if let Some(unit) = after.units.iter().find(too_large) {
        let (men, figures) = (unit.muster.men, unit.muster.figures);
        return Err(Mistake::TooManyFigures { men, figures, scale });
    }
    let without = |unit: &&Arc<Unit>| {
        !unit.single && (unit.muster.figures == 0 || (unit.now.figures == 0 && unit.now.men > 0))
    };
    let gone: Vec<String> =
        after.units.iter().filter(without).map(|unit| unit.name.clone()).collect();
    if gone.is_empty() { Ok(after) } else { Err(Mistake::NoFigures { units: gone, scale }) }
}

fn frontage(scale: Scale, figures: u32) -> Result<Abreast, Mistake> {
    if (1..=FIGURES).contains(&figures) {
        Ok(Abreast::of(figures, scale))
    } else {
        Err(Mistake::Frontage(figures))
    }
}

/// Sets the men a unit has now. Before the first roll it is mustered anew.
fn set_men(
    unit: &mut Unit,
    field: &Field,
    before: &Unit,
    (men, least): (u32, u32),
    thrown: bool,
) -> Result<(), Mistake> {
    if men == 0 {
        unit.now = Strength { men: 0, figures: 0 };
        unit.standing = Standing::Destroyed;
        unit.leader = None;
        return Ok(());
    }
    if thrown && men > unit.muster.men {
        let (unit, mustered) = (unit.name.clone(), unit.muster.men);
        return Err(Mistake::MoreThanMustered { unit, men, mustered });
    }
    if !thrown {
        unit.muster = strength(field, before, unit, (men, least), |other| other.muster)?;
    }
    let left = strength(field, before, unit, (men, least), |other| other.now)?;
    unit.now = Strength { figures: left.figures.min(unit.muster.figures), ..left };
    if unit.standing == Standing::Destroyed {
        unit.standing = Standing::Steady;
    }
    Ok(())
}

fn set_standing(unit: &mut Unit, standing: Standing) -> Result<(), Mistake> {
    match (standing, unit.now.figures) {
        (Standing::Destroyed, 0) => {}
        (Standing::Destroyed, _) => return Err(Mistake::DestroyedByHand),
        (_, 0) => return Err(Mistake::NoMen(unit.name.clone())),
        _ => unit.standing = standing,
    }
    Ok(())
}

impl<T> Setting<T> {
    /// The value, if there is to be one.
    pub const fn as_option(&self) -> Option<&T> {
        match self {
            Self::To(value) => Some(value),
            Self::None => None,
        }
    }
}
