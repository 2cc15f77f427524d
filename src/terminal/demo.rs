//! The battle that ships with the program, played to the end.

use super::StartError;
use super::table::Table;
use crate::referee::{Referee, RulesLibrary};
use std::path::Path;

/// The script of the battle.
const HARROW_FORD: &str = include_str!("../../config/demo/harrow-ford.txt");

/// Plays the battle on a throw-away record, or on one that is kept.
pub(super) async fn demo(file: Option<&Path>, take: u32) -> Result<(), StartError> {
    let library = RulesLibrary::shipped();
    let referee = match file {
        Some(file) => Referee::open(file, library).await?,
        None => Referee::in_memory(library).await?,
    };
    let table = Table::numbered(referee.as_demonstration(take), "demo");
    let played = table.script(HARROW_FORD, &mut std::io::stdout()).await;
    table.close().await;
    played
}
