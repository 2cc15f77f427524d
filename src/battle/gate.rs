//! The gate: what was asked, with every name as the battle and its rules spell it.
//!
//! People forget capitals and leave spaces behind; a record must not depend on how any release
//! compares two letters. So names are matched here, once, with the tables of Unicode that this
//! release has, and the event holds what came of it. What is decided and audited afterwards
//! compares bytes.
//!
//! Nothing that hides comes in here, and no new name that people would take for another one.

use super::names::{find, fold_case, look_alike, poses_as, same_name};
use super::{Battle, Field, Mistake, known};
use crate::protocol::{
    Change, ConditionAsk, ContactAsk, Described, DuelAsk, HarmAsk, MeleeAsk, Muster, Open,
    QuickAsk, Reach, Request, Setting, ShootAsk, Who,
};
use crate::rules::Rules;
use crate::text::{harmless, hides, joins};

/// A request of `by` for the battle that is open, as it is to be recorded.
///
/// # Errors
/// A name that is nobody's, or cannot be one.
pub fn admit(
    battle: &Battle,
    rules: &Rules,
    by: Who,
    request: &Request,
) -> Result<Request, Mistake> {
    let field = &battle.field;
    Ok(match request {
        Request::Open(ask) => Request::Open(opening(ask)?),
        Request::Side { name } => Request::Side { name: new_side(field, name)? },
        Request::Muster(ask) => Request::Muster(muster(rules, field, ask)?),
        Request::Change(ask) => Request::Change(change(rules, field, ask)?),
        Request::Dismiss { unit } => Request::Dismiss { unit: unit_called(field, unit)? },
        Request::Attach { leader, unit } => {
            let (leader, unit) = (leader_called(field, leader)?, unit_called(field, unit)?);
            Request::Attach { leader, unit }
        }
        Request::Detach { unit } => Request::Detach { unit: unit_called(field, unit)? },
        Request::Lead { unit, back } => {
            Request::Lead { unit: unit_called(field, unit)?, back: *back }
        }
        Request::Melee(ask) => {
            let contacts = contacts(field, &ask.contacts)?;
            Request::Melee(MeleeAsk { contacts, cast: ask.cast })
        }
        Request::Again { unit } => {
            Request::Again { unit: optional(unit.as_deref(), |unit| unit_called(field, unit))? }
        }
        Request::Shoot(ask) => Request::Shoot(ShootAsk {
            shooters: ask
                .shooters
                .iter()
                .map(|shooter| unit_called(field, shooter))
                .collect::<Result<_, _>>()?,
            target: unit_called(field, &ask.target)?,
            ..ask.clone()
        }),
        Request::Rally { unit } => Request::Rally { unit: unit_called(field, unit)? },
        Request::Duel(ask) => {
            let leaders = duelists(field, &ask.leaders)?;
            Request::Duel(DuelAsk { leaders, ..ask.clone() })
        }
        Request::Quick(ask) => Request::Quick(quick(rules, ask)?),
        Request::Throw { dice, purpose } => {
            let purpose =
                optional(purpose.as_deref(), |purpose| text_of(purpose, 80, Mistake::BadPurpose))?;
            Request::Throw { dice: dice.clone(), purpose }
        }
        Request::Word { name, text } => {
            let name = word_s_name(battle, by, name)?;
            Request::Word { name, text: text_of(text, 80, Mistake::BadWord)? }
        }
        Request::Cast { text } => Request::Cast { text: text_of(text, 80, Mistake::BadCast)? },
        Request::Condition(ask) => Request::Condition(condition(rules, field, ask)?),
        Request::Lift { name, on } => {
            let on = reach(field, on)?;
            let mut standing = field.conditions.iter().filter(|known| known.on == on);
            let name = match standing.find(|known| same_name(&known.name, name)) {
                Some(known) => known.name.clone(),
                None => name_of(name)?,
            };
            Request::Lift { name, on }
        }
        Request::Part { unit, from, reason } => Request::Part {
            unit: unit_called(field, unit)?,
            from: optional(from.as_deref(), |from| unit_called(field, from))?,
            reason: text_of(reason, 200, Mistake::BadReason)?,
        },
        Request::Harm(ask) => Request::Harm(HarmAsk {
            unit: unit_called(field, &ask.unit)?,
            reason: text_of(&ask.reason, 200, Mistake::BadReason)?,
            ..ask.clone()
        }),
        Request::Nerve { unit, reason } => Request::Nerve {
            unit: unit_called(field, unit)?,
            reason: text_of(reason, 200, Mistake::BadReason)?,
        },
        Request::Reinforce { unit, men, reason } => Request::Reinforce {
            unit: unit_called(field, unit)?,
            men: *men,
            reason: text_of(reason, 200, Mistake::BadReason)?,
        },
        Request::Undo { reason } => {
            Request::Undo { reason: text_of(reason, 200, Mistake::BadReason)? }
        }
        Request::Appoint { who, side } => {
            Request::Appoint { who: *who, side: of_side(field, side.as_deref())? }
        }
        Request::Relieve { who, side } => {
            Request::Relieve { who: *who, side: of_side(field, side.as_deref())? }
        }
        Request::Rescale { .. } | Request::Turn | Request::Close | Request::Reopen { .. } => {
            request.clone()
        }
    })
}

/// An opening, as it is to be recorded.
///
/// # Errors
/// A name that cannot be one, or a side named twice.
pub fn opening(ask: &Open) -> Result<Open, Mistake> {
    let mut sides: Vec<String> = Vec::new();
    for side in &ask.sides {
        let side = apart(name_of(side)?, sides.iter().map(String::as_str), Mistake::SideTaken)?;
        sides.push(side);
    }
    Ok(Open { name: name_of(&ask.name)?, sides, ..ask.clone() })
}

/// A quick ruling, as it is to be recorded.
///
/// # Errors
/// A class or a grade that the rules do not know.
pub fn quick(rules: &Rules, ask: &QuickAsk) -> Result<QuickAsk, Mistake> {
    let described = |described: &Described| {
        Ok::<_, Mistake>(Described {
            class: known::class(rules, &described.class, same_name)?,
            grade: optional(described.grade.as_deref(), |name| {
                known::grade(rules, name, same_name)
            })?,
            ..described.clone()
        })
    };
    let (striker, struck) = (described(&ask.striker)?, described(&ask.struck)?);
    Ok(QuickAsk { striker, struck, how: how(&ask.how)?, scale: ask.scale })
}

/// A muster, as it is to be recorded.
///
/// # Errors
/// A name that is taken or cannot be one, or that the rules do not know.
pub fn muster(rules: &Rules, field: &Field, ask: &Muster) -> Result<Muster, Mistake> {
    let unit = new_name(field, &ask.unit)?;
    let leader = optional(ask.leader.as_deref(), |leader| {
        apart(new_name(field, leader)?, [unit.as_str()].into_iter(), Mistake::NameTaken)
    })?;
    Ok(Muster {
        side: side(field, &ask.side)?,
        class: known::class(rules, &ask.class, same_name)?,
        grade: optional(ask.grade.as_deref(), |name| known::grade(rules, name, same_name))?,
        weapon: optional(ask.weapon.as_deref(), |name| known::weapon(rules, name, same_name))?,
        unit,
        leader,
        ..ask.clone()
    })
}

/// Contacts, as they are to be recorded.
///
/// # Errors
/// A name that is no unit's.
pub fn contacts(field: &Field, asks: &[ContactAsk]) -> Result<Vec<ContactAsk>, Mistake> {
    let contact = |ask: &ContactAsk| {
        Ok(ContactAsk {
            striker: unit_called(field, &ask.striker)?,
            struck: unit_called(field, &ask.struck)?,
            ..how(ask)?
        })
    };
    asks.iter().map(contact).collect()
}

/// How two units meet, with the reason of what is asked by hand tidied.
fn how(ask: &ContactAsk) -> Result<ContactAsk, Mistake> {
    let why = optional(ask.why.as_deref(), |why| text_of(why, 200, Mistake::BadSteps))?;
    Ok(ContactAsk { why, ..ask.clone() })
}

/// A condition, as it is to be recorded.
fn condition(rules: &Rules, field: &Field, ask: &ConditionAsk) -> Result<ConditionAsk, Mistake> {
    let name = match known::condition(rules, &ask.name, same_name) {
        Some(known) => known,
        None => name_of(&ask.name)?,
    };
    let reason = optional(ask.reason.as_deref(), |why| text_of(why, 200, Mistake::BadReason))?;
    Ok(ConditionAsk { name, on: reach(field, &ask.on)?, reason, ..ask.clone() })
}

/// On what a condition stands, as the battle spells it.
fn reach(field: &Field, on: &Reach) -> Result<Reach, Mistake> {
    Ok(match on {
        Reach::Unit(unit) => Reach::Unit(unit_called(field, unit)?),
        Reach::Side(side) => {
            Reach::Side(of_side(field, Some(side))?.unwrap_or_else(|| side.clone()))
        }
        Reach::Battle => Reach::Battle,
    })
}

/// The name, as the battle spells it, of the unit meant by `name`.
///
/// # Errors
/// If it is nobody's; the nearest name is offered.
pub fn unit_called(field: &Field, name: &str) -> Result<String, Mistake> {
    let found = find(name, field.units.iter(), |unit| &unit.name);
    found.map(|unit| unit.name.clone()).map_err(|meant| Mistake::NoSuchUnit {
        name: name.to_owned(),
        meant: meant.map(|unit| unit.name.clone()),
    })
}

/// A name for something new, tidied.
///
/// # Errors
/// If it cannot be one.
pub fn name_of(name: &str) -> Result<String, Mistake> {
    let name = open_to_view(name)?;
    let taken = ["and", "none"].contains(&fold_case(name).as_str());
    if taken || !super::names::is_name(name) {
        return Err(Mistake::BadName(name.chars().take(60).collect()));
    }
    Ok(name.to_owned())
}

/// The name of a new battle, tidied, where those are known.
///
/// # Errors
/// If it cannot be one, is taken, or looks like one of them.
pub fn battle_s_name<'a>(
    name: &str,
    known: impl Iterator<Item = &'a str> + Clone,
) -> Result<String, Mistake> {
    apart(name_of(name)?, known, Mistake::BattleNameTaken)
}

/// Text of one line, tidied; what is wrong with it if it is empty or too long.
fn text_of(text: &str, most: usize, wrong: Mistake) -> Result<String, Mistake> {
    let text = open_to_view(text)?;
    if super::names::is_text(text, most) { Ok(text.to_owned()) } else { Err(wrong) }
}

/// The text without what stands around it, if nothing in it hides.
fn open_to_view(text: &str) -> Result<&str, Mistake> {
    let text = text.trim();
    let empty = !text.is_empty() && text.chars().all(|c| c == ' ' || joins(c));
    if empty || text.chars().any(hides) {
        let start: String = text.chars().take(60).collect();
        return Err(Mistake::Hidden(if empty { String::new() } else { harmless(&start) }));
    }
    Ok(text)
}

/// A new name, if nobody takes it for one of those `known`.
fn apart<'a>(
    name: String,
    known: impl Iterator<Item = &'a str> + Clone,
    taken: impl Fn(String) -> Mistake,
) -> Result<String, Mistake> {
    if let Some(same) = known.clone().find(|known| same_name(known, &name)) {
        return Err(taken(same.to_owned()));
    }
    match { known }.find(|known| look_alike(known, &name)) {
        Some(like) => Err(Mistake::TooLike { name, like: like.to_owned() }),
        None => Ok(name),
    }
}

/// The name under which somebody gives a word: as it is written already, or a new one that is
/// nobody else's and poses as nobody else.
fn word_s_name(battle: &Battle, by: Who, name: &str) -> Result<String, Mistake> {
    let name = name_of(name)?;
    if let Some(known) = battle.words.iter().find(|given| same_name(&given.word.name, &name)) {
        return Ok(known.word.name.clone());
    }
    if let Some(like) = poses_as(&name) {
        return Err(Mistake::TooLike { name, like });
    }
    // Their own may be like the one they had: it takes its place.
    let others = battle.words.iter().filter(|given| !given.belongs_to(by, &name));
    match { others }.find(|given| look_alike(&given.word.name, &name)) {
        Some(other) => Err(Mistake::TooLike { name, like: other.word.name.clone() }),
        None => Ok(name),
    }
}

fn change(rules: &Rules, field: &Field, ask: &Change) -> Result<Change, Mistake> {
    let unit = unit_called(field, &ask.unit)?;
    let own_leader = field.unit(&unit)?.leader.as_ref().map(|leader| leader.name.clone());
    let rename = optional(ask.rename.as_deref(), |name| {
        let name = name_of(name)?;
        apart(name, field.names().filter(|taken| *taken != unit), Mistake::NameTaken)
    })?;
    let leader = |name: &String| {
        if own_leader.as_deref().is_some_and(|own| same_name(own, name)) {
            return name_of(name);
        }
        let mut free = field.free_leaders.iter().map(|free| &free.leader.name);
        free.find(|free| same_name(free, name))
            .map_or_else(|| new_name(field, name), |free| Ok(free.clone()))
    };
    Ok(Change {
        rename,
        side: optional(ask.side.as_deref(), |name| side(field, name))?,
        class: optional(ask.class.as_deref(), |name| known::class(rules, name, same_name))?,
        grade: optional(ask.grade.as_deref(), |name| known::grade(rules, name, same_name))?,
        weapon: setting(ask.weapon.as_ref(), |name| known::weapon(rules, name, same_name))?,
        leader: setting(ask.leader.as_ref(), leader)?,
        unit,
        ..ask.clone()
    })
}

/// The names, as the battle spells them, of two leaders.
///
/// # Errors
/// If one is nobody's.
pub fn duelists(field: &Field, leaders: &[String; 2]) -> Result<[String; 2], Mistake> {
    let [first, second] = leaders;
    Ok([leader_called(field, first)?, leader_called(field, second)?])
}

/// The name, as the battle spells it, of the leader meant by `name`.
fn leader_called(field: &Field, name: &str) -> Result<String, Mistake> {
    let known: Vec<String> = field.leaders().map(|leader| leader.name.clone()).collect();
    match find(name, known.iter(), |leader| leader) {
        Ok(found) => Ok(found.clone()),
        Err(_) => Err(Mistake::NoSuchLeader { name: name.to_owned(), known }),
    }
}

fn new_name(field: &Field, name: &str) -> Result<String, Mistake> {
    apart(name_of(name)?, field.names(), Mistake::NameTaken)
}

fn new_side(field: &Field, name: &str) -> Result<String, Mistake> {
    apart(name_of(name)?, field.sides.iter().map(String::as_str), Mistake::SideTaken)
}

/// The side called `name`: a known one, or a new one while there are fewer than two.
fn side(field: &Field, name: &str) -> Result<String, Mistake> {
    match find(name, field.sides.iter(), |side| side) {
        Ok(side) => Ok(side.clone()),
        Err(_) if field.sides.len() < 2 => new_side(field, name),
        Err(_) => Err(Mistake::NoSuchSide { name: name.to_owned(), known: field.sides.to_vec() }),
    }
}

/// A side of the battle, where one is named.
fn of_side(field: &Field, name: Option<&str>) -> Result<Option<String>, Mistake> {
    optional(name, |name| {
        let found = find(name, field.sides.iter(), |side| side);
        found
            .cloned()
            .map_err(|_| Mistake::NoSuchSide { name: name.to_owned(), known: field.sides.to_vec() })
    })
}

fn optional(
    value: Option<&str>,
    admit: impl FnOnce(&str) -> Result<String, Mistake>,
) -> Result<Option<String>, Mistake> {
    value.map(admit).transpose()
}

fn setting(
    value: Option<&Setting<String>>,
    admit: impl FnOnce(&String) -> Result<String, Mistake>,
) -> Result<Option<Setting<String>>, Mistake> {
    Ok(match value {
        None => None,
        Some(Setting::None) => Some(Setting::None),
        Some(Setting::To(value)) => Some(Setting::To(admit(value)?)),
    })
}
