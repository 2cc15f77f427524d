//! Setting a battle up: open, side, muster, change, dismiss, attach, rescale, close, reopen.

use super::words::{StandingWord, setting};
use super::{Ctx, Done, ask, ask_or_say, scale};
use crate::chat::caller::PLATFORM;
use crate::chat::complete;
use crate::protocol::{Change, Muster, Open, Request, Scale, Setting};

/// The figure scale when neither the request nor the server names one.
const USUAL_SCALE: u32 = 20;

/// Open a battle in this channel; whoever opens it is its referee.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn open(
    ctx: Ctx<'_>,
    #[description = "Its name, such as Harrow Ford"]
    #[max_length = 60]
    name: String,
    #[description = "Men that one figure stands for; usually 20"]
    #[min = 1]
    #[max = 1000]
    scale: Option<u32>,
    #[description = "The rules by name"]
    #[autocomplete = "complete::rules_name"]
    rules: Option<String>,
    #[description = "A side, named at once; sides also come with their units"] first_side: Option<
        String,
    >,
    #[description = "Another side, named at once"] second_side: Option<String>,
) -> Done {
    let sides = first_side.into_iter().chain(second_side).collect();
    let request = opening(ctx, name, scale, rules, sides).await;
    ask_or_say(ctx, request).await
}

/// Fills in what the server's battles begin with.
async fn opening(
    ctx: Ctx<'_>,
    name: String,
    men: Option<u32>,
    rules: Option<String>,
    sides: Vec<String>,
) -> Result<Request, String> {
    let server = ctx.interaction.guild_id.map(|id| id.get()).unwrap_or_default();
    let record = ctx.framework.user_data.referee.record();
    // Without the server's own wishes the usual ones do.
    let defaults = record.server(PLATFORM, server).await.unwrap_or_default();
    let men = men.or(defaults.scale.map(Scale::men)).unwrap_or(USUAL_SCALE);
    let rules = rules.or(defaults.rules);
    Ok(Request::Open(Open { name, scale: scale(men)?, rules, sides, casts: false }))
}

/// Name a third or further side; the first two come with their units.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn side(ctx: Ctx<'_>, #[description = "Its name"] name: String) -> Done {
    ask(ctx, Request::Side { name }).await
}

/// Muster a unit: its side, its troop class and its men.
#[poise::command(slash_command, guild_only)]
#[allow(clippy::too_many_arguments, reason = "each is an option of the command")]
pub(crate) async fn muster(
    ctx: Ctx<'_>,
    #[description = "Its name, such as Ford Wardens"] unit: String,
    #[description = "Its side"]
    #[autocomplete = "complete::side"]
    side: String,
    #[description = "Its troop class"]
    #[autocomplete = "complete::class"]
    class: String,
    #[description = "Its men"]
    #[min = 1]
    #[max = 100_000]
    men: u32,
    #[description = "Its grade"]
    #[autocomplete = "complete::grade"]
    grade: Option<String>,
    #[description = "It has long spears"]
    #[flag]
    spears: bool,
    #[description = "Its missile weapon"]
    #[autocomplete = "complete::weapon"]
    weapon: Option<String>,
    #[description = "Figures in its front rank; without it every figure fights"]
    #[min = 1]
    #[max = 1000]
    frontage: Option<u32>,
    #[description = "The leader attached to it"] leader: Option<String>,
) -> Done {
    let muster = Muster { unit, side, class, men, grade, spears, weapon, frontage, leader };
    ask(ctx, Request::Muster(muster)).await
}

/// Change a unit. What is not named stays as it is.
#[poise::command(slash_command, guild_only)]
#[allow(clippy::too_many_arguments, reason = "each is an option of the command")]
pub(crate) async fn change(
    ctx: Ctx<'_>,
    #[description = "The unit"]
    #[autocomplete = "complete::unit"]
    unit: String,
    #[description = "A new name"] rename: Option<String>,
    #[description = "Another side"]
    #[autocomplete = "complete::side"]
    side: Option<String>,
    #[description = "Another troop class"]
    #[autocomplete = "complete::class"]
    class: Option<String>,
    #[description = "The men it has now"]
    #[min = 0]
    #[max = 100_000]
    men: Option<u32>,
    #[description = "Another grade"]
    #[autocomplete = "complete::grade"]
    grade: Option<String>,
    #[description = "Whether it has long spears"] spears: Option<bool>,
    #[description = "Its missile weapon, or none"]
    #[autocomplete = "complete::weapon_or_none"]
    weapon: Option<String>,
    #[description = "Figures in its front rank; 0 for none: then every figure fights"]
    #[min = 0]
    #[max = 1000]
    frontage: Option<u32>,
    #[description = "Its leader, or none"]
    #[autocomplete = "complete::leader"]
    leader: Option<String>,
    #[description = "How it stands"] standing: Option<StandingWord>,
    #[description = "Take it out of every contact"]
    #[flag]
    apart: bool,
) -> Done {
    let change = Change {
        unit,
        rename,
        side,
        class,
        men,
        grade,
        spears,
        weapon: weapon.map(setting),
        frontage: frontage.map(|front| if front == 0 { Setting::None } else { Setting::To(front) }),
        leader: leader.map(setting),
        standing: standing.map(Into::into),
        apart,
    };
    ask(ctx, Request::Change(change)).await
}

/// Take a unit off the list.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn dismiss(
    ctx: Ctx<'_>,
    #[description = "The unit"]
    #[autocomplete = "complete::unit"]
    unit: String,
) -> Done {
    ask(ctx, Request::Dismiss { unit }).await
}

/// Attach a free leader, whose unit was destroyed, to another unit of his side.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn attach(
    ctx: Ctx<'_>,
    #[description = "The leader"]
    #[autocomplete = "complete::free_leader"]
    leader: String,
    #[description = "The unit"]
    #[autocomplete = "complete::unit"]
    unit: String,
) -> Done {
    ask(ctx, Request::Attach { leader, unit }).await
}

/// Change the figure scale of the running battle.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn rescale(
    ctx: Ctx<'_>,
    #[description = "Men that one figure stands for"]
    #[min = 1]
    #[max = 1000]
    men: u32,
) -> Done {
    ask_or_say(ctx, scale(men).map(|scale| Request::Rescale { scale })).await
}

/// Close the battle.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn close(ctx: Ctx<'_>) -> Done {
    ask(ctx, Request::Close).await
}

/// Go on with a closed battle.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn reopen(
    ctx: Ctx<'_>,
    #[description = "The battle"]
    #[autocomplete = "complete::battle_name"]
    battle: String,
) -> Done {
    ask(ctx, Request::Reopen { battle }).await
}
