//! Fighting: melee, again, cast, shoot, rally, turn, word, undo.

use super::words::{CoverWord, Higher, Side, Whose};
use super::{Ctx, Done, ask, ask_or_say, caller};
use crate::chat::complete;
use crate::protocol::{ContactAsk, MeleeAsk, Request, ShootAsk, ShotRange};
use crate::terminal::{Line, read_line};

/// Fight one round of a melee. The asking side's unit comes first.
#[poise::command(slash_command, guild_only)]
#[allow(clippy::too_many_arguments, reason = "each is an option of the command")]
#[allow(clippy::fn_params_excessive_bools, reason = "each is an option that is given or not")]
pub(crate) async fn melee(
    ctx: Ctx<'_>,
    #[description = "The striking unit, of the side that asks"]
    #[autocomplete = "complete::unit"]
    striker: String,
    #[description = "The unit it strikes"]
    #[autocomplete = "complete::unit"]
    struck: String,
    #[description = "The striker charges; mounted units only"]
    #[flag]
    charge: bool,
    #[description = "The struck unit charges too; mounted units only"]
    #[flag]
    countercharge: bool,
    #[description = "Where the striker comes in; usually the front"] facing: Option<Side>,
    #[description = "Whose unit holds higher ground"] higher: Option<Higher>,
    #[description = "Whose unit defends an obstacle between the two"] obstacle: Option<Whose>,
    #[description = "Only announce it: the other side's cast throws the dice"]
    #[flag]
    cast: bool,
    #[description = "Further contacts: \"Vale Riders\" \"Grey Levies\" --charge and UNIT UNIT"]
    more: Option<String>,
) -> Done {
    let contact = ContactAsk {
        striker,
        struck,
        charge,
        countercharge,
        facing: facing.map(Into::into).unwrap_or_default(),
        ground: higher.map(Into::into),
        obstacle: obstacle.map(Into::into),
    };
    ask_or_say(ctx, with_more(contact, cast, more.as_deref())).await
}

/// A melee whose further contacts are written in the one-line form.
fn with_more(contact: ContactAsk, cast: bool, more: Option<&str>) -> Result<Request, String> {
    let mut melee = further(more)?;
    melee.contacts.insert(0, contact);
    melee.cast |= cast;
    Ok(Request::Melee(melee))
}

/// The contacts that are written in the one-line form; none if nothing is written.
pub(super) fn further(more: Option<&str>) -> Result<MeleeAsk, String> {
    let more = more.map(str::trim).unwrap_or_default();
    let more = more.strip_prefix("and ").unwrap_or(more);
    if more.is_empty() {
        return Ok(MeleeAsk { contacts: Vec::new(), cast: false });
    }
    match read_line(&format!("melee {more}"))? {
        Line::Request(Request::Melee(melee), _) => Ok(melee),
        _ => unreachable!("a line that begins with melee asks a melee"),
    }
}

/// Fight on: another round of the contacts that still stand.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn again(
    ctx: Ctx<'_>,
    #[description = "A unit of the melee; without it the latest melee goes on"]
    #[autocomplete = "complete::unit"]
    unit: Option<String>,
) -> Done {
    ask(ctx, Request::Again { unit }).await
}

/// Cast the dice of a melee that the other side announced.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn cast(
    ctx: Ctx<'_>,
    #[description = "8 to 80 characters of your own"]
    #[max_length = 200]
    text: String,
) -> Done {
    ask(ctx, Request::Cast { text }).await
}

/// Shoot at a unit, at short range unless told otherwise.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn shoot(
    ctx: Ctx<'_>,
    #[description = "Who shoots"]
    #[autocomplete = "complete::unit"]
    shooter: String,
    #[description = "At whom"]
    #[autocomplete = "complete::unit"]
    target: String,
    #[description = "At long range"]
    #[flag]
    long: bool,
    #[description = "What protects the target"] cover: Option<CoverWord>,
) -> Done {
    let range = if long { ShotRange::Long } else { ShotRange::Short };
    ask(ctx, Request::Shoot(ShootAsk { shooter, target, range, cover: cover.map(Into::into) }))
        .await
}

/// Rally a shaken or routing unit, once a turn and out of contact.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn rally(
    ctx: Ctx<'_>,
    #[description = "The unit"]
    #[autocomplete = "complete::unit"]
    unit: String,
) -> Done {
    ask(ctx, Request::Rally { unit }).await
}

/// Begin the next turn.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn turn(ctx: Ctx<'_>) -> Done {
    ask(ctx, Request::Turn).await
}

/// Give a word that goes into every later roll, so that nobody knows the dice beforehand.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn word(
    ctx: Ctx<'_>,
    #[description = "The word or words, up to 80 characters"]
    #[max_length = 200]
    text: String,
    #[description = "The name it is given under; without it a number that stands for you"]
    name: Option<String>,
) -> Done {
    let Some(caller) = caller(ctx).await else { return Ok(()) };
    let desk = ctx.framework.user_data;
    let request = match name {
        Some(name) => Ok(Request::Word { name, text }),
        None => match desk.name_of(&caller).await {
            Ok(me) => Ok(Request::Word { name: me.to_string(), text }),
            Err(error) => Err(crate::referee::Refusal::from(error).to_string()),
        },
    };
    desk.request(caller, request).await;
    Ok(())
}

/// Take back the latest change. A roll that was thrown stays in the record.
#[poise::command(slash_command, guild_only)]
pub(crate) async fn undo(
    ctx: Ctx<'_>,
    #[description = "Why; the record keeps it"]
    #[max_length = 300]
    reason: String,
) -> Done {
    ask(ctx, Request::Undo { reason }).await
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn further_contacts_are_written_as_at_the_table() {
        let first = || ContactAsk::new("Ford Wardens", "Banner Spears");
        for (more, line) in [
            (None, "melee \"Ford Wardens\" \"Banner Spears\""),
            (
                Some("\"Vale Riders\" \"Grey Levies\" --charge --flank"),
                "melee \"Ford Wardens\" \"Banner Spears\" and \"Vale Riders\" \"Grey Levies\" --charge --flank",
            ),
            (
                Some("and “Vale Riders” “Grey Levies” and A B --cast"),
                "melee \"Ford Wardens\" \"Banner Spears\" and \"Vale Riders\" \"Grey Levies\" and A B --cast",
            ),
        ] {
            let Ok(Line::Request(expected, _)) = read_line(line) else { panic!("{line}") };
            assert_eq!(with_more(first(), false, more), Ok(expected), "{line}");
        }
        let unread = with_more(first(), false, Some("\"Vale Riders")).unwrap_err();
        assert_eq!(unread, "A quotation mark is left open. Close it: \"Ford Wardens\"");
    }
}
