//! Kills at moments nobody chose: what was answered is there, nothing is there twice.
//!
//! A hundred in all, divided over the table, the chat and the commands that work on files;
//! `DRUMHEAD_KILLS=1000` asks for so many.

mod files;
mod table;

/// How many of all kills fall to a part that has `share` of a hundred.
pub fn kills(share: u64) -> u64 {
    let all = std::env::var("DRUMHEAD_KILLS").map_or(100, |all| all.parse().expect("a number"));
    (all * share / 100).max(1)
}
