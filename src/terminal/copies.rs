//! Whole copies of a record, and back.

use super::StartError;
use super::transfer::existing;
use crate::referee::Referee;
use std::path::Path;

/// Writes a whole and consistent copy of a record, also while a front is using it.
pub(super) async fn back_up(record: &Path, copy: &Path) -> Result<(), StartError> {
    let referee = existing(Some(record.to_owned())).await?;
    let done = referee.back_up(copy).await;
    referee.close().await;
    done?;
    println!("Backed up to {}.", copy.display());
    Ok(())
}

/// Puts a copy where no record is, once it has been found sound.
pub(super) async fn restore(copy: &Path, record: &Path) -> Result<(), StartError> {
    Referee::restore(copy, record).await?;
    println!("Restored to {}.", record.display());
    Ok(())
}
