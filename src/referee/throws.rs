//! Requests that throw: what each comes to, and what is only announced of it. Pure.

use super::Refusal;
use super::decision::Decision;
use super::roll::{Draw, Stated};
use crate::battle::{Battle, Engagement, Field, Mistake, clash, is_text};
use crate::combat::{self, Dice as _, Melee};
use crate::protocol::{
    Body, ContactAsk, DiceAsk, PlainThrow, Protocol, QuickAsk, QuickRuling, Request, Ruling,
    ShootAsk, ThrowPurpose,
};
use crate::rules::Rules;

/// What every roll of one request needs.
pub(super) struct RollContext<'a> {
    pub battle: &'a Battle,
    pub rules: &'a Rules,
    pub stated: Stated<'a>,
}

impl RollContext<'_> {
    /// Throws what one side asks against another.
    pub fn against(&self, request: &Request, draw: Draw<'_>) -> Result<Decision, Refusal> {
        match request {
            Request::Melee(ask) => self.melee(&ask.contacts, 1, draw),
            Request::Again { unit } => {
                let engagement = engagement(&self.battle.field, unit.as_deref())?;
                self.melee(&engagement.asks(self.battle.field.scale), engagement.rounds + 1, draw)
            }
            Request::Shoot(ask) => self.shoot(ask, draw),
            _ => Err(Mistake::NothingToCast.into()),
        }
    }

    /// Joins the melee before the link is drawn, so that a mistake draws none.
    fn melee(
        &self,
        contacts: &[ContactAsk],
        round: u32,
        draw: Draw<'_>,
    ) -> Result<Decision, Refusal> {
        let melee = Melee::join(self.rules, &self.battle.field, contacts, round)?;
        let mut roll = draw.begin(self.battle, self.stated)?;
        let ruling = melee.fight(&mut roll);
        Ok(roll.ruled(Ruling::Melee(ruling))?)
    }

    fn shoot(&self, ask: &ShootAsk, draw: Draw<'_>) -> Result<Decision, Refusal> {
        let mut roll = draw.begin(self.battle, self.stated)?;
        let ruling = combat::shoot(self.rules, &self.battle.field, ask, &mut roll)?;
        Ok(roll.ruled(Ruling::Shooting(Box::new(ruling)))?)
    }

    pub fn quick(&self, ask: &QuickAsk, draw: Draw<'_>) -> Result<Decision, Refusal> {
        let turn = self.battle.field.turn;
        let (field, contact) = quick_field(self.battle.protocol, self.rules, ask, turn)?;
        let contacts = [contact];
        let melee = Melee::join(self.rules, &field, &contacts, 1)?;
        let mut roll = draw.begin(self.battle, self.stated)?;
        let melee = melee.fight(&mut roll);
        Ok(roll.ruled(Ruling::Quick(QuickRuling { scale: ask.scale, melee }))?)
    }

    pub fn throw(
        &self,
        dice: &[DiceAsk],
        purpose: Option<&str>,
        draw: Draw<'_>,
    ) -> Result<Decision, Refusal> {
        let purpose = plain(dice, purpose)?;
        let mut roll = draw.begin(self.battle, self.stated)?;
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
        Ok(roll.ruled(Ruling::Throw(PlainThrow { purpose, dice, faces, total }))?)
    }

    pub fn rally(&self, unit: &str, draw: Draw<'_>) -> Result<Decision, Refusal> {
        let mut roll = draw.begin(self.battle, self.stated)?;
        let ruling = combat::rally(self.rules, &self.battle.field, unit, &mut roll)?;
        Ok(roll.ruled(Ruling::Rally(ruling))?)
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
    // A front reads dice in their limits; a forged record may hold any.
    let fits = |dice: &&DiceAsk| dice.to_string().parse::<DiceAsk>().is_ok();
    if let Some(odd) = dice.iter().find(|dice| !fits(dice)) {
        return Err(Mistake::BadDice(odd.to_string()));
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

/// Announces what would be thrown, once it is known that it can be.
pub(super) fn announce(rules: &Rules, field: &Field, request: &Request) -> Result<Body, Mistake> {
    let mut still = StillDice(0);
    let mut sides = |contacts: &[ContactAsk], round| {
        let melee = Melee::join(rules, field, contacts, round)?;
        melee.fight(&mut still);
        Ok::<_, Mistake>(melee.sides.map(str::to_owned))
    };
    let [asking, casting] = match request {
        Request::Melee(ask) => sides(&ask.contacts, 1)?,
        Request::Again { unit } => {
            let engagement = engagement(field, unit.as_deref())?;
            sides(&engagement.asks(field.scale), engagement.rounds + 1)?
        }
        Request::Shoot(ask) => {
            combat::shoot(rules, field, ask, &mut still)?;
            let side = |name: &String| Ok(field.unit(name)?.side.clone());
            [side(&ask.shooters[0])?, side(&ask.target)?]
        }
        _ => return Err(Mistake::NothingToCast),
    };
    if still.0 == 0 {
        return Err(Mistake::NothingToThrow);
    }
    Ok(Body::Announced { asking, casting })
}

/// Dice that lie still and are counted, for finding out whether something could be thrown.
struct StillDice(usize);

impl combat::Dice for StillDice {
    fn throw(&mut self, _: ThrowPurpose<'_>, dice: u32, _: u32) -> Vec<u32> {
        let faces = vec![1; dice as usize];
        self.0 += faces.len();
        faces
    }
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
