//! Who may do what: appoint, relieve, officers.

use super::{Ctx, Done, caller};
use crate::battle::{Battle, Mistake};
use crate::chat::caller::{Caller, PLATFORM};
use crate::chat::desk::Desk;
use crate::chat::rest::Message;
use crate::chat::{complete, layout, messages};
use crate::record::Officer;
use crate::referee::{Look, Refusal};
use crate::words::Shown;
use poise::serenity_prelude as serenity;

/// Name a captain for a side, or another referee for the whole battle.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn appoint(
    ctx: Ctx<'_>,
    #[description = "The side they are captain of; without it they are a referee"]
    #[autocomplete = "complete::side"]
    side: Option<String>,
    #[description = "The person"] person: Option<serenity::User>,
    #[description = "Or everyone with this role"] role: Option<serenity::Role>,
) -> Done {
    change(ctx, side, person, role, true).await
}

/// Take an office away again.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn relieve(
    ctx: Ctx<'_>,
    #[description = "The side they were captain of; without it they were a referee"]
    #[autocomplete = "complete::side"]
    side: Option<String>,
    #[description = "The person"] person: Option<serenity::User>,
    #[description = "Or everyone with this role"] role: Option<serenity::Role>,
) -> Done {
    change(ctx, side, person, role, false).await
}

/// Show who referees here and who leads which side.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn officers(ctx: Ctx<'_>) -> Done {
    let Some(caller) = caller(ctx).await else { return Ok(()) };
    let desk = ctx.framework.user_data;
    desk.privately(&caller, async {
        let battle = battle(desk, &caller).await?;
        listed(desk, &battle).await
    })
    .await;
    Ok(())
}

async fn change(
    ctx: Ctx<'_>,
    side: Option<String>,
    person: Option<serenity::User>,
    role: Option<serenity::Role>,
    appoint: bool,
) -> Done {
    let Some(caller) = caller(ctx).await else { return Ok(()) };
    let desk = ctx.framework.user_data;
    let who = (person.map(|person| person.id.get()), role.map(|role| role.id.get()));
    desk.privately(&caller, changed(desk, &caller, side, who, appoint)).await;
    Ok(())
}

async fn changed(
    desk: &Desk,
    caller: &Caller,
    side: Option<String>,
    who: (Option<u64>, Option<u64>),
    appoint: bool,
) -> Result<Message, Refusal> {
    let battle = battle(desk, caller).await?;
    let me = desk.name_of(caller).await?;
    let standing = desk.standing(caller, me, &battle.id, battle.opener).await?;
    if !standing.referee && !standing.admin {
        let sentence = messages::referee_only(&standing.ask);
        return Ok(layout::of_markdown(&sentence, Vec::new()));
    }
    let record = desk.referee.record();
    let who = match who {
        (Some(user), None) => record.person(PLATFORM, user).await?.to_string(),
        (None, Some(role)) => format!("role-{role}"),
        _ => return Ok(layout::of_sentence(messages::NOBODY)),
    };
    let side = side.map(|side| side_called(&battle, &side)).transpose()?;
    let officer = Officer { who, side };
    if appoint {
        record.appoint(&battle.id, &officer).await?;
    } else {
        record.relieve(&battle.id, &officer).await?;
    }
    listed(desk, &battle).await
}

fn side_called(battle: &Battle, name: &str) -> Result<String, Mistake> {
    let sides = &battle.field.sides;
    crate::battle::find(name, sides.iter(), |side| side)
        .cloned()
        .map_err(|_| Mistake::NoSuchSide { name: name.to_owned(), known: sides.to_vec() })
}

async fn battle(desk: &Desk, caller: &Caller) -> Result<Box<Battle>, Refusal> {
    match desk.referee.look(&caller.place(), &Look::Show { unit: None }).await? {
        Shown::Battle(battle) => Ok(battle),
        _ => Err(Mistake::NoBattle.into()),
    }
}

/// The opener, the other referees, and the captains of each side.
async fn listed(desk: &Desk, battle: &Battle) -> Result<Message, Refusal> {
    let mut lines = vec![format!("Referee: {}", desk.mention(&battle.opener.to_string()).await?)];
    for officer in desk.referee.record().officers(&battle.id).await? {
        let who = desk.mention(&officer.who).await?;
        lines.push(match officer.side {
            None => format!("Referee: {who}"),
            Some(side) => format!("Captain of {}: {who}", layout::escape(&side)),
        });
    }
    Ok(layout::of_markdown(&lines.join("\n"), Vec::new()))
}
