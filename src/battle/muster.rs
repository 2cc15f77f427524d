//! Mustering and changing units: what is asked, held against the rules and the field.

use super::{Field, Mistake, find, fold_case, same_name};
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
    if leader.as_deref().is_some_and(|leader| same_name(leader, &name)) {
        return Err(Mistake::NameTaken(name));
    }
    Ok(Unit {
        side: side(field, &ask.side)?,
        class: class(rules, &ask.class)?,
        grade: match &ask.grade {
            Some(name) => grade(rules, name)?,
            None => rules.default_grade().name.clone(),
        },
        long_spears: ask.spears,
        weapon: ask.weapon.as_deref().map(|name| weapon(rules, name)).transpose()?,
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
        unit.name =
            if same_name(name, &before.name) { name_of(name)? } else { free_name(field, name)? };
    }
    if let Some(name) = &ask.side {
        unit.side = side(field, name)?;
        if unit.side != before.side && field.engagement_of(&before.name).is_some() && !ask.apart {
            return Err(Mistake::InContactForChange(before.name.clone()));
        }
    }
    if let Some(name) = &ask.class {
        unit.class = class(rules, name)?;
    }
    if let Some(name) = &ask.grade {
        unit.grade = grade(rules, name)?;
    }
    if let Some(spears) = ask.spears {
        unit.long_spears = spears;
    }
    if let Some(setting) = &ask.weapon {
        unit.weapon = setting.as_option().map(|name| weapon(rules, name)).transpose()?;
    }
    if let Some(setting) = &ask.frontage {
        unit.frontage = setting.as_option().copied().map(frontage).transpose()?;
    }
    if let Some(setting) = &ask.leader {
        unit.leader = match setting.as_option() {
            None => None,
            Some(name) if before.leader.as_deref().is_some_and(|l| same_name(l, name)) => {
                Some(name_of(name)?)
            }
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

/// A name for something new, tidied; refused if it cannot be one.
pub fn name_of(name: &str) -> Result<String, Mistake> {
    let name = name.trim();
    let length = name.chars().count();
    let quoted = name.contains(['"', '“', '”', '„', '«', '»', '\\']) || name.contains(": ");
    let taken = ["and", "none"].contains(&fold_case(name).as_str());
    let option = name.starts_with(['-', '@', '#']);
    if !(1..=40).contains(&length) || quoted || taken || option || name.chars().any(invisible) {
        return Err(Mistake::BadName(name.chars().filter(|c| !invisible(*c)).take(60).collect()));
    }
    Ok(name.to_owned())
}

/// Text of one line, tidied; none if it is empty, too long or holds what cannot be seen.
pub fn text_of(text: &str, most: usize) -> Option<String> {
    let text = text.trim();
    let fits = (1..=most).contains(&text.chars().count());
    (fits && !text.chars().any(invisible)).then(|| text.to_owned())
}

/// Line breaks, control characters, spaces without width, and marks that turn the direction of
/// what follows. The joiners that scripts and emoji need are none of these.
fn invisible(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
        || matches!(c, '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{061c}' | '\u{2060}' | '\u{feff}')
}

fn free_name(field: &Field, name: &str) -> Result<String, Mistake> {
    let name = name_of(name)?;
    match field.taken(&name) {
        Some(taken) => Err(Mistake::NameTaken(taken.to_owned())),
        None => Ok(name),
    }
}

fn leader(field: &Field, unit: &Unit, name: &str) -> Result<String, Mistake> {
    match field.free_leaders.iter().find(|free| same_name(&free.name, name)) {
        Some(free) if free.side == unit.side => Ok(free.name.clone()),
        Some(free) => Err(Mistake::OtherSidesLeader {
            leader: free.name.clone(),
            of: free.side.clone(),
            unit: unit.name.clone(),
            side: unit.side.clone(),
        }),
        None => free_name(field, name),
    }
}

/// The side called `name`: a known one, or a new one while there are fewer than two.
fn side(field: &Field, name: &str) -> Result<String, Mistake> {
    match find(name, field.sides.iter(), |side| side) {
        Ok(side) => Ok(side.clone()),
        Err(_) if field.sides.len() < 2 => name_of(name),
        Err(_) => Err(Mistake::NoSuchSide { name: name.to_owned(), known: field.sides.to_vec() }),
    }
}

fn class(rules: &Rules, name: &str) -> Result<String, Mistake> {
    named("class", name, rules.classes.iter().map(|class| &class.name))
}

fn grade(rules: &Rules, name: &str) -> Result<String, Mistake> {
    named("grade", name, rules.grades.iter().map(|grade| &grade.name))
}

fn weapon(rules: &Rules, name: &str) -> Result<String, Mistake> {
    named("missile weapon", name, rules.weapons.iter().map(|weapon| &weapon.name))
}

fn named<'a>(
    kind: &'static str,
    name: &str,
    known: impl Iterator<Item = &'a String> + Clone,
) -> Result<String, Mistake> {
    known.clone().find(|known| same_name(known, name)).cloned().ok_or_else(|| Mistake::NotInRules {
        kind,
        name: name.to_owned(),
        known: known.cloned().collect(),
    })
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
