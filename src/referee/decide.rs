//! What a request comes to, given the battle, its rules and the next link. Pure. What throws is in
//! `throws`.

use super::decision::{Decision, Occasion};
use super::roll::{Draw, DrawError, Stated};
use super::throws::{RollContext, announce, given_reason};
use super::{Fault, Refusal, led, policy};
use crate::battle::{Battle, Field, Mistake, Pending, conditions, is_name, is_text, muster};
use crate::digest::Digest;
use crate::fair::Word;
use crate::protocol::{Appointee, Body, Change, Office, Open, Protocol, Request, Scale, Unit, Who};
use crate::rules::Rules;
use std::sync::Arc;

/// The opening of a battle.
pub(super) fn opening(
    protocol: Protocol,
    open: &Open,
    rules: &Rules,
    [anchor, next_anchor]: [Digest; 2],
    chain_length: u32,
) -> Result<Body, Mistake> {
    for (n, side) in open.sides.iter().enumerate() {
        named(side)?;
        if open.sides[..n].contains(side) {
            return Err(Mistake::SideTaken(side.clone()));
        }
    }
    if let Some(name) = open.rules.as_ref().filter(|name| **name != rules.name) {
        let known = vec![rules.name.clone()];
        return Err(Mistake::NoSuchRules { name: name.clone(), known });
    }
    Ok(Body::Opened {
        protocol,
        name: named(&open.name)?,
        scale: open.scale,
        sides: open.sides.clone(),
        rules_name: rules.name.clone(),
        rules: rules.sha256,
        anchor,
        next_anchor,
        chain_length,
        casts: open.casts,
    })
}

/// What any other request, as the gate let it in, comes to in an open battle.
pub(super) fn decide(
    battle: &Battle,
    rules: &Rules,
    request: &Request,
    occasion: Occasion<'_>,
    draw: Draw<'_>,
) -> Result<Decision, Refusal> {
    let field = &battle.field;
    if !policy::allows(occasion.office, battle, request) {
        return Err(Refusal::NotYours {
            needs: policy::needs(battle, request),
            ask: vec![battle.opener],
        });
    }
    let stated = Stated { request, asked: occasion.asked, cast: None, taken_back: false };
    if let Some(pending) = &field.pending {
        return waiting(battle, rules, pending, request, occasion.office, draw);
    }
    if announces(battle, request) {
        return Ok(announce(rules, field, request, occasion.office)?.into());
    }
    let context = RollContext { battle, rules, stated, office: occasion.office };
    Ok(match request {
        Request::Side { name } => side(field, name)?.into(),
        Request::Muster(ask) => {
            let unit = muster::muster(rules, field, ask)?;
            Body::Mustered { unit, scale: field.scale }.into()
        }
        Request::Change(ask) => change(rules, battle, ask)?.into(),
        Request::Dismiss { unit } => {
            let unit = field.unit(unit)?;
            let freed = unit.leader.as_ref().map(|leader| leader.name.clone());
            Body::Dismissed { unit: unit.name.clone(), freed }.into()
        }
        Request::Part { unit, from, reason } => part(field, unit, from.as_deref(), reason)?.into(),
        Request::Attach { leader, unit } => led::attach(field, leader, unit)?.into(),
        Request::Detach { unit } => led::detach(field, unit)?.into(),
        Request::Lead { unit, back } => led::place(field, unit, *back, occasion.office)?.into(),
        Request::Rescale { scale } => rescale(field, *scale)?.into(),
        Request::Melee(_) | Request::Again { .. } | Request::Shoot(_) | Request::Duel(_) => {
            context.against(request, draw)?
        }
        Request::Cast { .. } => return Err(Mistake::NothingToCast.into()),
        Request::Rally { unit } => context.rally(unit, draw)?,
        Request::Harm(ask) => context.harm(ask, draw)?,
        Request::Nerve { unit, reason } => context.nerve(unit, reason, draw)?,
        Request::Reinforce { unit, men, reason } => reinforce(field, unit, *men, reason)?.into(),
        Request::Quick(ask) => context.quick(ask, draw)?,
        Request::Throw { dice, purpose } => context.throw(dice, purpose.as_deref(), draw)?,
        Request::Turn => Body::Turned { turn: field.turn + 1 }.into(),
        Request::Condition(ask) => {
            let condition = conditions::condition(rules, field, ask, occasion.by)?;
            Body::ConditionSet { condition }.into()
        }
        Request::Lift { name, on } => {
            let condition = conditions::standing(field, name, on)?;
            Body::ConditionLifted { name: condition.name.clone(), on: on.clone() }.into()
        }
        Request::Word { name, text } => word(battle, occasion.by, name, text)?.into(),
        Request::Undo { reason } => undo(battle, reason)?.into(),
        Request::Appoint { who, side } => appoint(battle, *who, side.as_deref())?.into(),
        Request::Relieve { who, side } => relieve(battle, *who, side.as_deref())?.into(),
        Request::Close => Body::Closed.into(),
        Request::Open(_) => return Err(Mistake::AlreadyOpen(battle.name.clone()).into()),
        Request::Reopen { .. } if battle.open => {
            return Err(Mistake::NotClosed(battle.name.clone()).into());
        }
        Request::Reopen { battle: name } if *name != battle.name => {
            let meant = Some(battle.name.clone());
            return Err(Mistake::NoSuchBattle { name: name.clone(), meant }.into());
        }
        Request::Reopen { .. } => Body::Reopened.into(),
    })
}

/// Whether a request is only announced, and thrown when the other side casts.
fn announces(battle: &Battle, request: &Request) -> bool {
    match request {
        Request::Melee(ask) => ask.cast || battle.casts,
        Request::Again { .. } | Request::Shoot(_) | Request::Duel(_) => battle.casts,
        _ => false,
    }
}

/// What comes to a battle while an announced roll waits: its cast, or its taking back. Nothing else
/// can be recorded in between, so that nobody can add to the statement but the caster.
fn waiting(
    battle: &Battle,
    rules: &Rules,
    pending: &Pending,
    request: &Request,
    office: &Office,
    draw: Draw<'_>,
) -> Result<Decision, Refusal> {
    let (announced, asked) = (&pending.request, &pending.asked);
    let stated = Stated { request: announced, asked, cast: None, taken_back: false };
    match request {
        Request::Cast { text } => {
            if text.chars().count() < SHORTEST_CAST || !is_text(text, 80) {
                return Err(Mistake::BadCast.into());
            }
            let stated = Stated { cast: Some(text), ..stated };
            RollContext { battle, rules, stated, office }.against(announced, draw)
        }
        // Taking it back spends the roll: its link is disclosed, so that anybody can see later what
        // was dodged.
        Request::Undo { reason } => {
            let Body::Undone { seq, request, reason, .. } = undo(battle, reason)? else {
                unreachable!("an undo takes back")
            };
            let roll = Some(battle.rolls + 1);
            let spent = draw.begin(battle, Stated { taken_back: true, ..stated })?;
            Ok(spent.spent(Body::Undone { seq, roll, request, reason }))
        }
        _ => {
            let (asking, casting) = (pending.asking.clone(), pending.casting.clone());
            Err(Mistake::WaitingForCast { asking, casting }.into())
        }
    }
}

fn side(field: &Field, name: &str) -> Result<Body, Mistake> {
    if field.sides.iter().any(|side| side == name) {
        return Err(Mistake::SideTaken(name.to_owned()));
    }
    Ok(Body::SideAdded { name: named(name)? })
}

fn change(rules: &Rules, battle: &Battle, ask: &Change) -> Result<Body, Mistake> {
    let field = &battle.field;
    let before = field.unit(&ask.unit)?;
    let after = muster::change(rules, field, before, ask, battle.rolls > 0)?;
    let before = Arc::unwrap_or_clone(Arc::clone(before));
    Ok(Body::Changed { before, after, scale: field.scale })
}

fn reinforce(field: &Field, unit: &str, men: u32, reason: &str) -> Result<Body, Mistake> {
    let reason = given_reason(reason)?;
    let before = field.unit(unit)?;
    let after = muster::reinforced(field, before, men)?;
    Ok(Body::Reinforced { before: Unit::clone(before), after, scale: field.scale, reason })
}

fn part(field: &Field, unit: &str, from: Option<&str>, reason: &str) -> Result<Body, Mistake> {
    let reason = given_reason(reason)?;
    let unit = &field.unit(unit)?.name;
    let engagement = field.engagement_of(unit).ok_or_else(|| Mistake::NotInMelee(unit.clone()))?;
    let from = from.map(|name| field.unit(name)).transpose()?.map(|other| &other.name);
    let held = engagement.contacts.iter().filter(|held| match from {
        Some(other) => held.joins(unit, other),
        None => held.holds(unit),
    });
    let pairs: Vec<[String; 2]> =
        held.map(|held| [held.ask.striker.clone(), held.ask.struck.clone()]).collect();
    match (pairs.is_empty(), from) {
        (true, Some(other)) => Err(Mistake::NotMet(unit.clone(), other.clone())),
        _ => Ok(Body::Parted { pairs, reason }),
    }
}

fn rescale(field: &Field, to: Scale) -> Result<Body, Mistake> {
    if to == field.scale {
        return Err(Mistake::SameScale(to));
    }
    let after = muster::rescaled(field, to)?;
    let figures = field.units.iter().zip(after.units.iter());
    let units = figures
        .map(|(before, after)| (before.name.clone(), before.now.figures, after.now.figures))
        .collect();
    Ok(Body::Rescaled { from: field.scale, to, units })
}

/// The most words of a battle: each goes into every later roll.
const WORDS: usize = 40;
/// The fewest characters of a caster's own text.
const SHORTEST_CAST: usize = 8;
/// The most offices of a battle besides the opener's.
const OFFICES: usize = 60;

fn word(battle: &Battle, by: Who, name: &str, text: &str) -> Result<Body, Mistake> {
    let others = battle.words.iter().filter(|given| !given.belongs_to(by, name));
    let impostor =
        name.parse::<Who>().is_ok_and(|who| who != by) || name.parse::<Appointee>().is_ok();
    if others.clone().any(|given| given.word.name == name) || (impostor && name != by.to_string()) {
        return Err(Mistake::WordTaken(name.to_owned()));
    }
    if others.count() >= WORDS {
        return Err(Mistake::TooManyWords);
    }
    if !is_text(text, 80) {
        return Err(Mistake::BadWord);
    }
    Ok(Body::WordGiven { word: Word { name: named(name)?, text: text.to_owned() } })
}

fn undo(battle: &Battle, reason: &str) -> Result<Body, Mistake> {
    let change = battle.undoable().ok_or(Mistake::NothingToUndo)?;
    let reason = given_reason(reason)?;
    let request = Box::new(Request::clone(&change.request));
    Ok(Body::Undone { seq: change.seq, roll: change.roll, request, reason })
}

fn appoint(battle: &Battle, who: Appointee, side: Option<&str>) -> Result<Body, Mistake> {
    known_side(&battle.field, side)?;
    if holds(battle, who, side) {
        return Err(Mistake::HoldsOffice);
    }
    if battle.offices.len() >= OFFICES {
        return Err(Mistake::TooManyOffices);
    }
    Ok(Body::Appointed { who, side: side.map(str::to_owned) })
}

fn relieve(battle: &Battle, who: Appointee, side: Option<&str>) -> Result<Body, Mistake> {
    known_side(&battle.field, side)?;
    if !holds(battle, who, side) {
        return Err(Mistake::HoldsNoOffice);
    }
    Ok(Body::Relieved { who, side: side.map(str::to_owned) })
}

fn holds(battle: &Battle, who: Appointee, side: Option<&str>) -> bool {
    battle.offices.iter().any(|held| held.who == who && held.side.as_deref() == side)
}

fn known_side(field: &Field, side: Option<&str>) -> Result<(), Mistake> {
    match side {
        Some(side) if !field.sides.iter().any(|known| known == side) => {
            Err(Mistake::NoSuchSide { name: side.to_owned(), known: field.sides.to_vec() })
        }
        _ => Ok(()),
    }
}

/// A name, if it can be one.
fn named(name: &str) -> Result<String, Mistake> {
    if is_name(name) { Ok(name.to_owned()) } else { Err(Mistake::BadName(name.to_owned())) }
}

impl From<DrawError> for Refusal {
    fn from(error: DrawError) -> Self {
        match error {
            DrawError::Mistake(mistake) => mistake.into(),
            DrawError::Fault(fault) => fault.into(),
            // Only an audit meets it, and says so; this record has no fault to trace.
            DrawError::Undisclosed => Self::Fault(Fault::Missing("a roll".to_owned())),
        }
    }
}
