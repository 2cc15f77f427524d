//! The sentences that only this front says: about the chat itself, never about a battle's rules.

/// The working is too long for a post.
pub(super) const REST_IN_FILE: &str = "The whole working is in the attached file.";
/// A report's files.
pub(super) const REPORT_IN_FILE: &str =
    "The report is the attached page: open it in any browser. The receipts are beside it.";
/// The post has lines for a machine.
pub(super) const FOR_MACHINES: &str =
    "The receipt is attached. So is a page that checks it in any browser.";
/// Something takes longer than anyone likes to wait without a word.
pub(super) const TAKES_A_WHILE: &str =
    "This takes a while to work out. The answer will stand here in the place of this note.";
/// An acknowledgement that did not arrive in time.
pub(super) const TOO_SLOW: &str =
    "The platform was too slow, so nothing was done and nothing was thrown. Ask again.";
/// Files that the platform would not take.
pub(super) fn too_large(megabytes: usize) -> String {
    format!(
        "This answer would be {megabytes} MB, and a message carries 10 MB at most. Whoever runs the bot can write it to a file: drumhead export, or drumhead report"
    )
}

/// A command outside a server.
pub(super) const ONLY_IN_SERVERS: &str =
    "Battles are fought in a server's channels and threads. Ask there.";
/// A button of a battle that is not the one here.
pub(super) const OTHER_BATTLE: &str =
    "This post belongs to a battle that is not open here. To go on with it: /reopen";
/// A button whose post is no longer the latest word on its melee.
pub(super) const MOVED_ON: &str =
    "The battle has moved on since this post. Use the newest post, or ask: /again";
/// A button whose work is done.
pub(super) const DONE_BEFORE: &str = "That has been done already, and its answer is in this channel. To go on from here, ask with a command.";
/// An undo whose change is no longer the latest.
pub(super) const NOT_THE_LATEST: &str = "Something else has been done since, and an undo takes back the latest change only. To take that back: /undo";
/// Something in the request could not be read.
pub(super) const UNREADABLE: &str = "This request could not be read. Ask it again: /help";
/// A fault of the front itself.
pub(super) const FAULT: &str =
    "Something went wrong here. Look at the battle before asking again: /show";
/// The board is up.
pub(super) const BOARD_IS_UP: &str = "The post above shows the battle as it stands and is kept up to date. Pin it, so that everyone finds it.";
/// One of two units is missing.
pub(super) const BOTH_UNITS: &str = "Name both units, or none.";
/// An office for nobody.
pub(super) const NOBODY: &str = "Name a person or a role.";
/// Only admins.
pub(super) const ADMINS_ONLY: &str =
    "Only those who may manage this server can do that. Ask one of them.";
/// Erasing needs a yes.
pub(super) const SURE: &str = "Nothing was erased. To erase every battle of this server for good, ask again with sure: True. To keep a copy first: /server export";
/// Erased on demand.
pub(super) const FORGOTTEN: &str = "Your id is taken out of this bot's records, and every office you held. The record keeps a number that no longer leads to you, and the words you gave, because later rolls were thrown with them.";
/// The same, while somebody is in the way of the file.
pub(super) const FORGOTTEN_BUT_TRACES: &str = "Your id is taken out of this bot's records, and every office you held. Traces of it may stay in the file for a while, because it is being copied.";
/// Nothing to take away.
pub(super) const UNKNOWN_PERSON: &str = "Nothing is kept about you.";

/// The labels of the buttons, and of the form for an undo.
pub(super) const FIGHT_ON: &str = "Fight on";
pub(super) const CAST: &str = "Cast";
pub(super) const PROVE: &str = "Prove";
pub(super) const UNDO: &str = "Undo";
pub(super) const UNDO_TITLE: &str = "Take back the latest change?";
pub(super) const UNDO_REASON: &str = "Why? The record keeps it.";

/// First steps, and every command.
pub(super) const HELP: &str = "\
A battle in five commands:
/open name: Harrow Ford
/muster unit: Ford Wardens, side: Vale, class: heavy foot, men: 160
/muster unit: Banner Spears, side: Grey Banner, class: light foot, men: 200
/melee striker: Ford Wardens, struck: Banner Spears
/again, or the button Fight on
Set up: /open /side /muster /change /dismiss /attach /rescale /close /reopen
Fight: /melee /again /shoot /rally /turn /undo
Both in_flight on the dice: /word /cast
With no battle at all: /ruling /throw
Look: /show /odds /match /scale /battles /log /proof /rules
A post of the battle as it stands, to pin: /board
Who may do what: /appoint /relieve /officers
Afterwards: /report /export
The server's own: /server
ThrowPurpose is kept of you: /privacy
Names are offered while you type. Whoever opens a battle is its referee.
Answers to a look are for you alone, unless you ask with share: True.";

/// The referee must rule on it.
pub(super) fn referee_only(ask: &str) -> String {
    format!("Only the referee of this battle may do that. Ask {ask}.")
}

/// A captain may do it for their own side.
pub(super) fn captains_only(side: &str, ask: &str) -> String {
    format!("That is for the captains of {side} and for the referee. Ask {ask}.")
}

/// A board that could not be put up.
pub(super) fn no_board(why: &str) -> String {
    format!(
        "No post could be made here: {why}. Give the bot its permissions in this channel, then ask again."
    )
}

/// A post that could not be placed.
pub(super) fn not_posted(battle: &str, seq: u64, why: &str) -> String {
    format!(
        "A ruling of the battle {battle} (event {seq}) is in the record but could not be posted: {why}. Give the bot its permissions in that channel, then look there: /log"
    )
}
