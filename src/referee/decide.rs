//! What a request comes to, given the battle, its rules and the next link. Pure.

use super::decision::{Decision, Occasion};
use super::roll::{Draw, DrawError};
use super::{Refusal, policy};
use crate::battle::{Battle, Engagement, Field, Mistake, clash, is_name, is_text, muster};
use crate::combat::{self, Dice as _, Melee};
use crate::digest::Digest;
use crate::fair::Word;
use crate::protocol::{
    Appointee, Body, Change, ContactAsk, DiceAsk, MeleeAsk, Open, PlainThrow, Protocol, QuickAsk,
    QuickRuling, Request, RequestId, Ruling, Scale, ShootAsk, ThrowPurpose,
};
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
    let waits = field.pending.as_ref().filter(|_| !goes_on_while_waiting(request));
    if let Some(pending) = waits {
        let (asking, casting) = (pending.asking.clone(), pending.casting.clone());
        return Err(Mistake::WaitingForCast { asking, casting }.into());
    }
    let context = RollContext { battle, rules, request, asked: occasion.asked };
    Ok(match request {
        Request::Side { name } => side(field, name)?.into(),
        Request::Muster(ask) => {
            let unit = muster::muster(rules, field, ask)?;
            Body::Mustered { unit, scale: field.scale }.into()
        }
        Request::Change(ask) => change(rules, field, ask)?.into(),
        Request::Dismiss { unit } => {
            let unit = field.unit(unit)?;
            Body::Dismissed { unit: unit.name.clone(), freed: unit.leader.clone() }.into()
        }
        Request::Attach { leader, unit } => attach(field, leader, unit)?.into(),
        Request::Rescale { scale } => rescale(field, *scale)?.into(),
        Request::Melee(ask) if ask.cast => announce(rules, field, ask)?.into(),
        Request::Melee(ask) => context.melee(&ask.contacts, 1, request, draw)?,
        Request::Again { unit } => {
            let engagement = engagement(field, unit.as_deref())?;
            context.melee(&engagement.contacts, engagement.rounds + 1, request, draw)?
        }
        Request::Cast => {
            let pending = field.pending.as_ref().ok_or(Mistake::NothingToCast)?;
            let announced = Request::Melee(pending.melee.clone());
            context.melee(&pending.melee.contacts, 1, &announced, draw)?
        }
        Request::Shoot(ask) => context.shoot(ask, draw)?,
        Request::Rally { unit } => context.rally(unit, draw)?,
        Request::Quick(ask) => context.quick(ask, draw)?,
        Request::Throw { dice, purpose } => context.throw(dice, purpose.as_deref(), draw)?,
        Request::Turn => Body::Turned { turn: field.turn + 1 }.into(),
        Request::Word { name, text } => word(battle, name, text)?.into(),
        Request::Undo { reason } => undo(battle, reason)?.into(),
        Request::Appoint { who, side } => appoint(battle, *who, side.as_deref())?.into(),
        Request::Relieve { who, side } => relieve(battle, *who, side.as_deref())?.into(),
        Request::Close => Body::Closed.into(),
        Request::Open(_) => return Err(Mistake::AlreadyOpen(battle.name.clone()).into()),
        Request::Reopen { .. } if battle.open => {
            return Err(Mistake::NotClosed(battle.name.clone()).into());
        }
        Request::Reopen { .. } => Body::Reopened.into(),
    })
}

/// What may be asked while a melee waits for the other side's cast.
const fn goes_on_while_waiting(request: &Request) -> bool {
    matches!(
        request,
        Request::Cast
            | Request::Quick(_)
            | Request::Throw { .. }
            | Request::Word { .. }
            | Request::Undo { .. }
            | Request::Appoint { .. }
            | Request::Relieve { .. }
            | Request::Close
            | Request::Reopen { .. }
    )
}

/// What every roll of one request needs.
struct RollContext<'a> {
    battle: &'a Battle,
    rules: &'a Rules,
    request: &'a Request,
    asked: &'a RequestId,
}

impl RollContext<'_> {
    /// Joins the melee before the link is drawn, so that a mistake draws none.
    fn melee(
        &self,
        contacts: &[ContactAsk],
        round: u32,
        request: &Request,
        draw: Draw<'_>,
    ) -> Result<Decision, Refusal> {
        let melee = Melee::join(self.rules, &self.battle.field, contacts, round)?;
        let mut roll = draw.begin(self.battle, request, self.asked)?;
        let ruling = melee.fight(&mut roll);
        Ok(roll.ruled(Ruling::Melee(ruling)))
    }

    fn shoot(&self, ask: &ShootAsk, draw: Draw<'_>) -> Result<Decision, Refusal> {
        let mut roll = draw.begin(self.battle, self.request, self.asked)?;
        let ruling = combat::shoot(self.rules, &self.battle.field, ask, &mut roll)?;
        Ok(roll.ruled(Ruling::Shooting(Box::new(ruling))))
    }

    fn quick(&self, ask: &QuickAsk, draw: Draw<'_>) -> Result<Decision, Refusal> {
        let turn = self.battle.field.turn;
        let (field, contact) = quick_field(self.battle.protocol, self.rules, ask, turn)?;
        let contacts = [contact];
        let melee = Melee::join(self.rules, &field, &contacts, 1)?;
        let mut roll = draw.begin(self.battle, self.request, self.asked)?;
        let melee = melee.fight(&mut roll);
        Ok(roll.ruled(Ruling::Quick(QuickRuling { scale: ask.scale, melee })))
    }

    fn throw(
        &self,
        dice: &[DiceAsk],
        purpose: Option<&str>,
        draw: Draw<'_>,
    ) -> Result<Decision, Refusal> {
        let purpose = plain(dice, purpose)?;
        let mut roll = draw.begin(self.battle, self.request, self.asked)?;
        let faces: Vec<Vec<u32>> = dice
            .iter()
            .map(|dice| {
                let name = dice.to_string();
                let what = ThrowPurpose::Other(purpose.as_deref().unwrap_or(&name));
                roll.throw(what, dice.count, dice.sides)
            })
            .collect();
        let total = faces.iter().flatten().sum();
        let dice = dice.to_vec();
        Ok(roll.ruled(Ruling::Throw(PlainThrow { purpose, dice, faces, total })))
    }

    fn rally(&self, unit: &str, draw: Draw<'_>) -> Result<Decision, Refusal> {
        let mut roll = draw.begin(self.battle, self.request, self.asked)?;
        let ruling = combat::rally(self.rules, &self.battle.field, unit, &mut roll)?;
        Ok(roll.ruled(Ruling::Rally(ruling)))
    }
}

/// What is wrong with a request that needs no battle, before anything is opened for it.
pub(super) fn quick_mistake(rules: &Rules, request: &Request) -> Result<(), Mistake> {
    match request {
        Request::Quick(ask) => {
            let (field, contact) = quick_field(Protocol::LATEST, rules, ask, 1)?;
            Melee::join(rules, &field, &[contact], 1).map(drop)
        }
        Request::Throw { dice, purpose } => plain(dice, purpose.as_deref()).map(drop),
        _ => Ok(()),
    }
}

/// What plain dice are for, once they are in order.
fn plain(dice: &[DiceAsk], purpose: Option<&str>) -> Result<Option<String>, Mistake> {
    if !(1..=10).contains(&dice.len()) {
        return Err(Mistake::DiceCount);
    }
    match purpose {
        Some(purpose) if !is_text(purpose, 80) => Err(Mistake::BadPurpose),
        purpose => Ok(purpose.map(str::to_owned)),
    }
}

/// The field of a quick ruling, and the contact on it.
pub(super) fn quick_field(
    protocol: Protocol,
    rules: &Rules,
    ask: &QuickAsk,
    turn: u32,
) -> Result<(Field, ContactAsk), Mistake> {
    let (field, [striker, struck]) =
        clash(rules, (protocol, ask.scale), turn, [&ask.striker, &ask.struck])?;
    Ok((field, ContactAsk { striker, struck, ..ask.how.clone() }))
}

fn side(field: &Field, name: &str) -> Result<Body, Mistake> {
    if field.sides.iter().any(|side| side == name) {
        return Err(Mistake::SideTaken(name.to_owned()));
    }
    Ok(Body::SideAdded { name: named(name)? })
}

fn change(rules: &Rules, field: &Field, ask: &Change) -> Result<Body, Mistake> {
    let before = field.unit(&ask.unit)?;
    let after = muster::change(rules, field, before, ask)?;
    let apart = ask.apart && field.engagement_of(&before.name).is_some();
    Ok(Body::Changed { before: Arc::unwrap_or_clone(Arc::clone(before)), after, apart })
}

fn attach(field: &Field, leader: &str, unit: &str) -> Result<Body, Mistake> {
    let free = field.free_leaders.iter().find(|free| free.name == leader).ok_or_else(|| {
        let known = field.free_leaders.iter().map(|free| free.name.clone()).collect();
        Mistake::NoSuchLeader { name: leader.to_owned(), known }
    })?;
    let unit = field.unit(unit)?;
    if unit.side != free.side {
        return Err(Mistake::OtherSidesLeader {
            leader: free.name.clone(),
            of: free.side.clone(),
            unit: unit.name.clone(),
            side: unit.side.clone(),
        });
    }
    if let Some(leader) = &unit.leader {
        return Err(Mistake::HasLeader { unit: unit.name.clone(), leader: leader.clone() });
    }
    if unit.now.figures == 0 {
        return Err(Mistake::NoMen(unit.name.clone()));
    }
    Ok(Body::Attached { leader: free.name.clone(), unit: unit.name.clone() })
}

fn rescale(field: &Field, to: Scale) -> Result<Body, Mistake> {
    if to == field.scale {
        return Err(Mistake::SameScale(to));
    }
    muster::fits(field, to)?;
    let units = field
        .units
        .iter()
        .map(|unit| (unit.name.clone(), unit.now.figures, to.figures(unit.now.men)))
        .collect();
    Ok(Body::Rescaled { from: field.scale, to, units })
}

fn announce(rules: &Rules, field: &Field, ask: &MeleeAsk) -> Result<Body, Mistake> {
    let melee = Melee::join(rules, field, &ask.contacts, 1)?;
    let contacts = melee.contacts.iter().map(|contact| contact.ask.clone()).collect();
    let [asking, casting] = melee.sides.map(str::to_owned);
    Ok(Body::Announced { melee: MeleeAsk { contacts, cast: true }, asking, casting })
}

pub(super) fn engagement<'a>(
    field: &'a Field,
    unit: Option<&str>,
) -> Result<&'a Engagement, Mistake> {
    let Some(name) = unit else {
        return field.engagements.last().ok_or(Mistake::NothingToFightOn);
    };
    let unit = field.unit(name)?;
    field.engagement_of(&unit.name).ok_or_else(|| Mistake::NotInMelee(unit.name.clone()))
}

/// The most words of a battle: each goes into every later roll.
const WORDS: usize = 40;
/// The most offices of a battle besides the opener's.
const OFFICES: usize = 60;

fn word(battle: &Battle, name: &str, text: &str) -> Result<Body, Mistake> {
    let known = battle.words.iter().any(|word| word.name == name);
    if !known && battle.words.len() >= WORDS {
        return Err(Mistake::TooManyWords);
    }
    if !is_text(text, 80) {
        return Err(Mistake::BadWord);
    }
    Ok(Body::WordGiven { word: Word { name: named(name)?, text: text.to_owned() } })
}

fn undo(battle: &Battle, reason: &str) -> Result<Body, Mistake> {
    let change = battle.undoable().ok_or(Mistake::NothingToUndo)?;
    if !is_text(reason, 200) {
        return Err(Mistake::BadReason);
    }
    let request = Box::new(Request::clone(&change.request));
    Ok(Body::Undone { seq: change.seq, roll: change.roll, request, reason: reason.to_owned() })
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
        }
    }
}
