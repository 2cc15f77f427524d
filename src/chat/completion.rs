//! What is offered while somebody types: names from the battle here, its rules, and the record.

use super::commands;
use super::interaction::{Caller, Shared, offer};
use super::message::Choice;
use super::platform::{Invoked, Value};
use crate::battle::{Battle, Field};
use crate::referee::Refusal;
use crate::requests::{Names, candidates};
use crate::rules::Rules;
use std::sync::Arc;

/// Somebody types in an option.
pub(super) async fn typed(shared: &Shared, caller: &Caller, invoked: &Invoked) {
    let names = match Here::known(shared, caller).await {
        Ok(here) => offered(&here, invoked),
        Err(error) => {
            tracing::warn!(%error, "names could not be read");
            Vec::new()
        }
    };
    let choices = names.iter().filter_map(|name| Choice::new(name)).take(Choice::MOST);
    offer(shared, caller, choices.collect()).await;
}

/// The names that may fill the option that is being typed in.
fn offered(here: &Here, invoked: &Invoked) -> Vec<String> {
    let offered = || {
        let focused = invoked.options.iter().find(|given| given.focused)?;
        let Value::Text(typed) = &focused.value else { return None };
        let spec = commands::spec(&invoked.path)?;
        let slot = commands::option(spec, &focused.name)?.slot;
        let given = commands::values(spec, &invoked.options)?;
        Some(candidates(spec, slot.name, &given, here, typed))
    };
    offered().into_iter().flatten().map(|candidate| candidate.value).collect()
}

/// The names that are known where somebody asks.
struct Here {
    battle: Option<Battle>,
    rules: Arc<Rules>,
    battles: Vec<String>,
    rules_names: Vec<String>,
}

impl Here {
    async fn known(shared: &Shared, caller: &Caller) -> Result<Self, Refusal> {
        let (place, referee) = (caller.place(), &shared.referee);
        let battles = referee.battles(&place).await?.into_iter().rev();
        Ok(Self {
            battle: referee.battle(&place).await?,
            rules: referee.rules(&place).await?,
            battles: battles.map(|battle| battle.name).collect(),
            rules_names: referee.rules_names(),
        })
    }
}

impl Names for Here {
    fn field(&self) -> Option<&Field> {
        self.battle.as_ref().map(|battle| &battle.field)
    }

    fn rules(&self) -> Option<&Rules> {
        Some(&self.rules)
    }

    fn battles(&self) -> Vec<String> {
        self.battles.clone()
    }

    fn rules_names(&self) -> Vec<String> {
        self.rules_names.clone()
    }
}
