//! The sentences that only this front says: about the chat itself, never about a battle's rules.
//!
//! A command that one of them names is spelled as it is registered; a test holds them together.

use crate::protocol::Who;
use crate::referee::Left;

/// The working is too long for a post.
pub const REST_IN_FILE: &str = "The whole working is in the attached file.";
/// A report's files.
pub const REPORT_IN_FILE: &str =
    "The report is the attached page: open it in any browser. The receipts are beside it.";
/// The post has lines for a machine.
pub const FOR_MACHINES: &str =
    "The receipt is attached. So is a page that checks it in any browser.";
/// Something takes longer than anyone likes to wait without a word.
pub const TAKES_A_WHILE: &str =
    "This takes a while to work out. The answer will replace this note.";
/// An acknowledgement that did not arrive in time.
pub const TOO_SLOW: &str =
    "The platform was too slow, so nothing was done and nothing was thrown. Ask again.";

/// A request that a kill cut short.
pub const CUT_SHORT: &str = "The bot stopped before it could answer this, so nothing was ruled and nothing was thrown. Ask again.";

/// Files that the platform would not take.
pub fn too_large(megabytes: usize) -> String {
    format!(
        "This answer would be {megabytes} MB, and a message carries 10 MB at most. Whoever runs the bot can write it to a file: drumhead export, or drumhead report"
    )
}

/// The same, where it is known before all of it is there.
pub const EXPORT_TOO_LARGE: &str = "This answer would be more than 10 MB, and a message carries no more. Whoever runs the bot can write it to a file: drumhead export";

/// Something that was done outside a server.
pub const ONLY_IN_SERVERS: &str = "Battles are fought in the channels and threads of a server. Use a command there, and I will referee.";
/// A button of a battle that is not the one here.
pub const OTHER_BATTLE: &str =
    "This post belongs to a battle that is not open here. To go on with it: /battle reopen";
/// A button whose post is no longer the latest word on its melee.
pub const MOVED_ON: &str =
    "The battle has moved on since this post. Use the newest post, or ask: /fight again";
/// A button whose work is done.
pub const DONE_BEFORE: &str = "That has been done already, and the answer is in this channel. To go on from here, use a command.";
/// An undo whose change is no longer the latest.
pub const NOT_THE_LATEST: &str = "Something else has been done since, and only the latest change can be taken back. To take that back: /turn undo";
/// Something in the request could not be read.
pub const UNREADABLE: &str = "This request could not be read. See what you can ask: /help";
/// A fault of the front itself.
pub const FAULT: &str =
    "Something went wrong here. Look at the battle before you ask again: /look show";
/// The same, where what went wrong is in the trace under a reference.
pub fn broken_off(reference: &str) -> String {
    format!(
        "Something went wrong here (reference {reference}). Tell whoever runs the bot, and look at the battle before you ask again: /look show"
    )
}

/// The board is up.
pub const BOARD_IS_UP: &str = "The post above shows the battle as it stands and is kept up to date. Pin it, so that everyone finds it.";
/// Only those who may manage the server.
pub const MANAGERS_ONLY: &str =
    "Only people who can manage this server may do that. Ask one of them.";
/// Erasing needs a yes.
pub const SURE: &str = "Nothing was erased. To erase every battle of this server for good, ask again with sure: True. To keep a copy first: /setup copy";
/// Erased on demand.
pub const FORGOTTEN: &str = "Your id has been removed from this bot's records. The record keeps a number that no longer leads to you, and the words you gave, because later rolls were thrown with them.";
/// The same, while somebody is in the way of the file.
pub const FORGOTTEN_BUT_TRACES: &str = "Your id has been removed from this bot's records. Traces of it may stay in the file for a while, because it is being copied.";
/// Nothing to take away.
pub const UNKNOWN_PERSON: &str = "Nothing is kept about you.";
/// What a person asked follows.
pub const WHAT_YOU_ASKED: &str = "In the record you are only that number. Requests you made:";
/// How a person is taken out.
pub const TAKEN_OUT_BY: &str =
    "The record also keeps the words you gave. To have your id removed: /setup forget";

/// The number under which somebody is kept.
pub fn kept_as(user: u64, who: Who) -> String {
    format!("Your id {user} is kept as {who}.")
}

/// What was erased of a server, and what is left of it in the file.
pub fn erased((gone, left): (u64, Left)) -> String {
    let gone = battles(gone);
    match left {
        Left::Nothing => format!("Erased for good: {gone} of this server."),
        Left::Traces => format!(
            "Erased: {gone} of this server. The file is being copied or its disk is full, so traces may stay in it until you ask this again."
        ),
    }
}

/// What comes as a copy of a server's data.
pub fn copied(n: u64) -> String {
    format!("{} of this server.", battles(n))
}

fn battles(n: u64) -> String {
    if n == 1 { "1 battle".to_owned() } else { format!("{n} battles") }
}

/// What battles of a server begin with.
pub fn begins_at(scale: &str, rules: &str) -> String {
    format!("Battles here begin at {scale}, under the rules {rules}.")
}

/// The labels of the buttons, and of their forms.
pub const FIGHT_ON: &str = "Fight on";
pub const CAST: &str = "Cast";
pub const PROVE: &str = "Prove";
pub const UNDO: &str = "Undo";
pub const UNDO_TITLE: &str = "Take back the latest change?";
pub const UNDO_REASON: &str = "Why? The record keeps it.";
pub const CAST_TITLE: &str = "Cast the dice";
pub const CAST_TEXT: &str = "Type 8 to 80 characters of your own";

/// The headline of help.
pub const HELP: &str = "A battle in five commands";
/// The five commands, as they are typed.
pub const FIRST_STEPS: [&str; 5] = [
    "/battle open name: Harrow Ford",
    "/unit muster unit: Ford Wardens side: Vale class: line foot men: 160",
    "/unit muster unit: Banner Spears side: Grey Banner class: skirmishers men: 200",
    "/fight melee striker: Ford Wardens struck: Banner Spears",
    "/fight again, or the button Fight on",
];
/// What else helps at first.
pub const GOOD_TO_KNOW: [&str; 3] = [
    "Names are offered while you type. Whoever opens a battle is its referee.",
    "What you look at is shown to you alone, unless you ask with share: True.",
    "More about one command: /help request: fight melee",
];

/// A referee must do it.
pub fn referee_only(ask: &str) -> String {
    format!("Only the referee of this battle may do that. Ask {ask}.")
}

/// A referee must do it, or whoever may manage the server.
pub fn managers_only(ask: &str) -> String {
    format!(
        "Only the referee of this battle, or someone who can manage this server, may do that. Ask {ask}."
    )
}

/// A captain of any side may do it.
pub fn officers_only(ask: &str) -> String {
    format!("Only the captains and the referee of this battle may do that. Ask {ask}.")
}

/// An announced roll is for the other side to cast.
pub fn casters_only(side: &str) -> String {
    format!("Only {side} may cast this roll. Ask them, or take it back: /turn undo")
}

/// A captain may do it for their own side.
pub fn captains_only(side: &str, ask: &str) -> String {
    format!("Only the captains of {side} and the referee may do that. Ask {ask}.")
}

/// A board that could not be put up.
pub fn no_board(why: &str) -> String {
    format!(
        "The bot cannot post here: {why}. Give it its permissions in this channel, then ask again."
    )
}

/// A post that the platform will not take, said where it was waited for.
pub fn not_shown(why: &str) -> String {
    format!(
        "This is in the record, but the platform would not take the post: {why}. To see it: /look log"
    )
}

/// The same, said to the battle's referee; a channel that the bot may not use needs something done.
pub fn not_posted(battle: &str, seq: u64, why: &str, may_not: bool) -> String {
    let to_do = if may_not {
        "Give the bot its permissions in that channel, then look there"
    } else {
        "To see it in its channel"
    };
    format!(
        "A ruling of {battle} (event {seq}) is in the record but could not be posted: {why}. {to_do}: /look log"
    )
}

#[cfg(test)]
mod tests {
    use crate::requests;

    /// Read off the source, so that a sentence added later is held to it too.
    #[test]
    fn every_command_that_is_named_is_registered() {
        let source = include_str!("messages.rs").split("#[cfg(test)]").next().unwrap();
        let known: Vec<String> =
            requests::all().iter().map(|spec| requests::command(spec)).collect();
        let mut named = 0;
        for said in source.split([' ', '"']).enumerate().filter(|(_, word)| {
            word.strip_prefix('/')
                .is_some_and(|name| name.starts_with(|c: char| c.is_ascii_lowercase()))
        }) {
            let (at, _) = said;
            let words: Vec<&str> = source.split([' ', '"']).skip(at).take(2).collect();
            let bare = |word: &str| word.trim_end_matches([',', '.']).to_owned();
            let (one, two) = (bare(words[0]), format!("{} {}", words[0], bare(words[1])));
            assert!(known.contains(&one) || known.contains(&two), "{two} is no command");
            named += 1;
        }
        assert!(named >= 12, "only {named} commands were found");
    }
}
