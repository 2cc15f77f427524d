//! What a chat fills in by itself: what the server's battles begin with, and who people are in the
//! record.

use crate::battle::Battle;
use crate::chat::asking::{Here, Wanted};
use crate::chat::interaction::Denied;
use crate::chat::platform::PLATFORM;
use crate::protocol::{Request, Scale};
use crate::referee::{Fault, Refusal};
use crate::requests::{Asked, Kind, Need, Slot, Spec, Values};

/// The figure scale when neither the request nor the server names one.
pub const USUAL_SCALE: u32 = 20;

/// A request with something to be filled in.
pub struct Filling {
    /// The request.
    pub spec: &'static Spec,
    /// What was given.
    pub values: Values,
    /// The people who were given, by the names of the slots and by the platform's ids.
    pub people: Vec<(&'static str, u64)>,
}

impl Filling {
    /// Whether anything must be looked up before the request can be read.
    pub fn is_needed(&self) -> bool {
        let unfilled = |slot: &Slot| {
            slot.need == Need::AtTable && slot.fronts.chat() && !self.values.has(slot.name)
        };
        !self.people.is_empty() || self.spec.slots.iter().any(unfilled)
    }
}

impl Wanted for Filling {
    async fn request(mut self, here: Here<'_>, _: Option<&Battle>) -> Result<Request, Denied> {
        for slot in self.spec.slots.iter().filter(|slot| slot.fronts.chat()) {
            if !self.values.has(slot.name)
                && let Some(text) = filled(&here, slot).await?
            {
                self.values.put(slot.name, text);
            }
        }
        for (slot, user) in &self.people {
            let who = here.shared.referee.person(PLATFORM, *user).await?;
            self.values.put(slot, who.to_string());
        }
        match self.spec.read(&self.values) {
            Ok(Asked::Request(request)) => Ok(request),
            Ok(_) => Err(Refusal::from(Fault::Missing(self.spec.name.to_owned())).into()),
            Err(wrong) => Err(Denied::Said(wrong.told().clone())),
        }
    }
}

/// What stands in a slot that was not given, if a chat knows it.
async fn filled(here: &Here<'_>, slot: &Slot) -> Result<Option<String>, Refusal> {
    let defaults = || here.shared.referee.server_defaults(PLATFORM, here.caller.server);
    Ok(match slot.kind {
        Kind::Scale => {
            let scale = defaults().await?.scale.map_or(USUAL_SCALE, Scale::men);
            Some(scale.to_string())
        }
        Kind::RulesName => defaults().await?.rules,
        Kind::NewName if slot.need == Need::AtTable => Some(here.me.to_string()),
        _ => None,
    })
}
