//! What is offered while somebody types: names from the battle here, its rules, and the record.

use super::commands::Ctx;
use crate::battle::{Battle, fold_case};
use crate::referee::Look;
use crate::rules::Rules;
use crate::words::Shown;
use poise::serenity_prelude::{AutocompleteChoice, CreateAutocompleteResponse};
use std::sync::Arc;

/// The platform takes at most 25 choices of at most 100 characters.
const MOST: usize = 25;
const LONGEST: usize = 100;

pub(super) async fn unit(ctx: Ctx<'_>, typed: &str) -> CreateAutocompleteResponse {
    offer(
        typed,
        battle(ctx).await.map_or_else(Vec::new, |battle| {
            battle.field.units.iter().map(|unit| unit.name.clone()).collect()
        }),
    )
}

pub(super) async fn side(ctx: Ctx<'_>, typed: &str) -> CreateAutocompleteResponse {
    offer(typed, battle(ctx).await.map_or_else(Vec::new, |battle| battle.field.sides.to_vec()))
}

pub(super) async fn free_leader(ctx: Ctx<'_>, typed: &str) -> CreateAutocompleteResponse {
    offer(
        typed,
        battle(ctx).await.map_or_else(Vec::new, |battle| {
            battle.field.free_leaders.iter().map(|leader| leader.name.clone()).collect()
        }),
    )
}

/// A leader a unit may have instead: the free ones, or none.
pub(super) async fn leader(ctx: Ctx<'_>, typed: &str) -> CreateAutocompleteResponse {
    let free = battle(ctx).await.map_or_else(Vec::new, |battle| {
        battle.field.free_leaders.iter().map(|leader| leader.name.clone()).collect()
    });
    offer(typed, free.into_iter().chain(["none".to_owned()]).collect())
}

pub(super) async fn class(ctx: Ctx<'_>, typed: &str) -> CreateAutocompleteResponse {
    let rules = rules(ctx).await;
    offer(typed, rules.iter().flat_map(|r| &r.classes).map(|class| class.name.clone()).collect())
}

pub(super) async fn grade(ctx: Ctx<'_>, typed: &str) -> CreateAutocompleteResponse {
    let rules = rules(ctx).await;
    offer(typed, rules.iter().flat_map(|r| &r.grades).map(|grade| grade.name.clone()).collect())
}

pub(super) async fn weapon(ctx: Ctx<'_>, typed: &str) -> CreateAutocompleteResponse {
    let rules = rules(ctx).await;
    offer(typed, rules.iter().flat_map(|r| &r.weapons).map(|w| w.name.clone()).collect())
}

/// A weapon a unit may have instead: those of the rules, or none.
pub(super) async fn weapon_or_none(ctx: Ctx<'_>, typed: &str) -> CreateAutocompleteResponse {
    let rules = rules(ctx).await;
    let names = rules.iter().flat_map(|rules| &rules.weapons).map(|weapon| weapon.name.clone());
    offer(typed, names.chain(["none".to_owned()]).collect())
}

/// The battles of this channel.
pub(super) async fn battle_name(ctx: Ctx<'_>, typed: &str) -> CreateAutocompleteResponse {
    match look(ctx, &Look::Battles).await {
        Some(Shown::Battles(battles)) => {
            offer(typed, battles.into_iter().rev().map(|battle| battle.name).collect())
        }
        _ => offer(typed, Vec::new()),
    }
}

#[allow(clippy::unused_async, reason = "the framework awaits every completion")]
pub(super) async fn rules_name(ctx: Ctx<'_>, typed: &str) -> CreateAutocompleteResponse {
    offer(typed, ctx.framework.user_data.rules.clone())
}

async fn battle(ctx: Ctx<'_>) -> Option<Box<Battle>> {
    match look(ctx, &Look::Show { unit: None }).await {
        Some(Shown::Battle(battle)) => Some(battle),
        _ => None,
    }
}

async fn rules(ctx: Ctx<'_>) -> Option<Arc<Rules>> {
    match look(ctx, &Look::Rules).await {
        Some(Shown::Rules(rules)) => Some(rules),
        _ => None,
    }
}

async fn look(ctx: Ctx<'_>, look: &Look) -> Option<Shown> {
    let caller = super::caller::Caller::of_command(ctx.interaction)?;
    ctx.framework.user_data.referee.look(&caller.place(), look).await.ok()
}

/// Those that begin with what was typed, then those that hold it.
fn offer(typed: &str, names: Vec<String>) -> CreateAutocompleteResponse {
    let choices = matching(typed, names).into_iter();
    let choice = |name: String| AutocompleteChoice::new(name.clone(), name);
    CreateAutocompleteResponse::new().set_choices(choices.map(choice).collect())
}

fn matching(typed: &str, names: Vec<String>) -> Vec<String> {
    let typed = fold_case(typed.trim());
    let fits = |name: &String| (1..=LONGEST).contains(&name.encode_utf16().count());
    let (begin, other): (Vec<String>, Vec<String>) = names
        .into_iter()
        .filter(|name| fits(name) && fold_case(name).contains(&typed))
        .partition(|name| fold_case(name).starts_with(&typed));
    begin.into_iter().chain(other).take(MOST).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_begin_so_come_first_and_never_more_than_25() {
        let names = ["Banner Spears", "Ford Wardens", "Upper Ford"].map(String::from).to_vec();
        assert_eq!(matching("fo", names.clone()), ["Ford Wardens", "Upper Ford"]);
        assert_eq!(matching("", names), ["Banner Spears", "Ford Wardens", "Upper Ford"]);
        assert_eq!(matching("", (0..60).map(|n| format!("Levy {n}")).collect()).len(), 25);
    }
}
