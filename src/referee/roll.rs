//! One public roll: from the next link to the receipt.

use super::Fault;
use super::decision::Decision;
use crate::battle::{Battle, Mistake};
use crate::combat::Dice;
use crate::digest::Digest;
use crate::fair::{Chain, Faces, Receipt, Secret, Statement, Throw};
use crate::protocol::{Body, Request, RequestId, Roll, Ruling, ThrowPurpose, request_line};

/// The link of the next roll; with a chain's last, the anchor of the chain after the next.
#[derive(Debug, Clone, Copy)]
pub(super) struct Link {
    pub link: Digest,
    pub next_anchor: Option<Digest>,
}

/// Gives the next link when a roll is to be thrown, and not before.
pub(super) struct Draw<'a>(Box<dyn FnOnce() -> Result<Link, DrawError> + 'a>);

/// Why there is no link.
#[derive(Debug)]
pub(super) enum DrawError {
    Mistake(Mistake),
    Fault(Fault),
    /// A record that is being checked discloses none here.
    Undisclosed,
}

impl<'a> Draw<'a> {
    /// Draws from the battle's chain; with its last link, `following` takes the chain that comes
    /// after the next, whose anchor was fixed long before; `secret` gives what it hangs from, and is
    /// told the anchor of the chain that ends.
    pub fn from_chain(
        battle: &'a Battle,
        chain: Option<&'a Chain>,
        following: &'a mut Option<Chain>,
        secret: impl FnOnce(Digest) -> Result<Secret, Fault> + 'a,
    ) -> Self {
        Self(Box::new(move || {
            let chain = chain.ok_or(DrawError::Mistake(Mistake::NoChain))?;
            let (n, last) = battle.chain.link_of(battle.rolls + 1);
            let link = chain.link(n).ok_or_else(|| {
                DrawError::Fault(Fault::Missing(format!("link {n} of {}", chain.anchor())))
            })?;
            if !last {
                return Ok(Link { link, next_anchor: None });
            }
            let secret = secret(chain.anchor()).map_err(DrawError::Fault)?;
            let following = following.insert(Chain::new(secret, chain.length()));
            Ok(Link { link, next_anchor: Some(following.anchor()) })
        }))
    }

    /// Gives a link that was disclosed; none where no roll was thrown.
    pub fn disclosed(link: Option<Link>) -> Self {
        Self(Box::new(move || link.ok_or(DrawError::Undisclosed)))
    }

    /// Begins the roll.
    pub fn begin(self, battle: &Battle, stated: Stated<'_>) -> Result<PublicRoll, DrawError> {
        let Link { link, next_anchor } = (self.0)()?;
        let (_, last) = battle.chain.link_of(battle.rolls + 1);
        let statement = Statement {
            battle: battle.id.clone(),
            anchor: battle.chain.anchor,
            roll: battle.rolls + 1,
            asked: stated.asked.to_string(),
            words: battle.words.iter().map(|given| given.word.clone()).collect(),
            next: last.then_some(battle.chain.next),
            rules_name: battle.rules_name.clone(),
            rules: battle.rules,
            record: battle.head,
            cast: stated.cast.map(str::to_owned),
            request: request_line(stated.request),
            taken_back: stated.taken_back,
        };
        let text = statement.text();
        let faces = Faces::new(&link, text.as_bytes());
        let receipt = Receipt {
            protocol: battle.protocol.number(),
            anchor: statement.anchor,
            roll: statement.roll,
            link,
            statement: text,
            throws: Vec::new(),
        };
        Ok(PublicRoll { faces, receipt, next_anchor })
    }
}

/// What a roll's statement says of what was asked.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stated<'a> {
    /// The request, or the one that was announced.
    pub request: &'a Request,
    /// Its id.
    pub asked: &'a RequestId,
    /// The caster's own text, where the roll was announced.
    pub cast: Option<&'a str>,
    /// Whether it was announced and taken back.
    pub taken_back: bool,
}

/// A roll being thrown.
pub(super) struct PublicRoll {
    faces: Faces,
    receipt: Receipt,
    next_anchor: Option<Digest>,
}

impl PublicRoll {
    /// Ends the roll with what it was ruled to mean.
    ///
    /// # Errors
    /// If nothing was thrown: such a ruling needs no roll.
    pub fn ruled(self, ruling: Ruling) -> Result<Decision, Mistake> {
        if self.receipt.throws.is_empty() {
            return Err(Mistake::NothingToThrow);
        }
        Ok(self.spent(Body::Ruled { ruling }))
    }

    /// Ends the roll with whatever came of it; its link is spent and disclosed.
    pub fn spent(self, body: Body) -> Decision {
        let roll = Roll { receipt: self.receipt, next_anchor: self.next_anchor };
        Decision { body, roll: Some(roll) }
    }
}

impl Dice for PublicRoll {
    fn throw(&mut self, what: ThrowPurpose<'_>, dice: u32, sides: u32) -> Vec<u32> {
        if dice == 0 {
            return Vec::new();
        }
        let purpose = self.faces.label(&what.label());
        let faces = self.faces.throw(&purpose, dice, sides);
        self.receipt.throws.push(Throw { purpose, sides, faces: faces.clone() });
        faces
    }
}
