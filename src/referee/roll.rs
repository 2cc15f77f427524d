//! One public roll: from the next link to the receipt.

use super::Fault;
use super::decision::Decision;
use crate::battle::{Battle, Mistake};
use crate::combat::Dice;
use crate::digest::Digest;
use crate::fair::{Chain, Receipt, Secret, Statement, Stream, Throw};
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
}

impl<'a> Draw<'a> {
    /// Draws from the battle's chain; with its last link, `following` takes the chain that comes
    /// after the next, whose anchor was fixed long before.
    pub fn from_chain(
        battle: &'a Battle,
        chain: Option<&'a Chain>,
        following: &'a mut Option<Chain>,
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
            let secret = Secret::draw()
                .map_err(|error| DrawError::Fault(Fault::Random(error.to_string())))?;
            let following = following.insert(Chain::new(secret, chain.length()));
            Ok(Link { link, next_anchor: Some(following.anchor()) })
        }))
    }

    /// Gives a link that was disclosed; none where no roll was thrown.
    pub fn disclosed(link: Option<Link>) -> Self {
        let none =
            || DrawError::Fault(Fault::Missing("a roll that should have been thrown".into()));
        Self(Box::new(move || link.ok_or_else(none)))
    }

    /// Begins the roll.
    pub fn begin(
        self,
        battle: &Battle,
        request: &Request,
        asked: &RequestId,
    ) -> Result<PublicRoll, DrawError> {
        let Link { link, next_anchor } = (self.0)()?;
        let (_, last) = battle.chain.link_of(battle.rolls + 1);
        let statement = Statement {
            battle: battle.id.clone(),
            anchor: battle.chain.anchor,
            roll: battle.rolls + 1,
            asked: asked.to_string(),
            words: battle.words.to_vec(),
            next: last.then_some(battle.chain.next),
            rules_name: battle.rules_name.clone(),
            rules: battle.rules,
            record: battle.head,
            request: request_line(request),
        };
        let text = statement.text();
        let stream = Stream::new(&link, text.as_bytes());
        let receipt = Receipt {
            protocol: battle.protocol.number(),
            anchor: statement.anchor,
            roll: statement.roll,
            link,
            statement: text,
            throws: Vec::new(),
        };
        Ok(PublicRoll { stream, receipt, next_anchor })
    }
}

/// A roll being thrown.
pub(super) struct PublicRoll {
    stream: Stream,
    receipt: Receipt,
    next_anchor: Option<Digest>,
}

impl PublicRoll {
    /// Ends the roll with what it was ruled to mean.
    pub fn ruled(self, ruling: Ruling) -> Decision {
        let roll = Roll { receipt: self.receipt, next_anchor: self.next_anchor };
        Decision { body: Body::Ruled { ruling }, roll: Some(roll) }
    }
}

impl Dice for PublicRoll {
    fn throw(&mut self, what: ThrowPurpose<'_>, dice: u32, sides: u32) -> Vec<u32> {
        let faces = self.stream.faces(dice, sides);
        self.receipt.throws.push(Throw { purpose: what.label(), sides, faces: faces.clone() });
        faces
    }
}
