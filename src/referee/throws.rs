//! Requests that throw: what each comes to, and what is only announced of it. Pure.

use super::Refusal;
use super::decision::Decision;
use super::roll::{Draw, Stated};
use crate::battle::{Battle, Field, Mistake, clash, dice_in_order, is_text};
use crate::combat::{self, Clash, Dice as _, Melee, SingleCombat};
use crate::protocol::{
    Body, ContactAsk, DiceAsk, DuelAsk, HarmAsk, Office, PlainThrow, Protocol, QuickAsk,
    QuickRuling, Request, Ruling, ShootAsk, ThrowPurpose,
};
use crate::rules::Rules;

/// What every roll of one request needs.
pub(super) struct RollContext<'a> {
    pub battle: &'a Battle,
    pub rules: &'a Rules,
    pub stated: Stated<'a>,
    /// In which office it is asked.
    pub office: &'a Office,
}

impl RollContext<'_> {
    /// Throws what one side asks against another.
    pub fn against(&self, request: &Request, draw: Draw<'_>) -> Result<Decision, Refusal> {
        match request {
            Request::Melee(_) | Request::Again { .. } => self.melees(request, draw),
            Request::Shoot(ask) => self.shoot(ask, draw),
            Request::Duel(ask) => self.duel(ask, draw),
            _ => Err(Mistake::NothingToCast.into()),
        }
    }

    /// Joins the melees before the link is drawn, so that a mistake draws none.
    fn melees(&self, request: &Request, draw: Draw<'_>) -> Result<Decision, Refusal> {
        let melees = melees(self.rules, &self.battle.field, request)?;
        // Of a cast roll the announcement was held to it; whoever casts asks for nothing.
        if self.stated.cast.is_none() {
            within_rounds(self.rules, &melees, self.office)?;
        }
        let mut roll = draw.begin(self.battle, self.stated)?;
        let rulings = melees.iter().map(|melee| melee.fight(&mut roll)).collect();
        Ok(roll.ruled(Ruling::Melee(rulings))?)
    }

    fn shoot(&self, ask: &ShootAsk, draw: Draw<'_>) -> Result<Decision, Refusal> {
        let mut roll = draw.begin(self.battle, self.stated)?;
        let ruling = combat::shoot(self.rules, &self.battle.field, ask, &mut roll)?;
        Ok(roll.ruled(Ruling::Shooting(Box::new(ruling)))?)
    }

    fn duel(&self, ask: &DuelAsk, draw: Draw<'_>) -> Result<Decision, Refusal> {
        let single = SingleCombat::of(self.rules, &self.battle.field, ask)?;
        let mut roll = draw.begin(self.battle, self.stated)?;
        let ruling = single.fight(&mut roll);
        Ok(roll.ruled(Ruling::Duel(Box::new(ruling)))?)
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

    /// Harms a unit. A link is drawn only if something is thrown, be it for nerve alone.
    pub fn harm(&self, ask: &HarmAsk, draw: Draw<'_>) -> Result<Decision, Refusal> {
        given_reason(&ask.reason)?;
        let field = &self.battle.field;
        let mut still = StillDice(0);
        let unthrown = combat::harm(self.rules, field, ask, &mut still)?;
        if still.0 == 0 {
            return Ok(Body::Ruled { ruling: Ruling::Harm(Box::new(unthrown)) }.into());
        }
        let mut roll = draw.begin(self.battle, self.stated)?;
        let ruling = combat::harm(self.rules, field, ask, &mut roll)?;
        Ok(roll.ruled(Ruling::Harm(Box::new(ruling)))?)
    }

    pub fn nerve(&self, unit: &str, reason: &str, draw: Draw<'_>) -> Result<Decision, Refusal> {
        let reason = given_reason(reason)?;
        let mut roll = draw.begin(self.battle, self.stated)?;
        let field = &self.battle.field;
        let ruling = combat::nerve(self.rules, field, unit, &reason, &mut roll)?;
        Ok(roll.ruled(Ruling::Nerve(ruling))?)
    }
}

/// A reason, if it can be one.
pub(super) fn given_reason(reason: &str) -> Result<String, Mistake> {
    if is_text(reason, 200) { Ok(reason.to_owned()) } else { Err(Mistake::BadReason) }
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
    dice_in_order(dice)?;
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

/// That no captain has a melee fought more often in a turn than the rules say.
fn within_rounds(rules: &Rules, melees: &[Melee<'_>], office: &Office) -> Result<(), Mistake> {
    match (office, rules.rounds) {
        (Office::Captain(_), Some(most)) if melees.iter().any(|melee| melee.this_turn() > most) => {
            Err(Mistake::RoundsFought(most))
        }
        _ => Ok(()),
    }
}

/// Announces what would be thrown, once it is known that it can be.
pub(super) fn announce(
    rules: &Rules,
    field: &Field,
    request: &Request,
    office: &Office,
) -> Result<Body, Mistake> {
    let mut still = StillDice(0);
    let [asking, casting] = match request {
        Request::Melee(_) | Request::Again { .. } => {
            let melees = melees(rules, field, request)?;
            within_rounds(rules, &melees, office)?;
            for melee in &melees {
                melee.fight(&mut still);
            }
            melees[0].sides.map(str::to_owned)
        }
        Request::Shoot(ask) => {
            combat::shoot(rules, field, ask, &mut still)?;
            let side = |name: &String| Ok(field.unit(name)?.side.clone());
            [side(&ask.shooters[0])?, side(&ask.target)?]
        }
        Request::Duel(ask) => {
            let single = SingleCombat::of(rules, field, ask)?;
            single.fight(&mut still);
            single.fighters.each_ref().map(|fighter| fighter.side.to_owned())
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

/// The melees that a request to fight comes to.
fn melees<'a>(
    rules: &'a Rules,
    field: &'a Field,
    request: &Request,
) -> Result<Vec<Melee<'a>>, Mistake> {
    let clashes = clashes(field, request)?;
    clashes.iter().map(|clash| Melee::of(rules, field, clash)).collect()
}

/// The contacts of each of them.
pub(super) fn clashes(field: &Field, request: &Request) -> Result<Vec<Clash>, Mistake> {
    match request {
        Request::Melee(ask) => Clash::asked(field, &ask.contacts),
        Request::Again { unit } => Ok(vec![Clash::again(field, unit.as_deref())?]),
        _ => Err(Mistake::NothingToWeigh),
    }
}
