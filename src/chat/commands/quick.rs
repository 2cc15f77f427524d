//! Odds, and what needs no battle: ruling, throw, odds, match.

use super::fight::further;
use super::words::{Side, Whose};
use super::{Ctx, Done, ask_or_say, caller, look_at, scale};
use crate::battle::{ContactAsk, DiceAsk, Mistake, QuickAsk, Request};
use crate::chat::complete;
use crate::referee::Look;

/// Rule a clash of two units that nobody has mustered. No battle is needed.
#[poise::command(slash_command, guild_only)]
#[allow(clippy::too_many_arguments, reason = "each is an option of the command")]
#[allow(clippy::fn_params_excessive_bools, reason = "each is an option that is given or not")]
pub(crate) async fn ruling(
    ctx: Ctx<'_>,
    #[description = "The striking unit, such as: 8 heavy foot, seasoned, long spears, led"]
    #[max_length = 200]
    striker: String,
    #[description = "The unit it strikes, such as: 160 men of levy, raw, shaken, frontage 6"]
    #[max_length = 200]
    struck: String,
    #[description = "Men that one figure stands for; usually 1"]
    #[min = 1]
    #[max = 1000]
    scale: Option<u32>,
    #[description = "The striker charges; mounted units only"]
    #[flag]
    charge: bool,
    #[description = "The struck unit charges too; mounted units only"]
    #[flag]
    countercharge: bool,
    #[description = "Where the striker comes in; usually the front"] facing: Option<Side>,
    #[description = "Whose unit holds higher ground"] higher: Option<Whose>,
    #[description = "Whose unit defends an obstacle between the two"] obstacle: Option<Whose>,
    #[description = "Only show the odds; nothing is thrown"]
    #[flag]
    odds: bool,
) -> Done {
    // The names come with the field that is made for the two descriptions.
    let how = ContactAsk {
        charge,
        countercharge,
        facing: facing.map(Into::into).unwrap_or_default(),
        ground: higher.map(Into::into),
        obstacle: obstacle.map(Into::into),
        ..ContactAsk::new("", "")
    };
    match quick(&striker, &struck, scale, how) {
        Ok(ask) if odds => look_at(ctx, Look::Quick(ask), false).await,
        ask => ask_or_say(ctx, ask.map(Request::Quick)).await,
    }
}

fn quick(
    striker: &str,
    struck: &str,
    men: Option<u32>,
    how: ContactAsk,
) -> Result<QuickAsk, String> {
    let described = |text: &str| text.parse().map_err(|mistake: Mistake| mistake.to_string());
    let scale = scale(men.unwrap_or(1))?;
    Ok(QuickAsk { scale, striker: described(striker)?, struck: described(struck)?, how })
}

/// Throw plain dice in public. No battle is needed.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn throw(
    ctx: Ctx<'_>,
    #[description = "Dice such as 3d6, or 3d6 1d20"]
    #[max_length = 200]
    dice: String,
    #[description = "What they are for"]
    #[rename = "for"]
    purpose: Option<String>,
) -> Done {
    let dice: Result<Vec<DiceAsk>, Mistake> = dice.split_whitespace().map(str::parse).collect();
    let request = dice.map(|dice| Request::Throw { dice, purpose });
    ask_or_say(ctx, request.map_err(|mistake| mistake.to_string())).await
}

/// Show the exact odds of a melee, one round and to the finish. Nothing is thrown.
#[poise::command(slash_command, guild_only)]
#[allow(clippy::too_many_arguments, reason = "each is an option of the command")]
#[allow(clippy::fn_params_excessive_bools, reason = "each is an option that is given or not")]
pub(crate) async fn odds(
    ctx: Ctx<'_>,
    #[description = "The striking unit; without names, the melee that is being fought"]
    #[autocomplete = "complete::unit"]
    striker: Option<String>,
    #[description = "The unit it strikes"]
    #[autocomplete = "complete::unit"]
    struck: Option<String>,
    #[description = "The striker charges; mounted units only"]
    #[flag]
    charge: bool,
    #[description = "The struck unit charges too; mounted units only"]
    #[flag]
    countercharge: bool,
    #[description = "Where the striker comes in; usually the front"] facing: Option<Side>,
    #[description = "Whose unit holds higher ground"] higher: Option<Whose>,
    #[description = "Whose unit defends an obstacle between the two"] obstacle: Option<Whose>,
    #[description = "Further contacts: \"Vale Riders\" \"Grey Levies\" --charge and UNIT UNIT"]
    more: Option<String>,
    #[description = "Show it to everyone here"]
    #[flag]
    share: bool,
) -> Done {
    let mut contacts = Vec::new();
    if let (Some(striker), Some(struck)) = (striker, struck) {
        contacts.push(ContactAsk {
            striker,
            struck,
            charge,
            countercharge,
            facing: facing.map(Into::into).unwrap_or_default(),
            ground: higher.map(Into::into),
            obstacle: obstacle.map(Into::into),
        });
    }
    match further(more.as_deref()) {
        Ok(more) => {
            contacts.extend(more.contacts);
            look_at(ctx, Look::Odds { contacts }, share).await
        }
        Err(sentence) => {
            if let Some(caller) = caller(ctx).await {
                ctx.framework.user_data.answer_privately(&caller, &sentence).await;
            }
            Ok(())
        }
    }
}

/// Show how many men of a class make an even fight against a unit. Nothing is thrown.
#[poise::command(slash_command, guild_only, rename = "match")]
pub(crate) async fn even_match(
    ctx: Ctx<'_>,
    #[description = "The unit to be met"]
    #[autocomplete = "complete::unit"]
    unit: String,
    #[description = "The troop class of those who would meet it"]
    #[autocomplete = "complete::class"]
    class: String,
    #[description = "Their grade"]
    #[autocomplete = "complete::grade"]
    grade: Option<String>,
    #[description = "They have long spears"]
    #[flag]
    spears: bool,
    #[description = "Figures in their front rank; without it every figure fights"]
    #[min = 1]
    #[max = 1000]
    frontage: Option<u32>,
    #[description = "Show it to everyone here"]
    #[flag]
    share: bool,
) -> Done {
    look_at(ctx, Look::Match { unit, class, grade, spears, frontage }, share).await
}
