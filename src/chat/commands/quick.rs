//! Odds, and what needs no battle: ruling, throw, odds, match.

use super::fight::further;
use super::words::{Higher, Side, Whose};
use super::{Ctx, Done, ask_or_say, caller, look_at, scale};
use crate::battle::Mistake;
use crate::chat::{complete, messages};
use crate::protocol::quote;
use crate::protocol::{ContactAsk, DiceAsk, QuickAsk, Request};
use crate::referee::Look;
use crate::terminal::{Line, read_line};

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
    #[description = "Whose unit holds higher ground"] higher: Option<Higher>,
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
    #[description = "Whose unit holds higher ground"] higher: Option<Higher>,
    #[description = "Whose unit defends an obstacle between the two"] obstacle: Option<Whose>,
    #[description = "Further contacts: \"Vale Riders\" \"Grey Levies\" --charge and UNIT UNIT"]
    more: Option<String>,
    #[description = "Show it to everyone here"]
    #[flag]
    share: bool,
) -> Done {
    let contacts = pair(striker, struck).and_then(|named| {
        let first = named.map(|[striker, struck]| ContactAsk {
            striker,
            struck,
            charge,
            countercharge,
            facing: facing.map(Into::into).unwrap_or_default(),
            ground: higher.map(Into::into),
            obstacle: obstacle.map(Into::into),
        });
        Ok(first.into_iter().chain(further(more.as_deref())?.contacts).collect())
    });
    look_or_say(ctx, contacts.map(|contacts| Look::Odds { contacts }), share).await
}

/// Two names, or none.
fn pair(one: Option<String>, other: Option<String>) -> Result<Option<[String; 2]>, String> {
    match (one, other) {
        (Some(one), Some(other)) => Ok(Some([one, other])),
        (None, None) => Ok(None),
        _ => Err(messages::BOTH_UNITS.to_owned()),
    }
}

async fn look_or_say(ctx: Ctx<'_>, look: Result<Look, String>, share: bool) -> Done {
    match look {
        Ok(look) => look_at(ctx, look, share).await,
        Err(sentence) => {
            if let Some(caller) = caller(ctx).await {
                ctx.framework.user_data.answer_privately(&caller, &sentence).await;
            }
            Ok(())
        }
    }
}

/// Show the same armies at several figure scales: time, luck, and what rounding does.
#[poise::command(slash_command, guild_only, rename = "scale")]
pub(crate) async fn scales(
    ctx: Ctx<'_>,
    #[description = "A unit; without names, every unit and its opposite number"]
    #[autocomplete = "complete::unit"]
    unit: Option<String>,
    #[description = "The unit it meets"]
    #[autocomplete = "complete::unit"]
    other: Option<String>,
    #[description = "The scales to compare, such as 1,10,20"]
    #[max_length = 200]
    at: Option<String>,
    #[description = "By how many percent of its men no unit should be misrepresented; usually 10"]
    #[min = 0]
    #[max = 100]
    percent: Option<u32>,
    #[description = "Show it to everyone here"]
    #[flag]
    share: bool,
) -> Done {
    look_or_say(ctx, compared(pair(unit, other), at.as_deref(), percent), share).await
}

/// The comparison that the local table reads from the same scales.
fn compared(
    named: Result<Option<[String; 2]>, String>,
    at: Option<&str>,
    share: Option<u32>,
) -> Result<Look, String> {
    let at = at.map_or_else(String::new, |at| format!(" --at {}", quote(&at.replace(' ', ""))));
    match read_line(&format!("scale{at}"))? {
        Line::Look(Look::Scales { scales, percent, .. }) => {
            Ok(Look::Scales { units: named?, scales, percent: share.unwrap_or(percent) })
        }
        _ => unreachable!("a line that begins with scale compares scales"),
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_are_compared_as_at_the_table() {
        let named = || Ok(Some(["Ford Wardens".to_owned(), "Banner Foot".to_owned()]));
        let expected =
            read_line("scale \"Ford Wardens\" \"Banner Foot\" --at 1,10,20 --share 5").unwrap();
        let asked = compared(named(), Some("1, 10,20"), Some(5)).unwrap();
        assert_eq!(Line::Look(asked), expected);
        assert_eq!(
            Line::Look(compared(Ok(None), None, None).unwrap()),
            read_line("scale").unwrap()
        );
        assert!(compared(named(), Some("x"), None).is_err());
        assert_eq!(pair(Some(String::new()), None).unwrap_err(), messages::BOTH_UNITS);
    }
}
