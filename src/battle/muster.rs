//! Mustering and changing units: what the gate let in, held against the rules and the field.

use super::known::{self, exactly};
use super::{Field, FreeLeader, Mistake, TwoSides, is_name};
use crate::protocol::{Change, Muster, Scale, Setting, Standing, Strength, Unit};
use crate::rules::Rules;

/// The most units a battle holds.
const UNITS: usize = 200;
/// The most figures a unit has.
const FIGURES: u32 = 1000;
/// The most men a unit has.
const MEN: u32 = 100_000;

/// The unit that a muster asks for.
pub fn muster(rules: &Rules, field: &Field, ask: &Muster) -> Result<Unit, Mistake> {
    if field.units.len() >= UNITS {
        return Err(Mistake::TooManyUnits);
    }
    let strength = strength(field.scale, ask.men)?;
    let name = free_name(field, &ask.unit)?;
    let leader = ask.leader.as_deref().map(|leader| free_name(field, leader)).transpose()?;
    if leader.as_ref() == Some(&name) {
        return Err(Mistake::NameTaken(name));
    }
    Ok(Unit {
        side: side(field, &ask.side)?,
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
        frontage: ask.frontage.map(frontage).transpose()?,
        leader,
        muster: strength,
        now: strength,
        standing: Standing::Steady,
        rallied: false,
        name,
    })
}

/// The unit as a change leaves it; the caller has found it by name.
pub fn change(rules: &Rules, field: &Field, before: &Unit, ask: &Change) -> Result<Unit, Mistake> {
    let mut unit = before.clone();
    if let Some(name) = &ask.rename {
        let same = *name == before.name;
        unit.name = if same { name.clone() } else { free_name(field, name)? };
    }
    if let Some(name) = &ask.side {
        unit.side = side(field, name)?;
        if unit.side != before.side && field.engagement_of(&before.name).is_some() && !ask.apart {
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
        unit.frontage = setting.as_option().copied().map(frontage).transpose()?;
    }
    if let Some(setting) = &ask.leader {
        unit.leader = match setting.as_option() {
            None => None,
            Some(name) if before.leader.as_ref() == Some(name) => Some(name.clone()),
            Some(name) => Some(leader(field, before, name)?),
        };
    }
    if let Some(men) = ask.men {
        set_men(&mut unit, field.scale, men)?;
    }
    if let Some(standing) = ask.standing {
        set_standing(&mut unit, standing)?;
    }
    if unit.now.figures == 0
        && ask.leader.as_ref().is_some_and(|leader| leader.as_option().is_some())
    {
        return Err(Mistake::NoMen(unit.name));
    }
    let parted = ask.apart && field.engagement_of(&before.name).is_some();
    if unit == *before && !parted {
        return Err(Mistake::NothingToChange);
    }
    Ok(unit)
}

fn free_name(field: &Field, name: &str) -> Result<String, Mistake> {
    if !is_name(name) {
        return Err(Mistake::BadName(name.to_owned()));
    }
    match field.names().find(|taken| *taken == name) {
        Some(taken) => Err(Mistake::NameTaken(taken.to_owned())),
        None => Ok(name.to_owned()),
    }
}

fn leader(field: &Field, unit: &Unit, name: &str) -> Result<String, Mistake> {
    match field.free_leaders.iter().find(|free| free.name == name) {
        Some(free) if free.side == unit.side => Ok(free.name.clone()),
        Some(free) => Err(other_sides(free, unit)),
        None => free_name(field, name),
    }
}

/// That a free leader and a unit are of different sides.
pub fn other_sides(free: &FreeLeader, unit: &Unit) -> Mistake {
    Mistake::OtherSidesLeader(TwoSides::new([&free.name, &free.side], [&unit.name, &unit.side]))
}

/// The side called `name`: a known one, or a new one while there are fewer than two.
fn side(field: &Field, name: &str) -> Result<String, Mistake> {
    let known = field.sides.iter().any(|side| side == name);
    if known || (field.sides.len() < 2 && is_name(name)) {
        return Ok(name.to_owned());
    }
    Err(Mistake::NoSuchSide { name: name.to_owned(), known: field.sides.to_vec() })
}

fn strength(scale: Scale, men: u32) -> Result<Strength, Mistake> {
    if !(1..=MEN).contains(&men) {
        return Err(Mistake::Men(men));
    }
    let figures = scale.figures(men);
    if figures > FIGURES {
        return Err(Mistake::TooManyFigures { men, figures, scale });
    }
    Ok(Strength { men, figures })
}

/// Whether every unit's muster can be put in figures at `scale`.
pub fn fits(field: &Field, scale: Scale) -> Result<(), Mistake> {
    field.units.iter().try_for_each(|unit| strength(scale, unit.muster.men).map(drop))
}

fn frontage(figures: u32) -> Result<u32, Mistake> {
    if (1..=FIGURES).contains(&figures) { Ok(figures) } else { Err(Mistake::Frontage(figures)) }
}

/// Sets the men a unit has now; one without losses, or with more than at muster, is mustered anew.
fn set_men(unit: &mut Unit, scale: Scale, men: u32) -> Result<(), Mistake> {
    if men == 0 {
        unit.now = Strength { men: 0, figures: 0 };
        unit.standing = Standing::Destroyed;
        unit.leader = None;
        return Ok(());
    }
    let strength = strength(scale, men)?;
    if unit.men_lost() == 0 || men > unit.muster.men {
        unit.muster = strength;
    }
    unit.now = strength;
    if unit.standing == Standing::Destroyed {
        unit.standing = Standing::Steady;
    }
    Ok(())
}

fn set_standing(unit: &mut Unit, standing: Standing) -> Result<(), Mistake> {
    match (standing, unit.now.men) {
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
